"""Rules of the shell as built, of how the frame is set on it, and of the bed under it, as far as they were measured.

The shell is judged against the plan as designed, the frame against the faces as built. Lengths in mm.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

from platemodel.faults import counted
from platemodel.frame.tape import whole
from platemodel.plan.values import Plan
from platemodel.site.as_built import AsBuilt
from platemodel.site.bedding import Bedding
from platemodel.site.faces import past_inner
from platemodel.site.fitting import FitStation, Placed
from platemodel.site.judgements import Failure, Finding, Judgement, of_findings
from platemodel.site.rule_set import RuleSet

IN_ANY = 5000.0
"""The length over which published limits of straightness and level hold (mm): see their figures in the rule set."""
SHORT = 1000.0
"""Of a wall that is shorter the level is not judged (mm): a reading's own millimetre would be most of the limit."""
DUST = 1e-3
"""What is past a limit by less is at it (mm)."""
EXACT = 0.5
"""A wall that is held is so within this (mm); common practice."""


@dataclass(frozen=True)
class Measured:
    """What was measured of a shell and worked out from it; None for what was not."""

    survey: AsBuilt | None = None
    placed: Placed | None = None
    bed: Bedding | None = None


UNMEASURED = Measured()
"""Where nothing was measured."""


def of_shell(plan: Plan, rules: RuleSet, measured: Measured) -> Iterator[Judgement]:
    """The shell against its design and in itself, the frame on it, and its bed; ``plan`` is the frame's."""
    survey, placed, bed = measured.survey, measured.placed, measured.bed
    findings = [] if survey is None else [*_against_design(survey), *_straight(survey)]
    findings += [] if bed is None else _level(plan, bed)
    findings += [] if placed is None else _set_off(plan, placed)
    yield from of_findings(rules, findings)
    if placed is not None and placed.measured:
        yield _past(plan, placed, "outer")
        yield _past(plan, placed, "inner")
        if plan.site.placing.hold:
            yield _held(plan, placed)
    if bed is not None:
        yield _bed(bed)


def _against_design(survey: AsBuilt) -> Iterator[Finding]:
    """How far corners are out of square, diagonals, opposite walls and lengths off the design."""
    names = [wall.name for wall in survey.plan.walls]
    for square in survey.squares:
        where = f"corner '{square.corner}', {abs(square.degrees):.2f}° in {square.over / 1000:.1f} m"
        yield Finding("shell_square", abs(square.by), where)
    for pair in survey.diagonals:
        one, other = (" to ".join(f"'{end}'" for end in ends) for ends in (pair.one, pair.other))
        yield Finding("shell_diagonal", abs(pair.by), f"{one}, and {other}")
    for walls in survey.parallels:
        one, other = (names[wall] for wall in walls.walls)
        where = f"'{one}' and '{other}', wider at '{walls.wider_at}', in {walls.over / 1000:.1f} m"
        yield Finding("shell_parallel", walls.by, where)
    for leg in survey.legs:
        where = f"'{names[leg.wall]}', {'longer' if leg.by > 0.0 else 'shorter'}"
        yield Finding("shell_length", abs(leg.by), where)


def _straight(survey: AsBuilt) -> Iterator[Finding]:
    """Each surveyed point of a wall against the straight lines between points beside it, as far apart as is judged.

    Where no two points so near stand on either side of it, the line between its two neighbours.
    """
    taped = survey.plan.site.survey
    on_walls: dict[int, list[tuple[float, float]]] = {}
    for name, point in survey.points.items():
        spot = None if taped is None else taped.points.get(name)
        if spot is not None and not point.corner and spot.wall in survey.walls:
            on_walls.setdefault(spot.wall, []).append(_on_line(survey.walls[spot.wall], point.at))
    for wall, inner in on_walls.items():
        places = sorted([(0.0, 0.0), *inner, (math.dist(*survey.walls[wall]), 0.0)])
        worst = (0.0, 0.0)
        for middle in range(1, len(places) - 1):
            pairs = list(itertools.product(range(middle), range(middle + 1, len(places))))
            near = [(a, b) for a, b in pairs if places[b][0] - places[a][0] <= IN_ANY] or [(middle - 1, middle + 1)]
            worst = max(
                worst,
                *((_off(places[a], places[b], places[middle]), places[b][0] - places[a][0]) for a, b in near),
            )
        yield Finding("shell_straight", worst[0], f"'{survey.plan.walls[wall].name}', in {worst[1] / 1000:.1f} m")


def _on_line(line: tuple[tuple[float, float], tuple[float, float]], at: tuple[float, float]) -> tuple[float, float]:
    """How far along a line a place is, and how far to its left."""
    (ax, ay), (bx, by) = line
    size = math.dist(*line)
    ux, uy = (bx - ax) / size, (by - ay) / size
    x, y = at[0] - ax, at[1] - ay
    return x * ux + y * uy, ux * y - uy * x


def _off(one: tuple[float, float], other: tuple[float, float], at: tuple[float, float]) -> float:
    """How far a place is off the line between two others."""
    return abs(_on_line((one, other), at)[1]) if math.dist(one, other) > 0.0 else 0.0


def _level(plan: Plan, bed: Bedding) -> Iterator[Finding]:
    """By how much each wall's top is off level, what is allowed of shorter walls being less in proportion."""
    lengths = {wall.name: wall.length for wall in plan.walls}
    for name, tops in bed.walls:
        length = lengths[name]
        levels = [level for _, level in tops]
        if len(levels) < 2 or length < SHORT:
            continue
        by = max(levels) - min(levels)
        if length > IN_ANY:
            yield Finding("shell_level_long", by, f"'{name}'")
        else:
            yield Finding("shell_level", by * IN_ANY / length, f"'{name}', {by:.1f} mm in {length / 1000:.1f} m")


def _set_off(plan: Plan, placed: Placed) -> Iterator[Finding]:
    """How far the plates as set are off the setbacks that are wanted, on walls that were measured."""
    for at in _stations(placed):
        side = "farther in" if at.error > 0.0 else "farther out"
        yield Finding("plate_setback", abs(at.error), f"{_place(plan, at)}, {side}")


def _stations(placed: Placed) -> list[FitStation]:
    return [at for at in placed.stations if at.wall in placed.measured]


def _place(plan: Plan, at: FitStation) -> str:
    return f"'{plan.walls[at.wall].name}' at {whole(at.along)}"


def _past(plan: Plan, placed: Placed, face: str) -> Judgement:
    """How far plates as set stand past a face of the leaf as built, by the settings of the plan."""
    wish = plan.site.placing
    outer = face == "outer"
    failures, most, lets = [], -math.inf, []
    for at in _stations(placed):
        past = -at.setback if outer else -at.inner
        let = wish.outer if outer else past_inner(wish, plan.walls[at.wall])
        lets.append(let)
        most = max(most, past)
        if past > let + DUST:
            failures.append(Failure(f"{_place(plan, at)}: {past:.1f} mm past it, {let:g} allowed", f"{past:.1f} mm"))
    held = f"{most:.1f} mm at most" if most > 0.0 else "none stands past it"
    source = f"site.placing.{face} of the plan; by itself common practice"
    # a plate that stands past its leaf by design may do so as built
    least, widest = (end(lets, default=wish.outer if outer else wish.inner) for end in (min, max))
    limit = f"at most {least:g} mm" if least == widest else f"at most {least:g} to {widest:g} mm, by wall"
    words = f"plates as set keep to the {face} face of the leaf as built"
    return Judgement(words, "advice", source, limit, failures, held)


def _held(plan: Plan, placed: Placed) -> Judgement:
    """Walls that are to be exact are."""
    hold = plan.site.placing.hold
    failures = [
        Failure(f"'{plan.walls[wall].name}': its outer face was not measured", "not measured")
        for wall in hold
        if wall not in placed.measured
    ]
    if placed.held_off > EXACT:
        off = f"{placed.held_off:.1f} mm"
        failures.append(Failure(f"the walls that are held, together: {off} off at the most", off))
    held = f"{counted(len(hold), 'wall')}, exact"
    source = "site.placing.hold of the plan"
    return Judgement("walls that are held have their setback", "advice", source, f"within {EXACT:g} mm", failures, held)


def _bed(bed: Bedding) -> Judgement:
    """The bed as found, by what the plan lets it be."""
    least, most = bed.wished
    failures = [
        Failure(
            f"'{item.wall}' {item.begin:.0f} to {item.end:.0f}: {item.by:.0f} mm too {way}: {item.remedy}",
            f"{item.by:.0f} mm too {way}",
        )
        for way, items in (("thick", bed.thick), ("thin", bed.high))
        for item in items
    ]
    held = f"{bed.least:.1f} to {bed.most:.1f} mm"
    source = "site.bed of the plan; by itself common practice"
    return Judgement("the bed is as thick as it may be", "advice", source, f"{least:g} to {most:g} mm", failures, held)
