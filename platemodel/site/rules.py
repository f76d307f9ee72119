"""The rules of the trade, judged on a decided frame with the figures of a rule set.

A rule is ``must`` or ``advice``; advice never fails a build. Each names its source, or says that
it is common practice. Local building codes and the engineer come before all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.values import Frame
from platemodel.site import board_rules, lap_rules, plate_rules
from platemodel.site.judgements import Failure, Judgement, judged
from platemodel.site.rule_set import RuleSet, rule_set
from platemodel.site.strap_rules import of_straps
from platemodel.site.strapping import Strapping, strapping

ALWAYS: tuple[Callable[[Frame, RuleSet], Judgement], ...] = (
    lap_rules.on_openings,
    lap_rules.under_bearings,
    lap_rules.whole_timber,
    plate_rules.overhangs,
    plate_rules.short_plates,
    plate_rules.section,
    lap_rules.unlapped,
    plate_rules.laid_loose,
    board_rules.tight_boards,
)
"""Rules that are judged of every frame, in order."""


@dataclass(frozen=True)
class Verdict:
    """What one rule says, once for each place where it fails, or once where it holds everywhere.

    ``found`` is what was found there (or at the worst place, where it holds), ``limit`` what the rule asks.
    """

    rule: str
    level: str
    source: str
    passed: bool
    where: str
    found: str = ""
    limit: str = ""


@dataclass(frozen=True)
class Finding:
    """Something measured: which figure of the rule set it is judged by, how much it is in that figure's unit, where."""

    key: str
    value: float
    where: str


def judge(frame: Frame, rules: RuleSet | None = None, straps: Strapping | None = None) -> list[Verdict]:
    """Judge every rule on a frame; straps too, where the plan asks for them.

    Raises :class:`~platemodel.faults.PlanError` where the plan's own rule set cannot be read.
    """
    rules = rule_set(frame.plan) if rules is None else rules
    straps = strapping(frame, rules) if straps is None else straps
    return [verdict for judgement in _judgements(frame, rules, straps) for verdict in _verdicts(judgement)]


def _judgements(frame: Frame, rules: RuleSet, straps: Strapping | None) -> Iterator[Judgement]:
    for rule in ALWAYS:
        yield rule(frame, rules)
    if board_rules.sizes_known(frame):
        yield board_rules.jamming(frame, rules)
    if frame.plan.lap.stagger > 0:
        yield lap_rules.staggered(frame)
    if frame.plan.site.levels is not None:
        yield plate_rules.bed(frame, rules)
    if straps is not None:
        yield from of_straps(frame, rules, straps)


def judge_findings(rules: RuleSet, findings: Sequence[Finding]) -> list[Verdict]:
    """Judge what was measured of the shell or the bed: a verdict for each figure and place that fails, else one."""
    found: list[Verdict] = []
    for key in dict.fromkeys(finding.key for finding in findings):
        figure = rules[key]
        of_key = [finding for finding in findings if finding.key == key]
        bad = [item for item in of_key if not figure.holds(item.value)]
        unit = "" if figure.unit == "number" else f" {figure.unit}"
        failures = [Failure(f"{item.where}: {item.value:.1f}{unit}", f"{item.value:.1f}{unit}") for item in bad]
        worst = (min if figure.sense == "least" else max)(of_key, key=lambda item: item.value)
        held = f"{worst.value:.1f}{unit} at worst, {worst.where}"
        found += _verdicts(judged(figure, figure.words, failures, held))
    return found


def _verdicts(rule: Judgement) -> list[Verdict]:
    if not rule.failures:
        return [Verdict(rule.words, rule.level, rule.source, True, "", rule.held, rule.limit)]
    return [
        Verdict(rule.words, rule.level, rule.source, False, failure.where, failure.found, rule.limit)
        for failure in rule.failures
    ]
