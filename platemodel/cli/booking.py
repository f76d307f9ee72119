"""``platemodel book``: a levelling book from a table of readings, without a plan."""

from __future__ import annotations

import contextlib
import csv
import io
import os
import tempfile
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import click

from platemodel.faults import Fault, InputError, PlanError, nearest
from platemodel.site.booking import FARTHEST, Book, Row, bad_rows, number, written
from platemodel.site.booking import book as work_out

COLUMNS = ("station", "backsight", "intermediate", "foresight")
HEAD = ("station", "rise", "fall", "collimation", "level", "adjusted")
FILE = "levels.csv"
MOST_BYTES = 8_000_000
"""Larger than any book: such a file is something else."""


def book(path: str, level: str, close: str | None, output: str) -> None:
    """Work out a book, say how it checks and closes, and write it into a folder as levels.csv.

    Raises :class:`~platemodel.faults.PlanError` with every bad row, or :class:`~platemodel.faults.InputError`.
    """
    start = _level("--level", level)
    known = None if close is None else _level("--close", close)
    rows = _rows(path)
    folder = _judged(output)
    made = work_out(rows, start, known)
    _write(folder, _csv(made))
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
    reader = csv.reader(io.StringIO(_text(path), newline=""), strict=True)
    lines: list[tuple[int, list[str]]] = []
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                lines.append((reader.line_num, cells))
    except csv.Error as error:
        fault = Fault((), f"is not CSV: {error}", "expected a table with commas", reader.line_num)
        raise PlanError([fault], path) from None
    if not lines:
        raise InputError(f"{path}: is empty; expected the columns {', '.join(COLUMNS)}")
    where = _head(path, *lines[0])
    faults: list[Fault] = []
    rows = [_row(cells, where, line, faults) for line, cells in lines[1:]]
    # a row that cannot be read tells nothing of the next
    if not faults:
        for bad in bad_rows(rows):
            line = lines[min(bad.row + 1, len(lines) - 1)][0]
            faults.append(Fault((bad.column,), bad.found, bad.expected, line))
    if faults:
        raise PlanError(faults, path)
    return rows


def _text(path: str) -> str:
    try:
        with open(path, "rb") as stream:
            data = stream.read(MOST_BYTES + 1)
        if len(data) > MOST_BYTES:
            raise InputError(f"{path}: is larger than any book; expected a table of readings")
        return data.decode("utf-8-sig")
    except OSError as error:
        raise InputError(f"{path}: cannot be read ({error.strerror}); expected a table of readings as CSV") from None
    except UnicodeDecodeError:
        raise InputError(f"{path}: is no text in UTF-8; expected a table of readings as CSV") from None


def _head(path: str, line: int, cells: Sequence[str]) -> dict[str, int]:
    """Where each column stands; others are left alone."""
    names = [cell.strip().lower() for cell in cells]
    faults = []
    for column in COLUMNS:
        if column not in names:
            separated = ";" in cells[0] or "\t" in cells[0]
            expected = "expected commas between the columns" if separated else nearest(column, names)
            faults.append(Fault((column,), "there is no such column in the first line", expected, line))
        elif names.count(column) > 1:
            faults.append(Fault((column,), "this column stands twice", "expected it once", line))
    if faults:
        raise PlanError(faults, path)
    return {column: names.index(column) for column in COLUMNS}


def _row(cells: Sequence[str], where: dict[str, int], line: int, faults: list[Fault]) -> Row:
    texts = {column: cells[at].strip() if at < len(cells) else "" for column, at in where.items()}
    values: dict[str, Decimal | None] = {}
    for column in COLUMNS[1:]:
        try:
            values[column] = number(texts[column]) if texts[column] else None
        except ValueError as error:
            faults.append(Fault((column,), f"found '{texts[column]}'", str(error), line))
    if not texts["station"]:
        faults.append(Fault(("station",), "no name", "expected what was read, such as BM or A", line))
    return Row(texts["station"], *(values.get(column) for column in COLUMNS[1:]))


def _judged(output: str) -> Path:
    """The folder to write to: new, empty, or with nothing but an earlier levels.csv of this command."""
    folder = Path(output)
    if not folder.exists():
        if folder.is_symlink():
            raise InputError(f"{output}: is a link to nothing; expected a folder, or no such name yet")
        return folder
    if not folder.is_dir():
        raise InputError(f"{output}: is a file; expected a folder, or no such name yet")
    names = sorted(one.name for one in folder.iterdir())
    if names not in ([], [FILE]) or (names and not _own(folder / FILE)):
        raise InputError(
            f"{output}: holds files that are not this command's; expected a new or empty folder, or one with nothing "
            f"but its own earlier {FILE}"
        )
    return folder


def _own(file: Path) -> bool:
    if file.is_symlink() or not file.is_file():
        return False
    with open(file, "rb") as stream:
        return stream.readline(1000).strip() == ",".join(HEAD).encode()


def _csv(made: Book) -> str:
    finer = made.places + (made.misclosure is not None)
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(HEAD)
    for item in made.stations:
        figures = (item.rise, item.fall, item.collimation, item.level)
        station = f"'{item.station}" if item.station[0] in "=+-@" else item.station
        writer.writerow([station, *(written(it, made.places) for it in figures), written(item.adjusted, finer)])
    return stream.getvalue()


def _write(folder: Path, text: str) -> None:
    """Write the file whole or not at all."""
    made = [one for one in (folder, *folder.parents) if not one.exists()]
    beside: Path | None = None
    done = False
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(prefix=".", suffix=".part", dir=folder)
        beside = Path(name)
        with open(handle, "w", encoding="utf-8", newline="") as stream:
            stream.write(text)
        # as any new file, not as one of a single user
        mask = os.umask(0)
        os.umask(mask)
        beside.chmod(0o666 & ~mask)
        beside.replace(folder / FILE)
        done = True
    except OSError as error:
        raise InputError(f"{folder / FILE}: cannot be written ({error.strerror})") from None
    finally:
        if not done:
            with contextlib.suppress(OSError):
                if beside is not None:
                    beside.unlink()
                for one in made:
                    one.rmdir()


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
