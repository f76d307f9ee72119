"""A rule that was judged everywhere on a frame: where it fails, and what was found where it does not."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.site.rule_set import Figure


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


def judged(figure: Figure, words: str, failures: Sequence[Failure], held: str, limit: str | None = None) -> Judgement:
    """A judgement by a figure of the rule set, whose level, source and, where no other is given, limit it has."""
    return Judgement(words, figure.level, figure.source, figure.limit if limit is None else limit, failures, held)


def counted(number: int, one: str, many: str = "") -> str:
    """So many of something, in words."""
    return f"{number} {one if number == 1 else many or one + 's'}"
