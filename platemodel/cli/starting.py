"""``platemodel new``: write a plan to start from, or ask for one wall after the other."""

from __future__ import annotations

import contextlib
import math
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

import click

from platemodel.faults import InputError
from platemodel.plan.starter import starter_plan

CLOSES = 1.0
"""A walk that comes back this near to its start is closed (mm)."""

LONGEST_NAME, LONGEST_TITLE = 60, 200


def write_new(file: str, ask: bool, drawn: Callable[[], str] | None = None) -> None:
    """Write a plan to start from to a file that is not there yet; ``drawn`` makes its text, where others drew it.

    Raises :class:`~platemodel.faults.InputError` where it is there, or cannot be written.
    """
    path = Path(file)
    if not path.name:
        raise InputError(f"'{file}' is not the name of a file; expected one such as house.toml")
    if os.path.lexists(path):
        raise InputError(f"{file}: is there already; expected a name that is not")
    if not path.absolute().parent.is_dir():
        raise InputError(f"{path.parent}: there is no such folder; expected one to put {path.name} into")
    text = drawn() if drawn is not None else _asked(file) if ask else starter_plan(file)
    made = False
    try:
        with open(path, "x", encoding="utf-8", newline="\n") as stream:
            made = True
            stream.write(text)
    except OSError as error:
        if made:
            with contextlib.suppress(OSError):
                path.unlink()
        raise InputError(f"{file}: cannot be written ({error.strerror})") from None


@dataclass
class _Walk:
    """The walk so far: what was said, and where it has come to (mm, degrees)."""

    steps: list[float | str] = field(default_factory=list)
    walls: list[str] = field(default_factory=list)
    x: float = 0.0
    y: float = 0.0
    heading: float = 0.0

    @property
    def away(self) -> float:
        """Distance from the start, mm."""
        return round(math.hypot(self.x, self.y), 6)

    def go(self, name: str, length: float) -> None:
        self.walls.append(name)
        self.steps.append(length)
        self.x += length * math.cos(math.radians(self.heading))
        self.y += length * math.sin(math.radians(self.heading))

    def turn(self, turn: float | str) -> None:
        self.steps.append(turn)
        self.heading += {"L": 90.0, "R": -90.0}[turn] if isinstance(turn, str) else turn

    def turn_home(self) -> float:
        """The turn that leads straight back to the start, degrees, left positive."""
        turn = math.degrees(math.atan2(-self.y, -self.x)) - self.heading
        # without the dust of sines, which no one has measured
        return round(math.remainder(turn, 360.0), 9)


def _asked(file: str) -> str:
    """Ask for a walk round the outside of the walls."""
    title = click.prompt("What is the job called", default="A new plan", value_proc=_title)
    click.echo("Walk round the outside of the walls; lengths in mm on the outer face.")
    walk = _Walk()
    home = False
    while True:
        number = len(walk.walls) + 1
        name = click.prompt(f"Wall {number}: its name", default=_free_name(walk.walls), value_proc=_Name(walk.walls))
        if home:
            click.echo(f"  length of '{name}': {walk.away:.1f}")
        length = walk.away if home else click.prompt(f"  length of '{name}'", value_proc=_length)
        walk.go(name, length)
        if number >= 3 and walk.away < CLOSES:
            click.echo("  that is back at the start: the shell is closed")
            return starter_plan(file, title, tuple(walk.steps), tuple(walk.walls))
        if number >= 2:
            click.echo(f"  now {walk.away:.0f} mm from the start")
        home_too = ", or C for a last wall straight back to the start" if number >= 2 else ""
        turn = click.prompt(
            f"  turn at its end (L, R, or degrees, left positive{home_too})",
            default="L",
            value_proc=_Turn(walk.turn_home() if number >= 2 else None),
        )
        home = turn == "C"
        walk.turn(walk.turn_home() if home else turn)


def _free_name(taken: list[str]) -> str:
    number = len(taken) + 1
    while f"wall {number}" in taken:
        number += 1
    return f"wall {number}"


def _title(text: str) -> str:
    return _text(text, LONGEST_TITLE)


class _Name:
    """Judge a wall's name: one line, not taken."""

    def __init__(self, taken: list[str]) -> None:
        self.taken = taken

    def __call__(self, text: str) -> str:
        name = _text(text, LONGEST_NAME)
        if name in self.taken:
            raise click.UsageError(f"'{name}' is taken; another name")
        return name


def _text(text: str, longest: int) -> str:
    word = text.strip()
    if not word or len(word) > longest or not word.isprintable():
        raise click.UsageError(f"a text of 1 to {longest} characters")
    return word


def _length(text: str) -> float:
    try:
        length = float(text)
    except ValueError:
        raise click.UsageError("a length in mm, such as 5400 or 5412.5") from None
    if not 1.0 <= length <= 1e6:
        raise click.UsageError("a length from 1 to 1000000 mm")
    return length


class _Turn:
    """Judge a turn; ``home`` is the one that leads back to the start, where that can be asked for."""

    def __init__(self, home: float | None) -> None:
        self.home = home

    def __call__(self, text: str) -> str | float:
        word = text.strip().upper()
        if word == "C" and self.home is not None:
            if abs(self.home) > 179.0:
                raise click.UsageError("that would go back along this wall; another turn first")
            return word
        if word in ("L", "R"):
            return word
        try:
            turn = float(word)
        except ValueError:
            raise click.UsageError("L, R or a number of degrees") from None
        if not -180 < turn < 180:
            raise click.UsageError("a turn between -180 and 180 degrees")
        return turn
