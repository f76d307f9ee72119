"""Broken views of a piece: its laps drawn true, the whole timber between them left out.

A piece is shown in zones, one about each lap, at one scale; between zones a break. Each zone knows
where on the piece and where on paper it lies.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.frame.shape import Shape
from platemodel.sheets.breaks import break_line
from platemodel.sheets.ends import draw_end
from platemodel.sheets.flat import ToPaper, draw_flat
from platemodel.sheets.lettering import width
from platemodel.sheets.mates import NAME, REACH, Mate, draw_mates
from platemodel.sheets.page import BLACK, CHAIN, HIDDEN, NARROW, THIN, WIDE, Page
from platemodel.sheets.running import FIGURE, run_along
from platemodel.sheets.tape import OFF_SQUARE, SQUARED, squared_line, whole
from platemodel.sheets.zones import BREAK, Zone, oblique

BETWEEN = 7.0
"""From one view to the next, mm on paper."""
WORD = 3.0
"""Room below the side view for the word that says which half stays, mm on paper."""
EDGE_NAMES = 14.0
"""Room for the names of edges beside an oblique piece, mm on paper."""


TAPE_LINE = f"tape {SQUARED:g}: hold it here for every figure; not a cut"


def step_dimension(shape: Shape) -> float:
    """Room for the running dimensions above or below a view, mm on paper."""
    return 8.5 + width(str(whole(shape.length)), FIGURE, bold=True)


def row_height(shape: Shape, scale: float) -> float:
    """The height of one row on paper, with its dimensions, mm."""
    return _Row(0.0, 0.0, scale, shape).mates_bottom + NAME


def room_beside(shape: Shape, scale: float) -> float:
    """Room that a row needs at its right for depths, edges' names and the ends' views, mm on paper."""
    return _depths_width(shape) + (EDGE_NAMES if oblique(shape) else 0.0) + shape.width / scale + 5.0


def _depths_width(shape: Shape) -> float:
    """Room for the dimensions of depths beside the side view, mm on paper."""
    return 8.5 + width(f"{shape.depth / 2:g}", 2.5) + width(f"{shape.depth:g}", 2.5)


@dataclass(frozen=True)
class _Row:
    """One row on paper: where its views lie."""

    left: float
    top: float
    scale: float
    shape: Shape

    @property
    def plan_top(self) -> float:
        return self.top + step_dimension(self.shape)

    @property
    def plan_bottom(self) -> float:
        return self.plan_top + self.shape.width / self.scale

    @property
    def side_bottom(self) -> float:
        return self.plan_bottom + BETWEEN + self.shape.depth / self.scale

    @property
    def mates_bottom(self) -> float:
        below = WORD + (step_dimension(self.shape) if oblique(self.shape) else 0.0)
        depth = self.shape.depth / self.scale if self.shape.cuts else 0.0
        return self.side_bottom + below + 3.0 + depth


def draw_row(
    page: Page, left: float, top: float, shape: Shape, row: Sequence[Zone], scale: float, mates: Sequence[Mate]
) -> None:
    """Draw one row of zones: top and side view, running dimensions, mates."""
    place = _Row(left, top, scale, shape)
    _names(page, place)
    x = left
    for zone in row:
        _zone(page, place, x, zone, mates)
        x += (zone.end - zone.begin) / scale + BREAK
    right = x - BREAK
    near_end = shape.high[0] if row[-1].end >= shape.length else row[-1].end
    _depths(page, place, right - (row[-1].end - near_end) / scale + 2.5)
    beside = right + _depths_width(shape)
    if oblique(shape):
        _edge_names(page, place, right + 3.0)
        beside += EDGE_NAMES
    if row[0].begin <= 0.0:
        _datum(page, place)
        if shape.cuts:
            for number, words in enumerate(("turned in line", "to show", "their halves")):
                y = place.mates_bottom - shape.depth / scale / 2 + (number - 0.6) * 2.8
                page.text(right + REACH + 3.0, y, words, 1.8)
        draw_end(page, beside + 2.0, place.plan_top + 1.0, shape, True, scale)
    if row[-1].end >= shape.length:
        draw_end(page, beside + 2.0, place.side_bottom - shape.depth / scale, shape, False, scale)


def _names(page: Page, row: _Row) -> None:
    """What each view shows, at its left."""
    x = row.left - 12.5
    middle = (row.plan_top + row.plan_bottom) / 2
    page.text(x, middle, "TOP", 2.5, "middle", bold=True, turn=90.0)
    page.text(x + 3.2, middle, "as drawn", 1.8, "middle", turn=90.0)
    middle = row.side_bottom - row.shape.depth / row.scale / 2
    page.text(x, middle, "near", 1.8, "middle", turn=90.0)
    page.text(x + 3.2, middle, "edge", 1.8, "middle", turn=90.0)
    if row.shape.cuts:
        middle = row.mates_bottom - row.shape.depth / row.scale / 2
        page.text(x, middle, "its", 1.8, "middle", turn=90.0)
        page.text(x + 3.2, middle, "mates", 1.8, "middle", turn=90.0)


def _edge_names(page: Page, row: _Row, x: float) -> None:
    page.text(x, row.plan_top + 1.2, "far edge", 2.5, bold=True)
    page.text(x, row.plan_bottom + 1.2, "near edge", 2.5, bold=True)


def _datum(page: Page, row: _Row) -> None:
    """The sign of the datum end, a black flag at the corner where the tape's zero is, explained on the sheet."""
    low = row.shape.low
    at_near = low[0] <= low[1]
    x = row.left
    y = row.plan_bottom + 1.0 if at_near else row.plan_top - 3.8
    page.line([(x, y), (x, y + 3.6)], WIDE)
    page.area([(x, y), (x + 4.5, y + 1.4), (x, y + 2.8)], BLACK)
    if at_near:
        page.text(x + 5.5, y + 2.6, "datum end", 1.8)
    if abs(low[0] - low[1]) > OFF_SQUARE:
        # the board's end, squared before anything is marked
        page.line([(x, row.plan_top), (x, row.plan_bottom)], HIDDEN)
    if squared_line(row.shape):
        # the line squared across that every figure is taped from
        x += SQUARED / row.scale
        page.line([(x, row.plan_top - 1.5), (x, row.plan_bottom + 1.5)], CHAIN)
        page.text(x + 1.0, row.plan_bottom + 4.4, TAPE_LINE, 2.5)


def _depths(page: Page, row: _Row, x: float) -> None:
    """Half and whole depth, dimensioned beside the side view."""
    half, whole_depth = row.shape.depth / 2, row.shape.depth
    beyond = 3.0 + width(f"{half:g}", 2.5)
    for offset, low, high in ((0.0, 0.0, half), (0.0, half, whole_depth), (beyond, 0.0, whole_depth)):
        a, b = row.side_bottom - low / row.scale, row.side_bottom - high / row.scale
        page.line([(x + offset, a), (x + offset, b)], THIN)
        for y in (a, b):
            page.line([(x - 1.5, y), (x + offset + 0.8, y)], THIN)
            page.line([(x + offset - 0.8, y + 0.8), (x + offset + 0.8, y - 0.8)], NARROW)
        page.text(x + offset + 1.2, (a + b) / 2 + 1.2, f"{high - low:g}", 2.5)


def _zone(page: Page, row: _Row, left: float, zone: Zone, mates: Sequence[Mate]) -> None:
    shape, scale = row.shape, row.scale

    def along(s: float) -> float:
        return left + (s - zone.begin) / scale

    def plan(s: float, t: float) -> tuple[float, float]:
        return along(s), row.plan_bottom - t / scale

    def side(s: float, z: float) -> tuple[float, float]:
        return along(s), row.side_bottom - z / scale

    draw_flat(page, shape, zone, plan, upper=True)
    _side_view(page, shape, zone, side)
    _words(page, row, zone, along)
    draw_mates(page, shape, zone, mates, along, row.mates_bottom, scale)
    edges = [(1, row.plan_top, -1.0), *([(0, row.side_bottom, 1.0)] if oblique(shape) else [])]
    for side_number, base, way in edges:
        base += WORD if way > 0 else 0.0
        run_along(page, shape, zone, along, side_number, base, way)


def _side_view(page: Page, shape: Shape, zone: Zone, side: ToPaper) -> None:
    """The side seen from the near edge: what stays wide, what is cut away narrow and hatched."""
    low = shape.low if zone.begin <= 0.0 else (zone.begin, zone.begin)
    high = shape.high if zone.end >= shape.length else (zone.end, zone.end)
    cuts = [shape.cuts[number] for number in zone.cuts]
    half = shape.depth / 2
    for cut in cuts:
        base, near, far = half if cut.upper else 0.0, cut.low[0], cut.high[0]
        page.hatch([side(near, base), side(far, base), side(far, base + half), side(near, base + half)])
    for z, upper in ((0.0, False), (shape.depth, True)):
        reached = low[0]
        for cut in cuts:
            if cut.upper == upper:
                page.line([side(reached, z), side(cut.low[0], z)], WIDE)
                page.line([side(cut.low[0], z), side(cut.high[0], z)], THIN)
                reached = cut.high[0]
        page.line([side(reached, z), side(high[0], z)], WIDE)
    for end, real in ((low, low == shape.low), (high, high == shape.high)):
        if not real:
            break_line(page, side(end[0], 0.0)[0], side(0.0, shape.depth)[1], side(0.0, 0.0)[1])
        else:
            over = next((c for c in cuts if end in (c.low, c.high)), None)
            kept = (0.0, shape.depth) if over is None else (0.0, half) if over.upper else (half, shape.depth)
            page.line([side(end[0], kept[0]), side(end[0], kept[1])], WIDE)
            if over is not None:
                gone = (half, shape.depth) if over.upper else (0.0, half)
                page.line([side(end[0], gone[0]), side(end[0], gone[1])], THIN)
    for cut in cuts:
        span = (half, shape.depth) if cut.upper else (0.0, half)
        page.line([side(cut.low[0], half), side(cut.high[0], half)], WIDE)
        for line in (cut.low, cut.high):
            if line not in (shape.low, shape.high):
                page.line([side(line[0], span[0]), side(line[0], span[1])], WIDE)


def _words(page: Page, row: _Row, zone: Zone, along: Callable[[float], float]) -> None:
    """Under each cut the word for what stays, as drawn."""
    shape = row.shape
    centres = [along(sum(shape.cuts[number].low + shape.cuts[number].high) / 4) for number in zone.cuts]
    for position, (number, x) in enumerate(zip(zone.cuts, centres, strict=True)):
        gaps = [abs(other - x) for place, other in enumerate(centres) if abs(place - position) == 1]
        word = "LOWER" if shape.cuts[number].upper else "UPPER"
        text = next(
            (
                t
                for t in (f"{word} HALF STAYS", f"{word} STAYS", word)
                if width(t, 1.8, bold=True) + 1.0 <= min(gaps, default=38.0)
            ),
            "",
        )
        page.text(x, row.side_bottom + 2.6, text, 1.8, "middle", bold=True)
