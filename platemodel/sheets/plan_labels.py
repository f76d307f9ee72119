"""Marks, laying numbers and names on a plan, each where it finds room."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.tape import whole
from platemodel.frame.values import Piece
from platemodel.sheets.labels import Taken, boxes_along
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import THIN, WHITE, XY, Page
from platemodel.sheets.plan_view import PlanView, block_plates, outer_edge, whole_timber

_PARTS = (0.5, 0.3, 0.7, 0.15, 0.85)
"""Parts of a stretch at which a label is tried."""
_ASIDE = ((4.0, -4.0, 7.0, -7.0), (11.0, -11.0))
"""Distances from a plate's edge at which a mark is tried that finds no room on it, near and far, mm on paper."""

_NAME_OFF = (5.0, 6.6, 8.6, 10.2, 11.8)
_NAME_PARTS = (0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9, 0.27, 0.42, 0.58, 0.73)
"""Distances from a wall's plate (mm on paper) and parts of its length at which its name is tried."""


def reading(direction: XY) -> float:
    """Degrees to turn a text along a direction so that it reads from below or from the right."""
    turn = math.degrees(math.atan2(direction[1], direction[0]))
    if turn > 90.0 + 1e-6:
        turn -= 180.0
    elif turn <= -90.0 + 1e-6:
        turn += 180.0
    return turn


@dataclass(frozen=True)
class _Try:
    """Where a label is tried: how high, where along the piece, how far aside (0: on it), and how it is turned."""

    height: float
    s: float
    aside: float
    turn: float


def label_pieces(
    page: Page,
    view: PlanView,
    taken: Taken,
    words: Callable[[Piece], str],
    heights: Sequence[float] = (2.5, 1.8),
    beside: Sequence[float] | None = None,
) -> list[str]:
    """A boxed text a piece, on its whole timber or beside it with a line to it; gives those that found no room.

    ``beside``: the heights at which it may stand beside the plate, else all.
    """
    plates = Taken()
    block_plates(view, plates)
    left_out = []
    for piece in view.pieces:
        text = words(piece)
        tries = _tries(view, piece, text, heights, heights if beside is None else beside)
        if not any(_label(page, view, taken, plates, piece, text, item) for item in tries):
            left_out.append(text)
    return left_out


def _tries(
    view: PlanView, piece: Piece, text: str, heights: Sequence[float], beside: Sequence[float]
) -> Iterator[_Try]:
    """First where the whole timber is long enough, then beside the plate, last over its laps."""
    ux, uy = view.frame.runs[piece.run].strip.direction
    slanting = min(abs(ux), abs(uy)) > 0.05
    turn = reading((ux, uy)) if slanting else 90.0 if abs(uy) > abs(ux) else 0.0
    spans = whole_timber(view.frame, piece)
    places = [low + part * (high - low) for low, high in spans for part in _PARTS]
    for height in heights:
        need = width(text, height, bold=True) + 1.6
        for low, high in spans:
            room = (high - low) / view.scale - need
            if room > 0:
                yield from (_Try(height, _within(low, high, part, need * view.scale), 0.0, turn) for part in _PARTS)
        if height in beside:
            level = 0.0 if slanting else turn
            yield from (_Try(height, s, aside, level) for near in _ASIDE for s in places for aside in near)
    yield from (_Try(height, s, 0.0, turn) for height in heights for s in places)


def _within(low: float, high: float, part: float, need: float) -> float:
    """The place at a part of a stretch, moved so that a label about it stays on the stretch."""
    return min(max(low + part * (high - low), low + need / 2), high - need / 2)


def _label(page: Page, view: PlanView, taken: Taken, plates: Taken, piece: Piece, text: str, item: _Try) -> bool:
    half = piece.laid.width / view.scale / 2
    aside = item.aside
    x, y = view.on_piece(piece, item.s, aside + math.copysign(half, aside) if aside else 0.0)
    boxes = boxes_along(x, y, text, item.height, item.turn, pad=0.8)
    if aside:
        # a level label beside a slanting plate stands as far off as its nearest corner wants
        if not all(map(plates.free, boxes)):
            return False
        edge = view.on_piece(piece, item.s, math.copysign(half + 0.6, aside))
        if not taken.free_line(edge, (x, y)):
            return False
    corners = [corner for box in boxes for corner in (box[:2], box[2:])]
    if not view.shows(corners) or not taken.claim_all(boxes):
        return False
    with page.about(piece.mark):
        if aside:
            start = view.on_piece(piece, item.s)
            page.line([start, (x, y)], THIN)
            taken.block_line(start, (x, y))
        boxed(page, x, y, text, item.height, item.turn)
    return True


def boxed(page: Page, x: float, y: float, text: str, height: float, turn: float) -> None:
    """A bold text in a white box with a thin edge, centred at a place and turned."""
    outline = turned_box(x, y, text, height, turn, 0.8)
    page.area(outline, WHITE)
    page.line(outline, THIN, closed=True)
    centred(page, x, y, text, height, turn, bold=True)


def turned_box(x: float, y: float, text: str, height: float, turn: float, pad: float) -> list[XY]:
    """The corners of the box about a text that is centred at a place, turned with it."""
    along, across = width(text, height, bold=True) / 2 + pad, height / 2 + pad
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    corners = ((-along, -across), (along, -across), (along, across), (-along, across))
    return [(x + a * cos + b * sin, y - a * sin + b * cos) for a, b in corners]


def knock_out(page: Page, x: float, y: float, text: str, height: float, turn: float) -> None:
    """White paper behind a text, so that no thin line runs through it."""
    page.area(turned_box(x, y, text, height, turn, 0.3), WHITE)


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


def name_walls(page: Page, view: PlanView, taken: Taken, lines: Taken | None = None) -> None:
    """Names of walls beside them, with the length of the outer face as it is taped; a long name cut short.

    A name keeps off ``lines`` where it can, else it stands on white paper on them. No other plate lies between.
    """
    plates = Taken()
    block_plates(view, plates)
    for wall in view.frame.plan.walls:
        if not view.cut_line([view.of_plan(wall.start), view.of_plan(wall.end)]):
            continue
        edge, outward = outer_edge(wall)
        turn = reading(wall.direction)
        end = "" if wall.shell is None else f"  {whole(wall.length)}"
        # a cross wall has no outer face: its name may stand on either side
        sides = [(edge, outward)] if wall.shell is not None else [(wall.band[1], 1.0), (wall.band[0], -1.0)]
        room = wall.length / view.scale + 20.0
        tries = itertools.product((2.5, 1.8), (lines or Taken(), Taken()), _NAME_OFF, sides, _NAME_PARTS)
        for height, soft, off, (begin, way), part in tries:
            x, y = view.of_plan(wall.at(wall.length * part, begin + way * off * view.scale))
            name = fitted(wall.name, height, max(room - width(end, height), 12.0)) + end
            boxes = boxes_along(x, y, name, height, turn)
            corners = [corner for box in boxes for corner in (box[:2], box[2:])]
            beside = view.of_plan(wall.at(wall.length * part, begin + way * 1.5 * view.scale))
            if not view.shows(corners) or not plates.free_line(beside, (x, y)):
                continue
            if all(map(soft.free, boxes)) and taken.claim_all(boxes):
                if not all(map((lines or soft).free, boxes)):
                    knock_out(page, x, y, name, height, turn)
                centred(page, x, y, name, height, turn)
                break
