"""The cut sheet of a type: all that is needed to saw its pieces, and to know each from its mates."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from platemodel.frame.gauges import Gauge, gauges
from platemodel.frame.shape import Shape
from platemodel.frame.tape import SQUARED, squared_line, whole
from platemodel.frame.values import Frame, Piece, Type
from platemodel.plan.model import Job
from platemodel.sheets import cut_tables
from platemodel.sheets.cut_tables import FACE_UP
from platemodel.sheets.flow import NoteLine, bulleted, write_bulleted
from platemodel.sheets.form import BLOCK_HEIGHT, LEFT, MARGIN, SCALES, SIZES, Room, beside_block, sheet
from platemodel.sheets.key_plan import KeyPlan, draw_key_plan
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.mates import mates_of, most_forms
from platemodel.sheets.page import NARROW, Page
from platemodel.sheets.tables import HEAD, PAD, Column, row_height, table
from platemodel.sheets.underside import draw_underside, underside_height
from platemodel.sheets.views import Manner, beside_left, beside_size, draw_beside, draw_row, ends_left, room_beside
from platemodel.sheets.views import row_height as view_height
from platemodel.sheets.zones import oblique, rolled, row_width, rows_of, zones

HEADER = 15.0
TURNED = 5.0
"""What the line about pieces that lie turned over adds to the header, mm."""
VIEW_LEFT = 17.5
"""Room left of the views for their names."""
NOTE_LINE = 3.7
TICKS = 24.0
"""Room for the words before the boxes to tick, and for the job's number below them (mm)."""
CONTINUED = 50.0
"""Room at the right of the header for the words that lead on to the next sheet (mm)."""
SPARE = 13.0
"""Notes beside the table of cuts may reach this far below it (mm)."""
LEAST_NOTES = 62.0
"""Notes are not broken into lines shorter than this (mm)."""


def cut_sheets(frame: Frame, kind: Type, batch: Batch) -> list[Page]:
    """The pages of a type's cut sheet, nearly always one or two."""
    best: _Pages | None = None
    for manner in _manners(frame, kind):
        found = _Pages(frame, kind, batch, 1, manner)
        found.draw()
        if best is None or found.worth < best.worth:
            best = found
        if len(best.pages) == 1:
            return best.pages
    assert best is not None
    # drawn once more where it turns out that each is one of several
    return _Pages(frame, kind, batch, len(best.pages), best.manner).draw()


@dataclass(frozen=True)
class _Manner:
    """How a type's sheet is laid out: its views, and whether notes that find no room beside them go right below."""

    views: Manner
    notes_first: bool


def _manners(frame: Frame, kind: Type) -> Iterator[_Manner]:
    """The ways to lay out a type's sheet, the best to read first."""
    turned = any(frame.pieces[index].place.turned_over for index in kind.pieces)
    forms = most_forms(mates_of(frame, kind))
    for count in range(forms, 0, -1):
        for beside in (False, True) if oblique(kind.shape) and kind.shape.cuts else (False,):
            yield _Manner(Manner(count, beside, turned), notes_first=False)
    for count in range(forms, 0, -1):
        yield _Manner(Manner(count, False, turned), notes_first=True)


@dataclass(frozen=True)
class Batch:
    """What all cut sheets of a frame share: each piece's board in words, each cut's gauge, the key plan."""

    boards: Mapping[int, str]
    gauges: Mapping[tuple[int, int], Gauge]
    key: KeyPlan

    @staticmethod
    def of(frame: Frame) -> Batch:
        """The batch of a frame."""
        by_cut = {cut: gauge for gauge in gauges(frame) for cut in gauge.halves}
        key = KeyPlan.of(frame, beside_block(*SIZES[frame.plan.job.sheet]))
        return Batch(cut_tables.boards_of(frame), by_cut, key)


class _Pages:
    """The pages of one type as they fill."""

    def __init__(self, frame: Frame, kind: Type, batch: Batch, of: int, manner: _Manner) -> None:
        self.frame, self.kind, self.batch, self.of, self.manner = frame, kind, batch, of, manner
        self.shape = kind.shape
        self.job: Job = frame.plan.job
        self.mates = mates_of(frame, kind)
        self.turned = {frame.pieces[index].place.turned_over for index in kind.pieces}
        self.header = HEADER + (TURNED if manner.views.turned else 0.0)
        wide, deep = SIZES[self.job.sheet]
        room = wide - LEFT - MARGIN - VIEW_LEFT
        self.scale = _scale(self.shape, room, deep - 2 * MARGIN - BLOCK_HEIGHT - self.header, manner.views)
        self.views_room = room - room_beside(self.shape, self.scale)
        self.pages: list[Page] = []
        self.noted = 0.0
        self.notes_on = 0
        self.turn()

    @property
    def worth(self) -> tuple[int, bool]:
        """Few pages, with the notes on the first, are worth most: they are the least."""
        return len(self.pages), self.notes_on > 1

    def turn(self) -> None:
        """Begin a page."""
        number = len(self.pages) + 1
        part = self.kind.name if self.of <= 1 else f"{self.kind.name}: {number}/{self.of}"
        scale = f"1:{self.scale:g}, broken"
        self.page, self.room = sheet(self.job, "cut sheet", f"type {self.kind.name}", scale, part)
        self.pages.append(self.page)
        room = replace(self.room, right=self.room.right - (CONTINUED if number < self.of else 0.0))
        _header(self.page, room, self.frame, self.kind, self.header, first=number == 1)
        if number == 1:
            draw_key_plan(self.page, self.batch.key, self.kind.pieces)
        if number < self.of:
            x, y = self.room.right - 2.0, self.room.top + 10.8
            self.page.text(x, y, "continued on the next sheet", 2.5, "end", bold=True)
        self.y = self.room.top + self.header

    def draw(self) -> list[Page]:
        """Draw everything; gives the pages."""
        free = self.views()
        pieces = [cut_tables.piece_row(self.frame, index, self.batch.boards) for index in self.kind.pieces]
        first = self.kind.pieces[0]
        used = [self.batch.gauges[first, number] for number in range(len(self.shape.cuts))]
        notes = cut_tables.notes(self.shape, self.frame.plan.plate, self.frame.plan.lap)
        rest = self._notes_in(free, notes)
        if rest and self.manner.notes_first:
            rest = self._notes_below(rest)
        # notes that did not find room beside the views need it beside the table
        columns = cut_tables.cut_columns(self.shape, self.turned, wide=not rest)
        rows = cut_tables.cut_rows(self.shape, used, self.turned)
        self.whole(columns, rows)
        used_width = 6.0 + sum(column.width for column in columns)
        beside = Room(self.room.left + used_width, self.y, self.room.right, self.room.bottom)
        page = len(self.pages)
        self.table(cut_tables.cuts_title(self.shape), columns, rows)
        if rest and page == len(self.pages):
            # beside the table, and a little below where the pieces' table still has room
            high = min(self.y + SPARE, self.room.bottom) - beside.top
            rest = self._notes_in(Room(beside.left, beside.top, beside.right, beside.top + high), rest)
            self.y = max(self.y, self.noted)
        self.table("", cut_tables.PIECE_COLUMNS, pieces)
        if rest:
            lines = bulleted(rest, self.room.width - 10.0)
            if self.y + _high(lines) + 2.0 > self.room.bottom:
                self.turn()
            self.notes_on = len(self.pages)
            y = self.room.bottom - _high(lines) - 1.0
            self.page.line([(self.room.left, y), (self.room.right, y)], NARROW)
            write_bulleted(self.page, self.room.left + 3.0, y + 3.9, lines, NOTE_LINE)
        return self.pages

    def views(self) -> Room:
        """Draw the views; gives the room that is free right of the last row of them."""
        shape, scale, left, manner = self.shape, self.scale, self.room.left + VIEW_LEFT, self.manner.views
        high, beneath = view_height(shape, scale, manner), underside_height(shape, scale) if rolled(shape) else 0.0
        for row in rows_of(zones(shape, scale), scale, self.views_room):
            if self.y + high > self.room.bottom:
                self.turn()
            draw_row(self.page, left, self.y, shape, row, scale, self.mates, manner)
            self.y += high + (0.5 if beneath else 2.0)
            if beneath:
                if self.y + beneath > self.room.bottom:
                    self.turn()
                draw_underside(self.page, left, self.y, shape, row, scale)
                self.y += beneath + 0.2
            top = max(self.room.top + self.header, self.y - high - beneath)
            wide = row_width(row, scale)
            free = Room(left + wide, top, self.room.right, self.y - 1.0)
        if not manner.beside:
            more = ends_left(shape, scale, wide) - wide + shape.width / scale + 5.0
            return replace(free, left=free.left + max(more, room_beside(shape, scale)) + 2.0)
        begin = left + beside_left(shape, scale, wide)
        wide, high = beside_size(shape, self.mates, scale, manner)
        if begin + wide > self.room.right - 2.0:
            # no room: then this manner takes a page more, and another is taken
            self.turn()
            return replace(free, left=self.room.right)
        draw_beside(self.page, begin, free.bottom, shape, self.mates, scale, manner)
        return Room(begin - 2.0, free.top, free.right, free.bottom - high)

    def _notes_below(self, notes: Sequence[str]) -> Sequence[str]:
        """Write the notes below the views in two columns if they fit there; gives those still to be written."""
        room = (self.room.width - 12.0) / 2
        halves = ((bulleted(notes[:count], room), bulleted(notes[count:], room)) for count in range(1, len(notes)))
        columns = min(halves, key=lambda halves: max(map(len, halves)))
        high = max(map(_high, columns)) + 1.0
        if self.y + high > self.room.bottom:
            return notes
        for number, column in enumerate(columns):
            write_bulleted(self.page, self.room.left + 3.0 + number * (room + 6.0), self.y + 3.4, column, NOTE_LINE)
        self.y += high
        self.notes_on = len(self.pages)
        return []

    def _notes_in(self, room: Room, notes: Sequence[str]) -> Sequence[str]:
        """Write the notes into a room if all fit; gives those that are still to be written."""
        lines = bulleted(notes, room.width - 4.0)
        if room.width < LEAST_NOTES or _high(lines) > room.height:
            return notes
        write_bulleted(self.page, room.left + 2.0, room.top + 3.2, lines, NOTE_LINE)
        self.noted = room.top + _high(lines)
        self.notes_on = len(self.pages)
        return []

    def whole(self, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """Turn the page where a table is split on this one and would stand whole on the next."""
        high = 16.0 + sum(row_height(columns, row) for row in rows)
        if self.y + high > self.room.bottom and high < self.room.height - self.header:
            self.turn()

    def table(self, title: str, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
        """A table, on further pages where one does not hold it; of one without rows the title, if it has one."""
        above = 4.4 if title else 0.5
        head = max(len(wrapped(column.head, HEAD, column.width - 2 * PAD)) for column in columns) * 3.5 + PAD
        if not rows:
            if self.y + 5.5 > self.room.bottom:
                self.turn()
            self.page.text(self.room.left + 3, self.y + 3.2, title, 2.5, bold=True)
            self.y += 5.5
        while rows:
            if self.y + above + head + row_height(columns, rows[0]) > self.room.bottom - 1.0:
                self.turn()
            self.page.text(self.room.left + 3, self.y + 3.2, title, 2.5, bold=True)
            self.y, drawn = table(self.page, self.room.left + 3, self.y + above, columns, rows, self.room.bottom - 1.0)
            self.y += 1.8
            rows = rows[drawn:]


def _scale(shape: Shape, room: float, height: float, manner: Manner) -> float:
    """1:5 where each zone fits the room and a row the height; laps are never drawn smaller for a long piece's sake."""
    for scale in SCALES:
        if scale < 5:
            continue
        widest = max(zone.end - zone.begin for zone in zones(shape, scale))
        beneath = underside_height(shape, scale) if rolled(shape) else 0.0
        if (
            widest / scale <= room - room_beside(shape, scale)
            and max(view_height(shape, scale, manner), beneath) <= height
        ):
            return scale
    return SCALES[-1]


def _header(page: Page, room: Room, frame: Frame, kind: Type, header: float, first: bool) -> None:
    shape = kind.shape
    page.text(room.left + 3, room.top + 10.0, kind.name, 7.0, bold=True)
    x = room.left + 6 + width(kind.name, 7.0, bold=True)
    count = f"cut {len(kind.pieces)} off"
    page.text(x, room.top + 5.5, count, 3.5, bold=True)
    alike = cut_tables.look_alikes(frame, kind)
    after = x + width(count, 3.5, bold=True) + 4.0
    page.text(after, room.top + 5.5, fitted(alike, 2.5, room.left + 118.0 - after, bold=True), 2.5, bold=True)
    section = f"{shape.width:g} × {shape.depth:g} {frame.plan.plate.grade}, overall length {whole(shape.length)}"
    page.text(x, room.top + 11.0, section, 3.5, bold=True)
    if frame.plan.job.number:
        # a loose sheet is not to be taken for one of another job
        name = fitted(f"job {frame.plan.job.number}", 2.5, TICKS if first else 3 * TICKS, bold=True)
        page.text(room.left + 120, room.top + 11.4, name, 2.5, bold=True)
    if first:
        _ticks(page, room, [frame.pieces[index] for index in kind.pieces])
    else:
        page.text(room.left + 120, room.top + 6.5, "continued; tick on the first sheet", 2.5)
        if squared_line(shape):
            words = f"hold the tape's {SQUARED:g} on the chain line for every figure"
            page.text(page.width - MARGIN - 2.0, room.top + 6.5, words, 2.5, "end", bold=True)
    if header > HEADER:
        wide = page.width - MARGIN - room.left - 6.0
        words = cut_tables.turned_words(frame, kind, wide, 3.5)
        page.text(room.left + 3, room.top + HEADER + 1.8, words, 3.5, bold=True)
    page.line([(room.left, room.top + header - 1.5), (page.width - MARGIN, room.top + header - 1.5)], NARROW)


def _ticks(page: Page, room: Room, pieces: Sequence[Piece]) -> None:
    """A box to tick for each piece, with the sign of the face that is up where any lies turned over."""
    turned = any(piece.place.turned_over for piece in pieces)
    left = room.left + 120
    words = "tick when cut:"
    page.text(left, room.top + 4.6, words, 2.5)
    left += TICKS + 2.0
    x, y = left, room.top + 1.8
    for shown, piece in enumerate(pieces):
        mark = piece.mark
        sign = FACE_UP[piece.place.turned_over] if turned else ""
        long = width(mark, 3.5, bold=True) + 1.0
        needed = 5.5 + long + width(sign, 3.5, bold=True) + 4.0
        if x + needed > room.right - 2:
            x, y = left, y + 5.8
            if y > room.top + 9.0:
                page.text(room.left + 120, room.top + 8.0, f"+ {len(pieces) - shown} more", 2.5, bold=True)
                break
        page.box(x, y, 4.2, 4.2, NARROW)
        page.text(x + 5.4, y + 3.9, mark, 3.5, bold=True)
        page.text(x + 5.4 + long, y + 3.9, sign, 3.5, bold=True)
        x += needed


def _high(lines: Sequence[NoteLine]) -> float:
    return len(lines) * NOTE_LINE + 2.0
