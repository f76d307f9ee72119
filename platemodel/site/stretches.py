"""The stretches of plate on the walls of shells."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from platemodel.frame.runs import Run
from platemodel.frame.values import Frame
from platemodel.plan.values import Wall
from platemodel.site.faces import SHORTEST, inside_of, inward


@dataclass(frozen=True)
class Stretch:
    """The stretch of a run on a wall of a shell, from ``begin`` to ``end`` along the run's strip at its outer edge.

    ``outer`` and ``inner`` are the edges' places across the strip.
    """

    run: int
    wall: int
    begin: float
    end: float
    outer: float
    inner: float


def stretches(frame: Frame) -> Iterator[Stretch]:
    """Every stretch of a run on a wall of a shell, run by run; no farther than the wall is long."""
    plan = frame.plan
    for number, run in enumerate(frame.runs):
        for place, index in enumerate(run.walls):
            wall = plan.walls[index]
            if wall.shell is not None:
                found = _stretch(run, number, place, wall)
                if found is not None:
                    yield found


def _stretch(run: Run, number: int, place: int, wall: Wall) -> Stretch | None:
    strip = run.strip
    begin, end = run.spans[place]
    off = [
        inward((wall.start, wall.end), inside_of(wall), strip.point((begin + end) / 2, t)) for t in (0.0, strip.width)
    ]
    edge = 0 if off[0] < off[1] else 1
    # at a run's end the outer edge may be longer or shorter than the middle
    begin = run.low[edge] if place == 0 else begin
    end = run.high[edge] if place == len(run.walls) - 1 else end
    ends = sorted(strip.place(point)[0] for point in (wall.start, wall.end))
    begin, end = max(begin, ends[0]), min(end, ends[1])
    if end - begin < SHORTEST:
        return None
    return Stretch(number, run.walls[place], begin, end, (0.0, strip.width)[edge], (strip.width, 0.0)[edge])
