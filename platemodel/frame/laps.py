"""Laps: where two runs cross, what kind of lap that makes, and what each run loses to it.

P is the parallelogram in which two strips cross. A run that ends at the far edge of P has an end
lap there, its shoulder a clearance back from the mate's near edge; a run that carries on has a
housing, half a clearance wider than P on each side. Both end: a corner; one ends: a tee; none
ends: a cross.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shapely import Polygon, STRtree

from platemodel.faults import Fault
from platemodel.frame.bands import ANGLE_DUST, LEAST_ANGLE
from platemodel.frame.runs import Run
from platemodel.frame.strip import Pair, Point, area_between, least_between, shifted
from platemodel.plan.values import Plan

SNAP = 0.01
"""A plate that ends nearer than this to a mate's edge is made to end at that edge (mm)."""

SAME_LINE = 1e-6
"""Two crossing lines nearer than this are one (mm)."""

NO_AREA = 1e-3
"""Plates that share less than this in plan only touch (mm2)."""

LEAST_TIMBER = 1e-4
"""Less whole timber than this beside a lap is none (mm)."""


@dataclass(frozen=True)
class Side:
    """One run's side of a lap, along that run's strip (mm).

    ``low`` and ``high`` bound P; ``void_low`` and ``void_high`` bound what the run loses to the
    lap in one half of its depth: P and its clearance, as far as the run's end at an end lap.
    """

    run: int
    low: Pair
    high: Pair
    void_low: Pair
    void_high: Pair
    ends_low: bool
    ends_high: bool

    @property
    def ends(self) -> bool:
        """Whether the piece ends in this lap."""
        return self.ends_low or self.ends_high


@dataclass(frozen=True)
class Lap:
    """A joint of two pieces: ``kind`` is corner, tee, cross or splice.

    ``outline`` is P in plan, anticlockwise; ``angle`` the acute angle between the runs, degrees.
    """

    kind: str
    sides: tuple[Side, Side]
    outline: tuple[Point, ...]
    angle: float

    @property
    def middle(self) -> Point:
        """The middle of P."""
        return sum(x for x, _ in self.outline) / 4, sum(y for _, y in self.outline) / 4

    @property
    def area(self) -> float:
        """Area of P, mm2."""
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = self.outline
        return abs((cx - ax) * (dy - by) - (cy - ay) * (dx - bx)) / 2


def side_of(run: int, strip_runs: Sequence[Run], mate: int, clearance: float) -> Side:
    """What run ``run`` loses to a lap with run ``mate``."""
    here, there = strip_runs[run], strip_runs[mate]
    low, high = here.strip.crossings(there.strip)
    # clearance is measured square to the mate's edge, so along this run it is longer by 1/sine
    along = clearance / abs(here.strip.sine(there.strip))
    ends_low, ends_high = _same(low, here.low), _same(high, here.high)
    if ends_low:
        void = (here.low, shifted(high, along))
    elif ends_high:
        void = (shifted(low, -along), here.high)
    else:
        void = (shifted(low, -along / 2), shifted(high, along / 2))
    return Side(run, low, high, *void, ends_low, ends_high)


def _same(one: Pair, other: Pair, within: float = SAME_LINE) -> bool:
    return abs(one[0] - other[0]) <= within and abs(one[1] - other[1]) <= within


def laps(plan: Plan, runs: Sequence[Run]) -> tuple[list[Run], list[Lap], list[tuple[int, int]], list[Fault]]:
    """The corner, tee and cross laps of a frame.

    Gives the runs, their ends snapped to their mates' edges; the laps; the pairs of runs that only
    touch; and the faults.
    """
    pairs = _near(runs)
    runs = _snapped(runs, pairs)
    outlines = [Polygon(run.outline) for run in runs]
    found: list[Lap] = []
    touching: list[tuple[int, int]] = []
    faults: list[Fault] = []
    for one, other in pairs:
        shared = outlines[one].intersection(outlines[other]).area
        fault = _unfit(plan, runs, one, other, shared, outlines)
        if fault is not None:
            faults.append(fault)
        elif shared >= NO_AREA:
            found.append(_lap(plan, runs, one, other))
        elif outlines[one].distance(outlines[other]) <= SAME_LINE:
            touching.append((one, other))
    return runs, found, touching, faults + _crowded(plan, runs, found)


def _near(runs: Sequence[Run]) -> list[tuple[int, int]]:
    """Pairs of runs that overlap, or nearly touch, in plan."""
    outlines = [Polygon(run.outline) for run in runs]
    if not outlines:
        return []
    found = STRtree(outlines).query(outlines, predicate="dwithin", distance=SNAP).T.tolist()
    return sorted((one, other) for one, other in found if one < other)


def _snapped(runs: Sequence[Run], pairs: Sequence[tuple[int, int]]) -> list[Run]:
    """Runs whose ends lie just off a mate's edge, moved onto it."""
    found = list(runs)
    for one, other in pairs:
        for index, mate in ((one, other), (other, one)):
            run = found[index]
            if run.strip.angle(found[mate].strip) < LEAST_ANGLE - ANGLE_DUST:
                continue
            for edge in run.strip.crossings(found[mate].strip):
                if _same(edge, run.low, SNAP):
                    found[index] = run = replace(run, low=edge)
                elif _same(edge, run.high, SNAP):
                    found[index] = run = replace(run, high=edge)
    return found


def _lap(plan: Plan, runs: Sequence[Run], one: int, other: int) -> Lap:
    sides = (
        side_of(one, runs, other, plan.lap.clearance),
        side_of(other, runs, one, plan.lap.clearance),
    )
    kind = ("cross", "tee", "corner")[sides[0].ends + sides[1].ends]
    outline = runs[one].strip.corners(sides[0].low, sides[0].high)
    return Lap(kind, sides, outline, runs[one].strip.angle(runs[other].strip))


def run_names(plan: Plan, run: Run) -> str:
    """A run by the names of its walls, for a message."""
    return " + ".join(f"'{plan.walls[wall].name}'" for wall in dict.fromkeys(run.walls))


def _unfit(
    plan: Plan, runs: Sequence[Run], one: int, other: int, shared: float, outlines: Sequence[Polygon]
) -> Fault | None:
    """Why two runs that overlap or touch cannot be lapped, if so."""
    here, there = runs[one], runs[other]
    names = f"{run_names(plan, here)} and {run_names(plan, there)}"
    path = plan.walls[max(here.walls[0], there.walls[0])].path
    middle = outlines[one].intersection(outlines[other]).centroid
    place = "" if middle.is_empty else f" at ({middle.x:.0f}, {middle.y:.0f})"
    shells = [{plan.walls[wall].shell for wall in run.walls} - {None} for run in (here, there)]
    if shells[0] and shells[1] and shells[0] != shells[1]:
        return plan.fault(
            path, f"plates of two shells, {names}, meet{place}", "expected shells whose plates keep apart"
        )
    angle = here.strip.angle(there.strip)
    if angle < LEAST_ANGLE - ANGLE_DUST:
        if here.strip.angle(there.strip) <= 1.0:
            return plan.fault(path, f"plates lie side by side: {names}{place}", "expected plates that keep apart")
        return plan.fault(path, f"{names} meet at {angle:.6g}°{place}", "expected 30° to 150° between two plates")
    if shared < NO_AREA:
        return None
    for run, mate in ((here, there), (there, here)):
        low, high = run.strip.crossings(mate.strip)
        if _same(low, run.low) and _same(high, run.high):
            found = f"the plate of {run_names(plan, run)} is no longer than its lap with {run_names(plan, mate)}{place}"
            return plan.fault(path, found, "expected a longer wall")
        inside = least_between(run.low, low) >= -SAME_LINE and least_between(high, run.high) >= -SAME_LINE
        if not inside:
            found = f"only a part of a lap fits between {names}{place}: {run_names(plan, run)} ends in it"
            return plan.fault(path, found, "expected the plates to cross whole, or to keep apart")
    return None


def sides_by_run(laps: Sequence[Lap], count: int) -> list[list[tuple[Side, int]]]:
    """For each of ``count`` runs, the sides of laps on it in order along it, with the laps' indices."""
    found: list[list[tuple[Side, int]]] = [[] for _ in range(count)]
    for index, lap in enumerate(laps):
        for side in lap.sides:
            found[side.run].append((side, index))
    for sides in found:
        sides.sort(key=lambda item: (sum(item[0].low), item[1]))
    return found


def _crowded(plan: Plan, runs: Sequence[Run], laps: Sequence[Lap]) -> list[Fault]:
    """Faults of laps that overlap or touch one another, or break out at a plate's end."""
    faults = []
    for index, sides in enumerate(sides_by_run(laps, len(runs))):
        run = runs[index]
        for side, _ in sides:
            ends = []
            if not side.ends_low:
                ends.append(least_between(run.low, side.void_low))
            if not side.ends_high:
                ends.append(least_between(side.void_high, run.high))
            if min(ends, default=1.0) <= LEAST_TIMBER:
                faults.append(_too_near_end(plan, run, side))
        for (one, lap), (other, next_lap) in itertools.pairwise(sides):
            if least_between(one.void_high, other.void_low) <= LEAST_TIMBER:
                faults.append(_overlapping(plan, runs, run, laps[lap], laps[next_lap], one, other))
    return faults


def _too_near_end(plan: Plan, run: Run, side: Side) -> Fault:
    x, y = run.strip.point(sum(side.low) / 2, run.strip.width / 2)
    found = (
        f"the plate of {run_names(plan, run)} ends so near its lap at ({x:.0f}, {y:.0f}) that no whole timber is left"
    )
    return plan.fault(plan.walls[run.walls[0]].path, found, "expected it to end at the lap's far edge or well beyond")


def _overlapping(plan: Plan, runs: Sequence[Run], run: Run, lap: Lap, other: Lap, one: Side, two: Side) -> Fault:
    mates = [
        run_names(plan, runs[side.run]) for joint in (lap, other) for side in joint.sides if runs[side.run] is not run
    ]
    x, y = run.strip.point((sum(one.high) + sum(two.low)) / 4, run.strip.width / 2)
    place = f"at ({x:.0f}, {y:.0f})"
    path = plan.walls[max(run.walls[0], *(runs[side.run].walls[0] for side in (*lap.sides, *other.sides)))].path
    if least_between(one.high, two.low) < 0:
        found = f"three plates at one place {place}: {run_names(plan, run)}, {mates[0]} and {mates[-1]}"
        return plan.fault(path, found, "expected laps of two plates each, apart from one another")
    short = math.ceil(-least_between(one.void_high, two.void_low) + 1)
    found = f"on {run_names(plan, run)} the laps with {mates[0]} and {mates[-1]} overlap or touch {place}"
    return plan.fault(path, found, f"expected whole timber between them: {short} mm more at least")


def splice_lap(run: int, strip_run: Run, middle: float, length: float, clearance: float) -> Lap:
    """A lengthening lap about ``middle`` of a run; its first side is the piece on the low side."""
    low, high = middle - length / 2, middle + length / 2
    before = Side(run, (low, low), (high, high), (low - clearance,) * 2, (high, high), False, True)
    after = Side(run, (low, low), (high, high), (low, low), (high + clearance,) * 2, True, False)
    return Lap("splice", (before, after), strip_run.strip.corners((low, low), (high, high)), 0.0)


def gap_expected(plan: Plan, lap: Lap, runs: Sequence[Run]) -> float:
    """The void that the clearance makes in a lap, mm3: half the depth of each run's clearance strips."""
    total = 0.0
    for side in lap.sides:
        width = runs[side.run].strip.width
        total += area_between(side.void_low, side.void_high, width) - area_between(side.low, side.high, width)
    return total * plan.plate.depth / 2


__all__ = [
    "Lap",
    "Side",
    "gap_expected",
    "laps",
    "run_names",
    "side_of",
    "sides_by_run",
    "splice_lap",
]
