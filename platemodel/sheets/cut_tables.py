"""What a cut sheet says in words and figures: its cuts in sawing order, its pieces, its notes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from platemodel.frame.shape import Shape
from platemodel.frame.strip import Pair
from platemodel.frame.values import Frame, Half, Piece, Type
from platemodel.sheets.gauges import Gauge
from platemodel.sheets.tables import Column
from platemodel.sheets.tape import OFF_SQUARE, SQUARED, offcut, squared_line, taped, whole
from platemodel.sheets.zones import oblique

LOOKS_LIKE = 15.0
"""Types whose lengths differ by less than this are taken for one another (mm)."""

FACE_UP = {False: "⬒", True: "⬓"}
"""The sign of the face that is up as laid, by whether the piece is turned over: the black half is up."""

_CAUTION = (
    "CAUTION: eyes, ears, mask; clamp the piece; isolate the saw to set it; hands clear. Keep to its maker's "
    "instructions."
)

NO_BREAK = "\u00a0"

PIECE_COLUMNS = [
    Column("mark", 14, bold=True),
    Column("laying no.", 13, figures=True, bold=True),
    Column("UP and gauge face", 40),
    Column("datum end lies", 36),
    Column("cut from board; may slide", 46),
    Column("write at each cut: its mate, and the half this piece keeps as it lies", 110),
]


def cut_columns(shape: Shape) -> list[Column]:
    """Columns of the table of cuts."""
    columns = [Column("cut", 10, bold=True), Column("SAW AWAY", 34, bold=True)]
    if oblique(shape):
        for edge in ("near edge", "far edge"):
            columns += [Column(f"{edge} from", 19, True, True), Column(f"{edge} to", 19, True, True)]
        columns += [Column("off square", 21, True), Column("lap length along edge", 24, True)]
    else:
        columns += [Column("shoulder from", 20, True, True), Column("shoulder to", 20, True, True)]
        columns += [Column("lap length", 15, True)]
    saw = [Column("saw depth", 14, True, True), Column("then rip, each edge", 20, True), Column("laps alike", 12, True)]
    return [*columns, *saw]


def cut_rows(shape: Shape, gauges: Sequence[Gauge]) -> list[list[str]]:
    """The cuts in sawing order: those in the top, the board rolled over once, those in the underside, end bevels.

    ``gauges`` are those of the shape's cuts, in order.
    """
    order = sorted(range(len(shape.cuts)), key=lambda number: not shape.cuts[number].upper)
    rows = [_cut_row(shape, number, gauges[number]) for number in order]
    for words, line in (("datum end", shape.low), ("other end", shape.high)):
        if abs(line[0] - line[1]) > OFF_SQUARE:
            near, far = whole(line[0]), whole(line[1])
            row = ["last", f"bevel {words}", str(near), "", str(far), "", slant(shape, line), "", "full", "", ""]
            rows.append(row)
    return rows


def slant(shape: Shape, line: Pair) -> str:
    """How far a line is off square, and which way it leans from the near to the far edge, seen on the top."""
    angle = math.degrees(math.atan2(line[1] - line[0], shape.width))
    return "square" if abs(angle) < OFF_SQUARE else f"{abs(angle):.1f}° {'/' if angle > 0 else chr(92)}"


def _cut_row(shape: Shape, number: int, gauge: Gauge) -> list[str]:
    cut = shape.cuts[number]
    ends = [taped(shape, cut, edge) for edge in (0, 1)]
    words = "TOP half" if cut.upper else "UNDERSIDE half"
    # between two shoulders, or past a slanting one, a rip from the edge would run into what stays
    runs_out = cut.low == shape.low or cut.high == shape.high
    rip = f"{shape.width / 2:g}" if runs_out and gauge.lean == 0.0 else "kerf, pare"
    saw = [f"{shape.depth / 2:g}", rip, str(len(gauge.halves))]
    length = str(gauge.length)
    if oblique(shape):
        line = cut.high if cut.low == shape.low else cut.low
        figures = [str(value) for pair in ends for value in pair]
        return [str(number + 1), words, *figures, slant(shape, line), length, *saw]
    begin = "end" if cut.low == shape.low else str(ends[0][0])
    finish = "end" if cut.high == shape.high else str(ends[0][1])
    return [str(number + 1), words, begin, finish, length, *saw]


def boards_of(frame: Frame) -> dict[int, str]:
    """For each piece, the board it is cut from, what else comes off it, and how far it may slide along it."""
    found = {}
    for board in frame.boards:
        slide = offcut(board)
        for index in board.pieces:
            others = [frame.pieces[other].mark for other in board.pieces if other != index]
            shown = ", ".join(others[:3]) + (" …" if len(others) > 3 else "")
            alone = f"with {shown}; slides 0 to {slide} in all" if others else f"alone; slides 0 to {slide}"
            found[index] = f"{board.length:g} {alone}"
    return found


def piece_row(frame: Frame, index: int, boards: Mapping[int, str]) -> list[str]:
    """One piece: how it lies, what it is cut from, and its mates."""
    piece = frame.pieces[index]
    face = "underside as drawn" if piece.place.turned_over else "top as drawn"
    cuts = " · ".join(_half_text(frame, number, half) for number, half in enumerate(piece.halves, start=1))
    return [
        piece.mark,
        str(piece.order),
        f"{FACE_UP[piece.place.turned_over]} {face}",
        _datum_text(frame, piece),
        boards.get(index, ""),
        cuts or "no lap",
    ]


def _half_text(frame: Frame, number: int, half: Half) -> str:
    words = (str(number), half.kind, frame.pieces[half.mate].mark, "UNDER" if half.under else "OVER")
    return NO_BREAK.join(words)


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
    hook = "Flag = datum end. Square it, hook the tape once; saw on the waste side."
    found = [
        f"Not {shape.width:g} × {shape.depth:g}? STOP. Sight for bow, cup, twist. No knots in laps.",
        hook,
        "All shoulders first, then rip ends from both edges; else kerf and pare.",
        f"{FACE_UP[False]} black half = UP. Gauge from UP. UNDER: saw {half} down; OVER: leave {half}.",
        "Write on it: mark, UP, laying no., mates; a cross on the waste. Treated timber: treat cut faces again.",
        _CAUTION,
    ]
    if squared_line(shape):
        found[1] = (
            f"Flag = datum end. Square a line round the board {SQUARED:g} in (chain line); hold the tape's {SQUARED:g} "
            "on it for every figure, never hook on the tip."
        )
    if oblique(shape):
        found.insert(
            2,
            f"Mark both edges, join across, square down; / and {chr(92)}: lean on the top as drawn. For the underside "
            "roll the near edge away from you. Bevels last.",
        )
    return found


def cuts_title(shape: Shape) -> str:
    """The heading of the table of cuts."""
    faces = {cut.upper for cut in shape.cuts}
    if not faces:
        return f"No cuts; crosscut to {whole(shape.length)} mm."
    rolled = "; then roll the board over" if len(faces) == 2 else "; roll the board over" if faces == {False} else ""
    return f"Cuts in sawing order; overall {whole(shape.length)}{rolled}"
