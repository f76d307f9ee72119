"""A small plan that shows where the pieces of a type go."""

from __future__ import annotations

import itertools
from collections.abc import Collection
from dataclasses import dataclass, replace

from platemodel.frame.values import Frame, Piece
from platemodel.sheets.form import Room
from platemodel.sheets.labels import Box, Taken, text_box
from platemodel.sheets.page import BLACK, NARROW, THIN, WHITE, Lines, Page
from platemodel.sheets.plan_labels import centred
from platemodel.sheets.plan_view import PlanView, datum, whole_timber, whole_view

MARGIN = 4.0
"""Room above and below the frame for flags and marks, mm on paper."""
MANY = 150
"""Of a frame with more runs only its outline is shown about the pieces of the type."""


@dataclass(frozen=True)
class KeyPlan:
    """The frame as thin lines in a room of a page, the same on every sheet."""

    view: PlanView
    lines: Lines

    @staticmethod
    def of(frame: Frame, room: Room) -> KeyPlan:
        """The key plan of a frame in a room."""
        east, north = frame.size
        inner = Room(room.left + 8.0, room.top + MARGIN, room.right - 8.0, room.bottom - MARGIN)
        view = whole_view(frame, inner, max(east / inner.width, north / inner.height))
        drawn = replace(view, room=room)
        if len(frame.runs) > MANY:
            corners = ((0.0, 0.0), (east, 0.0), (east, north), (0.0, north), (0.0, 0.0))
            return KeyPlan(drawn, Lines((tuple(view(corner) for corner in corners),), THIN))
        middles = (
            [run.strip.point(sum(end) / 2, run.strip.width / 2) for end in (run.low, run.high)] for run in frame.runs
        )
        return KeyPlan(drawn, Lines(tuple(tuple(view.of_plan(point) for point in line) for line in middles), THIN))


def draw_key_plan(page: Page, key: KeyPlan, chosen: Collection[int]) -> None:
    """The frame as thin lines, the chosen pieces (by index) black with their marks and a flag at the datum end."""
    view, frame = key.view, key.view.frame
    page.marks.append(key.lines)
    pieces = [frame.pieces[index] for index in sorted(chosen)]
    plates, taken = Taken(), Taken()
    for piece in pieces:
        half = _half(view, piece)
        ends = [sum(end) / 2 for end in (piece.low, piece.high)]
        sides = zip((*ends, *ends[::-1]), (1, 1, -1, -1), strict=True)
        page.area([view.on_piece(piece, s, side * half) for s, side in sides], BLACK)
        plates.block_line(view.on_piece(piece, ends[0]), view.on_piece(piece, ends[1]))
    _north(page, view, taken)
    for piece in pieces:
        _flag(page, view, piece, plates, taken)
    taken.block_all(plates)
    for piece in pieces:
        _mark(page, view, piece, taken)


def _half(view: PlanView, piece: Piece) -> float:
    """Half the width that a chosen piece is drawn with, mm on paper."""
    return max(piece.laid.width / view.scale / 2, 0.45)


def _north(page: Page, view: PlanView, taken: Taken) -> None:
    """A small north arrow in the room's top left corner, where the frame leaves room for it."""
    room = view.room
    x, y = room.left + 2.4, room.top + 1.5
    left, top = view((0.0, view.frame.size[1]))
    if left < x + 2.5 and top < y + 8.5:
        return
    page.line([(x, y + 4.6), (x, y + 1.0)], NARROW)
    page.area([(x, y), (x + 0.9, y + 2.2), (x - 0.9, y + 2.2)], BLACK)
    page.text(x, y + 7.0, "N", 1.8, "middle", bold=True)
    taken.block((x - 1.2, y - 0.5, x + 1.2, y + 7.5))


def _mark(page: Page, view: PlanView, piece: Piece, taken: Taken) -> None:
    """A piece's mark beside it, where it is clear of the other marks, flags and chosen pieces."""
    low, high = whole_timber(view.frame, piece)[0]
    for aside, part in itertools.product((2.4, -2.4, 3.6, -3.6, 5.0, -5.0), (0.5, 0.3, 0.7)):
        x, y = view.on_piece(piece, low + part * (high - low), aside)
        box = text_box(x, y, piece.mark, 1.8, 0.0, pad=0.3)
        if _inside(view.room, box) and taken.claim(box):
            # the lines of other plates may run there
            left, top, right, bottom = box
            page.area([(left, top), (right, top), (right, bottom), (left, bottom)], WHITE)
            centred(page, x, y, piece.mark, 1.8, 0.0, bold=True)
            return


def _inside(room: Room, box: Box) -> bool:
    left, top, right, bottom = box
    return room.left + 0.5 < left and right < room.right - 0.5 and room.top + 0.7 < top and bottom < room.bottom - 0.7


def _flag(page: Page, view: PlanView, piece: Piece, plates: Taken, taken: Taken) -> None:
    """A small flag beside a piece at its datum end, clear of chosen pieces and other flags where it can be."""
    end, way = datum(piece)
    half = _half(view, piece)
    tries = []
    for begin, side in itertools.product((0.0, 1.2, 2.4), (1.0, -1.0)):
        corners = ((begin, 0.4), (begin + 2.4, 1.1), (begin, 1.8))
        flag = [view.on_piece(piece, end + way * a * view.scale, side * (half + b)) for a, b in corners]
        xs, ys = [x for x, _ in flag], [y for _, y in flag]
        tries.append((flag, (min(xs) - 0.2, min(ys) - 0.2, max(xs) + 0.2, max(ys) + 0.2)))
    # at a corner a plate beside it ends where the flag begins: the box a little smaller than the flag's
    free = (item for item in tries if _inside(view.room, item[1]) and plates.free(item[1]) and taken.free(item[1]))
    flag, box = next(free, tries[0])
    page.area(flag, BLACK)
    taken.block(box)
