"""Where a view is broken: a narrow line with a zigzag in its middle, by ISO 128."""

from __future__ import annotations

from platemodel.sheets.page import NARROW, Page

OVER = 1.5
"""How far a break line runs beyond the view, mm on paper."""


def break_line(page: Page, x: float, top: float, bottom: float) -> None:
    """A break line across a view from its top to its bottom."""
    middle = (top + bottom) / 2
    tall = min(1.6, (bottom - top) / 4)
    page.line(
        [
            (x, top - OVER),
            (x, middle - tall),
            (x - 1.4, middle - tall / 2),
            (x + 1.4, middle + tall / 2),
            (x, middle + tall),
            (x, bottom + OVER),
        ],
        NARROW,
    )
