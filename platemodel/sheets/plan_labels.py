"""Marks, laying numbers and names on a plan, each where it finds room."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from platemodel.frame.values import Piece
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import THIN, WHITE, XY, Page
from platemodel.sheets.plan_view import PlanView, outer_edge, whole_timber
from platemodel.sheets.tape import whole

_PARTS = (0.5, 0.3, 0.7, 0.15, 0.85)
"""Parts of a stretch at which a label is tried."""
_ASIDE = (4.0, -4.0, 7.0, -7.0, 11.0, -11.0)
"""Distances from a plate's edge at which a mark is tried that finds no room on it, mm on paper."""

_TRIES = [
    (height, part, off)
    for height in (2.5, 1.8)
    for off in (5.0, 6.6)
    for part in (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.27, 0.42, 0.58, 0.73)
]
"""Heights, parts of a wall's length and distances from it (mm on paper) at which its name is tried."""


def reading(direction: XY) -> float:
    """Degrees to turn a text along a direction so that it reads from below or from the right."""
    turn = math.degrees(math.atan2(direction[1], direction[0]))
    if turn > 90.0 + 1e-6:
        turn -= 180.0
    elif turn <= -90.0 + 1e-6:
        turn += 180.0
    return turn


def label_pieces(
    page: Page, view: PlanView, taken: Taken, words: Callable[[Piece], str], heights: Sequence[float] = (2.5, 1.8)
) -> list[str]:
    """A boxed text a piece, on its whole timber or beside it with a line to it; gives those that found no room."""
    return [words(piece) for piece in view.pieces if not _label(page, view, taken, piece, words(piece), heights)]


def _label(page: Page, view: PlanView, taken: Taken, piece: Piece, text: str, heights: Sequence[float]) -> bool:
    strip = view.frame.runs[piece.run].strip
    turn = 90.0 if abs(strip.direction[1]) > abs(strip.direction[0]) else 0.0
    spans = whole_timber(view.frame, piece)
    places = [low + part * (high - low) for low, high in spans for part in _PARTS]
    half = strip.width / view.scale / 2
    for height in heights:
        # beside the plate only with the least lettering, and only where it cannot stand on it
        for aside in (0.0, *(_ASIDE if height == heights[-1] else ())):
            for s in places:
                offset = aside + math.copysign(half, aside) if aside else 0.0
                x, y = view.on_piece(piece, s, offset)
                box = text_box(x, y, text, height, turn, pad=0.8)
                if view.shows([(box[0], box[1]), (box[2], box[3])]) and taken.claim(box):
                    with page.about(piece.mark):
                        if aside:
                            page.line([view.on_piece(piece, s), (x, y)], THIN)
                        boxed(page, x, y, text, height, turn)
                    return True
    return False


def boxed(page: Page, x: float, y: float, text: str, height: float, turn: float) -> None:
    """A bold text in a white box with a thin edge, centred at a place."""
    left, top, right, bottom = text_box(x, y, text, height, turn, pad=0.8)
    page.area([(left, top), (right, top), (right, bottom), (left, bottom)], WHITE)
    page.box(left, top, right - left, bottom - top, THIN)
    centred(page, x, y, text, height, turn, bold=True)


def centred(page: Page, x: float, y: float, text: str, height: float, turn: float, bold: bool = False) -> None:
    """A text about its middle: its baseline is half a capital below, seen along the text."""
    radians = math.radians(turn)
    page.text(
        x + math.sin(radians) * height / 2,
        y + math.cos(radians) * height / 2,
        text,
        height,
        "middle",
        bold=bold,
        turn=turn,
    )


def block_plates(view: PlanView, taken: Taken) -> None:
    """Keep texts off the plates."""
    for piece in view.pieces:
        half = piece.laid.width / view.scale / 2 + 0.3
        low, high = sum(piece.low) / 2, sum(piece.high) / 2
        count = max(1, math.ceil((high - low) / view.scale / max(2 * half, 2.0)))
        for number in range(count + 1):
            x, y = view.on_piece(piece, low + (high - low) * number / count)
            taken.block((x - half, y - half, x + half, y + half))


def name_walls(page: Page, view: PlanView, taken: Taken) -> None:
    """Names of walls beside them, with the length of the outer face as it is taped; a long name cut short."""
    for wall in view.frame.plan.walls:
        if not view.cut_line([view.of_plan(wall.start), view.of_plan(wall.end)]):
            continue
        edge, outward = outer_edge(wall)
        turn = reading(wall.direction)
        end = "" if wall.shell is None else f"  {whole(wall.length)}"
        for height, part, off in _TRIES:
            x, y = view.of_plan(wall.at(wall.length * part, edge + outward * off * view.scale))
            room = wall.length / view.scale + 20.0
            name = fitted(wall.name, height, max(room - width(end, height), 12.0)) + end
            box = text_box(x, y, name, height, turn)
            if view.shows([(box[0], box[1]), (box[2], box[3])]) and taken.claim(box):
                centred(page, x, y, name, height, turn)
                break
