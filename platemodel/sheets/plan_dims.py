"""Dimensions on a plan: overall, from shoulder to shoulder along every plate, and diagonals."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import LineString, Point, Polygon, prepare

from platemodel.frame.values import Frame, Piece
from platemodel.plan.values import Wall
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import width
from platemodel.sheets.page import CHAIN_THIN, NARROW, THIN, WHITE, WIDE, XY, Page
from platemodel.sheets.plan_labels import centred, reading
from platemodel.sheets.plan_view import PlanView
from platemodel.sheets.tape import taped, whole

STROKE = 0.9
"""Half an oblique stroke at the end of a dimension line, across and up, mm on paper."""
_NEAR = ((2.5, 3.2), (1.8, 3.2))
_FAR = ((2.5, 6.4), (1.8, 6.4), (1.8, 9.6))
"""Heights of a figure and distances of its line from the plate that are tried, mm on paper."""
MOST_DIAGONALS = 8
"""Diagonals of one shell that are given."""


@dataclass(frozen=True)
class Clear:
    """Whole timber between two shoulders of a piece: where along its run (mm), and the taped length.

    ``cuts`` are the indices of the cuts before and after it, None at an end of the piece.
    """

    low: float
    high: float
    length: int
    cuts: tuple[int | None, int | None]


def clear_lengths(frame: Frame, piece: Piece, edge: int) -> list[Clear]:
    """From shoulder to shoulder along an edge of a piece, 0 the right one of its run and 1 the left one.

    Lengths are differences of the figures that are taped on the cut sheet.
    """
    turn, shape = piece.turn, piece.shape
    side = edge ^ turn.round ^ turn.over
    edges: list[tuple[float, int]] = [(shape.low[side], whole(shape.low[side]))]
    for cut in shape.cuts:
        begin, end = taped(shape, cut, side)
        edges += [(cut.low[side], begin), (cut.high[side], end)]
    edges.append((shape.high[side], whole(shape.high[side])))
    base = min(piece.low)
    found = []
    count = len(shape.cuts)
    for number, ((one, first), (other, last)) in enumerate(zip(edges[::2], edges[1::2], strict=True)):
        if last - first < 1 or other - one < 1e-6:
            continue
        ends = (shape.length - other, shape.length - one) if turn.round else (one, other)
        cuts = (number - 1 if number else None, number if number < count else None)
        found.append(Clear(base + ends[0], base + ends[1], last - first, cuts))
    return found


def dimension_pieces(page: Page, view: PlanView, taken: Taken) -> list[tuple[str, int]]:
    """The clear lengths of every piece along its inner edge, or its outer one where only there is room.

    Gives those that found no room, in words.
    """
    left_out: list[tuple[str, int]] = []
    for piece in view.pieces:
        inner = _inner(view.frame, piece)
        found = {edge: clear_lengths(view.frame, piece, edge) for edge in (inner, 1 - inner)}
        # both edges have the same stretches, but at a slant one may be gone on one of them
        alike = len(found[inner]) == len(found[1 - inner])
        for number, clear in enumerate(found[inner]):
            drawn = _clear_beside(page, view, taken, piece, inner, clear, _NEAR + _FAR)
            if not drawn and alike:
                # no farther than at the plate: beyond it would seem to be another plate's
                drawn = _clear_beside(page, view, taken, piece, 1 - inner, found[1 - inner][number], _NEAR + _FAR[:2])
            if not drawn and any(view.shows([view.on_piece(piece, s)]) for s in (clear.low, clear.high)):
                left_out.append((_stretch_words(view.frame, piece, clear), clear.length))
    return left_out


def _stretch_words(frame: Frame, piece: Piece, clear: Clear) -> str:
    """A stretch by its piece's mark and the mates at its two ends."""
    names = ["end" if cut is None else frame.pieces[piece.halves[cut].mate].mark for cut in clear.cuts]
    return f"{piece.mark}, {names[0]} to {names[1]}"


def _clear_beside(
    page: Page,
    view: PlanView,
    taken: Taken,
    piece: Piece,
    edge: int,
    clear: Clear,
    tries: Sequence[tuple[float, float]],
) -> bool:
    """Draw one clear length on a side of a piece if it finds room there at one of the heights and distances."""
    if (clear.high - clear.low) / view.scale < width(str(clear.length), 1.8, bold=True) + 2.0:
        return False
    strip = view.frame.runs[piece.run].strip
    way = 1.0 if edge else -1.0
    turn = reading(strip.direction)
    half = strip.width / view.scale / 2
    return any(
        _clear_dimension(page, view, taken, piece, clear, way * (half + off), height, turn) for height, off in tries
    )


def _clear_dimension(
    page: Page, view: PlanView, taken: Taken, piece: Piece, clear: Clear, aside: float, height: float, turn: float
) -> bool:
    """Draw one clear length at a distance (mm on paper) from a piece if it finds room there."""
    ends = [view.on_piece(piece, s, aside) for s in (clear.low, clear.high)]
    middle = view.on_piece(piece, (clear.low + clear.high) / 2, aside)
    # the figure stands above its line, seen as it is read
    radians = math.radians(turn)
    up = height / 2 + 0.8
    x, y = middle[0] - math.sin(radians) * up, middle[1] - math.cos(radians) * up
    box = text_box(x, y, str(clear.length), height, turn)
    if not view.shows([*ends, (box[0], box[1]), (box[2], box[3])]) or not taken.claim(box):
        return False
    page.line(ends, THIN)
    for end in ends:
        _stroke(page, end, turn)
    _knock_out(page, x, y, str(clear.length), height, turn)
    centred(page, x, y, str(clear.length), height, turn, bold=True)
    taken.block_line(*ends)
    return True


def _knock_out(page: Page, x: float, y: float, text: str, height: float, turn: float) -> None:
    """White paper behind a figure, so that no thin line runs through it."""
    along, across = width(text, height, bold=True) / 2 + 0.3, height / 2 + 0.3
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    corners = ((-along, -across), (along, -across), (along, across), (-along, across))
    page.area([(x + a * cos + b * sin, y - a * sin + b * cos) for a, b in corners], WHITE)


def _stroke(page: Page, at: XY, turn: float) -> None:
    """An oblique stroke at 45 degrees to a dimension line that is turned as its figure (ISO 129-1)."""
    x, y = at
    # of the two that there are, the one that rises to the right on level and upright lines
    radians = math.radians(turn + (45.0 if turn <= 45.0 else -45.0))
    along, up = STROKE * math.sqrt(2) * math.cos(radians), STROKE * math.sqrt(2) * math.sin(radians)
    page.line([(x - along, y + up), (x + along, y - up)], NARROW)


def _inner(frame: Frame, piece: Piece) -> int:
    """The edge of a piece away from the outer face of its wall: 0 the right one of its run, 1 the left one."""
    run = frame.runs[piece.run]
    for index in run.walls:
        wall = frame.plan.walls[index]
        if wall.shell is not None:
            along = wall.direction[0] * run.strip.direction[0] + wall.direction[1] * run.strip.direction[1] > 0
            return int((wall.band[0] >= 0) == along)
    return 0


def overall(page: Page, view: PlanView) -> None:
    """Overall dimensions of the frame, below and at the left."""
    east, north = view.frame.size
    left, bottom = view((0.0, 0.0))
    right, top = view((east, north))
    y = bottom + 15.0
    _dimension(page, (left, y), (right, y), (0.0, -1.0), 11.5, str(whole(east)))
    x = left - 15.0
    _dimension(page, (x, bottom), (x, top), (1.0, 0.0), 11.5, str(whole(north)))


def _dimension(page: Page, one: XY, other: XY, back: XY, reach: float, text: str) -> None:
    """A dimension line with oblique strokes, and extension lines that reach back to the feature."""
    page.line([one, other], NARROW)
    for x, y in (one, other):
        page.line([(x - back[0] * 2, y - back[1] * 2), (x + back[0] * reach, y + back[1] * reach)], THIN)
        page.line([(x - 1.2, y + 1.2), (x + 1.2, y - 1.2)], WIDE)
    x, y = (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
    turn = 90.0 if back[0] else 0.0
    if math.dist(one, other) < width(text, 3.5, bold=True) + 4.0:
        # no room between the strokes: beyond the line's end
        far = (x, min(one[1], other[1]) - 3.0) if turn else (max(one[0], other[0]) + 3.0, y)
        page.text(far[0] + 1.75 * (turn > 0), far[1] + 1.75 * (turn == 0), text, 3.5, "start", bold=True, turn=turn)
    else:
        page.text(x - 1.2 * (turn > 0), y - 1.2 * (turn == 0), text, 3.5, "middle", bold=True, turn=turn)


@dataclass(frozen=True)
class Corner:
    """An outer corner of a shell's plates: where, in the plan's axes, and the marks that meet there."""

    at: XY
    marks: str


@dataclass(frozen=True)
class Diagonal:
    """From one outer corner of the plates to another, mm."""

    one: Corner
    other: Corner

    @property
    def length(self) -> float:
        """Its length, mm."""
        return math.dist(self.one.at, self.other.at)

    @property
    def line(self) -> LineString:
        """The line itself, in the plan's axes."""
        return LineString([self.one.at, self.other.at])


def diagonals(frame: Frame) -> list[Diagonal]:
    """Diagonals that check each shell: all of one with few corners, of others the longest that lie inside."""
    found = []
    for corners in _corners_by_shell(frame):
        if len(corners) >= 4:
            found += _of_shell(corners)
    return found


def _of_shell(corners: list[Corner]) -> list[Diagonal]:
    count = len(corners)
    outline = Polygon([corner.at for corner in corners])
    if not outline.is_valid:
        return []
    inside = outline.buffer(1.0, join_style="mitre")
    prepare(inside)
    reach = range(2, count - 1) if count <= 24 else range(count // 2 - 1, count // 2 + 2)
    pairs = {tuple(sorted((first, (first + step) % count))) for first in range(count) for step in reach}
    found = [Diagonal(corners[one], corners[other]) for one, other in sorted(pairs)]
    found = [
        item for item in found if inside.covers(LineString([item.one.at, item.other.at])) and _clear(item, corners)
    ]
    found.sort(key=lambda item: -round(item.length, 3))
    return found[: 2 if count == 4 else min(MOST_DIAGONALS, count - 2)]


def _clear(item: Diagonal, corners: list[Corner]) -> bool:
    """Whether a diagonal keeps off the corners between its ends, and so does not run along a wall."""
    between = (corner for corner in corners if corner not in (item.one, item.other))
    return all(item.line.distance(Point(corner.at)) > 1.0 for corner in between)


def _corners_by_shell(frame: Frame) -> list[list[Corner]]:
    """For each shell the outer corners of its plates that are there, in order round it."""
    at_corner: dict[tuple[int, int], list[Piece]] = {}
    x, y = frame.origin
    for piece in frame.pieces:
        for east, north, _ in piece.vertices:
            known = at_corner.setdefault((round(east + x), round(north + y)), [])
            if piece not in known:
                known.append(piece)
    found = []
    for shell in range(len(frame.plan.shells)):
        walls = [wall for wall in frame.plan.walls if wall.shell == shell]
        corners = []
        for wall in walls:
            after = None if wall.after is None else frame.plan.walls[wall.after]
            point = None if after is None else _meeting(wall, after)
            pieces = [] if point is None else _at(at_corner, point)
            if point is not None and len(pieces) > 1:
                corners.append(Corner(point, "/".join(sorted(piece.mark for piece in pieces)[:2])))
        found.append(corners)
    return found


def _at(at_corner: dict[tuple[int, int], list[Piece]], point: XY) -> list[Piece]:
    """The pieces that have a corner within a millimetre of a point."""
    x, y = point
    near: list[Piece] = []
    for dx, dy in itertools.product((-1, 0, 1), repeat=2):
        near += [piece for piece in at_corner.get((round(x) + dx, round(y) + dy), ()) if piece not in near]
    return near


def _meeting(wall: Wall, after: Wall) -> XY | None:
    """Where the outer edges of two walls' plates meet; None where they are in line."""
    (ux, uy), (vx, vy) = wall.direction, after.direction
    sine = ux * vy - uy * vx
    if abs(sine) < 1e-3:
        return None
    ax, ay = wall.at(0.0, min(wall.band, key=abs))
    bx, by = after.at(0.0, min(after.band, key=abs))
    along = ((bx - ax) * vy - (by - ay) * vx) / sine
    return ax + along * ux, ay + along * uy


def draw_diagonals(page: Page, view: PlanView, found: list[Diagonal]) -> None:
    """Diagonals as thin chain lines."""
    for item in found:
        ends = [view.of_plan(corner.at) for corner in (item.one, item.other)]
        if view.shows(ends):
            page.line(ends, CHAIN_THIN)


def figure_diagonals(page: Page, view: PlanView, taken: Taken, found: list[Diagonal]) -> None:
    """The lengths of diagonals along their lines, each where it finds room."""
    for item in found:
        (ax, ay), (bx, by) = (view.of_plan(corner.at) for corner in (item.one, item.other))
        if not view.shows([(ax, ay), (bx, by)]):
            continue
        turn = reading((bx - ax, ay - by))
        text = str(whole(item.length))
        for part in (0.38, 0.62, 0.3, 0.7, 0.22, 0.78, 0.5):
            x, y = ax + part * (bx - ax), ay + part * (by - ay)
            if taken.claim(text_box(x, y, text, 2.5, turn)):
                _knock_out(page, x, y, text, 2.5, turn)
                centred(page, x, y, text, 2.5, turn)
                break
