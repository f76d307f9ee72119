"""Rules of laps: what they keep clear of, the whole timber between them, plates that meet, neighbours' splices."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

from platemodel.faults import counted
from platemodel.frame.laps import sides_by_run
from platemodel.frame.runs import on_run
from platemodel.frame.splices import apart_wanted
from platemodel.frame.staggering import clashes
from platemodel.frame.strip import least_between
from platemodel.frame.values import Frame
from platemodel.site.judgements import Failure, Judgement, judged
from platemodel.site.rule_set import Figure, RuleSet


def on_openings(frame: Frame, rules: RuleSet) -> Judgement:
    """No lap over an opening."""
    plan, figure = frame.plan, rules["lap_opening"]
    failures, clear = [], math.inf
    for run, low, high, name in _places(frame):
        for opening in (item for wall in dict.fromkeys(frame.runs[run].walls) for item in plan.openings_on(wall)):
            begin, end = sorted(on_run(plan, frame.runs[run], opening.wall, at) for at in (opening.begin, opening.end))
            over = _overlap(low, high, begin, end)
            clear = min(clear, -over)
            if not figure.holds(-over):
                wall = plan.walls[opening.wall].name
                place = f"('{wall}' {opening.begin:g} to {opening.end:g})"
                words = f"{name} {_near_words(over, 'over')} {opening.name} {place}"
                failures.append(Failure(words, _clear_words(-over)))
    held = _nearest_words(clear, "no openings")
    return judged(figure, "no lap over an opening", failures, held, _clear_limit(figure))


def under_bearings(frame: Frame, rules: RuleSet) -> Judgement:
    """No lap under a bearing."""
    plan, figure = frame.plan, rules["lap_bearing"]
    failures, clear = [], math.inf
    for run, low, high, name in _places(frame):
        for bearing in (item for wall in dict.fromkeys(frame.runs[run].walls) for item in plan.bearings_on(wall)):
            at = on_run(plan, frame.runs[run], bearing.wall, bearing.at)
            begin, end = at - bearing.width / 2, at + bearing.width / 2
            over = _overlap(low, high, begin, end)
            clear = min(clear, -over)
            if not figure.holds(-over):
                move = min(end - low, high - begin) + figure.value
                wall = plan.walls[bearing.wall].name
                words = (
                    f"{name} {_near_words(over, 'under')} '{bearing.name}' ('{wall}' at {bearing.at:g});"
                    f" the bearing would have to move {move:.0f} mm"
                )
                failures.append(Failure(words, _clear_words(-over)))
    held = _nearest_words(clear, "no bearings")
    return judged(figure, "no lap under a bearing", failures, held, _clear_limit(figure))


def _places(frame: Frame) -> Iterator[tuple[int, float, float, str]]:
    """Every lap on its runs: run, from and to along it with the clearance, name. A splice is on one run, once."""
    for joint in frame.joints:
        for _, group in itertools.groupby(joint.lap.sides, key=lambda side: side.run):
            sides = list(group)
            low, high = min(min(side.void_low) for side in sides), max(max(side.void_high) for side in sides)
            yield sides[0].run, low, high, f"{joint.lap.kind} {joint.id}"


def _overlap(low: float, high: float, begin: float, end: float) -> float:
    return min(high, end) - max(low, begin)


def _near_words(over: float, way: str) -> str:
    """How a lap lies to something: over or under it by so much, or so near it."""
    return f"lies {over:.0f} mm {way}" if over > 1e-6 else f"lies only {-over:.0f} mm from"


def _clear_limit(figure: Figure) -> str:
    return f"{figure.limit} clear" if figure.value else "clear of it"


def _clear_words(clear: float) -> str:
    return f"{clear:.0f} mm clear" if clear > -1e-6 else f"{-clear:.0f} mm over one another"


def _nearest_words(clear: float, none: str) -> str:
    return none if math.isinf(clear) else f"{clear:.0f} mm clear at the nearest"


def whole_timber(frame: Frame, rules: RuleSet) -> Judgement:
    """Whole timber between laps, and from a lap to its plate's end."""
    failures, least = [], math.inf
    by_run = sides_by_run([joint.lap for joint in frame.joints], len(frame.runs))
    for run, sides in zip(frame.runs, by_run, strict=True):
        wanted = _timber_wanted(frame, rules, run.strip.width)
        for (one, lap), (other, following) in itertools.pairwise(sides):
            if lap == following:
                continue
            between = least_between(one.void_high, other.void_low)
            least = min(least, between)
            if between < wanted - 1e-6:
                names = f"{frame.joints[lap].id} and {frame.joints[following].id}"
                words = f"{between:.1f} mm between laps {names}, {wanted:g} wanted"
                failures.append(Failure(words, f"{between:.1f} mm"))
        for side, lap in sides:
            if frame.joints[lap].lap.kind == "splice":
                continue
            ends = [] if side.ends_low else [least_between(run.low, side.void_low)]
            ends += [] if side.ends_high else [least_between(side.void_high, run.high)]
            least = min([least, *ends])
            for left in ends:
                if left < wanted - 1e-6:
                    words = f"{left:.1f} mm beyond lap {frame.joints[lap].id} to the plate's end, {wanted:g} wanted"
                    failures.append(Failure(words, f"{left:.1f} mm"))
    held = "no two laps on a plate" if math.isinf(least) else f"{least:.1f} mm at the least"
    return judged(rules["lap_timber"], "whole timber between laps", failures, held, _timber_limit(frame, rules))


def _timber_wanted(frame: Frame, rules: RuleSet, width: float) -> float:
    return apart_wanted(frame.plan, width) * rules.value("lap_timber")


def _timber_limit(frame: Frame, rules: RuleSet) -> str:
    wanted = sorted({_timber_wanted(frame, rules, run.strip.width) for run in frame.runs})
    return f"at least {' or '.join(f'{value:g}' for value in wanted)} mm"


def unlapped(frame: Frame, rules: RuleSet) -> Judgement:
    """Plates that meet are lapped."""
    failures = [
        Failure(f"plates {frame.letters[one]} and {frame.letters[other]} touch without a lap", "no lap")
        for one, other in frame.touching
    ]
    held = f"{counted(len(frame.joints), 'lap')}, {len(failures)} plates that touch without one"
    told = failures if len(failures) > rules.value("plates_lapped") else []
    return judged(rules["plates_lapped"], "plates that meet are lapped", told, held)


def staggered(frame: Frame) -> Judgement:
    """Splices of neighbours stand apart, where the plan wants them staggered."""
    stagger = frame.plan.lap.stagger
    failures = [
        Failure(f"{one} and {other} {apart:.0f} mm apart, {stagger:g} wanted", f"{apart:.0f} mm")
        for one, other, apart in clashes(frame)
    ]
    words, source = "splices of neighbouring plates stand apart", "lap.stagger of the plan"
    return Judgement(words, "advice", source, f"at least {stagger:g} mm", failures, "none nearer")
