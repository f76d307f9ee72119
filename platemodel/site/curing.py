"""What keeps the plates down while the mortar sets: weights on every piece, and the wait until they are loaded."""

from __future__ import annotations

import math
from dataclasses import dataclass

from platemodel.frame.values import Frame
from platemodel.site.rule_set import RuleSet


@dataclass(frozen=True)
class Curing:
    """Weights on the plates while the mortar sets: how many of how much (kg), for how long; when to load."""

    weights: int
    every: float
    each: float
    hours: float
    load_after: float


def curing(frame: Frame, rules: RuleSet) -> Curing:
    """Weights on every piece while the mortar sets, two at least; and when the plates may be loaded."""
    every = rules.value("weight_every")
    weights = sum(max(2, math.ceil(piece.length / every - 1e-9) + 1) for piece in frame.pieces)
    return Curing(weights, every, rules.value("weight_each"), rules.value("weight_hours"), rules.value("load_after"))
