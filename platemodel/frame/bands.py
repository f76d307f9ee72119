"""Bands: which stretches of which walls carry a plate, and what each end of a stretch is.

A corner's two plates go through to the far edge of each other; so does a cross wall's plate at the
wall that holds its end. At a gap, and at the ends of an open shell, a plate ends square.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely import Point as ShapelyPoint
from shapely import Polygon, STRtree

from platemodel.faults import Fault
from platemodel.frame.strip import Pair, Strip
from platemodel.plan.values import Gap, Plan, Wall

DUST = 1e-6
"""Positions come through decimals, sines and roots: what is on a limit is within it (mm, degrees)."""

COLLINEAR_OFFSET = 1.0
"""Bands whose middles are nearer than this to one line, and …"""
COLLINEAR_ANGLE = 0.05
"""… whose directions differ by less than this are in line (mm, degrees)."""

LEAST_ANGLE = 30.0
"""The most acute lap; its supplement is the most obtuse (degrees)."""
ANGLE_DUST = 1e-5
"""Corners are written in decimals: an angle is in range when it is within this of it (degrees)."""

NO_PLATE = 1.0 + DUST
"""Gaps no further apart than this are one gap (mm)."""

HELD = 1.0
"""An end of a cross wall belongs to a wall whose leaf holds it within this (mm)."""


@dataclass(frozen=True)
class End:
    """One end of a band.

    ``mate`` None: square across the wall at ``at``, mm along it. Otherwise the band goes through
    to the far edge of the plate on wall ``mate``, on the stretch that is number ``stretch`` there.
    ``touch`` is a joint straight on in line with wall ``mate``.
    """

    at: float = 0.0
    mate: int | None = None
    stretch: int = 0
    touch: bool = False


@dataclass(frozen=True)
class Band:
    """One stretch of a wall that carries a plate, number ``stretch`` on it, between two ends."""

    wall: int
    stretch: int
    strip: Strip
    low: End
    high: End


def wall_strip(wall: Wall) -> Strip:
    """The strip of a wall's plate; its s runs along the wall from the wall's first corner."""
    return Strip(wall.at(0.0, wall.band[0]), wall.direction, wall.width)


def in_line(one: Wall, other: Wall) -> bool:
    """Whether two walls' plates lie in one line and have one width."""
    if abs(one.width - other.width) > 1e-6:
        return False
    longer, shorter = (one, other) if one.length >= other.length else (other, one)
    strip = wall_strip(longer)
    if strip.angle(wall_strip(shorter)) > COLLINEAR_ANGLE + DUST:
        return False
    middle = (shorter.band[0] + shorter.band[1]) / 2
    return all(
        abs(strip.place(shorter.at(along, middle))[1] - strip.width / 2) <= COLLINEAR_OFFSET + DUST
        for along in (0.0, shorter.length)
    )


def bands(plan: Plan) -> tuple[list[Band], list[Fault]]:
    """The bands of a plan, wall by wall, with the faults found on the way."""
    work = _Bands(plan)
    found = [band for number in range(len(plan.walls)) for band in work.of_wall(number)]
    return found, work.faults


class _Bands:
    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.walls = plan.walls
        self.faults: list[Fault] = []
        self.gaps: dict[int, list[Gap]] = {}
        for gap in sorted(plan.gaps, key=lambda gap: (gap.begin, gap.end)):
            self.gaps.setdefault(gap.wall, []).append(gap)
        self.leaves = [Polygon(leaf_outline(plan, number)) for number in range(len(self.walls))]
        self.tree = STRtree(self.leaves)

    def of_wall(self, number: int) -> list[Band]:
        wall = self.walls[number]
        strip = wall_strip(wall)
        stretches = self.stretches(number)
        found = []
        for index, (begin, end) in enumerate(stretches):
            if begin is not None and end is not None and end - begin < wall.width:
                found_text = (
                    f"only {end - begin:.1f} mm of '{wall.name}' is left between its gaps at {begin:g} and {end:g}"
                )
                expected = f"expected no plate there, or one of at least its width, {wall.width:g} mm"
                self.faults.append(self.plan.fault(wall.path, found_text, expected))
            low = self.end_of(number, first=True) if begin is None else End(begin)
            high = self.end_of(number, first=False) if end is None else End(end)
            if low is not None and high is not None:
                found.append(Band(number, index, strip, low, high))
        return found

    def stretches(self, number: int) -> list[tuple[float | None, float | None]]:
        """What the gaps leave of a wall, in order; None stands for the wall's own end."""
        length = self.walls[number].length
        found: list[tuple[float | None, float | None]] = []
        begin: float | None = None
        reached = 0.0
        for gap in self.gaps.get(number, []):
            # what is left between two gaps and is shorter than a gap may be, no one lays a plate on
            if gap.begin > reached + NO_PLATE and gap.begin > 0:
                found.append((begin, gap.begin))
            reached = max(reached, gap.end)
            begin = reached
        if reached < length:
            found.append((begin, None))
        return found

    def end_of(self, number: int, first: bool) -> End | None:
        """The end that a wall itself has, where no gap takes it away."""
        wall = self.walls[number]
        if wall.shell is None:
            return self.cross_end(number, first)
        other = wall.before if first else wall.after
        if other is None:
            return End(0.0 if first else wall.length)
        return self.corner_end(number, other, first)

    def corner_end(self, number: int, other: int, first: bool) -> End | None:
        wall, mate = self.walls[number], self.walls[other]
        here = 0.0 if first else wall.length
        straight = in_line(wall, mate)
        gap = self.gap_at(other, mate.length if first else 0.0)
        if gap is not None:
            return End(here) if straight else End(self.face_at(wall, mate, gap.face, first))
        stretch = len(self.stretches(other)) - 1 if first else 0
        if straight:
            return End(here, other, stretch, touch=True)
        turn = _turn(wall, mate) if not first else _turn(mate, wall)
        angle = 180.0 - abs(turn)
        if angle < LEAST_ANGLE - ANGLE_DUST or angle > 180.0 - LEAST_ANGLE + ANGLE_DUST:
            if not first:  # each corner is judged once, by the wall that comes to it
                x, y = wall.end
                found = f"'{wall.name}' and '{mate.name}' meet at {angle:.6g}° at ({x:.0f}, {y:.0f})"
                expected = "expected 30° to 150° between two plates, or 180° within 0.05° and 1 mm to carry straight on"
                self.faults.append(self.plan.fault(wall.path, found, expected))
            return None
        return End(here, other, stretch)

    def gap_at(self, number: int, at: float) -> Gap | None:
        """The gap that takes away the plate of a wall at a place on it."""
        return next((gap for gap in self.gaps.get(number, []) if gap.begin - 1e-9 <= at <= gap.end + 1e-9), None)

    def face_at(self, wall: Wall, mate: Wall, face: str, first: bool) -> float:
        """Where a plate that runs against a wall without a plate ends square: no edge passes the face."""
        outer, inner = sorted(mate.leaf, key=abs)
        line = Strip(mate.start, mate.direction, 0.0)
        pair = wall_strip(wall).crossing(line, inner if face == "inner" else outer)
        return max(pair) if first else min(pair)

    def cross_end(self, number: int, first: bool) -> End | None:
        wall = self.walls[number]
        point = wall.start if first else wall.end
        key = "from" if first else "to"
        here = 0.0 if first else wall.length
        holder = self.holder(number, point)
        if holder is None:
            place = f"({point[0]:g}, {point[1]:g})"
            found = f"'{wall.name}' ends in the air at {place}"
            expected = f"expected a point within {HELD:g} mm of the leaf of a wall{self.nearest_wall(number, point)}"
            self.faults.append(self.plan.fault((*wall.path, key), found, expected))
            return None
        mate = self.walls[holder]
        along = wall_strip(mate).place(point)[0]
        along = min(max(along, 0.0), mate.length)
        if in_line(wall, mate):
            return End(here, holder, self.stretch_at(holder, along), touch=True)
        angle = wall_strip(wall).angle(wall_strip(mate))
        if angle < LEAST_ANGLE - ANGLE_DUST:
            found = f"'{wall.name}' and '{mate.name}' meet at {angle:.6g}°"
            expected = "expected 30° to 150° between two plates"
            self.faults.append(self.plan.fault((*wall.path, key), found, expected))
            return None
        gap = self.gap_at(holder, along)
        if gap is not None:
            return End(self.face_of_cross(wall, mate, gap.face, first))
        return End(here, holder, self.stretch_at(holder, along))

    def face_of_cross(self, wall: Wall, mate: Wall, face: str, first: bool) -> float:
        """A cross wall against a wall without a plate: the outer face is the one beyond, the inner the one met."""
        strip = wall_strip(wall)
        line = Strip(mate.start, mate.direction, 0.0)
        pairs = [strip.crossing(line, offset) for offset in mate.leaf]
        pairs.sort(key=sum)
        beyond, met = (pairs[0], pairs[1]) if first else (pairs[1], pairs[0])
        pair = beyond if face == "outer" else met
        return max(pair) if first else min(pair)

    def stretch_at(self, number: int, along: float) -> int:
        for index, (begin, end) in enumerate(self.stretches(number)):
            low = -math.inf if begin is None else begin
            high = math.inf if end is None else end
            if low <= along <= high:
                return index
        return 0

    def holder(self, number: int, point: tuple[float, float]) -> int | None:
        """The wall whose leaf holds a point; of several, the one met most squarely."""
        place = ShapelyPoint(point)
        strip = wall_strip(self.walls[number])
        found = [
            int(other)
            for other in self.tree.query(place, predicate="dwithin", distance=HELD + DUST)
            if int(other) != number
        ]
        if not found:
            return None
        return min(found, key=lambda other: (-round(strip.angle(wall_strip(self.walls[other])), 6), other))

    def nearest_wall(self, number: int, point: tuple[float, float]) -> str:
        place = ShapelyPoint(point)
        others = [index for index in range(len(self.walls)) if index != number]
        if not others:
            return ""
        best = min(others, key=lambda index: self.leaves[index].distance(place))
        return f"; the nearest, '{self.walls[best].name}', is {self.leaves[best].distance(place):.0f} mm away"


def leaf_outline(plan: Plan, number: int) -> list[tuple[float, float]]:
    """The leaf of a wall in plan, mitred to its neighbours at the corners, mm."""
    wall = plan.walls[number]
    near, far = wall.leaf
    low = _mitre(plan, wall.before, number) if wall.shell is not None else (0.0, 0.0)
    high = _mitre(plan, number, wall.after) if wall.shell is not None else (0.0, 0.0)
    # a mitre moves the end of the leaf's inner edge along the wall by offset x tan(half the turn)
    return [
        wall.at(low[0] * near, near),
        wall.at(wall.length - high[0] * near, near),
        wall.at(wall.length - high[0] * far, far),
        wall.at(low[0] * far, far),
    ]


def _mitre(plan: Plan, one: int | None, other: int | None) -> Pair:
    if one is None or other is None:
        return 0.0, 0.0
    turn = _turn(plan.walls[one], plan.walls[other])
    if abs(turn) > 179.0:
        return 0.0, 0.0
    slope = math.tan(math.radians(turn) / 2)
    return slope, slope


def _turn(one: Wall, other: Wall) -> float:
    """The turn from one wall's direction to the next's, degrees, left positive."""
    (ax, ay), (bx, by) = one.direction, other.direction
    return math.degrees(math.atan2(ax * by - ay * bx, ax * bx + ay * by))


def end_pair(end: End, high: bool, strip: Strip, mate: Strip | None) -> Pair:
    """Where an end lies on ``strip``, which shares the wall's s; ``mate`` is the mate's strip."""
    if mate is None or end.touch:
        return end.at, end.at
    near, far = strip.crossings(mate)
    return far if high else near
