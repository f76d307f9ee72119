"""Ruled tables on a sheet."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.sheets.lettering import fitted, wrapped
from platemodel.sheets.page import NARROW, THIN, WIDE, Page

TEXT = 2.5
HEAD = 2.5
LINE = 4.0
PAD = 1.2


@dataclass(frozen=True)
class Column:
    """A column: its head, its width in mm, whether its cells are figures, and whether they wrap."""

    head: str
    width: float
    figures: bool = False
    bold: bool = False


def row_height(columns: Sequence[Column], row: Sequence[str]) -> float:
    """The height a row takes on paper, mm."""
    return LINE * max(len(_lines(column, cell)) for column, cell in zip(columns, row, strict=True)) + PAD


def table(
    page: Page, x: float, y: float, columns: Sequence[Column], rows: Sequence[Sequence[str]], bottom: float
) -> tuple[float, int]:
    """Draw a table from its top left corner; gives where it ends and how many rows fitted above ``bottom``."""
    width = sum(column.width for column in columns)
    top = y
    head = max(len(wrapped(column.head, HEAD, column.width - 2 * PAD)) for column in columns) * 3.5 + PAD
    left = x
    for column in columns:
        for number, line in enumerate(wrapped(column.head, HEAD, column.width - 2 * PAD)):
            page.text(left + PAD, y + 3.1 + number * 3.5, fitted(line, HEAD, column.width - 2 * PAD), HEAD)
        left += column.width
    y += head
    page.line([(x, y), (x + width, y)], WIDE)
    drawn = 0
    for row in rows:
        height = row_height(columns, row)
        if y + height > bottom + 1e-6:
            break
        left = x
        for column, cell in zip(columns, row, strict=True):
            for number, line in enumerate(_lines(column, cell)):
                baseline = y + 3.4 + number * LINE
                if column.figures:
                    page.text(left + column.width - PAD, baseline, line, TEXT, "end", bold=column.bold)
                else:
                    page.text(left + PAD, baseline, line, TEXT, bold=column.bold)
            left += column.width
        y += height
        page.line([(x, y), (x + width, y)], THIN)
        drawn += 1
    left = x
    for column in columns[:-1]:
        left += column.width
        page.line([(left, top), (left, y)], THIN)
    page.box(x, top, width, y - top, NARROW)
    return y, drawn


def _lines(column: Column, cell: str) -> list[str]:
    room = column.width - 2 * PAD
    lines = wrapped(cell, TEXT, room, column.bold) or [""]
    return [fitted(line, TEXT, room, column.bold) for line in lines]
