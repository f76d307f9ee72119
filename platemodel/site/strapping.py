"""What holds the plates down: straps along each shell's walls, straps at gables, screws in laps, weights meanwhile."""

from __future__ import annotations

from dataclasses import dataclass, field

from platemodel.frame.values import Frame
from platemodel.site.curing import Curing, curing
from platemodel.site.gables import Gable, gable
from platemodel.site.rule_set import RuleSet, rule_set
from platemodel.site.screws import LapScrews, lap_screws, screw_length
from platemodel.site.strapped_plates import Asked, Strap, StrappedPlate, strapped_plates


@dataclass(frozen=True)
class Strapping:
    """All that holds the plates down. ``every``, ``end``, ``beside``: what was asked of straps, mm."""

    every: float
    end: float
    beside: float
    clear: float
    length: float
    plates: tuple[StrappedPlate, ...]
    gables: tuple[Gable, ...]
    screws: tuple[LapScrews, ...]
    screw_length: int | None
    curing: Curing
    rules: RuleSet = field(repr=False)

    @property
    def new(self) -> int:
        """How many holding-down straps are to be fixed."""
        return sum(not strap.built for plate in self.plates for strap in plate.straps)

    def of_wall(self, wall: int) -> list[Strap]:
        """The holding-down straps on a wall, from its first corner."""
        found = [strap for plate in self.plates for strap in plate.straps if strap.wall == wall]
        return sorted(found, key=lambda strap: strap.at)


def strapping(frame: Frame, rules: RuleSet | None = None) -> Strapping | None:
    """What holds a frame's plates down, or None where the plan asks for no straps."""
    wish = frame.plan.site.straps
    if wish is None:
        return None
    rules = rule_set(frame.plan) if rules is None else rules
    asked = Asked(
        rules.value("strap_spacing") if wish.every is None else wish.every,
        rules.value("strap_end") if wish.end is None else wish.end,
        rules.value("strap_opening"),
        wish.clear,
    )
    return Strapping(
        asked.every,
        asked.end,
        asked.beside,
        asked.clear,
        wish.length,
        strapped_plates(frame, rules, asked),
        tuple(gable(frame, rules, wall) for wall in wish.gables),
        lap_screws(frame, rules),
        screw_length(frame.plan.plate.depth, rules.value("screw_short")),
        curing(frame, rules),
        rules,
    )
