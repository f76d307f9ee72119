"""What the fixing sheets show: straps and what lands, all together and wall by wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame.values import Frame
from platemodel.plan.values import Wall
from platemodel.site.gables import Gable
from platemodel.site.landing import Landed, WallLandings
from platemodel.site.rule_set import RuleSet
from platemodel.site.screws import LapScrews
from platemodel.site.strapped_plates import Shortfall, Strap
from platemodel.site.strapping import Strapping


@dataclass(frozen=True)
class OnWall:
    """A wall, and from its first corner its straps, what lands on it, where straps lack, and its gables' straps."""

    number: int
    wall: Wall
    straps: Sequence[Strap]
    landed: Sequence[Landed]
    shortfalls: Sequence[Shortfall]
    gables: Sequence[Gable]


@dataclass(frozen=True)
class Fixings:
    """All that is fixed on a frame: its straps where the plan asks for some, and what lands on it."""

    frame: Frame
    straps: Strapping | None
    landings: Sequence[WallLandings]
    rules: RuleSet

    @property
    def holding_down(self) -> list[Strap]:
        """The holding-down straps, plate by plate."""
        return [strap for plate in self.straps.plates for strap in plate.straps] if self.straps else []

    @property
    def shortfalls(self) -> list[Shortfall]:
        """Where straps cannot stand as asked, plate by plate."""
        return [lack for plate in self.straps.plates for lack in plate.shortfalls] if self.straps else []

    @property
    def gables(self) -> Sequence[Gable]:
        """The gables with lateral straps."""
        return self.straps.gables if self.straps else ()

    @property
    def screws(self) -> Sequence[LapScrews]:
        """The screws of each lap, in the order of the frame's joints; none where the plan wants none."""
        return self.straps.screws if self.straps and self.frame.plan.lap.screws else ()

    @property
    def to_look_at(self) -> list[tuple[int, float]]:
        """Where something is wrong: the wall, and how far along it; of what lands, and of straps that cannot be had."""
        wrong = [(item.wall, item.at) for landings in self.landings for item in landings.flagged]
        return wrong + [(lack.wall, (lack.begin + lack.end) / 2) for lack in self.shortfalls]

    def walls(self) -> list[OnWall]:
        """The walls that have straps or carry something."""
        landed = {item.wall: item.landed for item in self.landings}
        found = [
            OnWall(
                number,
                wall,
                [] if self.straps is None else self.straps.of_wall(number),
                landed.get(number, ()),
                [lack for lack in self.shortfalls if lack.wall == number],
                [gable for gable in self.gables if gable.wall == number],
            )
            for number, wall in enumerate(self.frame.plan.walls)
        ]
        return [on for on in found if on.straps or on.landed]
