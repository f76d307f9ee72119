"""The cut sheet of a type: all that is needed to saw its pieces, and to know each from its mates."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.shape import Shape
from platemodel.frame.values import Frame, Type
from platemodel.plan.model import Job
from platemodel.sheets import cut_tables
from platemodel.sheets.form import LEFT, MARGIN, SCALES, SIZES, Room, sheet
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import NARROW, Page
from platemodel.sheets.tables import Column, row_height, table
from platemodel.sheets.tape import whole
from platemodel.sheets.views import draw_row
from platemodel.sheets.views import row_height as view_height
from platemodel.sheets.zones import rows_of, zones

HEADER = 20.0
VIEW_LEFT = 13.0
"""Room left of the views for their names."""
VIEW_RIGHT = 24.0
"""Room right of the views for depths and the names of edges."""
NOTE = 2.5
NOTE_LINE = 3.7


def cut_sheets(frame: Frame, kind: Type) -> list[Page]:
    """The pages of a type's cut sheet, nearly always one or two."""
    pages = _Pages(frame, kind, of=0).draw()
    # drawn once more now that it is known of how many each is one
    return _Pages(frame, kind, of=len(pages)).draw()


class _Pages:
    """The pages of one type as they fill."""

    def __init__(self, frame: Frame, kind: Type, of: int) -> None:
        self.frame, self.kind, self.of = frame, kind, of
        self.shape = kind.shape
        self.job: Job = frame.plan.job
        self.views_room = SIZES[self.job.sheet][0] - LEFT - MARGIN - VIEW_LEFT - VIEW_RIGHT
        self.scale = _scale(self.shape, self.views_room)
        self.pages: list[Page] = []
        self.turn()

    def turn(self) -> None:
        """Begin a page."""
        number = len(self.pages) + 1
        part = self.kind.name if self.of <= 1 else f"{self.kind.name}: {number} of {self.of}"
        scale = f"1:{self.scale:g}, broken"
        self.page, self.room = sheet(self.job, "cut sheet", f"type {self.kind.name}", scale, part)
        self.pages.append(self.page)
        _header(self.page, self.room, self.frame, self.kind, first=number == 1)
        if number < self.of:
            self.page.text(self.room.left + 2.0, self.room.bottom + 5.0, "continued on the next sheet", 2.5, bold=True)
        self.y = self.room.top + HEADER

    def draw(self) -> list[Page]:
        """Draw everything; gives the pages."""
        high = view_height(self.shape, self.scale)
        for row in rows_of(zones(self.shape, self.scale), self.scale, self.views_room):
            if self.y + high > self.room.bottom:
                self.turn()
            draw_row(self.page, self.room.left + VIEW_LEFT, self.y, self.shape, row, self.scale)
            self.y += high + 2.0
        boards = cut_tables.boards_of(self.frame)
        pieces = [cut_tables.piece_row(self.frame, index, boards) for index in self.kind.pieces]
        self.table("Cuts, from the datum end:", cut_tables.cut_columns(self.shape), cut_tables.cut_rows(self.shape))
        self.table("Pieces:", cut_tables.PIECE_COLUMNS, pieces)
        notes = cut_tables.notes(self.shape)
        needed = _notes_height(notes, self.room)
        if self.y + needed > self.room.bottom:
            self.turn()
        _write_notes(self.page, self.room, notes)
        return self.pages

    def table(self, title: str, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """A table, on further pages where one does not hold it."""
        while rows:
            if self.y + 12.5 + row_height(columns, rows[0]) > self.room.bottom:
                self.turn()
            self.page.text(self.room.left + 3, self.y + 3.2, title, 2.5, bold=True)
            self.y, drawn = table(self.page, self.room.left + 3, self.y + 4.4, columns, rows, self.room.bottom - 1.0)
            self.y += 2.5
            rows = rows[drawn:]


def _scale(shape: Shape, room: float) -> float:
    """1:5 where each zone and the width fit at it; laps are never drawn smaller for a long piece's sake."""
    for scale in SCALES:
        if scale < 5:
            continue
        widest = max(zone.end - zone.begin for zone in zones(shape, scale))
        if widest / scale <= room and shape.width / scale <= 30.0:
            return scale
    return SCALES[-1]


def _header(page: Page, room: Room, frame: Frame, kind: Type, first: bool) -> None:
    shape = kind.shape
    page.text(room.left + 3, room.top + 10.5, kind.name, 7.0, bold=True)
    x = room.left + 6 + width(kind.name, 7.0, bold=True)
    page.text(x, room.top + 6.5, f"cut {len(kind.pieces)} off", 3.5, bold=True)
    section = f"{shape.width:g} × {shape.depth:g} {frame.plan.plate.grade}, overall length {whole(shape.length)}"
    page.text(x, room.top + 12, section, 3.5, bold=True)
    page.text(x, room.top + 16.8, cut_tables.look_alikes(frame, kind), 2.5, bold=True)
    if first:
        _ticks(page, room, [frame.pieces[index].mark for index in kind.pieces])
    else:
        page.text(room.left + 120, room.top + 6.5, "continued; tick pieces on the first sheet", 2.5)
    page.line([(room.left, room.top + HEADER - 1.5), (room.right, room.top + HEADER - 1.5)], NARROW)


def _ticks(page: Page, room: Room, marks: Sequence[str]) -> None:
    """A box to tick for each piece."""
    left = room.left + 120
    x, y = left, room.top + 6.4
    page.text(x, room.top + 4.4, "tick each piece as it is cut", 2.5)
    for shown, mark in enumerate(marks):
        needed = 6.5 + width(mark, 3.5, bold=True) + 4.0
        if x + needed > room.right - 2:
            x, y = left, y + 5.6
            if y > room.top + 13.0:
                page.text(room.right - 2, room.top + 4.4, f"and {len(marks) - shown} more below", 2.5, "end")
                break
        page.box(x, y, 4.2, 4.2, NARROW)
        page.text(x + 5.4, y + 3.9, mark, 3.5, bold=True)
        x += needed


def _notes_height(notes: Sequence[str], room: Room) -> float:
    return sum(len(wrapped(note, NOTE, room.width - 10)) for note in notes) * NOTE_LINE + 2.0


def _write_notes(page: Page, room: Room, notes: Sequence[str]) -> None:
    y = room.bottom - _notes_height(notes, room) + 3.0
    page.line([(room.left, y - 3.9), (room.right, y - 3.9)], NARROW)
    for note in notes:
        for number, line in enumerate(wrapped(note, NOTE, room.width - 10)):
            text = fitted(line, NOTE, room.width - 8)
            page.text(room.left + (3 if number == 0 else 5), y, ("• " if number == 0 else "") + text, NOTE)
            y += NOTE_LINE
