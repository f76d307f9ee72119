"""Loops of plates, shells by their outer corners and bays by their inner ones, and the diagonals that check them."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from shapely import LineString, Point, Polygon, prepare, unary_union

from platemodel.frame.bands import COLLINEAR_ANGLE
from platemodel.site.setting_ground import NEAR, Ground, project
from platemodel.site.setting_out_values import Check, Corner, Loop

XY = tuple[float, float]

STRAIGHT_ON = 0.5
"""A corner that turns by less is none (degrees)."""
LEAST_BAY = 1e4
"""A smaller opening between plates is no bay (mm2)."""
MOST_DIAGONALS = 8
"""Of a loop of many corners so many diagonals are given, the longest."""


class Loops(Ground):
    """Finds loops."""

    def shell_loops(self) -> Iterator[Loop]:
        """The outer corners of each shell's plates: round it, or from free end to free end."""
        for shell, name in enumerate(self.frame.plan.shells):
            walls = [index for index, wall in enumerate(self.walls) if wall.shell == shell]
            chains: list[list[Corner]] = [[]]
            broken = False
            for index in walls:
                wall = self.walls[index]
                if not chains[-1] and (wall.before is None or broken):
                    chains[-1] += self._free_end(index, first=True)
                after = wall.after
                point = None if after is None else wall.meeting(self.walls[after])
                if after is not None and point is None:
                    continue
                corner = None if point is None else self.corner_at(point)
                if corner is not None and "/" in corner.name:
                    chains[-1].append(corner)
                    continue
                broken = True
                chains[-1] += self._free_end(index, first=False)
                chains.append([])
            if not broken:
                yield from self._loop(f"shell '{name}', outer corners", chains[0], inner=False, closed=True)
                continue
            last = chains.pop()
            if last:
                # what goes on over the first wall's first corner; that wall's own chain begins at this corner
                chains[0] = last + chains[0]
            for chain in chains:
                yield from self._loop(f"shell '{name}', outer corners", chain, inner=False, closed=False)

    def _free_end(self, index: int, first: bool) -> list[Corner]:
        """The outer corner of the plate's first or last end on a wall."""
        wall = self.walls[index]
        ends = [
            self.frame.runs[item.run].strip.point(s, item.outer)
            for items in self.stretches.values()
            for item in items
            if item.wall == index
            for s in (item.begin, item.end)
        ]
        if not ends:
            return []
        point = (min if first else max)(ends, key=lambda end: project(wall.start, wall.end, end))
        return [Corner(point, f"{self.corner_at(point).name.split('/')[0]} end")]

    def bays(self) -> Iterator[Loop]:
        """The clear openings between plates, from the north-west, row by row."""
        union = unary_union([Polygon(run.outline) for run in self.frame.runs])
        parts = list(union.geoms) if hasattr(union, "geoms") else [union]
        holes = [Polygon(ring) for part in parts for ring in part.interiors]
        holes = [hole for hole in holes if hole.area >= LEAST_BAY]
        holes.sort(key=lambda hole: (-round(hole.bounds[3] / 500.0), hole.bounds[0], -hole.bounds[3]))
        for number, hole in enumerate(holes, start=1):
            points = _corners_of([(x, y) for x, y in hole.exterior.coords[:-1]])
            if len(points) >= 3:
                yield from self._loop(f"bay {number}", [self.corner_at(at) for at in points], inner=True, closed=True)

    def _loop(self, name: str, corners: Sequence[Corner], inner: bool, closed: bool) -> Iterator[Loop]:
        count = len(corners)
        if count < 3:
            return
        points = [corner.at for corner in corners]
        sides = [Check(corners[i], corners[(i + 1) % count]) for i in range(count if closed else count - 1)]
        angles = [_angle(points[i], points[i - 1], points[(i + 1) % count]) for i in range(count)]
        right = closed and count == 4 and all(abs(angle - 90.0) < COLLINEAR_ANGLE for angle in angles)
        yield Loop(name, inner, closed, right, tuple(corners), tuple(sides), tuple(_diagonals(corners, closed)))


def around(loop: Loop) -> Iterator[tuple[Corner, Corner, Corner]]:
    """Each corner of a loop with the one before and the one after it."""
    count = len(loop.corners)
    for index in range(count):
        if loop.closed or 0 < index < count - 1:
            yield loop.corners[index], loop.corners[index - 1], loop.corners[(index + 1) % count]


def _angle(at: XY, before: XY, after: XY) -> float:
    """The angle between the ways from a corner to its neighbours, degrees from 0 to 180."""
    one = before[0] - at[0], before[1] - at[1]
    other = after[0] - at[0], after[1] - at[1]
    return math.degrees(math.atan2(abs(one[0] * other[1] - one[1] * other[0]), one[0] * other[0] + one[1] * other[1]))


def _corners_of(points: Sequence[XY]) -> list[XY]:
    """The points of a ring at which it turns."""
    count = len(points)
    return [
        points[i]
        for i in range(count)
        if 180.0 - _angle(points[i], points[i - 1], points[(i + 1) % count]) > STRAIGHT_ON
    ]


def _diagonals(corners: Sequence[Corner], closed: bool) -> list[Check]:
    """Lines from corner to corner that lie inside and keep off the corners between, the longest."""
    count = len(corners)
    outline = Polygon([corner.at for corner in corners])
    if not outline.is_valid:
        return []
    inside = outline.buffer(NEAR, join_style="mitre")
    prepare(inside)
    reach = range(2, count) if count <= 24 else range(count // 2 - 1, count // 2 + 2)
    pairs = {tuple(sorted((one, (one + step) % count))) for one in range(count) for step in reach}
    found = []
    for one, other in sorted(pairs):
        between = other - one
        if between < 2 or (closed and between == count - 1):
            continue
        line = LineString([corners[one].at, corners[other].at])
        others = (corner.at for place, corner in enumerate(corners) if place not in (one, other))
        ends = not closed and (one, other) == (0, count - 1)
        if (ends or inside.covers(line)) and all(line.distance(Point(at)) > NEAR for at in others):
            found.append(Check(corners[one], corners[other]))
    found.sort(key=lambda item: -round(item.figure, 3))
    return found[: 2 if closed and count == 4 else min(MOST_DIAGONALS, max(count - 2, 1) + (not closed))]
