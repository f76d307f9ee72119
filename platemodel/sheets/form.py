"""The sheet itself: frame line and title block, by ISO 5457 and ISO 7200, and the standard scales."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.plan.model import Job
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import DOTTED, EXTRA, NARROW, THIN, Page

# ISO 216 sizes, laid on their long side
SIZES = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}

SCALES = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10000.0)
"""Reductions of ISO 5455."""

# ISO 5457:1999 (from memory): 20 mm for binding at the left, 10 mm elsewhere
LEFT, MARGIN = 20.0, 10.0
NOT_PROVED = "NOT PROVED – DO NOT CUT"
RED = (0.75, 0.1, 0.1)
BLOCK_WIDTH = 180.0
BLOCK_HEIGHT = 24.0
PAGE_FIELD = 20.0
"""Width of the field of the page's number, the last one (mm)."""


@dataclass(frozen=True)
class Room:
    """The part of a page that may be drawn on, mm from the paper's top left corner."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        """Width, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Height, mm."""
        return self.bottom - self.top


def scale_for(size: float, room: float, least: float = 1.0) -> float:
    """The standard reduction at which a size in mm fits a room on paper, no larger than 1 : ``least``."""
    for scale in SCALES:
        if scale >= least and size / scale <= room:
            return scale
    return SCALES[-1]


def sheet(job: Job, kind: str, name: str, scale: str, part: str) -> tuple[Page, Room]:
    """An empty sheet with frame and title block: its page and the room above the block.

    ``kind`` is the type of document, ``name`` what this one shows, ``part`` the sheet's name.
    """
    wide, high = SIZES[job.sheet]
    page = Page(wide, high, f"{job.title}: {name}, {kind} {part}")
    room = Room(LEFT, MARGIN, wide - MARGIN, high - MARGIN)
    page.box(room.left, room.top, room.width, room.height, EXTRA)
    _title_block(page, room, job, kind, name, scale, part)
    return page, Room(room.left, room.top, room.right, room.bottom - BLOCK_HEIGHT)


def part_name(name: str, number: int) -> str:
    """The name of a sheet's page by its number, from 1: further pages of one are 'T1-2' …"""
    return name if number == 1 else f"{name}-{number}"


def beside_block(wide: float, high: float) -> Room:
    """The room left of the title block of a sheet of a size in mm, which may hold a small drawing."""
    return Room(LEFT, high - MARGIN - BLOCK_HEIGHT, wide - MARGIN - BLOCK_WIDTH, high - MARGIN)


def number(pages: Sequence[Page]) -> None:
    """Write into each sheet's title block which page of how many it is."""
    for count, page in enumerate(pages, start=1):
        x, y = page.width - MARGIN - PAGE_FIELD + 1.2, page.height - MARGIN - BLOCK_HEIGHT / 3
        _field(page, x, y, f"{count} of {len(pages)}", PAGE_FIELD - 2.4)


def _title_block(page: Page, room: Room, job: Job, kind: str, name: str, scale: str, part: str) -> None:
    """Fields of ISO 7200; what the plan does not give is left as a ruled field for handwriting."""
    left, top = room.right - BLOCK_WIDTH, room.bottom - BLOCK_HEIGHT
    page.line([(room.left, top), (room.right, top)], NARROW)
    page.line([(left, top), (left, room.bottom)], NARROW)
    rows: list[list[tuple[str, object, float]]] = [
        [("legal owner", job.owner, 60), ("title", job.title, 80), ("identification no.", job.number, 40)],
        [
            ("created by", job.creator, 30),
            ("approved by", job.approver, 30),
            ("shows", name, 80),
            ("revision", job.revision, 15),
            ("date of issue", _date(job.date), 25),
        ],
        [
            ("document type", kind, 60),
            ("scale", scale, 60),
            ("dimensions in", "mm", 20),
            ("sheet", part, 40 - PAGE_FIELD),
            ("page", "", PAGE_FIELD),
        ],
    ]
    height = BLOCK_HEIGHT / 3
    for row, fields in enumerate(rows):
        x, y = left, top + row * height
        if row:
            page.line([(left, y), (room.right, y)], THIN)
        for label, value, size in fields:
            page.text(x + 1.2, y + 2.6, label, 1.8)
            if value is not None:
                _field(page, x + 1.2, y, str(value), size - 2.4)
            else:
                page.line([(x + 1.2, y + height - 1.3), (x + size - 1.2, y + height - 1.3)], DOTTED)
            x += size
            if x < room.right - 0.1:
                page.line([(x, y), (x, y + height)], THIN)


def _field(page: Page, x: float, y: float, text: str, room: float) -> None:
    """A field's text: on one line, smaller where it is long, on two lines where it is longer still."""
    bottom = y + BLOCK_HEIGHT / 3 - 1.1
    for height in (2.5, 1.8):
        if width(text, height, bold=True) <= room:
            page.text(x, bottom, text, height, bold=True)
            return
    first, *rest = wrapped(text, 1.8, room, bold=True)
    page.text(x, bottom - 1.9, first, 1.8, bold=True)
    page.text(x, bottom + 0.45, fitted(" ".join(rest), 1.8, room, bold=True), 1.8, bold=True)


def _date(value: str | datetime.date | None) -> str | None:
    return value.isoformat() if isinstance(value, datetime.date) else value


def stamp_not_proved(page: Page) -> None:
    """Put across a finished sheet what a failed proof means."""
    height = next(h for h in (14.0, 10.0, 7.0, 5.0) if width(NOT_PROVED, h, bold=True) <= page.width * 0.8 or h == 5.0)
    page.text(page.width / 2, page.height / 2, NOT_PROVED, height, "middle", bold=True, turn=20.0, colour=RED)
