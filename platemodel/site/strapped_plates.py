"""The straps of each plate line on a shell's walls: where they may stand and must, and on which wall and piece they do.

A strap keeps clear of laps, of what lands on the plate, of openings and of the plate's ends.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.runs import Run, on_run
from platemodel.frame.values import Frame
from platemodel.plan.site_values import BuiltStrap
from platemodel.site.faces import along
from platemodel.site.rule_set import RuleSet
from platemodel.site.spreading import Keep, Lack, Need, Span, spread, spread_from_end

XY = tuple[float, float]

DUST = 1e-3
"""Places nearer than this are one (mm)."""


@dataclass(frozen=True)
class Asked:
    """How straps are asked to stand, mm.

    No further apart than ``every``, within ``end`` of a plate's end and within ``beside`` of an opening on each side
    of it, ``clear`` of what they keep out of.
    """

    every: float
    end: float
    beside: float
    clear: float


@dataclass(frozen=True)
class Strap:
    """A holding-down strap: on which wall, how far along it from its first corner (mm), on which piece.

    ``place`` is in the plan's axes, on the plate's middle; ``faults`` what is wrong with one that is built in already.
    """

    wall: int
    at: float
    piece: str
    place: XY
    built: bool = False
    faults: tuple[str, ...] = ()


@dataclass(frozen=True)
class Shortfall:
    """A stretch of a wall (mm from its first corner) where straps cannot stand as asked, and why."""

    wall: int
    begin: float
    end: float
    asked: str
    why: str


@dataclass(frozen=True)
class StrappedPlate:
    """The straps along one plate line of a shell's walls, from its ``ends`` (plan's axes), in order.

    ``spacings`` are those from strap to strap, ``ends_to`` those from the plate's ends to the first and last
    strap, mm.
    """

    walls: tuple[int, ...]
    ends: tuple[XY, XY]
    straps: tuple[Strap, ...]
    spacings: tuple[float, ...]
    ends_to: tuple[float, float] | None
    shortfalls: tuple[Shortfall, ...]


def strapped_plates(frame: Frame, rules: RuleSet, asked: Asked) -> tuple[StrappedPlate, ...]:
    """The straps of every plate line on a shell's walls."""
    return tuple(_plate(frame, rules, asked, index, span) for index, span in _stretches(frame))


def _stretches(frame: Frame) -> Iterator[tuple[int, Span]]:
    """The stretches of runs that lie on walls of shells, each from where it begins to where it ends on its strip."""
    walls = frame.plan.walls
    for index, run in enumerate(frame.runs):
        spans = [span for wall, span in zip(run.walls, run.spans, strict=True) if walls[wall].shell is not None]
        merged: list[Span] = []
        for begin, end in sorted(spans):
            if merged and begin <= merged[-1][1] + run.strip.width:
                merged[-1] = (merged[-1][0], max(merged[-1][1], end))
            else:
                merged.append((begin, end))
        for begin, end in merged:
            # a run's oblique end is counted from where its whole width begins
            yield index, (max(begin, max(run.low)), min(end, min(run.high)))


def keeps_of(frame: Frame, rules: RuleSet, index: int, clear: float) -> list[Keep]:
    """Where on a run no strap may stand: in laps, under what lands there, over openings, with what is kept clear."""
    plan, run = frame.plan, frame.runs[index]
    half = rules.value("strap_width") / 2
    off = clear + half
    found = [
        Keep(min(side.void_low) - off, max(side.void_high) + off, f"{joint.lap.kind} lap {joint.id}")
        for joint in frame.joints
        for side in joint.lap.sides
        if side.run == index
    ]
    for wall in dict.fromkeys(run.walls):
        for bearing in plan.bearings_on(wall):
            at = on_run(plan, run, wall, bearing.at)
            reach = bearing.width / 2 + off
            found.append(Keep(at - reach, at + reach, f"'{bearing.name}' at {bearing.at:g}"))
        for opening in plan.openings_on(wall):
            begin, end = sorted(on_run(plan, run, wall, at) for at in (opening.begin, opening.end))
            found.append(Keep(begin - off, end + off, f"the opening '{opening.name}'"))
    low, high = max(run.low), min(run.high)
    found += [Keep(-math.inf, low + off, "the plate's end"), Keep(high - off, math.inf, "the plate's end")]
    return [Keep(round(keep.begin, 3), round(keep.end, 3), keep.why) for keep in found]


def _needs(frame: Frame, run: Run, walls: Sequence[int], span: Span, asked: Asked) -> list[Need]:
    """Where a strap must stand: near both ends, and on each side of every opening."""
    plan, end, beside = frame.plan, asked.end, asked.beside
    low, high = span
    found = [Need(low, min(low + end, high), f"a strap within {end:g} of the plate's end")]
    found.append(Need(max(high - end, low), high, f"a strap within {end:g} of the plate's end"))
    for wall in walls:
        for opening in plan.openings_on(wall):
            begin, stop = sorted(on_run(plan, run, wall, at) for at in (opening.begin, opening.end))
            words = f"a strap within {beside:g} of the opening '{opening.name}'"
            # no wall is left beside an opening that reaches the plate's end
            if low + DUST < begin < high:
                found.append(Need(max(begin - beside, low), begin, words))
            if low < stop < high - DUST:
                found.append(Need(stop, min(stop + beside, high), words))
    return [Need(round(need.begin, 3), round(need.end, 3), need.why) for need in found]


def _plate(frame: Frame, rules: RuleSet, asked: Asked, index: int, span: Span) -> StrappedPlate:
    plan, run = frame.plan, frame.runs[index]
    walls = [wall for wall in dict.fromkeys(run.walls) if plan.walls[wall].shell is not None]
    built = _built(frame, run, walls, span)
    # of two ways as good, the same is taken whichever way the run goes
    spreading = spread if _eastward(run.strip.direction) else spread_from_end
    keeps, needs = keeps_of(frame, rules, index, asked.clear), _needs(frame, run, walls, span, asked)
    found = spreading(span, keeps, needs, asked.every, list(built))
    straps = []
    for place in found.places:
        known = built.get(place)
        wall, at = _on_wall(frame, run, walls, place) if known is None else (known.wall, known.at)
        faults = () if known is None else tuple(_stands_in(frame, rules, index, place))
        piece = _piece_at(frame, index, place)
        straps.append(Strap(wall, at, piece, _middle(run, place), known is not None, faults))
    places = found.places
    return StrappedPlate(
        tuple(walls),
        (_middle(run, span[0]), _middle(run, span[1])),
        tuple(straps),
        tuple(other - one for one, other in itertools.pairwise(places)),
        (places[0] - span[0], span[1] - places[-1]) if places else None,
        tuple(_shortfall(frame, run, walls, lack) for lack in found.lacks),
    )


def _built(frame: Frame, run: Run, walls: Sequence[int], span: Span) -> dict[float, BuiltStrap]:
    """The straps that are built in along a stretch, by where on the run they stand."""
    places = ((on_run(frame.plan, run, strap.wall, strap.at), strap) for strap in frame.plan.site.built)
    return {
        round(place, 3): strap
        for place, strap in places
        if strap.wall in walls and span[0] - DUST <= place <= span[1] + DUST
    }


def _shortfall(frame: Frame, run: Run, walls: Sequence[int], lack: Lack) -> Shortfall:
    wall, _ = _on_wall(frame, run, walls, (lack.begin + lack.end) / 2)
    begin, end = sorted(along(frame.plan.walls[wall], _middle(run, s)) for s in (lack.begin, lack.end))
    return Shortfall(wall, begin, end, lack.asked, lack.why)


def _middle(run: Run, s: float) -> XY:
    """The middle of the plate at a place on a run, in the plan's axes."""
    return run.strip.point(s, run.strip.width / 2)


def _eastward(direction: XY) -> bool:
    """Whether a direction leads east, or north where it leads neither east nor west."""
    return direction[0] > 1e-9 or (abs(direction[0]) <= 1e-9 and direction[1] > 0)


def _stands_in(frame: Frame, rules: RuleSet, index: int, place: float) -> list[str]:
    """What a strap that is built in already stands in."""
    ways = {"the opening": "over", "the plate's end": "at", "'": "under", " lap ": "in"}
    return [
        f"{next(way for start, way in ways.items() if start in keep.why)} {keep.why}"
        for keep in keeps_of(frame, rules, index, 0.0)
        if keep.begin + DUST < place < keep.end - DUST
    ]


def _on_wall(frame: Frame, run: Run, walls: Sequence[int], s: float) -> tuple[int, float]:
    """The wall that a place on a run belongs to, and how far along it that is."""
    place = _middle(run, s)

    def beyond(wall: int) -> float:
        at = along(frame.plan.walls[wall], place)
        return round(max(-at, at - frame.plan.walls[wall].length, 0.0), 3)

    wall = min(walls, key=beyond)
    return wall, along(frame.plan.walls[wall], place)


def _piece_at(frame: Frame, index: int, s: float) -> str:
    """The mark of the piece that lies at a place of a run; in a splice, of the one laid over."""
    there = [p for p in frame.pieces if p.run == index and sum(p.low) / 2 - DUST <= s <= sum(p.high) / 2 + DUST]
    return max(there, key=lambda piece: piece.order).mark if there else ""
