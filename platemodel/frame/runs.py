"""Runs: bands in line that touch or overlap are one straight plate line.

The longest band's line rules. A run is run through in a sense that does not depend on which way
its walls were drawn, so that a plan drawn the other way round gives the same pieces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely import Polygon, STRtree

from platemodel.faults import Fault
from platemodel.frame.bands import DUST, Band, end_pair, in_line
from platemodel.frame.strip import Pair, Strip, least_between
from platemodel.plan.values import Plan

TOUCH = 1.0 + DUST
"""Bands in line that are nearer than this touch (mm)."""


@dataclass(frozen=True)
class Run:
    """One straight continuous plate line, from ``low`` to ``high`` on its strip.

    ``walls`` are the indices of the walls it serves, in order along it, and ``spans`` where on the
    strip each wall's stretch begins and ends (mm).
    """

    strip: Strip
    low: Pair
    high: Pair
    walls: tuple[int, ...]
    spans: tuple[tuple[float, float], ...]

    @property
    def outline(self) -> tuple[tuple[float, float], ...]:
        """The uncut run in plan, anticlockwise."""
        return self.strip.corners(self.low, self.high)

    def turned(self) -> Run:
        """The same run, run through the other way."""
        return Run(
            self.strip.turned(),
            (-self.high[1], -self.high[0]),
            (-self.low[1], -self.low[0]),
            self.walls[::-1],
            tuple((-end, -begin) for begin, end in self.spans[::-1]),
        )


def runs(plan: Plan, bands: Sequence[Band]) -> tuple[list[Run], list[Fault]]:
    """Join bands into runs, in the order of their first walls in the plan."""
    groups = _groups(plan, bands)
    strips: list[Strip] = [band.strip for band in bands]
    faults: list[Fault] = []
    for group in groups:
        ruler = max(group, key=lambda index: (_length(bands[index], plan), -bands[index].wall))
        for index in group:
            strips[index] = bands[ruler].strip
        faults += _strays(plan, [bands[index].wall for index in group], bands[ruler].wall)
    where = {(band.wall, band.stretch): index for index, band in enumerate(bands)}
    found: list[Run] = []
    for group in groups:
        run = _run(plan, bands, group, strips, where)
        names = " + ".join(f"'{plan.walls[wall].name}'" for wall in dict.fromkeys(run.walls))
        shells = {plan.walls[wall].shell for wall in run.walls} - {None}
        wall = plan.walls[run.walls[0]]
        if len(shells) > 1:
            what = f"plates of two shells meet in line: {names}"
            faults.append(plan.fault(wall.path, what, "expected shells whose plates keep apart"))
        if least_between(run.low, run.high) <= 0:
            x, y = run.strip.point(sum(run.low) / 2, run.strip.width / 2)
            what = f"the plate of {names} is too short to build at ({x:.0f}, {y:.0f})"
            faults.append(plan.fault(wall.path, what, "expected a wall longer than the laps at its ends"))
        found.append(run)
    return found, faults


def _strays(plan: Plan, group: Sequence[int], ruler: int) -> list[Fault]:
    """Faults of walls that are in line with a neighbour each, but not with the longest, whose line rules."""
    faults = []
    for wall in dict.fromkeys(group):
        if not in_line(plan.walls[wall], plan.walls[ruler]):
            one, other = plan.walls[wall], plan.walls[ruler]
            found = f"'{one.name}' strays from the line of '{other.name}', with which it makes one plate"
            expected = "expected all its walls within 1 mm and 0.05° of the longest, or a corner of 30° to 150°"
            faults.append(plan.fault(one.path, found, expected))
    return faults


def _length(band: Band, plan: Plan) -> float:
    low = 0.0 if band.low.mate is not None else band.low.at
    high = plan.walls[band.wall].length if band.high.mate is not None else band.high.at
    return round(high - low, 3)


def _groups(plan: Plan, bands: Sequence[Band]) -> list[list[int]]:
    """Indices of bands that are one run, groups and members in the order of the plan."""
    strips = {(band.wall, band.stretch): band.strip for band in bands}
    extents = [_extent(band, band.strip, strips) for band in bands]
    boxes = [
        Polygon(band.strip.corners((low, low), (high, high))).buffer(2 * TOUCH)
        for band, (low, high) in zip(bands, extents, strict=True)
    ]
    parent = list(range(len(bands)))

    def root(index: int) -> int:
        while parent[index] != index:
            parent[index] = parent[parent[index]]
            index = parent[index]
        return index

    for one, other in STRtree(boxes).query(boxes, predicate="intersects").T.tolist() if boxes else []:
        if one < other and bands[one].wall != bands[other].wall and _joined(plan, bands, extents, one, other):
            low, high = sorted((root(one), root(other)))
            parent[high] = low
    groups: dict[int, list[int]] = {}
    for index in range(len(bands)):
        groups.setdefault(root(index), []).append(index)
    return list(groups.values())


def _extent(band: Band, strip: Strip, strips: dict[tuple[int, int], Strip]) -> tuple[float, float]:
    ends = []
    for high, end in ((False, band.low), (True, band.high)):
        mate = None if end.mate is None else strips.get((end.mate, end.stretch))
        pair = end_pair(end, high, strip, mate)
        ends.append(max(pair) if high else min(pair))
    return min(ends), max(ends)


def _joined(plan: Plan, bands: Sequence[Band], extents: Sequence[tuple[float, float]], one: int, other: int) -> bool:
    if not in_line(plan.walls[bands[one].wall], plan.walls[bands[other].wall]):
        return False
    strip = bands[one].strip
    places = [strip.place(bands[other].strip.point(s, strip.width / 2))[0] for s in extents[other]]
    low, high = extents[one]
    return min(places) <= high + TOUCH and max(places) >= low - TOUCH


def _run(
    plan: Plan,
    bands: Sequence[Band],
    group: Sequence[int],
    strips: Sequence[Strip],
    where: dict[tuple[int, int], int],
) -> Run:
    strip = strips[group[0]]
    lows: list[Pair] = []
    highs: list[Pair] = []
    spans: list[tuple[float, float, int]] = []
    for index in group:
        band = bands[index]
        along = band.strip.direction[0] * strip.direction[0] + band.strip.direction[1] * strip.direction[1] > 0
        pairs = []
        for high, end in ((False, band.low), (True, band.high)):
            mate_index = None if end.mate is None else where.get((end.mate, end.stretch))
            mate = None if mate_index is None else strips[mate_index]
            if mate is None or end.touch:
                s = strip.place(plan.walls[band.wall].at(end.at, sum(plan.walls[band.wall].band) / 2))[0]
                pairs.append((s, s))
            else:
                near, far = strip.crossings(mate)
                pairs.append(far if high == along else near)
        low, high_pair = pairs if along else pairs[::-1]
        lows.append(low)
        highs.append(high_pair)
        spans.append((sum(low) / 2, sum(high_pair) / 2, band.wall))
    spans.sort()
    return Run(
        strip,
        min(lows, key=sum),
        max(highs, key=sum),
        tuple(wall for _, _, wall in spans),
        tuple((begin, end) for begin, end, _ in spans),
    )


def on_run(plan: Plan, run: Run, wall: int, at: float) -> float:
    """Where on a run's strip a position on one of its walls lies, mm."""
    middle = sum(plan.walls[wall].band) / 2
    return run.strip.place(plan.walls[wall].at(at, middle))[0]


def run_at(plan: Plan, runs: Sequence[Run], wall: int, at: float) -> int | None:
    """The index of the run that carries a position of a wall, or None in a gap."""
    best: tuple[float, int] | None = None
    for index, run in enumerate(runs):
        if wall not in run.walls:
            continue
        s = on_run(plan, run, wall, at)
        miss = max(min(run.low) - s, s - max(run.high), 0.0)
        if best is None or miss < best[0]:
            best = (miss, index)
    return best[1] if best is not None and best[0] <= TOUCH else None
