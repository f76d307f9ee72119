"""Fixings to buy: screws in the laps, nails or clips of what lands on the plates, straps where the plan asks for them.

The one place where they are counted, for lists, report and sheets; their sizes are those of the rule set. Without
``[site.straps]`` what holds a plate down is not reckoned: the engineer's or the local rule says that.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from platemodel.frame.values import Frame
from platemodel.site.landing import WallLandings, landings, nails_of
from platemodel.site.onwall import OnWall
from platemodel.site.rule_set import RuleSet, rule_set
from platemodel.site.screws import screw_length
from platemodel.site.strapping import Strapping, strapping


@dataclass(frozen=True)
class FixingLine:
    """All fixings of one kind to order: what, its size in mm, its finish, how many."""

    item: str
    size: str
    finish: str
    number: int


@dataclass(frozen=True)
class Fixings:
    """Screws of all laps, their length in mm (None: none that is sold will do), nails and clips of all bearings.

    The nails hold where every bearing is a truss without uplift. ``straps`` are the holding-down straps to fix, None
    where the plan asks for none. ``lines`` are what is ordered.
    """

    screws: int
    screw: int | None
    bearings: int
    nails: int
    clips: int
    straps: int | None
    lines: tuple[FixingLine, ...]
    rules: RuleSet = field(repr=False)


def fixings(frame: Frame, wall: OnWall | None = None) -> Fixings:
    """The fixings of a frame, as they were found on the wall; where that was not worked out, they are here.

    Raises :class:`~platemodel.faults.PlanError` where the plan's own rule set cannot be read.
    """
    if wall is not None:
        return fixings_of(frame, wall.rules, wall.straps, wall.landings)
    rules = rule_set(frame.plan)
    straps = strapping(frame, rules)
    return fixings_of(frame, rules, straps, landings(frame, straps, rules))


def fixings_of(frame: Frame, rules: RuleSet, straps: Strapping | None, landed: Sequence[WallLandings]) -> Fixings:
    """The fixings of a frame by its rules: of its laps, of its straps, and of what lands on it."""
    screws = len(frame.joints) * frame.plan.lap.screws
    length = screw_length(frame.plan.plate.depth, rules.value("screw_short"))
    nails, clips = nails_of(landed)
    lines = [*_of_laps(rules, screws, length), *_of_landings(rules, nails, clips)]
    lines += [] if straps is None else _of_straps(straps)
    return Fixings(
        screws,
        length,
        sum(len(item.landed) for item in landed),
        nails,
        clips,
        None if straps is None else straps.new,
        tuple(lines),
        rules,
    )


def _of_laps(rules: RuleSet, screws: int, length: int | None) -> Iterator[FixingLine]:
    if screws and length is not None:
        size = f"{rules.value('screw_diameter'):g} × {length}"
        yield FixingLine("wood screws", size, "zinc; in treated timber stainless or coated", screws)


def _of_landings(rules: RuleSet, nails: int, clips: int) -> Iterator[FixingLine]:
    if nails:
        size = f"{rules.value('nail_diameter'):g} × {rules.value('nail_length'):g}"
        yield FixingLine("round wire nails", size, "galvanised", nails)
    if clips:
        yield FixingLine("truss clips with their nails", "to suit the truss", "galvanised", clips)


def _of_straps(straps: Strapping) -> Iterator[FixingLine]:
    value, count = straps.rules.value, straps.rules.count
    if straps.new:
        into, own = count("strap_fixings"), count("strap_plate_nails")
        section = f"{value('strap_width'):g} × {value('strap_thickness'):g} × {straps.length:g}"
        nail = f"{value('strap_nail_diameter'):g} × {value('strap_nail_length'):g}"
        yield FixingLine("holding-down straps", section, "galvanised", straps.new)
        yield FixingLine(f"masonry nails, {into} a strap", nail, "hardened", straps.new * into)
        yield FixingLine(f"plate fixings, {own} a strap", "by its maker", "galvanised", straps.new * own)
    # a gable a length, the longest first
    wanted: Counter[float | None] = Counter()
    for gable in straps.gables:
        wanted[gable.reach] += len(gable.places)
    for reach, number in sorted(wanted.items(), key=lambda item: -(item[0] or 0.0)):
        long = "" if reach is None else f" × {reach + value('lateral_downturn'):.0f}"
        section = f"{value('lateral_width'):g} × {value('lateral_thickness'):g}{long}"
        if number:
            yield FixingLine("lateral straps of gables", section, "and their fixings", number)
