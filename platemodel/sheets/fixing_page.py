"""A page of the fixing sheets under a ruled heading, and the signs for straps and trusses on all of them."""

from __future__ import annotations

import math

from platemodel.plan.model import Job
from platemodel.sheets.flow import BODY
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import BLACK, NARROW, WHITE, WIDE, XY, Page

TIMBER = (0.95, 0.95, 0.95)
FIGURE = 3.5
"""Height of running figures, mm on paper."""

_TURNS = [math.radians(turn) for turn in range(0, 360, 20)]


def headed_page(job: Job, shows: str, number: int, title: str, words: str, bold: bool = False) -> tuple[Page, Room]:
    """The page of a number of the fixing sheets, with a title and words beside it on a line across its top."""
    page, room = sheet(job, "fixing sheet", shows, "as noted", part_name("fixing", number))
    left = room.left + 3.0
    page.text(left, room.top + 7.5, title, 5.0, bold=True)
    offset = width(title, 5.0, bold=True) + 5.0
    page.text(left + offset, room.top + 7.5, fitted(words, BODY, room.width - offset - 6.0, bold), BODY, bold=bold)
    page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
    return page, room


def draw_strap(page: Page, at: XY, out: XY, built: bool) -> None:
    """A strap: a bar across the plate with a block at its end outside, hollow where it is built in already."""
    page.line([at, out], WIDE)
    x, y = out
    box = [(x - 1.2, y - 1.2), (x + 1.2, y - 1.2), (x + 1.2, y + 1.2), (x - 1.2, y + 1.2)]
    page.area(box, WHITE if built else BLACK)
    page.line(box, NARROW, closed=True)


def draw_ring(page: Page, centre: XY, radius: float) -> None:
    """A white disc with a line about it."""
    x, y = centre
    points = [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in _TURNS]
    page.area(points, WHITE)
    page.line(points, NARROW, closed=True)


def draw_flag(page: Page, x: float, foot: float) -> None:
    """The sign of a truss that something is wrong with, over the middle of its foot."""
    page.text(x, foot, "!", FIGURE, "middle", bold=True)
