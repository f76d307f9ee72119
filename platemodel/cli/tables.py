"""Tables of readings as files: how the commands that need no plan read theirs, and write what they found.

A table is text with commas, its columns named in the first line. All faults of one are told at once, by line and
column. Results are written whole or not at all, into a folder with nothing else in it.
"""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from platemodel.faults import Fault, InputError, PlanError, nearest, plain

MOST_BYTES = 8_000_000
"""Larger than any book or survey: such a file is something else."""


class Table:
    """A table that is read line by line, and all that is wrong with it.

    ``needed`` are the columns that must be there, ``other`` those that may; with ``others_left`` further columns,
    such as remarks, are left alone, else they are faults.
    """

    def __init__(self, file: str, needed: Sequence[str], other: Sequence[str] = (), others_left: bool = False) -> None:
        self.file = file
        self.faults: list[Fault] = []
        self._needed, self._known, self._others_left = needed, (*needed, *other), others_left

    def fault(self, line: int | None, column: str, found: str, expected: str) -> None:
        """Note what is wrong with a line (from 1)."""
        self.faults.append(Fault((column,) if column else (), found, expected, line))

    def error(self) -> PlanError:
        """All that is wrong, to be raised."""
        return PlanError(self.faults, plain(self.file))

    def rows(self) -> Iterator[tuple[int, dict[str, str]]]:
        """Every line after the first that says something, with its number from 1; cells left out at its end are blank.

        Raises :class:`~platemodel.faults.PlanError` or :class:`~platemodel.faults.InputError`.
        """
        reader = csv.reader(io.StringIO(self._text(), newline=""), strict=True)
        head: list[str] | None = None
        try:
            for cells in reader:
                if not any(cell.strip() for cell in cells):
                    continue
                if head is None:
                    head = [cell.strip().lower() for cell in cells]
                    self._judge_head(head, reader.line_num)
                    continue
                if any(cell.strip() for cell in cells[len(head) :]):
                    found = f"found {len(cells)} cells"
                    self.fault(reader.line_num, "", found, f"expected {len(head)}, with a point in decimals")
                    continue
                cells += [""] * (len(head) - len(cells))
                row = {name: cell.strip() for name, cell in zip(head, cells, strict=False)}
                yield reader.line_num, {name: row[name] for name in self._known if name in row}
        except csv.Error as error:
            self.fault(reader.line_num, "", f"is not CSV: {error}", "expected cells with commas between")
            raise self.error() from None
        if head is None:
            raise InputError(f"{plain(self.file)}: is empty; expected the columns {', '.join(self._known)}")

    def _text(self) -> str:
        file = plain(self.file)
        try:
            with open(self.file, "rb") as stream:
                data = stream.read(MOST_BYTES + 1)
        except OSError as error:
            raise InputError(f"{file}: cannot be read ({error.strerror}); expected a table as CSV") from None
        if len(data) > MOST_BYTES:
            raise InputError(f"{file}: is larger than {MOST_BYTES // 10**6} MB; expected a table of readings")
        try:
            return data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            raise InputError(f"{file}:{line}: is not text in UTF-8; expected a table saved as CSV UTF-8") from None

    def _judge_head(self, head: Sequence[str], line: int) -> None:
        columns = ",".join(self._known)
        separated = next((mark for mark in ";\t" if any(mark in cell for cell in head)), None)
        for name in self._needed:
            if name in head:
                continue
            near = nearest(name, head)
            expected = near if near.startswith("did") else f"expected a first line such as {columns}"
            if separated is not None:
                expected = f"expected commas between the columns, as in {columns}"
            self.fault(line, name, "there is no such column in the first line", expected)
        for name in self._known:
            if head.count(name) > 1:
                self.fault(line, name, "this column stands twice", "expected it once")
        strange = () if self._others_left or self.faults else [name for name in head if name not in self._known]
        for name in strange:
            self.fault(line, name, f"found the column '{name}'", f"expected {columns} alone")
        if self.faults:
            raise self.error()


def folder_for(output: str, files: Mapping[str, Sequence[str]]) -> Path:
    """The folder to write to: new, empty, or with nothing but earlier files of the command's own.

    ``files`` gives their names and columns. Raises :class:`~platemodel.faults.InputError`.
    """
    folder, named = Path(output), plain(output)
    if not folder.exists():
        if folder.is_symlink():
            raise InputError(f"{named}: is a link to nothing; expected a folder, or no such name yet")
        return folder
    if not folder.is_dir():
        raise InputError(f"{named}: is a file; expected a folder, or no such name yet")
    if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        raise InputError(f"{named}: is read-only; expected a folder that can be written to")
    for item in sorted(folder.iterdir()):
        if item.name not in files or not _own(item, files[item.name]):
            raise InputError(
                f"{named}: holds {plain(item.name)}, which is not this command's; expected a new or empty folder, or "
                f"one with nothing but its own earlier {' and '.join(files)}"
            )
    return folder


def _own(file: Path, head: Sequence[str]) -> bool:
    if file.is_symlink() or not file.is_file():
        return False
    with open(file, "rb") as stream:
        return stream.readline(1000).strip() == ",".join(head).encode()


def cell_of(name: str) -> str:
    """A name as a cell that no reckoning sheet takes for a formula."""
    return f"'{name}" if name[:1] in "=+-@" else name


def write_tables(folder: Path, tables: Mapping[str, Sequence[Sequence[str]]]) -> None:
    """Write tables by file name, each as lines of cells; earlier ones are replaced once all are whole.

    Raises :class:`~platemodel.faults.InputError`.
    """
    from platemodel.export.folder import beside, uninterrupted

    try:
        with beside(folder) as work:
            for name, lines in tables.items():
                with open(work / name, "w", newline="", encoding="utf-8") as stream:
                    csv.writer(stream, lineterminator="\n").writerows(lines)
            with uninterrupted():
                folder.mkdir(exist_ok=True)
                for name in tables:
                    (work / name).replace(folder / name)
    except OSError as error:
        raise InputError(f"{plain(str(folder))}: cannot be written ({error.strerror})") from None
