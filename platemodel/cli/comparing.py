"""``platemodel compare``: what alternatives of a plan come to, side by side."""

from __future__ import annotations

import itertools
import os
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

import click

from platemodel.cli.stopping import postponed
from platemodel.faults import InputError, KeyPath, PlanError, plain
from platemodel.frame.values import Frame
from platemodel.plan import model
from platemodel.plan.fields import Table

MOST = 200
"""Combinations that are tried; more is a slip."""

_TABLES: dict[str, type[Table]] = {
    "job": model.Job,
    "plate": model.Plate,
    "lap": model.Lap,
    "stock": model.Stock,
    "laying": model.Laying,
}


@dataclass(frozen=True)
class Figures:
    """What a frame comes to: metres bought, waste in per cent of the timber used, mass in kg, time in minutes.

    ``settings`` are the saw's, unders and overs apart; the time is that of the whole crew at work together;
    ``price`` is None where the plan has no prices.
    """

    pieces: int
    types: int
    settings: int
    laps: int
    boards: int
    metres: float
    waste: float
    mass: float
    price: float | None
    minutes: float


HEAD = (
    "alternative",
    "pieces",
    "types",
    "settings",
    "laps",
    "boards",
    "metres",
    "waste_percent",
    "mass_kg",
    "price",
    "minutes",
    "fault",
)


def figures(frame: Frame) -> Figures:
    """The figures of a frame by which it is compared."""
    from platemodel.export.buying import buying, width_of
    from platemodel.export.sawing import sawing
    from platemodel.frame.timber import mass

    plan, plate = frame.plan, frame.plan.plate
    bought = [board for board in frame.boards if not board.yard]
    prices = [board.price for board in bought]
    saw = sawing(frame)
    return Figures(
        pieces=len(frame.pieces),
        types=saw.types,
        settings=saw.settings,
        laps=len(frame.joints),
        boards=len(bought),
        metres=sum(board.length for board in bought) / 1000,
        waste=buying(frame).waste,
        mass=mass(sum(board.length * width_of(frame, board) for board in bought) * plate.depth, plate.grade),
        price=None if plan.stock.prices is None else sum(price for price in prices if price is not None),
        minutes=saw.minutes / plan.laying.crew,
    )


def compare(plan_path: str, vary: Sequence[str], output: str | None) -> None:
    """Print a table of alternatives of a plan, and write it as CSV where a file is named; nothing else is written.

    Raises :class:`~platemodel.faults.PlanError` or :class:`~platemodel.faults.InputError`.
    """
    with postponed():
        from platemodel.frame import decide
        from platemodel.plan.reading import parse_plan, plan_text

    if output is not None and (os.path.lexists(output) or not Path(output).absolute().parent.is_dir()):
        raise InputError(f"{output}: is there already or has no folder; expected a new file's name")
    text = plan_text(plan_path)
    planned = figures(decide(parse_plan(text, plan_path)))
    choices = [_choices(one) for one in vary]
    if len({path for path, _ in choices}) < len(choices):
        raise InputError("--vary: a key stands twice; expected each key once, its values with ; between")
    combinations = list(itertools.product(*([(path, *value) for value in values] for path, values in choices)))
    if len(combinations) > MOST:
        raise InputError(f"--vary: {len(combinations)} combinations; expected at most {MOST}")
    rows = [["as planned", *_cells(planned), ""]]
    for some in combinations:
        name = ", ".join(said for _, said, _ in some)
        instead = {path: value for path, _, value in some}
        try:
            rows.append([name, *_cells(figures(decide(parse_plan(text, plan_path, instead)))), ""])
        except PlanError as error:
            rows.append([name, *[""] * (len(HEAD) - 2), plain(error.faults[0].text(error.file))])
    click.echo(_table(rows))
    if output is not None:
        _write(output, rows)


def _choices(said: str) -> tuple[KeyPath, list[tuple[str, Any]]]:
    """The key path of one --vary, and its values, each as it is said and as it is."""
    key, equals, listed = (part.strip() for part in said.partition("="))
    path = tuple(part.strip() for part in key.split("."))
    table = _TABLES.get(path[0])
    if len(path) != 2 or table is None or path[1] not in table.model_fields:
        known = [f"{name}.{field}" for name in ("lap", "stock", "laying") for field in _TABLES[name].model_fields]
        raise InputError(f"--vary: '{key}' is no key to vary; expected one such as {', '.join(known)}")
    if equals:
        return path, [(f"{key}={value.strip()}", _value(key, value.strip())) for value in listed.split(";")]
    kind = table.model_fields[path[1]].annotation
    values = [True, False] if kind is bool else list(get_args(kind))
    if not values or any(not isinstance(value, str | bool) for value in values):
        raise InputError(f"--vary: '{key}' has no values of its own; expected {key}=VALUE;VALUE")
    return path, [(f"{key}={str(value).lower() if kind is bool else value}", value) for value in values]


def _value(key: str, text: str) -> Any:
    """A value as it would stand in the plan; a text may stand without quotes."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        if text and text.replace("-", "").replace("_", "").isalnum():
            return text
        raise InputError(f"--vary: '{text}' for {key} cannot be read; expected a value as in a plan") from None


def _cells(found: Figures) -> list[str]:
    return [
        *(str(count) for count in (found.pieces, found.types, found.settings, found.laps, found.boards)),
        f"{found.metres:.1f}",
        f"{found.waste:.1f}",
        f"{found.mass:.0f}",
        "" if found.price is None else f"{found.price:.2f}",
        f"{found.minutes:.0f}",
    ]


def _table(rows: Sequence[Sequence[str]]) -> str:
    """The rows under their heads, figures to the right; a column in which nothing stands is left out."""
    shown = [column for column in range(len(HEAD)) if column < 2 or any(row[column] for row in rows)]
    cells = [[HEAD[column] for column in shown], *([row[column] for column in shown] for row in rows)]
    widths = [max(map(len, column)) for column in zip(*cells, strict=True)]
    words = [HEAD[column] in ("alternative", "fault") for column in shown]
    return "\n".join(
        "  ".join(
            cell.ljust(wide) if left else cell.rjust(wide) for cell, wide, left in zip(row, widths, words, strict=True)
        ).rstrip()
        for row in cells
    )


def _write(output: str, rows: Sequence[Sequence[str]]) -> None:
    from platemodel.export.lists import table

    try:
        with open(output, "x", encoding="utf-8", newline="") as stream:
            stream.write(table(list(HEAD), rows))
    except OSError as error:
        raise InputError(f"{output}: cannot be written ({error.strerror})") from None
