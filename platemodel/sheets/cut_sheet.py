"""The cut sheet of a type: all that is needed to saw its pieces, and to know each from its mates."""

from __future__ import annotations

import math
from collections.abc import Sequence

from platemodel.frame.shape import Cut, Shape
from platemodel.frame.values import Frame, Half, Piece, Type
from platemodel.sheets.form import SCALES, Room, sheet
from platemodel.sheets.lettering import width, wrapped
from platemodel.sheets.page import NARROW, Page
from platemodel.sheets.tables import Column, table
from platemodel.sheets.tape import shoulders, whole
from platemodel.sheets.views import (
    STEP_DIMENSION,
    draw_row,
    oblique,
    row_height,
    rows_of,
    zones,
)

HEADER = 19.0
VIEW_LEFT = 12.0
"""Room left of the views for their names."""

_CAUTION = (
    "Wear eye and ear protection and a mask; clamp the piece; isolate the saw before setting its depth; "
    "hands clear of the blade."
)


def cut_sheets(frame: Frame, kind: Type) -> list[Page]:
    """The pages of a type's cut sheet, nearly always one."""
    shape = kind.shape
    scale = _scale(shape, _views_room(frame))
    pages: list[Page] = []
    page, room = _new_page(frame, kind, scale, pages)
    y = room.top + HEADER
    rows = rows_of(zones(shape, scale), scale, _views_room(frame))
    for row in rows:
        high = row_height(shape, scale)
        if y + high > room.bottom:
            page, room = _new_page(frame, kind, scale, pages)
            y = room.top + HEADER
        _view_names(page, room, y, shape, scale)
        draw_row(page, room.left + VIEW_LEFT, y, shape, row, scale)
        y += high + 2.0
    _tables(frame, kind, scale, pages, page, room, y)
    return pages


def _views_room(frame: Frame) -> float:
    from platemodel.sheets.form import LEFT, MARGIN, SIZES

    return SIZES[frame.plan.job.sheet][0] - LEFT - MARGIN - VIEW_LEFT - 20.0


def _scale(shape: Shape, room: float) -> float:
    """1:5 where each zone and the width fit at it; laps are never drawn smaller for a long piece's sake."""
    for scale in SCALES:
        if scale < 5:
            continue
        widest = max(zone.end - zone.begin for zone in zones(shape, scale))
        if widest / scale <= room and shape.width / scale <= 45.0:
            return scale
    return SCALES[-1]


def _new_page(frame: Frame, kind: Type, scale: float, pages: list[Page]) -> tuple[Page, Room]:
    number = f"{kind.name}" if not pages else f"{kind.name} ({len(pages) + 1})"
    page, room = sheet(frame.plan.job, "cut sheet", f"type {kind.name}", f"1:{scale:g}, broken", number)
    pages.append(page)
    _header(page, room, frame, kind)
    return page, room


def _header(page: Page, room: Room, frame: Frame, kind: Type) -> None:
    plate = frame.plan.plate
    shape = kind.shape
    count = len(kind.pieces)
    page.text(room.left + 3, room.top + 10.5, kind.name, 7.0, bold=True)
    x = room.left + 6 + width(kind.name, 7.0, bold=True)
    page.text(x, room.top + 6.5, f"cut {count} off", 3.5, bold=True)
    section = f"{shape.width:g} × {shape.depth:g} {plate.grade}, overall length {whole(shape.length)}"
    page.text(x, room.top + 12, section, 3.5, bold=True)
    x = room.left + 112
    page.text(x, room.top + 4.4, "tick each piece as it is cut", 1.8)
    y = room.top + 7.0
    for shown, index in enumerate(kind.pieces):
        mark = frame.pieces[index].mark
        needed = 6.5 + width(mark, 3.5, bold=True) + 4.0
        if x + needed > room.right - 2:
            x, y = room.left + 112, y + 5.6
            if y > room.top + 13.0:
                page.text(room.right - 2, room.top + 4.4, f"and {count - shown} more below", 1.8, "end")
                break
        page.box(x, y, 4.2, 4.2, NARROW)
        page.text(x + 5.4, y + 3.9, mark, 3.5, bold=True)
        x += needed
    page.line([(room.left, room.top + HEADER - 1.5), (room.right, room.top + HEADER - 1.5)], NARROW)


def _view_names(page: Page, room: Room, y: float, shape: Shape, scale: float) -> None:
    top = y + STEP_DIMENSION
    middle = top + shape.width / scale / 2
    page.text(room.left + 4.2, middle, "top as drawn", 1.8, "middle", turn=90.0)
    page.text(room.left + 7.4, middle, "(hatched: saw away)", 1.8, "middle", turn=90.0)
    side = top + shape.width / scale + 6.0 + shape.depth / scale / 2
    page.text(room.left + 4.2, side, "front", 1.8, "middle", turn=90.0)
    page.text(room.left + 7.4, side, "edge", 1.8, "middle", turn=90.0)
    if oblique(shape):
        page.text(room.left + 10.4, top + 2.0, "back edge", 1.5, "end", turn=90.0)


def _tables(frame: Frame, kind: Type, scale: float, pages: list[Page], page: Page, room: Room, y: float) -> None:
    """The cuts in sawing order, then the pieces; on further pages where one does not hold them."""
    cuts = [_cut_row(kind.shape, number, cut) for number, cut in enumerate(kind.shape.cuts)]
    pieces = [_piece_row(frame, frame.pieces[index]) for index in kind.pieces]
    notes = _notes(kind.shape)
    reserve = _notes_height(notes, room) + 1.0
    for columns, rows, title in (
        (_cut_columns(kind.shape), cuts, "Cuts, from the datum end (left), tape hooked once:"),
        (_PIECE_COLUMNS, pieces, "Pieces: mark, then how each lies and what it meets at each cut:"),
    ):
        while rows:
            if y + 16.0 > room.bottom - reserve:
                page, room = _new_page(frame, kind, scale, pages)
                y = room.top + HEADER
            page.text(room.left + 3, y + 3.2, title, 2.5, bold=True)
            y, drawn = table(page, room.left + 3, y + 4.6, columns, rows, room.bottom - reserve)
            y += 3.0
            rows = rows[drawn:]
            if drawn == 0 and rows:
                y = room.bottom
    _write_notes(page, room, notes)


def _cut_columns(shape: Shape) -> list[Column]:
    columns = [Column("cut", 9, bold=True), Column("saw away, as drawn", 40), Column("what stays", 30)]
    if oblique(shape):
        columns += [
            Column("front edge from", 18, True, True),
            Column("front edge to", 18, True, True),
            Column("back edge from", 18, True, True),
            Column("back edge to", 18, True, True),
            Column("saw set over from square", 22, True),
        ]
    else:
        columns += [Column("shoulder from", 22, True, True), Column("shoulder to", 22, True, True)]
    return [*columns, Column("lap length", 18, True), Column("half depth", 16, True)]


def _cut_row(shape: Shape, number: int, cut: Cut) -> list[str]:
    at_low, at_high = cut.low == shape.low, cut.high == shape.high
    ends = [shoulders(cut.low[edge], cut.high[edge], at_high) for edge in (0, 1)]
    begins = ["end" if at_low else str(begin) for begin, _ in ends]
    finishes = ["end" if at_high else str(end) for _, end in ends]
    row = [str(number + 1), "top half, hatched" if cut.upper else "bottom half (turn over)"]
    row.append("bottom half" if cut.upper else "top half")
    if oblique(shape):
        slant = cut.high[1] - cut.high[0] if at_low else cut.low[1] - cut.low[0]
        angle = math.degrees(math.atan2(abs(slant), shape.width))
        row += [begins[0], finishes[0], begins[1], finishes[1], f"{angle:.1f}°" if angle >= 0.05 else "square"]
    else:
        row += [begins[0], finishes[0]]
    length = max(ends[0][1] - ends[0][0], 0)
    half = shape.depth / 2
    return [*row, str(length), f"{half:g}"]


_PIECE_COLUMNS = [
    Column("mark", 16, bold=True),
    Column("laid", 11, True),
    Column("UP face: gauge from it", 52),
    Column("datum end lies to the", 22),
    Column("at each cut: the mate, and the half this piece keeps as laid", 154),
]


def _piece_row(frame: Frame, piece: Piece) -> list[str]:
    face = "bottom as drawn (turn over)" if piece.place.turned_over else "top as drawn"
    cuts = "; ".join(_half_text(frame, number, half) for number, half in enumerate(piece.halves, start=1))
    return [piece.mark, str(piece.order), face, datum_side(piece), cuts or "no lap"]


def _half_text(frame: Frame, number: int, half: Half) -> str:
    keeps = "UNDER" if half.under else "OVER"
    return f"{number}: {half.kind} with {frame.pieces[half.mate].mark}, {keeps}"


def datum_side(piece: Piece) -> str:
    """The side of the building to which a piece's datum end lies."""
    winds = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
    return winds[round((piece.place.angle + 180.0) / 45.0) % 8]


def _notes(shape: Shape) -> list[str]:
    half = f"{shape.depth / 2:g}"
    notes = [
        "The black flag marks the datum end: hook the tape there once and mark every shoulder from it.",
        f"Gauge every cheek {half} from the UP face as laid, never from the other: so tops are flush "
        "whatever a board's depth.",
        "First sight the board for bow, cup and twist; keep knots out of laps; square the datum end.",
        "Write on the piece: mark, UP, laying number, the mate at each lap; cross the waste. "
        "UNDER keeps its lower half as laid, OVER its upper half.",
        "Whole mm; exact figures in cutting-list.csv. Lengths include the clearance. "
        "Treat cut faces again where the plate is treated.",
        _CAUTION,
    ]
    if oblique(shape):
        notes.insert(
            1,
            "Oblique shoulders: mark front and back edge, join them across the face; check with a bevel before sawing.",
        )
    return notes


def _notes_height(notes: Sequence[str], room: Room) -> float:
    return sum(len(wrapped(note, 1.8, room.width - 10)) for note in notes) * 3.0 + 2.0


def _write_notes(page: Page, room: Room, notes: Sequence[str]) -> None:
    y = room.bottom - _notes_height(notes, room) + 2.4
    page.line([(room.left, y - 3.2), (room.right, y - 3.2)], NARROW)
    for note in notes:
        for number, line in enumerate(wrapped(note, 1.8, room.width - 10)):
            page.text(room.left + (3 if number == 0 else 5), y, ("• " if number == 0 else "") + line, 1.8)
            y += 3.0
