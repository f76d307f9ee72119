"""Dimensions from plate to plate: front to back for what lands, and from one part of the frame to another."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence

from shapely import Polygon, unary_union

from platemodel.frame.bands import COLLINEAR_ANGLE
from platemodel.site.setting_ground import Ground
from platemodel.site.setting_out_values import Apart, Check, Corner, Span

FACING = 600.0
"""Parallel plates that run beside each other for less are no span (mm)."""


class Spans(Ground):
    """Works out spans, and how parts are set out from each other."""

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
                yield self._span(one, other, "not given in the plan")

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
        back = self.backward(one)
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


def _plain(name: str) -> str:
    """A bearing's name without its number in a row."""
    words = name.rsplit(" ", 1)
    return words[0] if len(words) == 2 and words[1].isdigit() else name
