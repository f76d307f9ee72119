"""The underside of a piece whose cuts there are not square, as it lies when its near edge is rolled away."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.shape import Shape
from platemodel.frame.tape import SQUARED, squared_line
from platemodel.sheets.flat import draw_flat
from platemodel.sheets.page import CHAIN, Page
from platemodel.sheets.zones import BREAK, Zone

ABOVE = 2.0
"""Room above the view, mm on paper."""


def underside_height(shape: Shape, scale: float) -> float:
    """The height of a row on paper, mm."""
    return ABOVE + shape.width / scale + 1.8


def draw_underside(page: Page, left: float, top: float, shape: Shape, row: Sequence[Zone], scale: float) -> None:
    """Draw one row of zones seen from beneath, the near edge above."""
    top += ABOVE
    x = left
    for zone in row:
        begin, base = x, zone.begin

        def view(s: float, t: float, begin: float = begin, base: float = base) -> tuple[float, float]:
            return begin + (s - base) / scale, top + t / scale

        draw_flat(page, shape, zone, view, upper=False)
        if zone.begin <= 0.0 and squared_line(shape):
            line = x + SQUARED / scale
            page.line([(line, top - 1.5), (line, top + shape.width / scale + 1.5)], CHAIN)
        x += (zone.end - zone.begin) / scale + BREAK
    right, middle, bottom = x - BREAK + 1.6, top + shape.width / scale / 2, top + shape.width / scale
    page.text(right, top + 1.2, "near edge", 2.5, bold=True)
    page.text(right, bottom + 1.2, "far edge", 2.5, bold=True)
    for offset, words, height in (
        (-12.5, "UNDERSIDE", 2.5),
        (-9.3, "near edge rolled", 1.8),
        (-6.7, "away from you", 1.8),
    ):
        page.text(left + offset, middle, words, height, "middle", bold=height > 2.0, turn=90.0)
