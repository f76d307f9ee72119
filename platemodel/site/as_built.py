"""The shell as built against its design: corners out of square, diagonals, sides out of parallel, lengths.

Millimetres and degrees, places in the plan's coordinates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from platemodel.faults import KeyPath
from platemodel.plan.values import Plan, Wall
from platemodel.site.readings import XY

PARALLEL = 0.05
"""Walls within this of parallel by design are parallel, degrees."""


@dataclass(frozen=True)
class SurveyedPoint:
    """A point as built, in the plan's coordinates, with standard errors, and where it is by design; mm.

    The standard errors are by those of the readings, and larger where the readings agree worse than these say.
    """

    name: str
    at: XY
    sx: float
    sy: float
    design: XY
    corner: bool

    @property
    def shift(self) -> XY:
        """How far it is from its designed place, east and north, mm."""
        return self.at[0] - self.design[0], self.at[1] - self.design[1]


@dataclass(frozen=True)
class Row:
    """A reading and what became of it, in the order of the plan; mm, degrees for an angle.

    ``residual`` is adjusted less observed, ``standardised`` that over its own standard error, None where no other
    reading checks it. ``mark`` is empty, 'take again' (it is left out until then where ``left_out``), 'one of
    these' or 'not checked'.
    """

    kind: str
    points: tuple[str, ...]
    observed: float
    sd: float
    adjusted: float
    residual: float
    standardised: float | None
    redundancy: float
    mark: str
    left_out: bool
    path: KeyPath


@dataclass(frozen=True)
class OutOfSquare:
    """A corner of two walls: its angle inside the shell less the designed one, and mm over the shorter leg's length."""

    corner: str
    walls: tuple[int, int]
    degrees: float
    by: float
    over: float


@dataclass(frozen=True)
class Diagonals:
    """Two diagonals of four corners: lengths as built, and how much more the first exceeds the second than designed."""

    one: tuple[str, str]
    other: tuple[str, str]
    lengths: tuple[float, float]
    by: float


@dataclass(frozen=True)
class OutOfParallel:
    """Two opposite walls: by how much they are further apart at a corner than at the other end, over a length; mm."""

    walls: tuple[int, int]
    by: float
    over: float
    degrees: float
    wider_at: str


@dataclass(frozen=True)
class Leg:
    """A wall's length of outer face as built and as designed, mm."""

    wall: int
    length: float
    design: float

    @property
    def by(self) -> float:
        """How much longer it is than designed, mm."""
        return self.length - self.design


@dataclass(frozen=True)
class OffLine:
    """How far a point of a wall is off the straight line between its corners, mm; outward above 0."""

    point: str
    wall: int
    by: float


@dataclass(frozen=True)
class AsBuilt:
    """The shell as built.

    ``points`` by name and ``walls`` by index (the outer face's line from start to end, of every wall of a shell
    whose two corners are determined) are in the plan's coordinates, mm. ``held`` names the corner and the one
    toward which the direction was held; ``s0`` is the standard error of unit weight, None where no reading is
    beyond those needed (``freedom``). ``words`` says what to do about the readings. ``plan`` is the plan it is
    compared with, as designed also where the frame is then fitted to the shell.
    """

    plan: Plan = field(repr=False)

    points: Mapping[str, SurveyedPoint]
    walls: Mapping[int, tuple[XY, XY]]
    rows: tuple[Row, ...]
    held: tuple[str, str]
    freedom: int
    s0: float | None
    squares: tuple[OutOfSquare, ...]
    diagonals: tuple[Diagonals, ...]
    parallels: tuple[OutOfParallel, ...]
    legs: tuple[Leg, ...]
    off_line: tuple[OffLine, ...]
    words: tuple[str, ...]


def ends(plan: Plan, wall: Wall) -> tuple[str, str] | None:
    """Names of the two ends of a shell's wall."""
    if wall.shell is None:
        return None
    before = f"{wall.name} start" if wall.before is None else f"{plan.walls[wall.before].name}/{wall.name}"
    after = f"{wall.name} end" if wall.after is None else f"{wall.name}/{plan.walls[wall.after].name}"
    return before, after


def _turn(one: tuple[XY, XY], other: tuple[XY, XY]) -> float:
    """The angle from one line's direction to another's, degrees from -180 to 180."""
    (ax, ay), (bx, by) = _way(one), _way(other)
    return math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def _way(line: tuple[XY, XY]) -> XY:
    (ax, ay), (bx, by) = line
    return bx - ax, by - ay


def _off(place: XY, line: tuple[XY, XY]) -> float:
    """How far a place is to the left of a line, mm."""
    ux, uy = _way(line)
    x, y = place[0] - line[0][0], place[1] - line[0][1]
    return (ux * y - uy * x) / (math.hypot(ux, uy) or 1.0)


def _inside(wall: Wall) -> float:
    """1 where the shell's inside is to the left of a wall, -1 where to the right."""
    return 1.0 if sum(wall.leaf) > 0.0 else -1.0


def _line(wall: Wall) -> tuple[XY, XY]:
    return wall.start, wall.end


def squares(plan: Plan, walls: Mapping[int, tuple[XY, XY]]) -> Iterator[OutOfSquare]:
    """Every corner whose two walls are known, against the design."""
    for number, line in walls.items():
        wall = plan.walls[number]
        if wall.after is None or wall.after not in walls:
            continue
        after, then = plan.walls[wall.after], walls[wall.after]
        more = (_turn(line, then) - _turn(_line(wall), _line(after)) + 180.0) % 360.0 - 180.0
        # turning more towards the inside makes the angle inside smaller
        degrees = -more * _inside(wall)
        over = min(math.dist(*line), math.dist(*then))
        name = f"{wall.name}/{after.name}"
        yield OutOfSquare(name, (number, wall.after), degrees, over * math.sin(math.radians(degrees)), over)


def _opposite(plan: Plan, walls: Mapping[int, tuple[XY, XY]]) -> Iterator[tuple[int, int]]:
    """Pairs of walls of a shell that face each other, parallel by design, over half of the shorter or more."""
    numbers = list(walls)
    for place, one in enumerate(numbers):
        first = plan.walls[one]
        ux, uy = first.direction
        for other in numbers[place + 1 :]:
            second = plan.walls[other]
            if first.shell != second.shell or abs(abs(_turn(_line(first), _line(second))) - 180.0) > PARALLEL:
                continue
            if _off(second.start, _line(first)) * _inside(first) <= 0.0:
                continue
            along = sorted((x - first.start[0]) * ux + (y - first.start[1]) * uy for x, y in _line(second))
            if min(along[1], first.length) - max(along[0], 0.0) >= 0.5 * min(first.length, second.length):
                yield one, other


def parallels(plan: Plan, walls: Mapping[int, tuple[XY, XY]]) -> Iterator[OutOfParallel]:
    """Every two opposite walls, against the design."""
    for one, other in _opposite(plan, walls):
        # over the shorter of the two, from the line of the longer
        longer, shorter = sorted((one, other), key=lambda wall: -math.dist(*walls[wall]))
        begin, end = (abs(_off(place, walls[longer])) for place in walls[shorter])
        planned = [abs(_off(place, _line(plan.walls[longer]))) for place in _line(plan.walls[shorter])]
        by = (end - begin) - (planned[1] - planned[0])
        over = math.dist(*walls[shorter])
        names = ends(plan, plan.walls[shorter]) or ("", "")
        turn = math.degrees(math.asin(max(-1.0, min(1.0, by / over))))
        yield OutOfParallel((one, other), abs(by), over, abs(turn), names[by > 0.0])


def diagonals(plan: Plan, walls: Mapping[int, tuple[XY, XY]]) -> Iterator[Diagonals]:
    """Of shells of four corners, and of any two opposite walls whose diagonals are alike by design."""
    done = set()
    for one, other in _opposite(plan, walls):
        first, second = plan.walls[one], plan.walls[other]
        planned = math.dist(first.start, second.start), math.dist(first.end, second.end)
        near, far = ends(plan, first), ends(plan, second)
        if near is None or far is None or abs(planned[0] - planned[1]) > 1.0:
            continue
        corners = frozenset((*near, *far))
        if len(corners) < 4 or corners in done:
            continue
        done.add(corners)
        lengths = math.dist(walls[one][0], walls[other][0]), math.dist(walls[one][1], walls[other][1])
        by = (lengths[0] - lengths[1]) - (planned[0] - planned[1])
        yield Diagonals((near[0], far[0]), (near[1], far[1]), lengths, by)


def off_line(plan: Plan, walls: Mapping[int, tuple[XY, XY]], points: Mapping[str, SurveyedPoint]) -> Iterator[OffLine]:
    """Every surveyed point of a wall between its corners, against the straight line."""
    survey = plan.site.survey
    for name, point in points.items():
        if point.corner or survey is None:
            continue
        wall = survey.points[name].wall
        if wall in walls:
            yield OffLine(name, wall, -_off(point.at, walls[wall]) * _inside(plan.walls[wall]))


def reading_words(row: Row) -> str:
    """Which reading it is, in words."""
    match row.kind:
        case "distance":
            return f"the length from {row.points[0]} to {row.points[1]}"
        case "angle":
            return f"the angle at {row.points[0]} from {row.points[1]} to {row.points[2]}"
    return f"the offset of {row.points[0]} from the line {row.points[1]} to {row.points[2]}"
