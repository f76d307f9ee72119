"""What a cut sheet says in words and figures: its cuts in sawing order, its pieces, its notes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence, Set

from platemodel.frame.gauges import Gauge
from platemodel.frame.shape import TURNS, Cut, Shape
from platemodel.frame.strip import Pair
from platemodel.frame.tape import OFF_SQUARE, SQUARED, offcut, squared_line, taped, whole
from platemodel.frame.values import Frame, Half, Piece, Type
from platemodel.plan.values import LapRule, Section
from platemodel.sheets.lettering import width
from platemodel.sheets.tables import PAD, TEXT, Column
from platemodel.sheets.widths import expected, shrinking
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
    Column("datum end lies", 38.6),
    Column("board, along which it may slide: figures here stay", 46),
    Column("write at each cut: this piece lies OVER or UNDER its mate (kind)", 107.4),
]


def cut_columns(shape: Shape, turned: Set[bool], wide: bool) -> list[Column]:
    """Columns of the table of cuts; ``wide`` where both ways to gauge a depth may stand in one line."""
    longest = gauged(True, shape.depth, turned if wide and not oblique(shape) else {True})
    leave = max(width(words, TEXT, bold=True) for words in (_leave(shape.depth), longest)) + 2 * PAD + 0.1
    columns = [
        Column("cut", 10 if oblique(shape) else 8.5, bold=True),
        Column("SAW AWAY", 32 if oblique(shape) else 31, bold=True),
    ]
    if oblique(shape):
        for edge in ("near edge", "far edge"):
            across = 18.5 if edge == "near edge" else 16.5
            columns += [Column(f"{edge} from", across, True, True), Column(f"{edge} to", across, True, True)]
        columns += [Column("lean, on the face you saw", 38, bold=True), Column("lap length along edge", 20, True)]
    else:
        columns += [Column("shoulder from", 17.2, True, True), Column("shoulder to", 20, True, True)]
        columns += [Column("lap length", 12.5, True)]
    return [
        *columns,
        Column("saw depth", min(leave, 34.3) if oblique(shape) else leave, bold=True),
        Column("rip along half depth, in from each edge", 34 if oblique(shape) or wide else 24.5, True),
        Column("gauge", 20.5 if oblique(shape) else 12.5),
    ]


def cut_rows(shape: Shape, gauges: Sequence[Gauge], turned: Set[bool]) -> list[list[str]]:
    """The cuts in sawing order: those in the top, the board rolled over once, those in the underside, end bevels.

    ``gauges`` are those of the shape's cuts, in order; ``turned`` says whether its pieces are turned over: each,
    none, or some.
    """
    order = sorted(range(len(shape.cuts)), key=lambda number: not shape.cuts[number].upper)
    rows = [_cut_row(shape, number, gauges[number], turned) for number in order]
    for words, line in (("datum end", shape.low), ("other end", shape.high)):
        if abs(line[0] - line[1]) > OFF_SQUARE:
            near, far = whole(line[0]), whole(line[1])
            lean = slant(shape, line, upper=True)
            row = ["last", f"bevel {words}", str(near), "", str(far), "", lean, "", "full", "", ""]
            rows.append(row)
    return rows


def slant(shape: Shape, line: Pair, upper: bool) -> str:
    """How far a line is off square, and which way it leans, seen on the face that is sawn, which is named.

    The datum end is at the left on both faces; on the underside, the board rolled over about its long edge, a
    line leans the other way.
    """
    across = line[1] - line[0]
    if abs(across) < OFF_SQUARE:
        return "square"
    sign = "/" if (across > 0) == upper else "\\"
    angle = math.degrees(math.atan2(abs(across), shape.width))
    return f"{angle:.1f}°{NO_BREAK}{sign} on{NO_BREAK}{'top' if upper else 'underside'}"


def gauged(upper: bool, depth: float, turned: Set[bool]) -> str:
    """How a cut's depth is gauged from the face that is UP: so far down from it, or so much left under it."""
    down, leave = f"{depth / 2:g} from UP", _leave(depth)
    # sawn into UP where the top as drawn is up and sawn, or neither
    words = {leave if upper == over else down for over in turned}
    return words.pop() if len(words) == 1 else f"UNDER {down}; OVER {leave}"


def _leave(depth: float) -> str:
    return f"leave {depth / 2:g} under UP"


def _cut_row(shape: Shape, number: int, gauge: Gauge, turned: Set[bool]) -> list[str]:
    cut = shape.cuts[number]
    ends = [taped(shape, cut, edge) for edge in (0, 1)]
    words = "TOP half" if cut.upper else "UNDERSIDE half"
    # between two shoulders, or past a slanting one, a rip from the edge would run into what stays
    runs_out = cut.low == shape.low or cut.high == shape.high
    rip = f"{shape.width / 2:g}" if runs_out and gauge.lean == 0.0 else "kerf, pare"
    saw = [gauged(cut.upper, shape.depth, turned), rip, gauge.name.replace(" ", NO_BREAK)]
    length = str(gauge.length)
    if oblique(shape):
        line = cut.high if cut.low == shape.low else cut.low
        figures = [str(value) for pair in ends for value in pair]
        return [str(number + 1), words, *figures, slant(shape, line, cut.upper), length, *saw]
    begin = f"end {ends[0][0]}" if cut.low == shape.low else str(ends[0][0])
    finish = f"end {ends[0][1]}" if cut.high == shape.high else str(ends[0][1])
    return [str(number + 1), words, begin, finish, length, *saw]


def turned_words(frame: Frame, kind: Type, room: float, height: float) -> str:
    """Which of a type's pieces lie turned over, in words that fit a room on paper in mm; empty where none does."""
    over = [frame.pieces[index].mark for index in kind.pieces if frame.pieces[index].place.turned_over]
    if not over:
        return ""
    one = len(over) == 1
    marks = over[0] if one else f"{', '.join(over[:-1])} and {over[-1]}"
    words = f"{marks} {'lies' if one else 'lie'} turned over: {'its' if one else 'their'} underside as drawn is UP"
    if width(words, height, bold=True) <= room:
        return words
    return f"{len(over)} marked {FACE_UP[True]} lie turned over: their underside as drawn is UP"


def boards_of(frame: Frame) -> dict[int, str]:
    """For each piece, the board it is cut from, what else comes off it, and how far it may slide along it."""
    found = {}
    for board in frame.boards:
        # the board's end is squared first, and that saw cut is part of the slide
        slide = offcut(board) if offcut(board) > frame.plan.stock.kerf else 0
        for index in board.pieces:
            others = [frame.pieces[other].mark for other in board.pieces if other != index]
            shown = ", ".join(others[:3]) + (" …" if len(others) > 3 else "")
            may = f"may slide {slide}" if slide else "may not slide"
            found[index] = f"{board.length:g} {f'with {shown}' if others else 'alone'}; {may}"
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
        datum_text(frame, piece),
        boards.get(index, ""),
        cuts or "no lap",
    ]


def _half_text(frame: Frame, number: int, half: Half) -> str:
    words = (f"{number}:", "UNDER" if half.under else "OVER", frame.pieces[half.mate].mark, f"({half.kind})")
    return NO_BREAK.join(words)


def datum_text(frame: Frame, piece: Piece, short: bool = False) -> str:
    """Where the datum end lies: at which mate, where there is one, and to which side of the plan.

    ``short`` gives a side between two winds by its letters; a letter alone would be taken for a run's.
    """
    first = piece.halves[0] if piece.halves else None
    at = f"at {frame.pieces[first.mate].mark}, " if first is not None and first.ends and min(first.low) <= 1e-6 else ""
    side = datum_side(piece)
    if short and "-" in side:
        side = "".join(part[0].upper() for part in side.split("-"))
    return f"{at}plan {side}"


def datum_side(piece: Piece) -> str:
    """The side of the plan to which a piece's datum end lies."""
    winds = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
    return winds[round((piece.place.angle + 180.0) / 45.0) % 8]


def look_alikes(frame: Frame, kind: Type) -> str:
    """Other types that could be taken for this one by their length, those of the opposite hand told apart."""
    found: dict[bool, list[str]] = {True: [], False: []}
    for other in frame.types:
        near = abs(other.shape.length - kind.shape.length) < LOOKS_LIKE
        if other.name != kind.name and other.shape.width == kind.shape.width and near:
            found[_opposite(kind.shape, other.shape)].append(other.name)
    words = {True: "opposite hand", False: "alike in length only"}
    return "; ".join(f"NOT {' or '.join(names[:6])}: {words[hand]}" for hand, names in found.items() if names)


def _opposite(one: Shape, other: Shape) -> bool:
    """Whether two shapes are mirror images of one another, but for where along them laps between their ends lie."""
    mirrored = Shape(
        one.width,
        one.depth,
        one.low[::-1],
        one.high[::-1],
        tuple(Cut(cut.low[::-1], cut.high[::-1], cut.upper) for cut in one.cuts),
    )
    return _ends_alike(mirrored, other) and not _ends_alike(one, other)


def _ends_alike(one: Shape, other: Shape) -> bool:
    """Whether in one of its half-turns a shape has another's ends, and lacks the same halves in order."""
    halves = [cut.upper for cut in other.cuts]
    for turn in TURNS:
        turned = one.turned(turn)
        lines = zip((*turned.low, *turned.high), (*other.low, *other.high), strict=True)
        if [cut.upper for cut in turned.cuts] == halves and all(abs(a - b) < LOOKS_LIKE for a, b in lines):
            return True
    return False


def alike_in_length(frame: Frame) -> list[list[str]]:
    """Types that could be taken for one another by their length, in groups."""
    groups: list[list[Type]] = []
    for kind in sorted(frame.types, key=lambda kind: (kind.shape.width, kind.shape.length)):
        last = groups[-1][-1].shape if groups else None
        near = last is not None and last.width == kind.shape.width and kind.shape.length - last.length < LOOKS_LIKE
        if near:
            groups[-1].append(kind)
        else:
            groups.append([kind])
    return [[kind.name for kind in group] for group in groups if len(group) > 1]


def notes(shape: Shape, plate: Section, lap: LapRule) -> Sequence[str]:
    """What to mind, in the order of the work; a board wider by more than the clearance does not go into its mates."""
    stop = f"Width not {shape.width:g} (within {lap.clearance:g} mm)"
    if plate.widest is not None:
        stop = f"Wider than {shape.width + lap.excess:.10g}"
    elif not lap.clearance:
        stop = f"Width not exactly {shape.width:g}"
    moist = ""
    if plate.moisture is not None:
        moist = f" At {plate.moisture:g} % moisture expect {expected(shape.width, plate.moisture)} wide"
        moist += f"; {shrinking(plate.moisture)}." if shrinking(plate.moisture) else "."
    half = f"{shape.depth / 2:g}"
    hook = "Flag = datum end. Square it, hook the tape once; saw on the waste side."
    found = [
        f"{stop}? STOP: laps are set out for it.{moist} Depth may differ: gauge from UP. Sight for bow, cup, "
        "twist. No knots in laps.",
        hook,
        "Shoulders first, then rip ends from both edges; else kerf and pare.",
        f"{FACE_UP[False]} black half = UP. UNDER: saw {half} deep; OVER: leave {half}.",
        "Write on it: mark, UP, laying no., mates; cross the waste. Treated timber: treat cut faces again.",
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
            f"Mark both edges, join across, square down. / and {chr(92)}: as seen on the face named, datum end at the "
            "left. For the underside roll the near edge away from you. Bevels last.",
        )
    return found


def cuts_title(shape: Shape) -> str:
    """The heading of the table of cuts."""
    faces = {cut.upper for cut in shape.cuts}
    if not faces:
        return f"No cuts; crosscut to {whole(shape.length)} mm."
    first = "top first, then roll it" if len(faces) == 2 else "roll it"
    if False not in faces:
        return "Cuts in sawing order"
    bevels = any(abs(line[0] - line[1]) > OFF_SQUARE for line in (shape.low, shape.high))
    back = "; turn back, TOP up, for the bevels" if bevels else ""
    return f"Cuts in sawing order; {first} over about its long edge, datum end stays left{back}"
