"""A rule that was judged everywhere on a frame: where it fails, and what was found where it does not."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from platemodel.site.rule_set import Figure, RuleSet


@dataclass(frozen=True)
class Failure:
    """A place where a rule fails, in words, and what was found there."""

    where: str
    found: str


@dataclass(frozen=True)
class Judgement:
    """A rule judged everywhere: its words, level, source and limit, where it fails, what was found where it holds."""

    words: str
    level: str
    source: str
    limit: str
    failures: Sequence[Failure]
    held: str


@dataclass(frozen=True)
class Finding:
    """Something measured: which figure of the rule set it is judged by, how much it is in that figure's unit, where."""

    key: str
    value: float
    where: str


def judged(figure: Figure, words: str, failures: Sequence[Failure], held: str, limit: str | None = None) -> Judgement:
    """A judgement by a figure of the rule set, whose level, source and, where no other is given, limit it has."""
    return Judgement(words, figure.level, figure.source, figure.limit if limit is None else limit, failures, held)


def of_findings(rules: RuleSet, findings: Iterable[Finding]) -> Iterator[Judgement]:
    """What was measured, judged by the figures it names: a judgement a figure, in the order of the findings."""
    by_key: dict[str, list[Finding]] = {}
    for finding in findings:
        by_key.setdefault(finding.key, []).append(finding)
    for key, found in by_key.items():
        figure = rules[key]
        unit = "" if figure.unit == "number" else f" {figure.unit}"
        failures = [
            Failure(f"{item.where}: {item.value:.1f}{unit}", f"{item.value:.1f}{unit}")
            for item in found
            if not figure.holds(item.value)
        ]
        worst = (min if figure.sense == "least" else max)(found, key=lambda item: item.value)
        yield judged(figure, figure.words, failures, f"{worst.value:.1f}{unit} at worst, {worst.where}")
