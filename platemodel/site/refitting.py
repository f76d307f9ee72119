"""The plan fitted to the shell as built: its walls follow the faces as built, and spans stay parallel.

Walls of a shell that are parallel by design stay so, at the mean of their directions as built, each through the
middle of its face as built; walls that make one plate stay in one line. Corners are where the faces meet, in whole
mm. Lengths in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TypeVar

from platemodel.frame.bands import COLLINEAR_ANGLE, Band, bands, in_line, wall_strip
from platemodel.frame.runs import runs
from platemodel.plan.values import Gap, Opening, Plan, Wall
from platemodel.site.faces import SHORTEST, Line, best_turn

XY = tuple[float, float]
OnWall = TypeVar("OnWall", Gap, Opening)

OUT_OF_PARALLEL = 1.5
"""What whole millimetres of the corners may do to walls that are parallel, over the shorter one's length (mm)."""

AT_END = 1.0
"""What is nearer to a wall's end than this is at it (mm)."""


def refitted(plan: Plan, walls: Mapping[int, Line]) -> Plan:
    """A plan whose shells follow faces as built (by wall index, in the plan's coordinates), to be decided anew.

    Walls that were not measured are moved as one with the rest. What stands on a wall keeps its place in the
    building as designed, moved with it, but stays on its wall. Corners are rounded to whole mm but where walls so
    would no longer make the same plates, or be parallel.
    """
    given = {
        index: line
        for index, line in walls.items()
        if plan.walls[index].shell is not None and math.dist(*line) >= SHORTEST
    }
    if not given:
        return plan
    work = _Refit(plan, given)
    rounded = work.plan(whole=True)
    keeps = _plates(rounded) == _plates(plan) and _out_of_parallel(rounded, plan) <= OUT_OF_PARALLEL
    return rounded if keeps else work.plan(whole=False)


def _out_of_parallel(made: Plan, design: Plan) -> float:
    """How far walls of a shell that are parallel by design are out of that over the shorter one's length, mm."""
    worst = 0.0
    for (wall, now), (other, then) in itertools.combinations(zip(design.walls, made.walls, strict=True), 2):
        if wall.shell is not None and wall.shell == other.shell and abs(_cross(wall.direction, other.direction)) < 1e-9:
            worst = max(worst, abs(_cross(now.direction, then.direction)) * min(now.length, then.length))
    return worst


def _plates(plan: Plan) -> list[list[int]]:
    """Which walls make one plate."""
    return sorted(sorted(run.walls) for run in runs(plan, bands(plan)[0])[0])


class _Refit:
    def __init__(self, design: Plan, given: Mapping[int, Line]) -> None:
        self.design = design
        self.about, self.shift, self.turn = best_turn(design, given)
        self.given = {
            index: given.get(index) or (self.moved(wall.start), self.moved(wall.end))
            for index, wall in enumerate(design.walls)
        }
        self.bands: list[Band] = bands(design)[0]
        self.line_of = self._in_one_line()
        self.way = self._directions()
        self.offset = self._offsets()

    def moved(self, point: XY) -> XY:
        """Where a point of the design lies when the design is moved as one onto the faces as built."""
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        x, y = point[0] - self.about[0], point[1] - self.about[1]
        return (
            self.about[0] + self.shift[0] + x * cos - y * sin,
            self.about[1] + self.shift[1] + x * sin + y * cos,
        )

    def _in_one_line(self) -> list[int]:
        """For each wall the first of those whose plates lie in one line with its own."""
        walls = self.design.walls
        parent = _Groups(len(walls))
        for run in runs(self.design, self.bands)[0]:
            for one, other in zip(run.walls, run.walls[1:], strict=False):
                parent.join(one, other)
        for index, wall in enumerate(walls):
            if wall.after is not None and in_line(wall, walls[wall.after]):
                parent.join(index, wall.after)
        return parent.roots()

    def _directions(self) -> list[XY]:
        """A direction for each wall: the mean of the faces as built that are parallel to it in its shell."""
        walls = self.design.walls
        parent = _Groups(len(walls))
        for index, first in enumerate(self.line_of):
            parent.join(index, first)
        order = sorted(range(len(walls)), key=lambda index: (walls[index].shell is None, index))
        for place, one in enumerate(order):
            for other in order[:place]:
                alone = walls[one].shell is not None and walls[one].shell != walls[other].shell
                if not alone and wall_strip(walls[one]).angle(wall_strip(walls[other])) <= COLLINEAR_ANGLE:
                    parent.join(one, other)
                    break
        groups = parent.roots()
        sums: dict[int, list[float]] = {}
        for index, wall in enumerate(walls):
            if wall.shell is None:
                continue
            total = sums.setdefault(groups[index], [0.0, 0.0])
            (ax, ay), (bx, by) = self.given[index]
            ux, uy = walls[groups[index]].direction
            sense = 1.0 if ux * wall.direction[0] + uy * wall.direction[1] > 0 else -1.0
            total[0] += sense * (bx - ax)
            total[1] += sense * (by - ay)
        cos, sin = math.cos(self.turn), math.sin(self.turn)
        found = []
        for index, wall in enumerate(walls):
            ux, uy = wall.direction
            vx, vy = sums.get(groups[index], [0.0, 0.0])
            size = math.hypot(vx, vy)
            if size < SHORTEST:
                # a cross wall that is parallel to nothing of a shell
                found.append((ux * cos - uy * sin, ux * sin + uy * cos))
                continue
            sense = 1.0 if _dot(wall.direction, walls[groups[index]].direction) > 0 else -1.0
            found.append((sense * vx / size, sense * vy / size))
        return found

    def _offsets(self) -> list[float]:
        """For each wall how far the line of its plate's middle is to the left of its direction, from the origin."""
        walls = self.design.walls
        places: dict[int, list[tuple[float, float]]] = {}
        for index, wall in enumerate(walls):
            first = self.line_of[index]
            ux, uy = self.way[first]
            sense = 1.0 if ux * self.way[index][0] + uy * self.way[index][1] > 0 else -1.0
            (ax, ay), (bx, by) = self.given[index]
            middle = (ax + bx) / 2, (ay + by) / 2
            off = ux * middle[1] - uy * middle[0] + sense * sum(wall.band) / 2
            # a cross wall's face is not measured: where it shares a line with a wall of a shell, that one rules
            weight = wall.length if wall.shell is not None else 1e-9 * wall.length
            places.setdefault(first, []).append((off, weight))
        means = {
            first: sum(off * weight for off, weight in group) / sum(weight for _, weight in group)
            for first, group in places.items()
        }
        found = []
        for index in range(len(walls)):
            first = self.line_of[index]
            sense = 1.0 if _dot(self.way[first], self.way[index]) > 0 else -1.0
            found.append(sense * means[first])
        return found

    def face(self, index: int, aside: float = 0.0) -> tuple[XY, XY]:
        """A point of a wall's line, ``aside`` to its left, and its direction."""
        ux, uy = self.way[index]
        off = self.offset[index] - sum(self.design.walls[index].band) / 2 + aside
        return (-uy * off, ux * off), (ux, uy)

    def corner(self, index: int, other: int, as_built: XY) -> XY:
        """Where two walls' faces meet; where they are in one line, the place on it nearest to the corner as built."""
        if self.line_of[index] == self.line_of[other] or abs(_cross(self.way[index], self.way[other])) < 1e-3:
            return _onto(self.face(index), as_built)
        return _meet(self.face(index), self.face(other))

    def plan(self, whole: bool) -> Plan:
        """The plan anew."""
        design = self.design
        walls: list[Wall] = []
        for index, wall in enumerate(design.walls):
            start, end = self.given[index]
            if wall.shell is None:
                start, end = (self._cross_end(index, first) for first in (True, False))
            else:
                # a corner is worked out once, by the wall that comes to it
                start = _onto(self.face(index), start) if wall.before is None else self._after(wall.before)
                end = _onto(self.face(index), end) if wall.after is None else self._after(index)
            walls.append(
                replace(wall, start=_whole(start), end=_whole(end)) if whole else replace(wall, start=start, end=end)
            )
        return replace(
            design,
            walls=tuple(walls),
            gaps=tuple(self._stretch(item, walls) for item in design.gaps),
            openings=tuple(self._stretch(item, walls) for item in design.openings),
            splices=tuple(replace(item, at=self._at(item.wall, item.at, walls)) for item in design.splices),
            bearings=tuple(replace(item, at=self._at(item.wall, item.at, walls)) for item in design.bearings),
        )

    def _after(self, index: int) -> XY:
        """The corner at the end of a wall."""
        after = self.design.walls[index].after
        assert after is not None
        one, other = self.given[index][1], self.given[after][0]
        return self.corner(index, after, ((one[0] + other[0]) / 2, (one[1] + other[1]) / 2))

    def _cross_end(self, index: int, first: bool) -> XY:
        """An end of a cross wall: where its line meets the wall that holds it, as far off that wall as planned."""
        wall = self.design.walls[index]
        point = wall.start if first else wall.end
        found = [band for band in self.bands if band.wall == index]
        end = None if not found else found[0].low if first else found[-1].high
        if end is not None and end.mate is not None and abs(_cross(self.way[index], self.way[end.mate])) > 1e-3:
            mate = self.design.walls[end.mate]
            ux, uy = mate.direction
            aside = ux * (point[1] - mate.start[1]) - uy * (point[0] - mate.start[0])
            return _meet(self.face(index), self.face(end.mate, aside))
        return _onto(self.face(index), self.moved(point))

    def _at(self, index: int, at: float, walls: Sequence[Wall]) -> float:
        """Where on a wall as it is now something is that was planned at a place on it."""
        old, new = self.design.walls[index], walls[index]
        if at <= AT_END:
            return at
        if at >= old.length - AT_END:
            return max(0.0, new.length - (old.length - at))
        x, y = self.moved(old.at(at))
        ux, uy = new.direction
        return min(max(0.0, float(round((x - new.start[0]) * ux + (y - new.start[1]) * uy))), new.length)

    def _stretch(self, item: OnWall, walls: Sequence[Wall]) -> OnWall:
        """A gap or an opening on its wall as it is now."""
        return replace(item, begin=self._at(item.wall, item.begin, walls), end=self._at(item.wall, item.end, walls))


class _Groups:
    """Numbers that belong together, each group known by its least."""

    def __init__(self, count: int) -> None:
        self._parent = list(range(count))

    def root(self, number: int) -> int:
        while self._parent[number] != number:
            number = self._parent[number]
        return number

    def join(self, one: int, other: int) -> None:
        low, high = sorted((self.root(one), self.root(other)))
        self._parent[high] = low

    def roots(self) -> list[int]:
        return [self.root(number) for number in range(len(self._parent))]


def _dot(one: XY, other: XY) -> float:
    return one[0] * other[0] + one[1] * other[1]


def _cross(one: XY, other: XY) -> float:
    return one[0] * other[1] - one[1] * other[0]


def _meet(one: tuple[XY, XY], other: tuple[XY, XY]) -> XY:
    """Where two lines, each a point and a direction, meet."""
    (ax, ay), u = one
    (bx, by), v = other
    along = _cross((bx - ax, by - ay), v) / _cross(u, v)
    return ax + along * u[0], ay + along * u[1]


def _onto(line: tuple[XY, XY], point: XY) -> XY:
    """The place on a line that is nearest to a point."""
    (ax, ay), u = line
    along = _dot((point[0] - ax, point[1] - ay), u)
    return ax + along * u[0], ay + along * u[1]


def _whole(point: XY) -> XY:
    return float(round(point[0])), float(round(point[1]))
