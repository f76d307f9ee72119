"""The ground that plates are bedded on: the tops of the walls as they were read, and what stands up on them.

Levels are mm: above the datum of a levelling book, or above the line of a laser. A wall's top is straight from one
place that was read to the next, and level beyond the last; a lintel stands above or below it by its own figure.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from platemodel.faults import Fault
from platemodel.frame.runs import Run, on_run
from platemodel.plan.site_values import Levels
from platemodel.plan.values import Opening, Plan, Wall
from platemodel.site.booking import Book, Row, bad_rows, book, exact

SAME_PLACE = 1.0
"""Readings no farther apart along a wall are of one place (mm)."""
AGREE = 5.0
"""Readings of one place agree within this (mm; common practice)."""
STEP = 200.0
"""Wall tops that differ by more are a slip, or plates at several levels (mm; common practice)."""


@dataclass(frozen=True)
class TopReading:
    """The level of a wall's top at a place along it, mm; ``station`` is its name in the book, or empty."""

    wall: int
    at: float
    level: float
    station: str


@dataclass(frozen=True)
class Tops:
    """The tops of the walls: by wall, places along it and their levels, mm, in order.

    ``readings`` are those that were taken, ``line`` is the level of the instrument's line as it stands last,
    ``odd`` what does not fit together, in words.
    """

    readings: tuple[TopReading, ...]
    by_wall: Mapping[int, tuple[tuple[float, float], ...]]
    line: float
    book: Book | None
    odd: tuple[str, ...]


@dataclass(frozen=True)
class Stretch:
    """A straight stretch of the ground under a run: from ``low`` to ``high`` on its strip, the level at both, mm.

    ``opening`` is the lintel that the plate lies on there, ``at_low`` and ``at_high`` the places along the wall.
    """

    low: float
    high: float
    level_low: float
    level_high: float
    wall: int
    at_low: float
    at_high: float
    opening: Opening | None

    def level(self, s: float) -> float:
        """The level at a place on the strip, mm."""
        return self.level_low + (self.level_high - self.level_low) * self._part(s)

    def at(self, s: float) -> float:
        """The place along the wall, mm."""
        return self.at_low + (self.at_high - self.at_low) * self._part(s)

    def _part(self, s: float) -> float:
        return (s - self.low) / (self.high - self.low)


def tops(plan: Plan, levels: Levels, carrying: Sequence[int]) -> Tops:
    """The tops of the walls; those by index in ``carrying`` must have been read.

    Raises :class:`~platemodel.faults.PlanError`.
    """
    if levels.book:
        made = _booked(plan, levels)
        line = float(made.lines[-1]) * 1000.0
        found = [
            TopReading(row.wall, row.at, float(item.adjusted) * 1000.0, row.station)
            for row, item in zip(levels.book, made.stations, strict=True)
            if row.wall is not None and row.at is not None
        ]
    else:
        made, line = None, 0.0
        found = [TopReading(item.wall, item.at, -item.down, "") for item in levels.laser]
    own, faults = _own(plan, levels, found)
    by_wall = {wall: _with_shared(plan, own, wall) for wall in range(len(plan.walls))}
    for wall in carrying:
        if not by_wall[wall]:
            name = plan.walls[wall].name
            what = f"no reading on the top of wall '{name}'"
            faults.append(plan.fault(levels.path, what, "expected at least one at each of its ends: read it too"))
    if not faults:
        faults = _too_far(plan, levels, own, carrying)
    if faults:
        raise plan.error(*faults)
    odd = tuple(itertools.chain(_corners_that_differ(plan, own), _read_once(plan, by_wall, carrying)))
    return Tops(tuple(found), by_wall, line, made, odd)


def _booked(plan: Plan, levels: Levels) -> Book:
    rows = [
        Row(
            row.station, *(None if it is None else exact(it) for it in (row.backsight, row.intermediate, row.foresight))
        )
        for row in levels.book
    ]
    bad = bad_rows(rows)
    if bad:
        faults = [
            plan.fault((*levels.book[it.row].path, it.column), f"{it.found} '{rows[it.row].station}'", it.expected)
            for it in bad
        ]
        raise plan.error(*faults)
    return book(rows, exact(levels.start), None if levels.close is None else exact(levels.close))


_Own = Mapping[int, Sequence[tuple[float, float]]]


def _own(plan: Plan, levels: Levels, found: Sequence[TopReading]) -> tuple[_Own, list[Fault]]:
    """Places and levels of each wall as read on it, those of one place as their mean."""
    own: dict[int, list[tuple[float, float]]] = {}
    faults = []
    for wall, group in itertools.groupby(sorted(found, key=lambda it: (it.wall, it.at)), key=lambda it: it.wall):
        readings = list(group)
        while readings:
            at = readings[0].at
            count = sum(it.at - at <= SAME_PLACE for it in readings)
            here, readings = [it.level for it in readings[:count]], readings[count:]
            if max(here) - min(here) > AGREE:
                what = f"wall '{plan.walls[wall].name}' at {at:g} was read {max(here) - min(here):.0f} mm apart"
                faults.append(plan.fault(levels.path, what, f"expected one level within {AGREE:g} mm: read it again"))
            own.setdefault(wall, []).append((at, sum(here) / len(here)))
    return own, faults


def _thickness(wall: Wall) -> float:
    return wall.leaf[1] - wall.leaf[0]


def _with_shared(plan: Plan, own: _Own, wall: int) -> tuple[tuple[float, float], ...]:
    """A wall's own readings, and those of the walls it meets where they meet, if it was not read there itself."""
    mine = own.get(wall, ())
    shared: dict[float, list[float]] = {}
    for other, readings in own.items():
        if other == wall:
            continue
        near = _thickness(plan.walls[other])
        for at, level in readings:
            here = _also_on(plan, other, at, wall)
            if here is not None and all(abs(place - here) > near for place, _ in mine):
                shared.setdefault(round(here, 6), []).append(level)
    return tuple(sorted([*mine, *((at, sum(found) / len(found)) for at, found in shared.items())]))


def _also_on(plan: Plan, other: int, at: float, wall: int) -> float | None:
    """Where along a wall a place of another lies, if it is on both: at a corner, or where a cross wall meets."""
    one, two = plan.walls[wall], plan.walls[other]
    if one.shell is not None and two.shell is not None:
        if one.before == other and at >= two.length - _thickness(one):
            return 0.0
        return one.length if one.after == other and at <= _thickness(one) else None
    x, y = two.at(at, sum(two.leaf) / 2)
    (ux, uy), (sx, sy) = one.direction, one.start
    along, off = (x - sx) * ux + (y - sy) * uy, (y - sy) * ux - (x - sx) * uy
    beyond = _thickness(two) + SAME_PLACE
    on = -beyond <= along <= one.length + beyond and one.leaf[0] - SAME_PLACE <= off <= one.leaf[1] + SAME_PLACE
    return min(max(along, 0.0), one.length) if on else None


def _too_far(plan: Plan, levels: Levels, own: _Own, carrying: Sequence[int]) -> list[Fault]:
    """A fault where the tops differ by so much that no bed makes it up."""
    found = [(level, wall, at) for wall in carrying for at, level in own.get(wall, ())]
    if not found:
        return []
    (low, *lowest), (high, *highest) = min(found), max(found)
    if high - low <= STEP:
        return []

    def place(wall: float, at: float) -> str:
        return f"'{plan.walls[int(wall)].name}' at {at:g}"

    what = f"wall tops {high - low:.0f} mm apart: {place(*highest)} high, {place(*lowest)} low"
    expected = f"expected at most {STEP:g} mm: read both again; plates at several levels need a plan each"
    return [plan.fault(levels.path, what, expected)]


def _corners_that_differ(plan: Plan, own: _Own) -> Iterator[str]:
    for number, wall in enumerate(plan.walls):
        if wall.after is None:
            continue
        after = plan.walls[wall.after]
        here = [level for at, level in own.get(number, ()) if at >= wall.length - _thickness(after)]
        there = [level for at, level in own.get(wall.after, ()) if at <= _thickness(wall)]
        if here and there and max(here + there) - min(here + there) > AGREE:
            apart = max(here + there) - min(here + there)
            yield f"corner {wall.name}/{after.name}: read {apart:.0f} mm apart on its two walls; read it again"


def _read_once(plan: Plan, by_wall: Mapping[int, Sequence[object]], carrying: Sequence[int]) -> Iterator[str]:
    for wall in carrying:
        if len(by_wall[wall]) == 1:
            yield f"{plan.walls[wall].name}: read at one place only, taken to be level; read its ends too"


def ground(plan: Plan, run: Run, found: Tops) -> tuple[Stretch, ...]:
    """The ground under a run, from its low end to its high end."""
    parts: list[Stretch] = []
    for wall, low, high in shares(plan, run):
        parts += _on_wall(plan, run, wall, low, high, found.by_wall[wall])
    return tuple(parts)


def shares(plan: Plan, run: Run) -> Iterator[tuple[int, float, float]]:
    """Each wall that a run serves, with where on the strip the run lies on it, one after the other."""
    bounds = [min(run.low)]
    for (wall, (_, end)), (following, (begin, _)) in itertools.pairwise(zip(run.walls, run.spans, strict=True)):
        # one wall's line ends where the next one's begins; both their plates reach past it
        last = max(on_run(plan, run, wall, at) for at in (0.0, plan.walls[wall].length))
        first = min(on_run(plan, run, following, at) for at in (0.0, plan.walls[following].length))
        bounds.append(min(max((last + first) / 2, min(begin, end)), max(begin, end)))
    bounds.append(max(run.high))
    for wall, (low, high) in zip(run.walls, itertools.pairwise(bounds), strict=True):
        if high > low:
            yield wall, low, high


def _on_wall(
    plan: Plan, run: Run, wall: int, low: float, high: float, top: Sequence[tuple[float, float]]
) -> Iterator[Stretch]:
    begin, end = on_run(plan, run, wall, 0.0), on_run(plan, run, wall, plan.walls[wall].length)
    slope = plan.walls[wall].length / (end - begin)

    def on_wall(s: float) -> float:
        return (s - begin) * slope

    lintels = [
        (min(ends), max(ends), it)
        for it in plan.openings_on(wall)
        if it.stands_up or it.dpc
        for ends in [(begin + it.begin / slope, begin + it.end / slope)]
    ]
    breaks = {begin + at / slope for at, _ in top} | {s for one, two, _ in lintels for s in (one, two)}
    places: list[float] = [low, *sorted(s for s in breaks if low < s < high), high]
    for one, two in itertools.pairwise(places):
        middle = (one + two) / 2
        over = [it for first, last, it in lintels if first < middle < last]
        lintel = max(over, key=lambda it: it.stands_up, default=None)
        up = 0.0 if lintel is None else lintel.stands_up
        at_one, at_two = on_wall(one), on_wall(two)
        yield Stretch(one, two, _between(top, at_one) + up, _between(top, at_two) + up, wall, at_one, at_two, lintel)


def _between(top: Sequence[tuple[float, float]], at: float) -> float:
    """The level at a place along a wall: straight from one place read to the next, level beyond the last."""
    if at <= top[0][0]:
        return top[0][1]
    for (one, low), (two, high) in itertools.pairwise(top):
        if at <= two:
            return low + (high - low) * (at - one) / (two - one)
    return top[-1][1]
