"""A small plan that shows where the pieces of a type go."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace

from platemodel.frame.values import Frame, Piece
from platemodel.sheets.form import Room
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.page import BLACK, THIN, WHITE, Lines, Page
from platemodel.sheets.plan_labels import centred
from platemodel.sheets.plan_view import PlanView, datum, whole_timber, whole_view

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
        inner = Room(room.left + 8.0, room.top + 2.5, room.right - 8.0, room.bottom - 2.5)
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
    view, room, frame = key.view, key.view.room, key.view.frame
    page.marks.append(key.lines)
    taken = Taken()
    for index in sorted(chosen):
        piece = frame.pieces[index]
        half = max(piece.laid.width / view.scale / 2, 0.45)
        ends = [sum(end) / 2 for end in (piece.low, piece.high)]
        sides = zip((*ends, *ends[::-1]), (1, 1, -1, -1), strict=True)
        corners = [view.on_piece(piece, s, side * half) for s, side in sides]
        page.area(corners, BLACK)
        taken.block_line(view.on_piece(piece, ends[0]), view.on_piece(piece, ends[1]))
        _flag(page, view, piece, half)
    for index in sorted(chosen):
        piece = frame.pieces[index]
        low, high = whole_timber(frame, piece)[0]
        for part in (0.5, 0.3, 0.7):
            for aside in (2.4, -2.4, 3.6, -3.6):
                x, y = view.on_piece(piece, low + part * (high - low), aside)
                box = text_box(x, y, piece.mark, 1.8, 0.0, pad=0.2)
                inside = room.left + 0.5 < box[0] and box[2] < room.right - 0.5 and room.top + 0.5 < box[1]
                if inside and box[3] < room.bottom - 0.5 and taken.claim(box):
                    # the lines of other plates may run there
                    left, top, right, bottom = box
                    page.area([(left, top), (right, top), (right, bottom), (left, bottom)], WHITE)
                    centred(page, x, y, piece.mark, 1.8, 0.0, bold=True)
                    break
            else:
                continue
            break


def _flag(page: Page, view: PlanView, piece: Piece, half: float) -> None:
    """A small flag at the datum end, on the left of the run as on the plan sheet."""
    end, way = datum(piece)
    corners = ((0.0, 0.3), (2.4, 1.0), (0.0, 1.7))
    page.area([view.on_piece(piece, end + way * a * view.scale, half + b) for a, b in corners], BLACK)
