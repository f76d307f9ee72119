"""A piece seen on its two ends, as the saw leaves them."""

from __future__ import annotations

from platemodel.frame.shape import Cut, Shape
from platemodel.sheets.page import THIN, WIDE, Page

WIDTH = 31.0
"""Room for an end's view beside the others at least, mm on paper."""


def end_cut(shape: Shape, at_low: bool) -> Cut | None:
    """The cut that runs out at an end of a piece, if one does."""
    if at_low:
        return next((cut for cut in shape.cuts if cut.low == shape.low), None)
    return next((cut for cut in shape.cuts if cut.high == shape.high), None)


def draw_end(page: Page, x: float, y: float, shape: Shape, at_low: bool, scale: float) -> None:
    """An end seen from outside, from the top left corner of its view; what the lap takes is hatched."""
    wide, high = shape.width / scale, shape.depth / scale
    cut = end_cut(shape, at_low)
    middle = y + high / 2
    if cut is None:
        page.box(x, y, wide, high, WIDE)
    else:
        gone, kept = ((y, middle), (middle, y + high)) if cut.upper else ((middle, y + high), (y, middle))
        corners = [(x, gone[0]), (x + wide, gone[0]), (x + wide, gone[1]), (x, gone[1])]
        page.hatch(corners)
        page.line(corners, THIN, closed=True)
        page.box(x, kept[0], wide, kept[1] - kept[0], WIDE)
    # seen against the datum end the near edge is at the right, against the other end at the left
    near, far = (x + wide, x) if at_low else (x, x + wide)
    page.text(near, y + high + 2.6, "near", 1.8, "end" if at_low else "start")
    if wide > 13.0:
        page.text(far, y + high + 2.6, "far", 1.8, "start" if at_low else "end")
    page.text(x + wide / 2, y - 1.4, "datum end" if at_low else "other end", 1.8, "middle")
