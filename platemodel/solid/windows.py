"""Windows: where in plan a lap is measured.

A lap's window is the two uncut runs about it, as far as half the whole timber to the next lap (or a
little way), so that whatever void a lap has lies in its window and in no other.
"""

from __future__ import annotations

from dataclasses import dataclass

import shapely
from shapely import Polygon

from platemodel.frame.laps import Side, sides_by_run
from platemodel.frame.strip import Pair, least_between, shifted
from platemodel.frame.values import Frame

MARGIN = 25.0
"""How far beyond its void a lap's window reaches, where the next lap leaves room for it (mm)."""


@dataclass(frozen=True)
class Window:
    """P of a joint and the uncut runs about it, in the frame's axes; perimeters and areas in mm, mm2."""

    core: Polygon
    around: Polygon


def windows(frame: Frame) -> list[Window]:
    """The window of every joint of a frame."""
    strips: list[list[Polygon]] = [[] for _ in frame.joints]
    origin_x, origin_y = frame.origin
    by_run = sides_by_run([joint.lap for joint in frame.joints], len(frame.runs))
    for run, sides in zip(frame.runs, by_run, strict=True):
        voids = _voids(sides)
        for number, (joint, low, high) in enumerate(voids):
            before = run.low if number == 0 else voids[number - 1][2]
            after = run.high if number == len(voids) - 1 else voids[number + 1][1]
            low = _reach(low, before, number == 0, -1.0)
            high = _reach(high, after, number == len(voids) - 1, 1.0)
            outline = run.strip.corners(low, high)
            strips[joint].append(Polygon([(x - origin_x, y - origin_y) for x, y in outline]))
    return [
        Window(Polygon(joint.outline), shapely.union_all(parts) if len(parts) > 1 else parts[0])
        for joint, parts in zip(frame.joints, strips, strict=True)
    ]


def _voids(sides: list[tuple[Side, int]]) -> list[tuple[int, Pair, Pair]]:
    """Each joint on a run with the stretch it takes; a splice's two sides are one stretch."""
    found: dict[int, tuple[Pair, Pair]] = {}
    for side, joint in sides:
        low, high = found.get(joint, (side.void_low, side.void_high))
        found[joint] = (min(low, side.void_low, key=sum), max(high, side.void_high, key=sum))
    return sorted(((joint, low, high) for joint, (low, high) in found.items()), key=lambda item: sum(item[1]))


def _reach(line: Pair, limit: Pair, end: bool, way: float) -> Pair:
    """A line moved outward by the margin, but no further than halfway to the next lap or to the run's end."""
    room = least_between(line, limit) if way > 0 else least_between(limit, line)
    if end and room <= MARGIN:
        return limit
    return shifted(line, way * min(MARGIN, room if end else room / 2))
