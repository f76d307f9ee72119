"""Where trusses, beams and joists land: positions from a wall's first corner, and what is wrong with any of them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from platemodel.frame.runs import on_run, run_at
from platemodel.frame.values import Frame
from platemodel.plan.values import Bearing
from platemodel.site.rule_set import FIRST, RuleSet, rule_set
from platemodel.site.spreading import Keep, allowed
from platemodel.site.strapping import Strapping

XY = tuple[float, float]

DUST = 1e-6


@dataclass(frozen=True)
class Landed:
    """One truss, beam or joist on a wall, its middle ``at`` mm from the wall's first corner, ``width`` wide.

    ``number`` counts those of one name on the wall, 0 where there is only one.
    ``piece`` is the mark of the plate it lands on, empty where there is none. ``laps`` are those it lands on or
    comes too near to, ``over`` by how much at most (mm), ``move`` how far to move it along the wall so that it is
    clear of them (mm, below 0 towards the first corner; None where the wall has no room). ``opening`` is the one it
    lands over, ``strap`` where the holding-down strap is that it hits (mm along the wall).
    """

    name: str
    number: int
    wall: int
    at: float
    width: float
    place: XY
    piece: str
    laps: tuple[str, ...] = ()
    over: float = 0.0
    move: float | None = 0.0
    opening: str = ""
    strap: float | None = None

    @property
    def label(self) -> str:
        """Its name, with its number where the wall has several of one name."""
        return f"{self.name} no. {self.number}" if self.number else self.name

    @property
    def flags(self) -> list[str]:
        """What is wrong with it, in words."""
        found = []
        if not self.piece:
            found.append("no plate here")
        if self.laps:
            found.append(f"lands on lap {' and '.join(self.laps)}: {self.way}")
        if self.opening:
            found.append(f"over the opening '{self.opening}': lintel by the engineer")
        if self.strap is not None:
            found.append(f"hits the strap at {self.strap:.0f}")
        return found

    @property
    def way(self) -> str:
        """How to move it off a lap, in words."""
        if self.move is None:
            return "no room to move it clear"
        on = "on, to" if self.move > 0 else "back, to"
        # whole millimetres, away from the lap
        at = math.ceil(self.at + self.move - DUST) if self.move > 0 else math.floor(self.at + self.move + DUST)
        return f"move it {abs(at - self.at):g} {on} {at}"


@dataclass(frozen=True)
class WallLandings:
    """All that lands on one wall, from its first corner, which is the datum; ``start`` and ``end`` in the plan's axes.

    ``nails`` or ``clips`` each takes, by the rule set.
    """

    wall: int
    name: str
    start: XY
    end: XY
    landed: tuple[Landed, ...]
    nails: int
    clips: int

    @property
    def flagged(self) -> list[Landed]:
        """Those with which something is wrong."""
        return [item for item in self.landed if item.flags]


def landings(frame: Frame, straps: Strapping | None = None, rules: RuleSet | None = None) -> tuple[WallLandings, ...]:
    """What lands on each wall of a frame, wall by wall; judged against the straps where they are given."""
    rules = rule_set(frame.plan) if rules is None else rules
    clips = rules.count("clips")
    nails = 0 if clips else rules.count("nails")
    found = []
    for number, wall in enumerate(frame.plan.walls):
        bearings = sorted(frame.plan.bearings_on(number), key=lambda bearing: bearing.at)
        if not bearings:
            continue
        counts = Counter(bearing.name for bearing in bearings)
        seen: Counter[str] = Counter()
        rows = []
        for bearing in bearings:
            seen[bearing.name] += 1
            once = counts[bearing.name] == 1
            rows.append(_landed(frame, rules, straps, bearing, 0 if once else seen[bearing.name]))
        found.append(WallLandings(number, wall.name, wall.start, wall.end, tuple(rows), nails, clips))
    return tuple(found)


def _landed(frame: Frame, rules: RuleSet, straps: Strapping | None, bearing: Bearing, number: int) -> Landed:
    plan = frame.plan
    wall = plan.walls[bearing.wall]
    place = wall.at(bearing.at, sum(wall.band) / 2)
    half = bearing.width / 2
    opening = next(
        (
            item.name
            for item in plan.openings_on(bearing.wall)
            if min(bearing.at + half, item.end) - max(bearing.at - half, item.begin) > DUST
        ),
        "",
    )
    index = run_at(plan, frame.runs, bearing.wall, bearing.at)
    if index is None:
        return Landed(bearing.name, number, bearing.wall, bearing.at, bearing.width, place, "", opening=opening)
    run = frame.runs[index]
    s = on_run(plan, run, bearing.wall, bearing.at)
    under = [p for p in frame.pieces if p.run == index and sum(p.low) / 2 - 1.0 <= s <= sum(p.high) / 2 + 1.0]
    piece = max(under, key=lambda item: item.order).mark if under else ""
    clear = rules.value("lap_bearing")
    laps = [
        (joint.id, min(side.void_low), max(side.void_high))
        for joint in frame.joints
        for side in joint.lap.sides
        if side.run == index
    ]
    hit = [
        (name, low, high) for name, low, high in laps if min(s + half, high + clear) - max(s - half, low - clear) > DUST
    ]
    strap = None
    if straps is not None:
        reach = half + rules.value("strap_width") / 2
        near = [strap.at for strap in straps.of_wall(bearing.wall) if abs(strap.at - bearing.at) < reach - DUST]
        strap = min(near, key=lambda at: abs(at - bearing.at), default=None)
    move: float | None = 0.0
    if hit:
        keeps = [Keep(low - clear - half, high + clear + half, name) for name, low, high in laps]
        spots = [spot for part in allowed((min(run.low) + half, max(run.high) - half), keeps) for spot in part]
        ux, uy = wall.direction
        along = 1.0 if ux * run.strip.direction[0] + uy * run.strip.direction[1] > 0 else -1.0
        # of two as near, the one further from the first corner
        move = min(((spot - s) * along for spot in spots), key=lambda by: (round(abs(by), 3), -by), default=None)
    return Landed(
        bearing.name,
        number,
        bearing.wall,
        bearing.at,
        bearing.width,
        place,
        piece,
        tuple(name for name, _, _ in hit),
        max((min(s + half, high) - max(s - half, low) for _, low, high in hit), default=0.0),
        move,
        opening,
        strap,
    )


def nails_of(landed: Sequence[WallLandings]) -> tuple[int, int]:
    """How many nails and how many clips all that lands takes."""
    return sum(item.nails * len(item.landed) for item in landed), sum(item.clips * len(item.landed) for item in landed)


def fixing_values(frame: Frame, straps: Strapping | None, landed: Sequence[WallLandings]) -> dict[str, Any]:
    """Straps, screws, weights and landings for report.json: mm from each wall's first corner; kg, hours, days."""
    walls = frame.plan.walls
    values: dict[str, Any] = {"words": FIRST}
    if straps is not None:
        rules = straps.rules
        values["straps"] = {
            "asked": {
                "spacing": straps.every,
                "end": straps.end,
                "opening": straps.beside,
                "clear": straps.clear,
                "length": straps.length,
                "width": rules.value("strap_width"),
                "thickness": rules.value("strap_thickness"),
                "lowest_fixing": rules.value("strap_lowest"),
            },
            "new": straps.new,
            "plates": [
                {
                    "walls": [walls[wall].name for wall in plate.walls],
                    "straps": [
                        {
                            "wall": walls[strap.wall].name,
                            "at": round(strap.at, 3),
                            "piece": strap.piece,
                            "built": strap.built,
                            "faults": list(strap.faults),
                        }
                        for strap in plate.straps
                    ],
                    "greatest_spacing": round(max(plate.spacings), 3) if plate.spacings else None,
                    "shortfalls": [
                        {
                            "wall": walls[lack.wall].name,
                            "from": round(lack.begin, 3),
                            "to": round(lack.end, 3),
                            "asked": lack.asked,
                            "why": lack.why,
                        }
                        for lack in plate.shortfalls
                    ],
                }
                for plate in straps.plates
            ],
            "gables": [
                {
                    "wall": walls[gable.wall].name,
                    "at": [round(place, 3) for place in gable.places],
                    "spacing": round(gable.spacing, 3),
                    "reach": gable.reach,
                    "trusses": gable.trusses,
                }
                for gable in straps.gables
            ],
        }
        values["screws"] = {
            "length": straps.screw_length,
            "diameter": rules.value("screw_diameter"),
            "laps": [
                {
                    "joint": lap.joint,
                    # about the frame's own least corner, as the report's other places
                    "at": [[round(x - frame.origin[0], 3), round(y - frame.origin[1], 3)] for x, y in lap.places],
                    "edge": round(lap.edge, 3),
                }
                for lap in straps.screws
            ],
        }
        curing = straps.curing
        values["curing"] = {
            "weights": curing.weights,
            "every": curing.every,
            "kg": curing.each,
            "hours": curing.hours,
            "load_after_days": curing.load_after,
        }
    values["landings"] = [
        {
            "wall": item.name,
            "nails_each": item.nails,
            "clips_each": item.clips,
            "landed": [
                {
                    "name": one.name,
                    "number": one.number,
                    "at": one.at,
                    "width": one.width,
                    "piece": one.piece,
                    "laps": list(one.laps),
                    "move": None if one.move is None else round(one.move, 3),
                    "opening": one.opening,
                    "strap": None if one.strap is None else round(one.strap, 3),
                    "flags": one.flags,
                }
                for one in item.landed
            ],
        }
        for item in landed
    ]
    return values
