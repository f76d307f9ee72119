"""Figures to set the plates out by: what to mark on the blockwork, in which order, and what to check.

Lengths in mm, angles in degrees. Places are in the plan's coordinates as designed; setbacks are from the outer
faces as built, with the frame set on them.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from shapely import LineString, Point, Polygon, STRtree, prepare, unary_union

from platemodel.frame.bands import COLLINEAR_ANGLE
from platemodel.frame.runs import Run
from platemodel.frame.tape import whole
from platemodel.frame.values import Frame
from platemodel.plan.values import Wall
from platemodel.site.fitting import Placed, Stretch, fit_words, place, stretches
from platemodel.site.triangles import Triangle, triangle

XY = tuple[float, float]

METRE = 1000.0
TOGETHER = 25.0
"""Marks nearer than this along a plate are one (mm)."""
NEAR = 1.0
"""A place within this of a plate's edge is on it (mm)."""
STRAIGHT_ON = 0.5
"""A corner that turns by less is none (degrees)."""
LEAST_BAY = 1e4
"""A smaller opening between plates is no bay (mm2)."""
MOST_DIAGONALS = 8
"""Of a loop of many corners so many diagonals are given, the longest."""
FACING = 600.0
"""Parallel plates that run beside each other for less are no span (mm)."""

PUBLISHED = (
    "Straight on plan: within 8 mm in any 5 m (NHBC Standards 2011, 1.2-S1); 10 mm in any 5 m (LABC Warranty "
    "Technical Manual V7, chapter 1)",
    "For plates out of square no published limit was found",
)
"""What is published beside the settings."""


@dataclass(frozen=True)
class Limits:
    """How far out a diagonal, and a span between plates that carry, may be (mm); both common practice."""

    diagonal: float = 5.0
    span: float = 6.0


@dataclass(frozen=True)
class Mark:
    """A mark to make on a wall.

    ``along`` is from the plate's datum end along its outer edge, ``taped`` along the wall's outer face as built from
    the corner on that side (of a cross wall, along its line as designed). ``setback`` is from the outer face to the
    plate's outer edge, ``inner`` from the plate's inner edge to the inner face, both below 0 where the plate stands
    past the face; of a cross wall they are from its two faces as designed. ``what`` says what is there, ``place`` is
    on the plate's outer edge and ``off`` beyond its inner edge as seen from there (a unit vector).
    """

    number: int
    wall: int
    along: float
    taped: float
    setback: float
    inner: float
    what: tuple[str, ...]
    place: XY
    off: XY


@dataclass(frozen=True)
class Start:
    """Of a wall: the ``corner`` from which its marks are taped, and the ``face`` from which they are set off."""

    wall: int
    corner: str
    face: str


@dataclass(frozen=True)
class Plate:
    """The marks of one plate line; ``starts`` says for each of its walls from where its marks are taped and set off."""

    run: int
    letter: str
    walls: tuple[int, ...]
    pieces: tuple[str, ...]
    length: float
    starts: tuple[Start, ...]
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Corner:
    """A place to hook the tape on, and the marks of the pieces that meet there."""

    at: XY
    name: str


@dataclass(frozen=True)
class Check:
    """A length to check from one corner to another."""

    one: Corner
    other: Corner

    @property
    def figure(self) -> float:
        """Its length, mm."""
        return math.dist(self.one.at, self.other.at)


@dataclass(frozen=True)
class Loop:
    """Corners round a bay (the plates' inner corners) or round a shell (their outer corners).

    ``closed``: they close; else the last side of an open shell is only taped. ``right``: four right angles.
    """

    name: str
    inner: bool
    closed: bool
    right: bool
    corners: tuple[Corner, ...]
    sides: tuple[Check, ...]
    diagonals: tuple[Check, ...]


@dataclass(frozen=True)
class Span:
    """A front-to-back dimension: two parallel plates, the clear and the overall distance at both ends, and who lands.

    ``ends`` are along the first plate from its datum end.
    """

    one: int
    other: int
    ends: tuple[float, float]
    clear: tuple[float, float]
    overall: tuple[float, float]
    carries: str


@dataclass(frozen=True)
class Apart:
    """How a part of the frame that is lapped to no earlier one is set out from it.

    ``gap`` is the least clear distance between their plates. ``ties`` are lengths from the ends of the earlier datum
    plate; ``offsets`` are, for each corner, how far along that plate's outer edge and how far out from it.
    """

    letters: tuple[str, ...]
    base: str
    gap: float
    ties: tuple[Check, ...]
    offsets: tuple[tuple[Corner, float, float], ...]


@dataclass(frozen=True)
class Step:
    """A step of the work, and the plates it is about."""

    words: str
    runs: tuple[int, ...] = ()


@dataclass(frozen=True)
class SettingOut:
    """All figures to set a frame out by; ``plates`` in the order of the work."""

    placed: Placed
    limits: Limits
    plates: tuple[Plate, ...]
    loops: tuple[Loop, ...]
    triangles: tuple[Triangle, ...]
    spans: tuple[Span, ...]
    aparts: tuple[Apart, ...]
    steps: tuple[Step, ...]
    words: tuple[str, ...] = field(default=())


def setting_out(frame: Frame, placed: Placed | None = None, limits: Limits | None = None) -> SettingOut:
    """The figures of a frame, set on the shell as ``placed`` says, or as designed."""
    placed = place(frame) if placed is None else placed
    limits = limits or Limits()
    work = _Figures(frame, placed)
    order, parts = work.order()
    plates = work.plates([run for part in order for run in part])
    shells = list(work.shell_loops())
    loops = [*shells, *work.bays()]
    spans = tuple(work.spans())
    aparts = tuple(work.aparts(order))
    corners = tuple(
        found
        for loop in shells
        for here, before, after in _round(loop)
        if (found := triangle(here.name, work.legs(here.at, before.at, after.at), here.at, before.at, after.at))
        is not None
    )
    steps = tuple(work.steps(order, parts, plates, corners, spans, aparts, loops, limits))
    return SettingOut(
        placed, limits, plates, tuple(loops), corners, spans, aparts, steps, tuple(fit_words(frame.plan, placed))
    )


def _round(loop: Loop) -> Iterator[tuple[Corner, Corner, Corner]]:
    """Each corner of a loop with the one before and the one after it."""
    count = len(loop.corners)
    for index in range(count):
        if loop.closed or 0 < index < count - 1:
            yield loop.corners[index], loop.corners[index - 1], loop.corners[(index + 1) % count]


class _Figures:
    """What the figures of a frame are worked out from."""

    def __init__(self, frame: Frame, placed: Placed) -> None:
        self.frame, self.placed, self.walls = frame, placed, frame.plan.walls
        self.stretches: dict[int, list[Stretch]] = {}
        for item in stretches(frame):
            self.stretches.setdefault(item.run, []).append(item)
        self.outlines = [Polygon(frame.runs[p.run].strip.corners(p.low, p.high)) for p in frame.pieces]
        self.tree = STRtree(self.outlines)
        self.on_run: dict[int, list[int]] = {}
        for index, piece in enumerate(frame.pieces):
            self.on_run.setdefault(piece.run, []).append(index)

    def corner_at(self, point: XY) -> Corner:
        """A corner, named by the pieces there, at most one of each of two plates."""
        near = self.tree.query(Point(point), predicate="dwithin", distance=NEAR).tolist()
        names: dict[int, str] = {}
        for index in sorted(near):
            names.setdefault(self.frame.pieces[index].run, self.frame.pieces[index].mark)
        return Corner(point, "/".join(sorted(names.values())[:2]))

    def legs(self, at: XY, before: XY, after: XY) -> tuple[str, str]:
        """The letters of the plates that lead from a corner towards two places."""
        near = self.tree.query(Point(at), predicate="dwithin", distance=NEAR).tolist()
        runs = sorted({self.frame.pieces[index].run for index in near})
        found = []
        for x, y in (before, after):
            size = math.dist(at, (x, y))

            def off(run: int, way: XY = ((x - at[0]) / size, (y - at[1]) / size)) -> float:
                ux, uy = self.frame.runs[run].strip.direction
                return abs(ux * way[1] - uy * way[0])

            found.append(self.frame.letters[min(runs, key=off)])
        return found[0], found[1]

    # ---- order

    def order(self) -> tuple[list[list[int]], list[list[tuple[str, list[int]]]]]:
        """Parts of the frame that hang together, the datum's first, each as runs in order and by what is done."""
        links: dict[int, set[int]] = {run: set() for run in range(len(self.frame.runs))}
        ends: dict[int, set[int]] = {run: set() for run in links}
        for joint in self.frame.joints:
            one, other = (side.run for side in joint.lap.sides)
            if one != other:
                links[one].add(other)
                links[other].add(one)
                if joint.lap.kind == "corner":
                    ends[one].add(other)
                    ends[other].add(one)
        start = self.frame.plan.laying.start
        first = next((run for run in links if start is not None and start in self.frame.runs[run].walls), None)
        left = set(links)
        groups = []
        while left:
            datum = first if first in left else min(left, key=self._rank)
            part = {datum}
            ahead = [datum]
            while ahead:
                more = links[ahead.pop()] - part
                part |= more
                ahead += sorted(more)
            if datum is not first:
                datum = min(part, key=self._rank)
            groups.append(self._part(datum, part, ends))
            left -= part
        return [[run for _, runs in group for run in runs] for group in groups], groups

    def _rank(self, run: int) -> tuple[bool, float, int]:
        """The longest plate of a shell first."""
        line = self.frame.runs[run]
        return run not in self.stretches, -round(_length(line), 3), run

    def _part(self, datum: int, part: set[int], ends: dict[int, set[int]]) -> list[tuple[str, list[int]]]:
        square = sorted(ends[datum] & part, key=self._rank)
        strip = self.frame.runs[datum].strip
        outer = [run for run in part if run in self.stretches and run != datum and run not in square]
        parallel = [run for run in outer if strip.angle(self.frame.runs[run].strip) <= COLLINEAR_ANGLE]
        rest = [run for run in outer if run not in parallel]
        cross = [run for run in part if run not in self.stretches and run != datum and run not in square]
        named = (("datum", [datum]), ("square", square), ("parallel", parallel), ("rest", rest), ("cross", cross))
        return [
            (name, runs if name in ("datum", "square") else sorted(runs, key=self._rank))
            for name, runs in named
            if runs
        ]

    # ---- marks

    def plates(self, order: Sequence[int]) -> tuple[Plate, ...]:
        """Every plate's marks, numbered through in the order of the work."""
        found = []
        number = 1
        for run in order:
            plate = self._plate(run, number)
            number += len(plate.marks)
            found.append(plate)
        return tuple(found)

    def _plate(self, index: int, number: int) -> Plate:
        frame, run = self.frame, self.frame.runs[index]
        back = self._datum_at_high(index)
        here = self.stretches.get(index, [])
        edge = 0 if not here or here[0].outer == 0.0 else 1
        low, high = run.low[edge], run.high[edge]
        spots: list[tuple[float, str]] = [(low, "end"), (high, "end")]
        if here:
            count = math.ceil((high - low) / METRE) - 1
            for metre in range(1, count + 1):
                s = high - metre * METRE if back else low + metre * METRE
                spots.append((s, f"{metre} m"))
        spots += self._laps_on(index, edge)
        spots.sort(key=lambda spot: (-spot[0] if back else spot[0], spot[1]))
        groups: list[tuple[float, list[str]]] = []
        for s, word in spots:
            if groups and abs(groups[-1][0] - s) < TOGETHER:
                groups[-1][1].append(word)
                if word == "end":
                    groups[-1] = (s, groups[-1][1])
            else:
                groups.append((s, [word]))
        datum = high if back else low
        marks = tuple(
            self._mark(index, s, abs(s - datum), tuple(words), number + place, back)
            for place, (s, words) in enumerate(groups)
        )
        walls = tuple(dict.fromkeys(run.walls[::-1] if back else run.walls))
        pieces = sorted(self.on_run.get(index, []), key=lambda p: sum(frame.pieces[p].low), reverse=back)
        return Plate(
            index,
            frame.letters[index],
            walls,
            tuple(frame.pieces[p].mark for p in pieces),
            high - low,
            tuple(self._start(index, wall, back) for wall in walls),
            marks,
        )

    def _laps_on(self, index: int, edge: int) -> Iterator[tuple[float, str]]:
        """Where the laps of a run lie along an edge of it, and what each is with."""
        run = self.frame.runs[index]
        for joint in self.frame.joints:
            side = next((side for side in joint.lap.sides if side.run == index), None)
            if side is None:
                continue
            marks = sorted(self.frame.pieces[p].mark for p in (joint.under, joint.over))
            middle = (side.low[edge] + side.high[edge]) / 2
            if joint.lap.kind == "splice":
                yield middle, f"splice {'/'.join(marks)}"
                continue
            mate = next(p for p in (joint.under, joint.over) if self.frame.pieces[p].run != index)
            at = run.low[edge] if side.ends_low else run.high[edge] if side.ends_high else middle
            yield at, f"lap {self.frame.pieces[mate].mark}"

    def _datum_at_high(self, index: int) -> bool:
        """Whether the tape begins at the run's high end: where the datum end of its last piece is, and none at low."""
        pieces = [self.frame.pieces[p] for p in self.on_run.get(index, [])]
        if not pieces:
            return False
        first, last = min(pieces, key=lambda p: sum(p.low)), max(pieces, key=lambda p: sum(p.low))
        return first.turn.round and last.turn.round

    def _stretch_at(self, index: int, s: float) -> Stretch | None:
        """The stretch on a wall of a shell at a place along a run, if that is nearer than any cross wall's."""
        run = self.frame.runs[index]

        def miss(at: int) -> tuple[float, bool]:
            begin, end = run.spans[at]
            return max(begin - s, s - end, 0.0), self.walls[run.walls[at]].shell is None

        best = min(range(len(run.walls)), key=miss)
        return next((item for item in self.stretches.get(index, []) if item.wall == run.walls[best]), None)

    def _mark(self, index: int, s: float, along: float, what: tuple[str, ...], number: int, back: bool) -> Mark:
        run = self.frame.runs[index]
        strip = run.strip
        item = self._stretch_at(index, s)
        ux, uy = strip.direction
        if item is None:
            nearest = min(range(len(run.walls)), key=lambda at: max(run.spans[at][0] - s, s - run.spans[at][1], 0.0))
            wall = self.walls[run.walls[nearest]]
            begin, end = ((wall.start, wall.end), (wall.end, wall.start))[_along(wall, run) == back]
            taped = _project(begin, end, strip.point(s, strip.width / 2))
            # a cross wall's faces as designed: the one at the run's right edge first
            right, left = wall.band[0] - wall.leaf[0], wall.leaf[1] - wall.band[1]
            one, other = (right, left) if _along(wall, run) else (left, right)
            return Mark(number, run.walls[nearest], along, taped, one, other, what, strip.point(s, 0.0), (-uy, ux))
        wall = self.walls[item.wall]
        outer, inner = strip.point(s, item.outer), strip.point(s, item.inner)
        far = self.placed.off(item.wall, inner)
        begin, end = self.placed.faces[item.wall]
        taped = self.placed.along(item.wall, outer)
        if _along(wall, run) == back:
            taped = math.dist(begin, end) - taped
        if not -NEAR <= taped <= math.dist(begin, end) + NEAR:
            what = (*what, "past the corner")
        sign = 1.0 if item.inner > item.outer else -1.0
        return Mark(
            number,
            item.wall,
            along,
            taped,
            self.placed.off(item.wall, outer),
            wall.leaf[1] - wall.leaf[0] - far,
            what,
            outer,
            (-sign * uy, sign * ux),
        )

    def _start(self, index: int, number: int, back: bool) -> Start:
        """From where the marks of a plate on one of its walls are taped, and from which face they are set off."""
        run, wall = self.frame.runs[index], self.walls[number]
        first = _along(wall, run) != back
        if wall.shell is None:
            ux, uy = run.strip.direction
            sign = -1.0 if first else 1.0
            where = compass((sign * wall.direction[0], sign * wall.direction[1]))
            return Start(number, f"its {where} end", f"{compass((uy, -ux))} face")
        beside = wall.before if first else wall.after
        name = f"the open end of {wall.name}" if beside is None else f"corner {self.walls[beside].name}/{wall.name}"
        return Start(number, name, "outer face")

    # ---- loops

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
                point = None if after is None else _meeting(wall, self.walls[after])
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
        point = (min if first else max)(ends, key=lambda end: _project(wall.start, wall.end, end))
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

    # ---- spans and parts

    def spans(self) -> Iterator[Span]:
        """Between parallel plates that carry bearings; where no two do, between opposite plates of each shell."""
        carried: dict[int, list[str]] = {}
        for bearing in self.frame.plan.bearings:
            for index, run in enumerate(self.frame.runs):
                if bearing.wall in run.walls:
                    names = carried.setdefault(index, [])
                    if bearing.name not in names:
                        names.append(bearing.name)
                    break
        found = list(self._facing(sorted(carried)))
        if found:
            for one, other in found:
                names = list(dict.fromkeys(_plain(n) for n in carried[one] + carried[other]))
                yield self._span(one, other, ", ".join(names[:3]) + (" …" if len(names) > 3 else ""))
            return
        for one, other in self._facing(sorted(self.stretches)):
            shells = [{item.wall for item in self.stretches[run]} for run in (one, other)]
            if {self.walls[w].shell for w in shells[0]} & {self.walls[w].shell for w in shells[1]}:
                yield self._span(one, other, "no two parallel plates carry in the plan")

    def _facing(self, runs: Sequence[int]) -> Iterator[tuple[int, int]]:
        """Pairs of parallel runs beside each other with none of the others between them."""
        pairs = [(a, b) for a, b in itertools.combinations(runs, 2) if self._beside(a, b) is not None]
        for one, other in pairs:
            near = self._beside(one, other)
            assert near is not None
            far = abs(self._across(one, other))
            between = any(
                third not in (one, other)
                and (over := self._beside(one, third)) is not None
                and 0.0 < self._across(one, third) / self._across(one, other) < 1.0
                and abs(self._across(one, third)) < far
                and min(near[1], over[1]) - max(near[0], over[0]) > (near[1] - near[0]) / 2
                for third in runs
            )
            if not between:
                yield one, other

    def _across(self, one: int, other: int) -> float:
        """How far another run's middle lies to the left of a run's."""
        strip, there = self.frame.runs[one].strip, self.frame.runs[other]
        middle = there.strip.point((sum(there.low) + sum(there.high)) / 4, there.strip.width / 2)
        return strip.place(middle)[1] - strip.width / 2

    def _beside(self, one: int, other: int) -> tuple[float, float] | None:
        """Over which stretch of a run a parallel one lies beside it."""
        here, there = self.frame.runs[one], self.frame.runs[other]
        if here.strip.angle(there.strip) > COLLINEAR_ANGLE or abs(self._across(one, other)) < here.strip.width:
            return None
        ends = sorted(here.strip.place(there.strip.point(sum(s) / 2, 0.0))[0] for s in (there.low, there.high))
        low, high = max(ends[0], sum(here.low) / 2), min(ends[1], sum(here.high) / 2)
        return (low, high) if high - low >= FACING else None

    def _span(self, one: int, other: int, carries: str) -> Span:
        here, there = self.frame.runs[one], self.frame.runs[other]
        beside = self._beside(one, other)
        assert beside is not None
        clear, overall = [], []
        for s in beside:
            middle = here.strip.point(s, here.strip.width / 2)
            t = there.strip.place(middle)[1]
            centres = abs(t - there.strip.width / 2)
            half = (here.strip.width + there.strip.width) / 2
            clear.append(centres - half)
            overall.append(centres + half)
        back = self._datum_at_high(one)
        datum = sum(here.high if back else here.low) / 2
        ends = sorted(abs(s - datum) for s in beside)
        return Span(
            one,
            other,
            (ends[0], ends[1]),
            (clear[0], clear[1]) if not back else (clear[1], clear[0]),
            (overall[0], overall[1]) if not back else (overall[1], overall[0]),
            carries,
        )

    def _ends_of(self, run: int) -> list[Corner]:
        """The outer corners at both ends of a plate line."""
        line = self.frame.runs[run]
        edge = 0 if run not in self.stretches or self.stretches[run][0].outer == 0.0 else 1
        points = [line.strip.point(end[edge], edge * line.strip.width) for end in (line.low, line.high)]
        return [self.corner_at(point) for point in points]

    def aparts(self, order: Sequence[Sequence[int]]) -> Iterator[Apart]:
        """How each further part of the frame is set out from an earlier one, the nearest."""
        outlines = [unary_union([Polygon(self.frame.runs[run].outline) for run in part]) for part in order]
        for number in range(1, len(order)):
            near = min(range(number), key=lambda at: (round(outlines[number].distance(outlines[at]), 3), at))
            base, datum = order[near][0], order[number][0]
            begin, end = self._ends_of(base)
            corners = self._ends_of(datum)
            line = self.frame.runs[base].strip
            sign = -1.0 if base not in self.stretches or self.stretches[base][0].outer == 0.0 else 1.0
            offsets = []
            for corner in corners:
                along = line.place(corner.at)[0] - line.place(begin.at)[0]
                out = sign * (line.place(corner.at)[1] - line.place(begin.at)[1])
                offsets.append((corner, along, out))
            ties = tuple(Check(one, other) for other in corners for one in (begin, end))
            letters = tuple(self.frame.letters[run] for run in order[number])
            gap = float(outlines[number].distance(outlines[near]))
            yield Apart(letters, self.frame.letters[base], gap, ties, tuple(offsets))

    # ---- the order in words

    def steps(
        self,
        order: Sequence[Sequence[int]],
        parts: Sequence[Sequence[tuple[str, Sequence[int]]]],
        plates: Sequence[Plate],
        triangles: Sequence[Triangle],
        spans: Sequence[Span],
        aparts: Sequence[Apart],
        loops: Sequence[Loop],
        limits: Limits,
    ) -> Iterator[Step]:
        """The work in order: the datum plate, square, parallel, the others, the checks."""
        by_run = {plate.run: plate for plate in plates}

        def named(runs: Sequence[int]) -> str:
            letters = [self.frame.letters[run] for run in runs]
            return ", ".join(letters[:12]) + (f" and {len(letters) - 12} more" if len(letters) > 12 else "")

        def plates_of(runs: Sequence[int]) -> str:
            return f"plate{'s' if len(runs) > 1 else ''} {named(runs)}"

        def numbers(runs: Sequence[int]) -> str:
            first, last = by_run[runs[0]].marks[0].number, by_run[runs[-1]].marks[-1].number
            return f"marks {first} to {last}"

        for number, part in enumerate(parts):
            if number:
                apart = aparts[number - 1]
                yield Step(
                    f"Set out plate {named(order[number][:1])} from plate {apart.base} by the ties and offsets given "
                    "for it; then go on as before."
                )
            for name, runs in part:
                runs = tuple(runs)
                walls = " + ".join(f"'{self.walls[w].name}'" for w in by_run[runs[0]].walls)
                if name == "datum":
                    words = (
                        f"Datum: plate {named(runs)} on {walls}. Write {numbers(runs)} on the blockwork and snap a "
                        "line through them: all else is set out from it."
                    )
                elif name == "square":
                    words = (
                        f"Square: {plates_of(runs)}, {numbers(runs)}. Check each corner with its triangle from the "
                        "datum line before you snap."
                    )
                elif name == "parallel":
                    words = (
                        f"Parallel: {plates_of(runs)}, {numbers(runs)}. Check the span from the datum plate at both "
                        "ends and in the middle: the same at all three."
                    )
                elif name == "rest":
                    words = f"The other outer plates: {named(runs)}, {numbers(runs)}."
                else:
                    words = f"Cross plates: {named(runs)}, {numbers(runs)}, from the laps marked on the outer plates."
                yield Step(words, runs)
        if any(loop.diagonals for loop in loops):
            yield Step(
                "Lay all plates dry and tape the diagonals and the sides of every loop: within "
                f"{limits.diagonal:g} mm. A figure out by more: look for it before anything is bedded."
            )
        if spans:
            yield Step(f"Tape the critical spans at both ends and in the middle: within {limits.span:g} mm.")
        yield Step("Lift, bed and put back to the marks; tape diagonals and spans once more while the mortar is soft.")


def _plain(name: str) -> str:
    """A bearing's name without its number in a row."""
    words = name.rsplit(" ", 1)
    return words[0] if len(words) == 2 and words[1].isdigit() else name


def _length(run: Run) -> float:
    return sum(run.high) / 2 - sum(run.low) / 2


def _along(wall: Wall, run: Run) -> bool:
    """Whether a wall runs the way its run does."""
    (ux, uy), (vx, vy) = wall.direction, run.strip.direction
    return ux * vx + uy * vy > 0.0


def _project(begin: XY, end: XY, point: XY) -> float:
    """How far along a line a point lies."""
    size = math.dist(begin, end)
    return ((point[0] - begin[0]) * (end[0] - begin[0]) + (point[1] - begin[1]) * (end[1] - begin[1])) / size


def compass(way: XY) -> str:
    """The side of the plan a direction leads to."""
    return ("E", "NE", "N", "NW", "W", "SW", "S", "SE")[round(math.degrees(math.atan2(way[1], way[0])) / 45.0) % 8]


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


def setting_out_values(result: SettingOut) -> dict[str, Any]:
    """The figures for report.json: mm, rounded as the sheet gives them."""
    placed = result.placed

    def checks(items: Sequence[Check]) -> list[dict[str, Any]]:
        return [{"from": item.one.name, "to": item.other.name, "length": whole(item.figure)} for item in items]

    return {
        "placing": {
            "surveyed": bool(placed.measured),
            "about": [round(value, 3) for value in placed.about],
            "shift": [round(value, 3) for value in placed.shift],
            "turn_deg": round(placed.turn, 6),
            "greatest_error": round(placed.greatest, 2),
            "feasible": placed.feasible,
            "gives": [{"wall": item.wall, "face": item.face, "by": round(item.by, 1)} for item in placed.gives],
            "words": list(result.words),
        },
        "plates": [
            {
                "plate": plate.letter,
                "walls": list(plate.walls),
                "pieces": list(plate.pieces),
                "starts": [{"wall": it.wall, "from": it.corner, "face": it.face} for it in plate.starts],
                "marks": [
                    {
                        "mark": mark.number,
                        "wall": mark.wall,
                        "along": whole(mark.along),
                        "taped": whole(mark.taped),
                        "setback": whole(mark.setback),
                        "inner": whole(mark.inner),
                        "what": list(mark.what),
                    }
                    for mark in plate.marks
                ],
            }
            for plate in result.plates
        ],
        "loops": [
            {
                "name": loop.name,
                "closed": loop.closed,
                "rectangular": loop.right,
                "sides": checks(loop.sides),
                "diagonals": checks(loop.diagonals),
            }
            for loop in result.loops
        ],
        "triangles": [
            {
                "corner": item.corner,
                "plates": list(item.plates),
                "angle_deg": round(item.angle, 3),
                "legs": [whole(item.legs[0]), whole(item.legs[1])],
                "closing": whole(item.closing),
                "three_four_five": item.right,
            }
            for item in result.triangles
        ],
        "spans": [
            {
                "plates": [letter_of(result, item.one), letter_of(result, item.other)],
                "clear": [whole(value) for value in item.clear],
                "overall": [whole(value) for value in item.overall],
                "carries": item.carries,
            }
            for item in result.spans
        ],
        "parts": [
            {
                "plates": list(item.letters),
                "base": item.base,
                "gap": whole(item.gap),
                "ties": checks(item.ties),
                "offsets": [
                    {"corner": corner.name, "along": whole(along), "out": whole(out)}
                    for corner, along, out in item.offsets
                ],
            }
            for item in result.aparts
        ],
        "limits": {"diagonal": result.limits.diagonal, "span": result.limits.span, "source": "common practice"},
        "published": list(PUBLISHED),
        "order": [step.words for step in result.steps],
    }


def letter_of(result: SettingOut, run: int) -> str:
    """A plate's letter."""
    return next(plate.letter for plate in result.plates if plate.run == run)
