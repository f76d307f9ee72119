"""``platemodel book``: a levelling book from a table of readings, without a plan."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

import click

from platemodel.cli.tables import Table, cell_of, folder_for, write_tables
from platemodel.faults import InputError
from platemodel.site.booking import FARTHEST, Book, Row, bad_rows, number, written
from platemodel.site.booking import book as work_out

COLUMNS = ("station", "backsight", "intermediate", "foresight")
HEAD = ("station", "rise", "fall", "collimation", "level", "adjusted")
FILE = "levels.csv"


def book(path: str, level: str, close: str | None, output: str) -> None:
    """Work out a book, say how it checks and closes, and write it into a folder as levels.csv.

    Raises :class:`~platemodel.faults.PlanError` with every bad row, or :class:`~platemodel.faults.InputError`.
    """
    start = _level("--level", level)
    known = None if close is None else _level("--close", close)
    rows = _rows(path)
    folder = folder_for(output, {FILE: HEAD})
    made = work_out(rows, start, known)
    write_tables(folder, {FILE: _lines(made)})
    click.echo("\n".join(_said(made, known)))
    click.echo(f"{folder / FILE} is written")


def _level(option: str, text: str) -> Decimal:
    try:
        value = number(text)
    except ValueError as error:
        raise InputError(f"{option}: found '{text}'; {error}") from None
    if abs(value) > FARTHEST:
        raise InputError(f"{option}: found {text}; expected metres: is this millimetres?")
    return value


def _rows(path: str) -> list[Row]:
    """The rows of a table; every fault of it at once."""
    table = Table(path, COLUMNS, others_left=True)
    lines: list[int] = []
    rows: list[Row] = []
    for line, cells in table.rows():
        lines.append(line)
        rows.append(_row(cells, line, table))
    # a row that cannot be read tells nothing of the next
    if not table.faults:
        for bad in bad_rows(rows):
            line = lines[min(max(bad.row, 0), len(lines) - 1)] if lines else 1
            table.fault(line, bad.column, bad.found, bad.expected)
    if table.faults:
        raise table.error()
    return rows


def _row(cells: Mapping[str, str], line: int, table: Table) -> Row:
    values: dict[str, Decimal | None] = {}
    for column in COLUMNS[1:]:
        try:
            values[column] = number(cells[column]) if cells[column] else None
        except ValueError as error:
            table.fault(line, column, f"found '{cells[column]}'", str(error))
    if not cells["station"]:
        table.fault(line, "station", "no name", "expected what was read, such as BM or A")
    return Row(cells["station"], *(values.get(column) for column in COLUMNS[1:]))


def _lines(made: Book) -> list[Sequence[str]]:
    finer = made.places + (made.misclosure is not None)
    lines: list[Sequence[str]] = [HEAD]
    for item in made.stations:
        figures = (item.rise, item.fall, item.collimation, item.level)
        lines.append(
            (cell_of(item.station), *(written(it, made.places) for it in figures), written(item.adjusted, finer))
        )
    return lines


def _said(made: Book, known: Decimal | None) -> list[str]:
    """The arithmetic checks, and how the book closes."""
    places = made.places

    def say(value: Decimal) -> str:
        return written(value, places)

    first, last = made.stations[0].level, made.stations[-1].level
    one, other, third = made.differences
    lines = [
        f"{len(made.stations)} stations, {made.set_ups} set-up" + ("s" if made.set_ups > 1 else ""),
        f"backsights {say(made.backsights)} - foresights {say(made.foresights)} = {say(one)}",
        f"rises {say(made.rises)} - falls {say(made.falls)} = {say(other)}",
        f"last level {say(last)} - first level {say(first)} = {say(third)}",
        "arithmetic checks hold; height of collimation and rise and fall agree at every station"
        if made.checks
        else "arithmetic checks FAIL",
    ]
    if made.misclosure is None:
        return [*lines, "misclosure: not known, no closing level is given (--close); adjusted is as found"]
    assert known is not None
    lines.append(
        f"misclosure {say(made.misclosure)}: found {say(last)}, known {say(known)}; allowed {made.allowed} either way, "
        f"5 mm x root of {made.set_ups} set-ups (common practice)"
    )
    if not made.closes:
        lines.append("MORE THAN IS ALLOWED: read the book again before you use it")
    share = written(-made.misclosure / made.set_ups, places + 1)
    return [*lines, f"adjusted: {share} for each set-up, shared out by their number (common practice)"]
