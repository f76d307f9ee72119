"""What a cut sheet says in words and figures: its cuts, its pieces, its notes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from platemodel.frame.shape import Cut, Shape
from platemodel.frame.values import Frame, Half, Piece, Type
from platemodel.sheets.tables import Column
from platemodel.sheets.tape import shoulders, whole
from platemodel.sheets.zones import oblique

LOOKS_LIKE = 15.0
"""Types whose lengths differ by less than this are taken for one another (mm)."""

_CAUTION = (
    "CAUTION: eye and ear protection and a mask; clamp the piece; isolate the saw before setting its depth; "
    "hands clear of the blade."
)

PIECE_COLUMNS = [
    Column("mark", 15, bold=True),
    Column("laying no.", 13, figures=True),
    Column("UP face, as it lies", 40),
    Column("datum end lies", 33),
    Column("cut from board", 42),
    Column("at each cut: its mate, and the half it keeps as it lies", 112),
]


def cut_columns(shape: Shape) -> list[Column]:
    """Columns of the table of cuts."""
    columns = [Column("cut", 10, bold=True), Column("SAW AWAY", 62, bold=True)]
    if oblique(shape):
        for edge in ("near edge", "far edge"):
            columns += [Column(f"{edge} from", 21, True, True), Column(f"{edge} to", 21, True, True)]
        columns += [Column("off square", 22, True), Column("lap length along edge", 25, True)]
    else:
        columns += [Column("shoulder from", 25, True, True), Column("shoulder to", 25, True, True)]
        columns += [Column("lap length", 22, True)]
    return [*columns, Column("half depth", 20, True)]


def cut_rows(shape: Shape) -> list[list[str]]:
    """The cuts in order from the datum end, and the end bevels, which are sawn last."""
    rows = [_cut_row(shape, number, cut) for number, cut in enumerate(shape.cuts, start=1)]
    for words, line in (("datum end", shape.low), ("other end", shape.high)):
        if abs(line[0] - line[1]) > 0.05:
            near, far = whole(line[0]), whole(line[1])
            rows.append(
                ["last", f"bevel the {words}, right through", str(near), "", str(far), "", _slant(shape, line), "", ""]
            )
    return rows


def _slant(shape: Shape, line: tuple[float, float]) -> str:
    """How far a line is off square, and which way it leans from the near to the far edge, seen on the top."""
    angle = math.degrees(math.atan2(line[1] - line[0], shape.width))
    return "square" if abs(angle) < 0.05 else f"{abs(angle):.1f}° {'/' if angle > 0 else chr(92)}"


def _cut_row(shape: Shape, number: int, cut: Cut) -> list[str]:
    ends = [shoulders(cut.low[edge], cut.high[edge], cut.high == shape.high) for edge in (0, 1)]
    words = "TOP half" if cut.upper else "UNDERSIDE half (roll over to saw)"
    half = f"{shape.depth / 2:g}"
    length = str(ends[0][1] - ends[0][0])
    if oblique(shape):
        line = cut.high if cut.low == shape.low else cut.low
        figures = [str(value) for pair in ends for value in pair]
        return [str(number), words, *figures, _slant(shape, line), length, half]
    begin = "end" if cut.low == shape.low else str(ends[0][0])
    finish = "end" if cut.high == shape.high else str(ends[0][1])
    return [str(number), words, begin, finish, length, half]


def boards_of(frame: Frame) -> dict[int, str]:
    """For each piece, the board it is cut from and what else comes off it."""
    found = {}
    for board in frame.boards:
        for index in board.pieces:
            others = [frame.pieces[other].mark for other in board.pieces if other != index]
            found[index] = f"{board.length:g}" + (f" with {', '.join(others)}" if others else " alone")
    return found


def piece_row(frame: Frame, index: int, boards: Mapping[int, str]) -> list[str]:
    """A piece: how it lies, what it is cut from, what it meets."""
    piece = frame.pieces[index]
    face = "underside as drawn: LAID UPSIDE DOWN" if piece.place.turned_over else "top as drawn"
    cuts = " · ".join(_half_text(frame, number, half) for number, half in enumerate(piece.halves, start=1))
    return [piece.mark, str(piece.order), face, _datum_text(frame, piece), boards.get(index, ""), cuts or "no lap"]


def _half_text(frame: Frame, number: int, half: Half) -> str:
    return f"{number} {half.kind} {frame.pieces[half.mate].mark} {'UNDER' if half.under else 'OVER'}"


def _datum_text(frame: Frame, piece: Piece) -> str:
    """Where the datum end lies: at which mate, and to which side of the plan."""
    first = piece.halves[0] if piece.halves else None
    at = f"at {frame.pieces[first.mate].mark}, " if first is not None and first.ends and min(first.low) <= 1e-6 else ""
    return f"{at}plan {datum_side(piece)}"


def datum_side(piece: Piece) -> str:
    """The side of the plan to which a piece's datum end lies."""
    winds = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
    return winds[round((piece.place.angle + 180.0) / 45.0) % 8]


def look_alikes(frame: Frame, kind: Type) -> str:
    """Other types that could be taken for this one by their length."""
    same = [
        other.name
        for other in frame.types
        if other.name != kind.name
        and other.shape.width == kind.shape.width
        and abs(other.shape.length - kind.shape.length) < LOOKS_LIKE
    ]
    return f"NOT {' or '.join(same[:6])}: alike in length only" if same else ""


def notes(shape: Shape) -> Sequence[str]:
    """What to mind, in the order of the work."""
    half = f"{shape.depth / 2:g}"
    found = [
        f"Measure the board: {shape.width:g} wide, {shape.depth:g} deep, or the laps change. Sight it for bow, cup and "
        "twist; no knots in laps.",
        "Flag = datum end. Square the board there, hook the tape once, mark every shoulder from it; saw on the waste "
        "side.",
        f"UNDER: saw {half} down from UP. OVER: leave {half} below UP, saw out the rest. Always gauge from UP: tops "
        "come flush.",
        "Write on each piece: mark, UP, laying no., the mate at each lap; cross the waste. Treat cut faces again where "
        "plates are treated.",
        "Whole mm, clearance included; exact figures in cutting-list.csv.",
        _CAUTION,
    ]
    if oblique(shape):
        found.insert(
            2,
            "Oblique: mark both edges, join across the face, square down both edges; to saw the underside roll "
            "the near edge away from you, datum still left. Saw the end bevels last.",
        )
    return found
