"""A face of a piece in a zone: its outline, what is cut from it, breaks, and the numbers of its cuts."""

from __future__ import annotations

import math
from collections.abc import Callable

from platemodel.frame.shape import Cut, Shape
from platemodel.frame.tape import SQUARED, squared_line
from platemodel.sheets.breaks import break_line
from platemodel.sheets.lettering import width
from platemodel.sheets.page import HIDDEN, NARROW, WHITE, WIDE, XY, Page
from platemodel.sheets.zones import Zone

ToPaper = Callable[[float, float], XY]
"""From a place along and across a piece (mm) to paper."""


def draw_flat(page: Page, shape: Shape, zone: Zone, view: ToPaper, upper: bool) -> None:
    """The top as drawn, or the underside: what is cut from it hatched, cuts on the other side dashed."""
    low = shape.low if zone.begin <= 0.0 else (zone.begin, zone.begin)
    high = shape.high if zone.end >= shape.length else (zone.end, zone.end)
    cuts = [shape.cuts[number] for number in zone.cuts]
    for cut in cuts:
        if cut.upper == upper:
            page.hatch(_quad(view, cut, shape.width))
    page.line([view(low[0], 0.0), view(high[0], 0.0)], WIDE)
    page.line([view(low[1], shape.width), view(high[1], shape.width)], WIDE)
    for end, real in ((low, low == shape.low), (high, high == shape.high)):
        if real:
            page.line([view(end[0], 0.0), view(end[1], shape.width)], WIDE)
        else:
            x, one = view(end[0], 0.0)
            break_line(page, x, *sorted((one, view(end[0], shape.width)[1])))
    for cut in cuts:
        for line in (cut.low, cut.high):
            if line not in (shape.low, shape.high):
                page.line([view(line[0], 0.0), view(line[1], shape.width)], WIDE if cut.upper == upper else HIDDEN)
    for number, cut in zip(zone.cuts, cuts, strict=True):
        _number(page, shape, cut, view, str(number + 1))
        if cut.upper != upper:
            tape = view(SQUARED, 0.0)[0] if zone.begin <= 0.0 and squared_line(shape) else None
            _other_face(page, shape, cut, view, "TOP" if cut.upper else "UNDERSIDE", tape)


def _number(page: Page, shape: Shape, cut: Cut, view: ToPaper, text: str) -> None:
    """A number in a ring on its cut."""
    x, y = view(sum(cut.low + cut.high) / 4, shape.width / 2)
    radius = max(3.0, width(text, 2.5, bold=True) / 2 + 0.8)
    ring = [(x + radius * c, y + radius * s) for c, s in _CIRCLE]
    page.area(ring, WHITE)
    page.line(ring, NARROW, closed=True)
    page.text(x, y + 1.3, text, 2.5, "middle", bold=True)


def _other_face(page: Page, shape: Shape, cut: Cut, view: ToPaper, word: str, tape: float | None) -> None:
    """The face that a cut is sawn into, where that is not the one shown: below its number, or else above it.

    ``tape`` is where on paper the tape line stands, which the word keeps clear of.
    """
    x, y = view(sum(cut.low + cut.high) / 4, shape.width / 2)
    near, far = view(0.0, 0.0)[1], view(0.0, shape.width)[1]
    wide = width(word, 1.8) + 1.0
    if abs(far - near) < 13.5:
        return
    for base in (y + 6.2, y - 4.4):
        # between the cut's two lines, over the height of the letters
        shares = [(level - near) / (far - near) for level in (base - 2.0, base + 0.2)]
        left = max(view(cut.low[0] + (cut.low[1] - cut.low[0]) * share, 0.0)[0] for share in shares)
        right = min(view(cut.high[0] + (cut.high[1] - cut.high[0]) * share, 0.0)[0] for share in shares)
        spans = [(left, right)]
        if tape is not None and left < tape < right:
            spans = [(left, tape), (tape, right)]
        begin, end = max(spans, key=lambda span: span[1] - span[0])
        # beside the tape line as clear of it as of the cut's own lines
        if end - begin >= wide + (2.0 if len(spans) > 1 else 0.0):
            away = wide / 2 + (1.0 if len(spans) > 1 else 0.0)
            page.text(min(max(x, begin + away), end - away), base, word, 1.8, "middle")
            return


def _quad(view: ToPaper, cut: Cut, across: float) -> list[XY]:
    return [view(cut.low[0], 0.0), view(cut.high[0], 0.0), view(cut.high[1], across), view(cut.low[1], across)]


_CIRCLE = tuple((math.cos(math.radians(turn)), math.sin(math.radians(turn))) for turn in range(0, 360, 15))
