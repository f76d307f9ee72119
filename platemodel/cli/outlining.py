"""``platemodel new FILE --from SOURCE``: a plan from what others drew; what the file does not tell is asked."""

from __future__ import annotations

import math
import sys
from dataclasses import replace

import click

from platemodel.faults import InputError, plain
from platemodel.outlines.choosing import Question
from platemodel.outlines.making import Made, Wish, make
from platemodel.outlines.reading import read_outlines
from platemodel.plan.values import Point

MOST_TOLD = 40
"""Healings beyond this are counted, not told one by one: they stand in the plan."""


def drawn_plan(file: str, source: str, wish: Wish) -> str:
    """The text of a plan from a foreign file; says what was healed and left out.

    Raises :class:`~platemodel.faults.InputError` or :class:`~platemodel.faults.PlanError`.
    """
    found = read_outlines(source)
    while True:
        made = make(file, source, found, wish)
        if isinstance(made, Made):
            _tell(made)
            return made.text
        answer = _answer(made, source)
        wish = replace(wish, unit=answer) if made.option == "--unit" else replace(wish, layers=(answer,))


def _answer(question: Question, source: str) -> str:
    """What the user answers, on a terminal; elsewhere the option is missing."""
    if not on_terminal():
        raise InputError(f"{source}: {question.text()}")
    click.echo(plain(f"{source}: {question.words}"))
    words = {"--unit": "In what unit is it", "--layer": "Which holds the outlines"}[question.option]
    answer: str = click.prompt(words, type=click.Choice(question.answers), default=question.answers[0])
    return answer


def place(text: str) -> Point:
    """A place that is given as X,Y, in mm."""
    try:
        x, y = (float(part) for part in text.split(","))
    except ValueError:
        x = y = math.nan
    if not math.isfinite(x + y):
        raise click.UsageError(f"--at '{text}' is no place; expected X,Y in mm, such as 12500,-3400")
    return x, y


def on_terminal() -> bool:
    """Whether there is someone to ask."""
    return sys.stdin is not None and sys.stdin.isatty()


def _tell(made: Made) -> None:
    for word, said in (("healed", made.healed), ("left out", made.left_out)):
        for words in said[:MOST_TOLD]:
            click.echo(plain(f"{word}: {words}"))
        if len(said) > MOST_TOLD:
            click.echo(f"{word}: {len(said) - MOST_TOLD} more, which stand in the plan as remarks")
    click.echo(f"found: {made.summary}")
