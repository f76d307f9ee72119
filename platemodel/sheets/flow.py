"""Columns that fill one after the other, on as many pages as are needed."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from platemodel.sheets.form import Room
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import NARROW, Page
from platemodel.sheets.tables import Column, row_height, table

SIDE = 3.0
"""What stays free inside the frame line, mm."""
HEADING = 3.5
BODY = 2.5
BODY_LINE = 3.8
HANGING = 2.2
"""How far the further lines of a bulleted note stand in, mm."""
WHOLE = 6
"""Paragraphs of no more lines than this are not divided."""
TOGETHER = 60.0
"""Nor are sections whose paragraphs are no higher than this (mm)."""

HEADS = 10.0
"""Room for the heads of a table, mm."""

BULLET = "•"


@dataclass(frozen=True)
class NoteLine:
    """A line of a bulleted note: whether it begins the note, and whether it is bold."""

    text: str
    begins: bool
    bold: bool


def bulleted(notes: Sequence[str], room: float, *bold: int) -> list[NoteLine]:
    """Notes broken into lines that with their bullets take a room's width, mm; ``bold``: the numbers of bold ones."""
    return [
        NoteLine(line, place == 0, number in bold)
        for number, note in enumerate(notes)
        for place, line in enumerate(wrapped(note, BODY, room - HANGING, number in bold))
    ]


def write_bulleted(page: Page, x: float, y: float, lines: Sequence[NoteLine], step: float = BODY_LINE) -> float:
    """Write bulleted notes from their first base line on; gives the base line after the last."""
    for line in lines:
        at = x if line.begins else x + HANGING
        page.text(at, y, f"{BULLET} {line.text}" if line.begins else line.text, BODY, bold=line.bold)
        y += step
    return y


@dataclass
class Columns:
    """Where the next thing is drawn.

    ``begin`` makes a page by its number, from 1, and says which room of it may be filled; ``count`` columns
    of it stand ``gap`` mm apart.
    """

    begin: Callable[[int], tuple[Page, Room]]
    count: int
    gap: float = 4.0
    pages: list[Page] = field(default_factory=list)
    column: int = 0
    y: float = 0.0

    def __post_init__(self) -> None:
        self._turn()

    def _turn(self) -> None:
        self.page, self.room = self.begin(len(self.pages) + 1)
        self.pages.append(self.page)
        self.column, self.y = 0, self.room.top

    @property
    def width(self) -> float:
        """Width of a column, mm."""
        return (self.room.width - (self.count - 1) * self.gap) / self.count

    @property
    def x(self) -> float:
        """The left edge of the column that is being filled, mm."""
        return self.room.left + self.column * (self.width + self.gap)

    @property
    def fresh(self) -> bool:
        """Whether nothing stands in this column yet."""
        return self.y <= self.room.top + 1e-6

    def need(self, height: float) -> bool:
        """Go on to the next column where less than ``height`` mm is left; says whether that was so."""
        if self.y + height <= self.room.bottom + 1e-6 or self.fresh:
            return False
        if self.column + 1 < self.count:
            self.column += 1
            self.y = self.room.top
        else:
            self._turn()
        return True

    def beside(self) -> None:
        """Begin the page's next column, where it has one."""
        if self.column + 1 < self.count and not self.fresh:
            self.need(self.room.height * 2)

    def section(self, heading: str, paragraphs: Sequence[str], bullet: str = "") -> None:
        """A heading and paragraphs under it; the heading never stands alone at a column's end."""
        high = BODY_LINE * sum(len(lines) for lines in self._broken(paragraphs, bullet))
        # nor is a short section
        self.heading(heading, high if high <= TOGETHER else BODY_LINE * 2)
        self.notes(paragraphs, bullet)

    def _broken(self, paragraphs: Sequence[str], bullet: str) -> list[list[str]]:
        indent = width(f"{bullet} ", BODY) if bullet else 0.0
        return [wrapped(text, BODY, self.width - indent) for text in paragraphs]

    def notes(self, paragraphs: Sequence[str], bullet: str = "") -> None:
        """Paragraphs without a heading."""
        indent = width(f"{bullet} ", BODY) if bullet else 0.0
        for lines in self._broken(paragraphs, bullet):
            # a short paragraph is not divided
            self.need(BODY_LINE * (len(lines) if len(lines) <= WHOLE else 1))
            for number, line in enumerate(lines):
                self.need(BODY_LINE)
                if bullet and number == 0:
                    self.page.text(self.x, self.y + 2.9, bullet, BODY)
                self.page.text(self.x + indent, self.y + 2.9, fitted(line, BODY, self.width - indent), BODY)
                self.y += BODY_LINE
        self.y += 2.2

    def paragraph(self, words: str, bold: bool = False) -> None:
        """A paragraph that is not divided."""
        lines = wrapped(words, BODY, self.width, bold)
        self.need(BODY_LINE * len(lines))
        for line in lines:
            self.page.text(self.x, self.y + 2.9, line, BODY, bold=bold)
            self.y += BODY_LINE
        self.y += 2.2

    def table(
        self,
        heading: str,
        columns: Sequence[Column],
        rows: Sequence[Sequence[str]],
        keep: int = 2,
        heads: float = HEADS,
        after: float = 3.0,
        lone: int = 1,
    ) -> None:
        """A heading and a table under it, in as many columns of the sheet as it needs; nothing without rows.

        The heading stays with the table's heads, which take ``heads`` mm, and its first ``keep`` rows; fewer than
        ``lone`` rows do not go over alone to the next column. ``after`` mm stay free below.
        """
        left = list(rows)
        if not left:
            return
        self.heading(heading, heads + sum(row_height(columns, row) for row in left[:keep]))
        while left:
            room = self.room.bottom - self.y - heads
            now = left[: _not_leaving(columns, left, room, lone)]
            self.y, drawn = table(self.page, self.x, self.y + 1.0, columns, now, self.room.bottom)
            left = left[drawn:]
            if left:
                self.need(2 * self.room.height)
                self.heading(f"{heading}, continued", heads)
        self.y += after

    def heading(self, words: str, keep: float) -> None:
        """A ruled heading, kept together with ``keep`` mm below it."""
        lines = wrapped(words, HEADING, self.width, bold=True)
        self.need(5.2 * len(lines) + 1.6 + keep)
        for line in lines:
            self.page.text(self.x, self.y + 4.2, line, HEADING, bold=True)
            self.y += 5.2
        self.page.line([(self.x, self.y + 0.4), (self.x + self.width, self.y + 0.4)], NARROW)
        self.y += 1.6


def inner(room: Room, top: float = SIDE) -> Room:
    """The room inside a sheet's frame line, ``top`` mm below it."""
    return Room(room.left + SIDE, room.top + top, room.right - SIDE, room.bottom - 1.5)


def _not_leaving(columns: Sequence[Column], rows: Sequence[Sequence[str]], room: float, lone: int) -> int:
    """How many rows to draw in a room, mm, so that fewer than ``lone`` do not go over alone."""
    heights = itertools.accumulate(row_height(columns, row) for row in rows)
    fitting = sum(height <= room for height in heights)
    left = len(rows) - fitting
    return len(rows) - lone if 0 < left < lone < fitting else len(rows)
