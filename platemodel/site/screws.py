"""Screws in laps: how long, and where in each lap they go in."""

from __future__ import annotations

import math
from dataclasses import dataclass

from platemodel.frame.values import Frame, Joint
from platemodel.site.rule_set import RuleSet

XY = tuple[float, float]

SCREWS = (12, 16, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 90, 100, 120, 140, 160, 180, 200, 220, 240, 260, 280, 300)
"""Lengths of wood screws as sold, mm; common practice."""
SLACK = 1e-9
"""What rounding may make of a depth less what a screw stops short by (mm): a rule set's figure need not be whole."""
ALIKE = 1e-3
"""Diagonals of a lap whose lengths differ by less than this are alike (mm)."""


@dataclass(frozen=True)
class LapScrews:
    """Screws of a lap: where they go in, in the plan's axes (mm), and how far each is in from the lap's edges.

    ``edge`` is the least such distance; less than asked where the lap is too small.
    """

    joint: str
    kind: str
    places: tuple[XY, ...]
    edge: float


def screw_length(depth: float, short: float) -> int | None:
    """The longest screw as sold that stops ``short`` of the underside of a plate of this depth, mm.

    None where it would not reach beyond the joint at half the depth.
    """
    longest = max((length for length in SCREWS if length <= depth - short + SLACK), default=0)
    return longest if longest > depth / 2 else None


def lap_screws(frame: Frame, rules: RuleSet) -> tuple[LapScrews, ...]:
    """Where the screws of every lap go in: two on its longer diagonal, more in two rows."""
    x, y = frame.origin
    found = []
    for joint in frame.joints:
        places, edge = screws_in(joint, frame.plan.lap.screws, rules.value("screw_edge"))
        found.append(LapScrews(joint.id, joint.lap.kind, tuple((px + x, py + y) for px, py in places), edge))
    return tuple(found)


def screws_in(joint: Joint, count: int, edge: float) -> tuple[list[XY], float]:
    """Places of screws in a lap's outline, in its own axes, and how far they are from its edges, mm."""
    a, b, _, d = joint.outline
    u, v = (b[0] - a[0], b[1] - a[1]), (d[0] - a[0], d[1] - a[1])
    area = abs(u[0] * v[1] - u[1] * v[0])
    # from an edge to the one across from it
    across_u, across_v = area / math.hypot(*v), area / math.hypot(*u)
    edge = min(edge, across_u / 4, across_v / 4) if count > 1 else min(across_u, across_v) / 2
    p, q = edge / across_u, edge / across_v
    if count <= 0:
        parts: list[XY] = []
    elif count == 1:
        parts = [(0.5, 0.5)]
    elif count <= 3:
        one, other = (u[0] + v[0], u[1] + v[1]), (u[0] - v[0], u[1] - v[1])
        longer = math.hypot(*one) - math.hypot(*other)
        # of two alike, the one that runs from south-west to north-east, however the walls were drawn
        first = longer > ALIKE or (longer > -ALIKE and one[0] * one[1] >= other[0] * other[1])
        parts = [(p, q), (1 - p, 1 - q)] if first else [(1 - p, q), (p, 1 - q)]
        parts += [(0.5, 0.5)] if count == 3 else []
    else:
        half = math.ceil(count / 2)
        parts = [
            (p + (1 - 2 * p) * number / (size - 1) if size > 1 else 0.5, row)
            for size, row in ((half, q), (count - half, 1 - q))
            for number in range(size)
        ]
    return [(a[0] + m * u[0] + n * v[0], a[1] + m * u[1] + n * v[1]) for m, n in parts], edge
