"""Running dimensions: every shoulder taped from the datum end, never from one another."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from platemodel.frame.shape import Shape
from platemodel.frame.tape import taped, whole
from platemodel.sheets.page import THIN, Anchor, Page
from platemodel.sheets.zones import Zone

LINE = 3.0
"""From a view to where an extension line may turn aside, mm on paper."""
FIGURE = 3.5
"""Height of dimension figures, mm on paper."""


def run_along(
    page: Page, shape: Shape, zone: Zone, along: Callable[[float], float], edge: int, base: float, way: float
) -> None:
    """Dimension an edge of a piece in a zone, 0 the near one and 1 the far one.

    ``along`` leads from the piece to the page, ``base`` is where the view ends and ``way`` -1 where the
    figures stand above it, 1 where they stand below.
    """
    ticks = _ticks(shape, zone, edge)
    line = base + way * LINE
    places = _spread([along(s) for s, _ in ticks], 4.2)
    for (s, value), x in zip(ticks, places, strict=True):
        page.line([(along(s), base + way * 0.8), (along(s), line), (x, line + way * 2.0)], THIN)
        anchor: Anchor = "start" if way < 0 else "end"
        page.text(x + 1.25, line + way * 2.6, str(value), FIGURE, anchor, bold=True, turn=90.0)


def _ticks(shape: Shape, zone: Zone, edge: int) -> list[tuple[float, int]]:
    """What is dimensioned along an edge in a zone: the piece's ends and every shoulder."""
    found: dict[int, float] = {}
    if zone.begin <= 0.0:
        found[whole(shape.low[edge])] = shape.low[edge]
    for number in zone.cuts:
        cut = shape.cuts[number]
        begin, end = taped(shape, cut, edge)
        if cut.low != shape.low:
            found[begin] = cut.low[edge]
        if cut.high != shape.high:
            found[end] = cut.high[edge]
    if zone.end >= shape.length:
        found[whole(shape.high[edge])] = shape.high[edge]
    return [(s, value) for value, s in sorted(found.items())]


def _spread(places: Sequence[float], least: float) -> list[float]:
    """Places moved apart as little as need be, so that no two are nearer than ``least``."""
    found = list(places)
    for _ in range(40):
        moved = False
        for index in range(1, len(found)):
            lack = least - (found[index] - found[index - 1])
            if lack > 1e-6:
                found[index - 1] -= lack / 2
                found[index] += lack / 2
                moved = True
        if not moved:
            break
    return found
