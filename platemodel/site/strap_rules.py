"""Rules of what holds the plates down: straps, those that are built in already, gables, and the screws of laps."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from platemodel.faults import counted
from platemodel.frame.values import Frame
from platemodel.site.judgements import Failure, Judgement, judged
from platemodel.site.rule_set import RuleSet
from platemodel.site.strapping import Strapping


def of_straps(frame: Frame, rules: RuleSet, straps: Strapping) -> Iterator[Judgement]:
    """Straps: how far apart and where they stand, those that are built in, their length, gables, screws."""
    yield _spacing(frame, rules, straps)
    end, beside = f"at most {straps.end:g} mm", f"at most {straps.beside:g} mm"
    yield _near(frame, rules, straps, "strap_end", "of the plate", "a plate's end", end)
    yield _near(frame, rules, straps, "strap_opening", "of the opening", "each side of an opening", beside)
    if frame.plan.site.built:
        yield _built_in(frame, rules, straps)
    length, found = rules["strap_length"], f"{straps.length:g} mm"
    failures = [] if length.holds(straps.length) else [Failure(f"site.straps.length {straps.length:g}", found)]
    yield judged(length, "a strap at the eaves is long enough", failures, found)
    yield from _at_gables(frame, rules, straps)
    if frame.joints and frame.plan.lap.screws:
        yield from _of_screws(frame, rules, straps)


def _near(frame: Frame, rules: RuleSet, straps: Strapping, key: str, asked: str, place: str, limit: str) -> Judgement:
    """A strap stands near each such place."""
    walls = frame.plan.walls
    failures = [
        Failure(
            f"'{walls[lack.wall].name}' {lack.begin:.0f} to {lack.end:.0f}: {lack.asked}; there: {lack.why}",
            "no room",
        )
        for plate in straps.plates
        for lack in plate.shortfalls
        if asked in lack.asked
    ]
    held = "a strap at each" if straps.plates else "no plates on the shell's walls"
    return judged(rules[key], f"a strap stands near {place}", failures, held, limit)


def _built_in(frame: Frame, rules: RuleSet, straps: Strapping) -> Judgement:
    """Straps that are built in have a plate, and are clear of what straps keep out of."""

    def named(wall: int, at: float) -> str:
        return f"the strap built in at '{frame.plan.walls[wall].name}' {at:.0f}"

    built = [strap for plate in straps.plates for strap in plate.straps if strap.built]
    failures = [
        Failure(f"{named(strap.wall, strap.at)} stands {fault}", fault) for strap in built for fault in strap.faults
    ]
    on_plates = {(strap.wall, round(strap.at, 3)) for strap in built}
    failures += [
        Failure(f"{named(strap.wall, strap.at)} has no plate of a shell's wall", "no plate")
        for strap in frame.plan.site.built
        if (strap.wall, round(strap.at, 3)) not in on_plates
    ]
    held = f"{counted(len(built), 'strap')} built in, all clear"
    words = "straps that are built in are clear of laps, trusses and openings"
    return judged(rules["strap_clear"], words, failures, held, "clear")


def _at_gables(frame: Frame, rules: RuleSet, straps: Strapping) -> Iterator[Judgement]:
    """Lateral straps of each gable: how far apart they are, and whether trusses enough are known for them."""
    wanted = rules.count("lateral_trusses")
    for gable in straps.gables:
        name = frame.plan.walls[gable.wall].name
        words = f"lateral straps of '{name}' are near enough"
        yield judged(rules["lateral_spacing"], words, [], f"{gable.spacing:.0f} mm")
        known = counted(gable.trusses, "truss", "trusses") + " known on the walls beside"
        failures = [Failure(f"'{name}': {known}, {wanted} wanted", known)] if gable.reach is None else []
        words = f"lateral straps of '{name}' run over {wanted} trusses"
        yield judged(rules["lateral_trusses"], words, failures, known, f"at least {wanted}")


def _of_screws(frame: Frame, rules: RuleSet, straps: Strapping) -> Iterator[Judgement]:
    """Screws in laps: whether one that is sold stops short of the underside, and how far they are from edges."""
    depth = frame.plan.plate.depth
    none = [Failure(f"no screw as sold suits a depth of {depth:g}; ask the engineer", "none")]
    failures = none if straps.screw_length is None else []
    words, held = "screws in laps stop short of the underside", f"{straps.screw_length} mm in {depth:g}"
    yield judged(rules["screw_short"], words, failures, held)
    edge = rules["screw_edge"]
    failures = [
        Failure(f"lap {lap.joint}: {lap.edge:.0f} mm from its edges", f"{lap.edge:.0f} mm")
        for lap in straps.screws
        if lap.edge < edge.value - 1e-6
    ]
    yield judged(edge, "screws keep off a lap's edges", failures, f"{edge.value:g} mm or more")


def _spacing(frame: Frame, rules: RuleSet, straps: Strapping) -> Judgement:
    """Straps too far apart, by what the plan asks and by the rule set."""
    walls, figure = frame.plan.walls, rules["strap_spacing"]
    failures, worst = [], 0.0
    for plate in straps.plates:
        told = [lack for lack in plate.shortfalls if lack.asked.endswith("apart")]
        for lack in told:
            apart = f"{lack.end - lack.begin:.0f} mm"
            place = f"'{walls[lack.wall].name}' {lack.begin:.0f} to {lack.end:.0f}"
            failures.append(Failure(f"{place}: {apart} apart; there: {lack.why}", apart))
        most = max(plate.spacings, default=0.0)
        worst = max(worst, most)
        if not told and most > figure.value + 1e-3:
            # the plan asks for fewer straps than the rule set does
            names = " + ".join(f"'{walls[wall].name}'" for wall in plate.walls)
            failures.append(
                Failure(f"{names}: straps up to {most:.0f} mm apart, as site.straps asks", f"{most:.0f} mm")
            )
    limit = f"at most {min(straps.every, figure.value):g} mm"
    found = judged(figure, "holding-down straps are near enough", failures, f"{worst:.0f} mm at most", limit)
    return replace(found, source="site.straps.every of the plan") if straps.every < figure.value else found
