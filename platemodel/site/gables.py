"""Lateral straps at gables: how many, how far apart, and over how many trusses they run."""

from __future__ import annotations

import math
from dataclasses import dataclass

from platemodel.frame.values import Frame
from platemodel.site.rule_set import RuleSet


@dataclass(frozen=True)
class Gable:
    """Lateral straps at a gable: how far along the wall each is (mm), and over which trusses it runs.

    ``reach`` is from the wall's outer face to beyond the last truss it must run over, mm; None where the plan
    knows of too few (``trusses``: those it knows on the walls beside).
    """

    wall: int
    places: tuple[float, ...]
    spacing: float
    reach: float | None
    trusses: int


def gable(frame: Frame, rules: RuleSet, wall: int) -> Gable:
    """Straps spread evenly along a gable, half a spacing in from its ends (common practice)."""
    plan = frame.plan
    on = plan.walls[wall]
    count = max(1, math.ceil(on.length / rules.value("lateral_spacing") - 1e-9))
    spacing = on.length / count
    # trusses run along a gable: they land on the walls beside it, and are counted in from its outer face
    wanted = rules.count("lateral_trusses")
    reaches, trusses = [], 0
    for beside in (on.before, on.after):
        if beside is None:
            continue
        other = plan.walls[beside]
        found = sorted(
            abs((x - on.start[0]) * -on.direction[1] + (y - on.start[1]) * on.direction[0]) + bearing.width / 2
            for bearing in plan.bearings_on(beside)
            for x, y in [other.at(bearing.at)]
        )
        trusses = max(trusses, len(found))
        reaches += found[wanted - 1 : wanted]
    reach = max(reaches, default=None)
    places = tuple((number + 0.5) * spacing for number in range(count))
    return Gable(wall, places, spacing, reach, trusses)
