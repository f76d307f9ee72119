"""Staggering: splices of neighbouring parallel runs that are to stand apart, where the plan asks for it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame.runs import Run
from platemodel.frame.values import Frame

PARALLEL = math.radians(0.5)
"""Runs are parallel whose directions differ by no more."""

Splice = tuple[int, float]
"""A splice by its run and its middle along the run (mm)."""


@dataclass(frozen=True)
class Staggering:
    """Which runs are neighbours, and how far apart their splices are to stand (mm)."""

    runs: Sequence[Run]
    pairs: frozenset[tuple[int, int]]
    wanted: float

    @staticmethod
    def of(runs: Sequence[Run], wanted: float) -> Staggering:
        """Find the neighbours among runs; none where nothing is wanted."""
        return Staggering(runs, frozenset(_neighbours(runs)) if wanted else frozenset(), wanted)

    def apart(self, one: Splice, other: Splice) -> float:
        """How far two splices stand apart along the first one's run, mm."""
        strip, mate = self.runs[one[0]].strip, self.runs[other[0]].strip
        at, _ = strip.place(mate.point(other[1], mate.width / 2))
        return abs(at - one[1])

    def clashes(self, splices: Sequence[Splice]) -> list[tuple[int, int]]:
        """Pairs of splices of neighbouring runs that stand less than wanted apart, by index."""
        if not self.pairs:
            return []
        return [
            (a, b)
            for (a, one), (b, other) in itertools.combinations(enumerate(splices), 2)
            if (min(one[0], other[0]), max(one[0], other[0])) in self.pairs
            and self.apart(one, other) < self.wanted - 1e-6
        ]


def clashes(frame: Frame) -> list[tuple[str, str, float]]:
    """Splices of neighbouring parallel plates nearer than the plan wants: their joints' names, and how far apart."""
    found = [(joint.id, joint.lap.sides[0]) for joint in frame.joints if joint.lap.kind == "splice"]
    splices = [(side.run, (side.low[0] + side.high[0]) / 2) for _, side in found]
    staggering = Staggering.of(frame.runs, frame.plan.lap.stagger)
    return [
        (found[a][0], found[b][0], staggering.apart(splices[a], splices[b])) for a, b in staggering.clashes(splices)
    ]


def _neighbours(runs: Sequence[Run]) -> list[tuple[int, int]]:
    """Pairs of parallel runs that lie beside each other somewhere with no other parallel run between."""
    found = []
    groups: list[list[int]] = []
    for index, run in enumerate(runs):
        group = next((some for some in groups if abs(runs[some[0]].strip.sine(run.strip)) <= PARALLEL), None)
        if group is None:
            groups.append([index])
        else:
            group.append(index)
    for group in groups:
        # all in the first one's axes: how far across each lies, and from where to where along
        strip = runs[group[0]].strip
        lies = {}
        for index in group:
            run = runs[index]
            ends = [strip.place(run.strip.point(sum(pair) / 2, run.strip.width / 2)) for pair in (run.low, run.high)]
            lies[index] = sum(t for _, t in ends) / 2, min(s for s, _ in ends), max(s for s, _ in ends)
        order = sorted(group, key=lambda index: lies[index])
        for number, one in enumerate(order):
            # what of this run no nearer one has hidden yet
            seen = [lies[one][1:]]
            for other in order[number + 1 :]:
                if lies[other][0] - lies[one][0] < 1.0:
                    continue
                low, high = lies[other][1:]
                if any(min(high, end) - max(low, begin) > 1.0 for begin, end in seen):
                    found.append((min(one, other), max(one, other)))
                seen = [part for begin, end in seen for part in ((begin, min(end, low)), (max(begin, high), end))]
                seen = [(begin, end) for begin, end in seen if end - begin > 1.0]
    return found
