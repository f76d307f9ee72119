"""The marks of every plate: where they are on their wall, and how far the plate stands from its faces there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from platemodel.frame.values import Frame
from platemodel.plan.values import Wall
from platemodel.site.faces import inside_of
from platemodel.site.fitting import Placed
from platemodel.site.setting_ground import NEAR, Ground, along_run, compass, project
from platemodel.site.setting_out_values import Mark, Plate, Start
from platemodel.site.stretches import Stretch

METRE = 1000.0
TOGETHER = 25.0
"""Marks nearer than this along a plate are one (mm)."""
LEAST_SINE = 0.1
"""Walls that meet at a sharper angle than this sine tells hold no tape."""


class Marks(Ground):
    """Works out marks of a frame that is set as ``placed`` says."""

    def __init__(self, frame: Frame, placed: Placed) -> None:
        super().__init__(frame)
        self.placed = placed

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
        back = self.backward(index)
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
            self._mark(index, s, abs(s - datum), tuple(words), number + place)
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
            tuple(self._start(index, wall) for wall in walls),
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

    def _stretch_at(self, index: int, s: float) -> Stretch | None:
        """The stretch on a wall of a shell at a place along a run, if that is nearer than any cross wall's."""
        run = self.frame.runs[index]

        def miss(at: int) -> tuple[float, bool]:
            begin, end = run.spans[at]
            return max(begin - s, s - end, 0.0), self.walls[run.walls[at]].shell is None

        best = min(range(len(run.walls)), key=miss)
        return next((item for item in self.stretches.get(index, []) if item.wall == run.walls[best]), None)

    def _mark(self, index: int, s: float, along: float, what: tuple[str, ...], number: int) -> Mark:
        run = self.frame.runs[index]
        strip = run.strip
        item = self._stretch_at(index, s)
        ux, uy = strip.direction
        if item is None:
            nearest = min(range(len(run.walls)), key=lambda at: max(run.spans[at][0] - s, s - run.spans[at][1], 0.0))
            wall = self.walls[run.walls[nearest]]
            _, off = self._first_end(run.walls[nearest])
            taped = project(wall.start, wall.end, strip.point(s, strip.width / 2)) + off
            # a cross wall's faces as designed: the one at the run's right edge first
            right, left = wall.band[0] - wall.leaf[0], wall.leaf[1] - wall.band[1]
            one, other = (right, left) if along_run(wall, run) else (left, right)
            return Mark(number, run.walls[nearest], along, taped, one, other, what, strip.point(s, 0.0), (-uy, ux))
        wall = self.walls[item.wall]
        outer, inner = strip.point(s, item.outer), strip.point(s, item.inner)
        far = self.placed.off(item.wall, inner)
        taped = self.placed.along(item.wall, outer)
        if not -NEAR <= taped <= math.dist(*self.placed.faces[item.wall]) + NEAR:
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

    def _start(self, index: int, number: int) -> Start:
        """From where the marks of a plate on one of its walls are taped, and from which face they are set off."""
        run, wall = self.frame.runs[index], self.walls[number]
        if wall.shell is None:
            ux, uy = run.strip.direction
            words, _ = self._first_end(number)
            return Start(number, words, f"{compass((uy, -ux))} face")
        if wall.before is None:
            return Start(number, f"the open end at the first corner of {wall.name}", "outer face")
        return Start(number, f"corner {self.walls[wall.before].name}/{wall.name}", "outer face")

    def _first_end(self, number: int) -> tuple[str, float]:
        """Where the tape is held at a cross wall's first end, and how much more it shows there than as designed, mm."""
        wall = self.walls[number]
        ux, uy = wall.direction
        words = f"its {compass((-ux, -uy))} end"
        met = [(other, *found) for other in range(len(self.walls)) if (found := self._met(wall, other)) is not None]
        if not met:
            return words, 0.0
        # a shell's wall before another cross wall, and of those the squarest
        other, across, depth = min(met, key=lambda it: (self.walls[it[0]].shell is None, -abs(round(it[1], 6)), it[0]))
        on = self.walls[other]
        if on.shell is None:
            face, off = f"the face of '{on.name}'", 0.0
        else:
            face = f"the inner face of '{on.name}'"
            inside = inside_of(on)
            off = (self.placed.off(other, wall.start) - inside * depth) / (inside * across)
            if abs(depth) < NEAR:
                return f"{words}, the outer face of '{on.name}'", off
        behind = (on.leaf[across > 0.0] - depth) / across
        if behind < NEAR:
            return f"{words}, {face}", off
        return f"{words}, {behind:.0f} behind {face}: hold the tape's {behind:.0f} there", off

    def _met(self, wall: Wall, other: int) -> tuple[float, float] | None:
        """How square a wall stands to another in whose leaf it begins (1 or -1: square), and how deep, mm."""
        on = self.walls[other]
        (ux, uy), (vx, vy) = wall.direction, on.direction
        across = vx * uy - vy * ux
        x, y = wall.start[0] - on.start[0], wall.start[1] - on.start[1]
        along, depth = vx * x + vy * y, vx * y - vy * x
        inside = on.leaf[0] - NEAR <= depth <= on.leaf[1] + NEAR and -NEAR <= along <= on.length + NEAR
        return (across, depth) if on is not wall and inside and abs(across) > LEAST_SINE else None
