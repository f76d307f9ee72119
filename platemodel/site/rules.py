"""The rules of the trade, judged on a decided frame with the figures of a rule set.

A rule is ``must`` or ``advice``; advice never fails a build. Each names its source, or says that
it is common practice. Local building codes and the engineer come before all of them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

from platemodel.frame.values import Frame
from platemodel.site import board_rules, lap_rules, plate_rules
from platemodel.site.judgements import Judgement
from platemodel.site.rule_set import RuleSet, rule_set
from platemodel.site.shell_rules import UNMEASURED, Measured, of_shell
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


def judge(
    frame: Frame,
    rules: RuleSet | None = None,
    straps: Strapping | None = None,
    measured: Measured = UNMEASURED,
) -> list[Verdict]:
    """Judge every rule on a frame; straps too, where the plan asks for them, and what was measured of the shell.

    Raises :class:`~platemodel.faults.PlanError` where the plan's own rule set cannot be read.
    """
    rules = rule_set(frame.plan) if rules is None else rules
    straps = strapping(frame, rules) if straps is None else straps
    return [verdict for judgement in _judgements(frame, rules, straps, measured) for verdict in _verdicts(judgement)]


def _judgements(frame: Frame, rules: RuleSet, straps: Strapping | None, measured: Measured) -> Iterator[Judgement]:
    for rule in ALWAYS:
        yield rule(frame, rules)
    if board_rules.sizes_known(frame):
        yield board_rules.jamming(frame, rules)
    if frame.plan.lap.stagger > 0:
        yield lap_rules.staggered(frame)
    if frame.plan.site.levels is not None:
        yield plate_rules.bed(frame, rules)
    yield from of_shell(frame.plan, rules, measured)
    if straps is not None:
        yield from of_straps(frame, rules, straps)


def _verdicts(rule: Judgement) -> list[Verdict]:
    if not rule.failures:
        return [Verdict(rule.words, rule.level, rule.source, True, "", rule.held, rule.limit)]
    return [
        Verdict(rule.words, rule.level, rule.source, False, failure.where, failure.found, rule.limit)
        for failure in rule.failures
    ]
