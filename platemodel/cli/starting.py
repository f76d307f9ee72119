"""``platemodel new``: write a plan to start from, or ask for one wall after the other."""

from __future__ import annotations

import math
import os
from pathlib import Path

import click

from platemodel.faults import InputError
from platemodel.plan.starter import starter_plan

CLOSES = 1.0
"""A walk that comes back this near to its start is closed (mm)."""


def write_new(file: str, ask: bool) -> None:
    """Write a starter plan to a file that is not there yet.

    Raises :class:`~platemodel.faults.InputError` where it is, or cannot be written.
    """
    path = Path(file)
    if os.path.lexists(path):
        raise InputError(f"{file}: is there already; expected a name that is not")
    text = _asked(file) if ask else starter_plan(file)
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as stream:
            stream.write(text)
    except OSError as error:
        raise InputError(f"{file}: cannot be written ({error.strerror})") from None


def _asked(file: str) -> str:
    """Ask for a walk round the outside of the walls."""
    title = click.prompt("What is the job called", default="A new plan")
    click.echo("Walk round the outside of the walls; lengths in mm on the outer face.")
    walk: list[float | str] = []
    walls: list[str] = []
    x = y = heading = 0.0
    while True:
        number = len(walls) + 1
        name = click.prompt(f"Wall {number}: its name", default=f"wall {number}")
        while name in walls:
            name = click.prompt("  that name is taken; another", default=f"wall {number}")
        length = click.prompt(f"  length of '{name}'", type=click.FloatRange(1.0, 1e6))
        walls.append(name)
        walk.append(length)
        x += length * math.cos(math.radians(heading))
        y += length * math.sin(math.radians(heading))
        away = math.hypot(x, y)
        if number >= 3 and away < CLOSES:
            click.echo("  that is back at the start: the shell is closed")
            return starter_plan(file, title, tuple(walk), tuple(walls))
        if number >= 2:
            click.echo(f"  now {away:.0f} mm from the start")
        turn = click.prompt("  turn at its end (L, R, or degrees, left positive)", default="L", value_proc=_turn)
        walk.append(turn)
        heading += {"L": 90.0, "R": -90.0}.get(str(turn), turn if isinstance(turn, float) else 0.0)


def _turn(text: str) -> str | float:
    word = text.strip().upper()
    if word in ("L", "R"):
        return word
    try:
        turn = float(word)
    except ValueError:
        raise click.UsageError("L, R or a number of degrees") from None
    if not -180 < turn < 180:
        raise click.UsageError("a turn between -180 and 180 degrees")
    return turn
