"""Broken views of a piece: its laps drawn true, the whole timber between them left out.

A piece is shown in zones, one about each lap, at one scale; between zones a break. Each zone knows
where on the piece and where on paper it lies.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.frame.shape import Cut, Shape
from platemodel.frame.strip import Pair
from platemodel.sheets.lettering import width
from platemodel.sheets.page import HIDDEN, NARROW, THIN, WIDE, Colour, Page
from platemodel.sheets.tape import shoulders, whole

MARGIN = 9.0
"""Whole timber shown beside a lap, mm on paper."""
BREAK = 7.0
"""Width of a break, mm on paper."""
STEP_DIMENSION = 21.0
"""Room for running dimensions above or below a view, mm on paper."""
BETWEEN = 6.0
"""From the top view to the side view, mm on paper."""

ToPaper = Callable[[float, float], tuple[float, float]]
PAPER: Colour = (1.0, 1.0, 1.0)


@dataclass(frozen=True)
class Zone:
    """A stretch of a piece, ``begin`` to ``end`` along it (mm), with the numbers of the cuts in it."""

    begin: float
    end: float
    cuts: tuple[int, ...]


def zones(shape: Shape, scale: float) -> list[Zone]:
    """The zones of a piece: its two ends and its laps, those that nearly meet as one."""
    margin = MARGIN * scale
    spans: list[tuple[float, float, tuple[int, ...]]] = [
        (0.0, max(shape.low) + margin, ()),
        (min(shape.high) - margin, shape.length, ()),
    ]
    for number, cut in enumerate(shape.cuts):
        spans.append((max(0.0, min(cut.low) - margin), min(shape.length, max(cut.high) + margin), (number,)))
    spans.sort()
    found: list[Zone] = []
    for begin, end, cuts in spans:
        # a break that would show less than it hides is drawn out
        if found and begin - found[-1].end < BREAK * scale * 1.5:
            found[-1] = Zone(found[-1].begin, max(found[-1].end, end), found[-1].cuts + cuts)
        else:
            found.append(Zone(begin, end, cuts))
    return found


def rows_of(found: Sequence[Zone], scale: float, room: float) -> list[list[Zone]]:
    """Zones put into rows no wider than a room on paper."""
    rows: list[list[Zone]] = [[]]
    used = 0.0
    for zone in found:
        width = (zone.end - zone.begin) / scale
        if rows[-1] and used + BREAK + width > room:
            rows.append([])
            used = 0.0
        used += width + (BREAK if rows[-1] else 0.0)
        rows[-1].append(zone)
    return rows


def oblique(shape: Shape) -> bool:
    """Whether any line across a piece is not square."""
    lines = [shape.low, shape.high, *(line for cut in shape.cuts for line in (cut.low, cut.high))]
    return any(abs(line[0] - line[1]) > 0.05 for line in lines)


def row_height(shape: Shape, scale: float) -> float:
    """The height of one row on paper, with its dimensions, mm."""
    below = STEP_DIMENSION if oblique(shape) else 4.0
    return STEP_DIMENSION + shape.width / scale + BETWEEN + shape.depth / scale + below


@dataclass(frozen=True)
class _Row:
    """One row on paper: where its views lie, and a function from the piece to paper for each zone."""

    left: float
    top: float
    scale: float
    shape: Shape

    @property
    def plan_bottom(self) -> float:
        return self.top + STEP_DIMENSION + self.shape.width / self.scale

    @property
    def side_bottom(self) -> float:
        return self.plan_bottom + BETWEEN + self.shape.depth / self.scale


def draw_row(page: Page, left: float, top: float, shape: Shape, row: Sequence[Zone], scale: float) -> None:
    """Draw one row of zones: top view, side view from the front edge, running dimensions."""
    place = _Row(left, top, scale, shape)
    x = left
    for zone in row:
        _zone(page, place, x, zone)
        x += (zone.end - zone.begin) / scale + BREAK
    if row[0].begin <= 0.0:
        _datum(page, place)
    _depths(page, place, x - BREAK + 2.5)


def _datum(page: Page, row: _Row) -> None:
    """The sign of the datum end, a black flag at the place the tape is hooked, explained on the sheet."""
    x, y = row.left, row.plan_bottom + BETWEEN - 1.2
    page.line([(x, row.plan_bottom + 1.0), (x, y)], WIDE)
    page.area(
        [(x, row.plan_bottom + 1.0), (x + 4.5, row.plan_bottom + 2.4), (x, row.plan_bottom + 3.8)], (0.0, 0.0, 0.0)
    )
    page.text(x + 5.5, row.plan_bottom + 3.4, "datum end", 1.8)


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


def _zone(page: Page, row: _Row, left: float, zone: Zone) -> None:
    shape, scale = row.shape, row.scale

    def along(s: float) -> float:
        return left + (s - zone.begin) / scale

    def plan(s: float, t: float) -> tuple[float, float]:
        return along(s), row.plan_bottom - t / scale

    def side(s: float, z: float) -> tuple[float, float]:
        return along(s), row.side_bottom - z / scale

    low = shape.low if zone.begin <= 0.0 else (zone.begin, zone.begin)
    high = shape.high if zone.end >= shape.length else (zone.end, zone.end)
    cuts = [shape.cuts[number] for number in zone.cuts]
    for cut in cuts:
        corners = [
            plan(cut.low[0], 0),
            plan(cut.high[0], 0),
            plan(cut.high[1], shape.width),
            plan(cut.low[1], shape.width),
        ]
        if cut.upper:
            page.hatch(corners)
        half = shape.depth / 2
        base = half if cut.upper else 0.0
        page.hatch(
            [
                side(cut.low[0], base),
                side(cut.high[0], base),
                side(cut.high[0], base + half),
                side(cut.low[0], base + half),
            ]
        )
    _outline(page, shape, low, high, cuts, plan, side)
    for s, edge in ((zone.begin, zone.begin <= 0.0), (zone.end, zone.end >= shape.length)):
        if not edge:
            _break(page, [plan(s, t) for t in (0.0, shape.width)])
            _break(page, [side(s, z) for z in (0.0, shape.depth)])
    for number, cut in zip(zone.cuts, cuts, strict=True):
        middle = sum(cut.low + cut.high) / 4
        _badge(page, plan(middle, shape.width / 2), str(number + 1))
    _dimensions(page, row, zone, along)


def _outline(
    page: Page, shape: Shape, low: Pair, high: Pair, cuts: Sequence[Cut], plan: ToPaper, side: ToPaper
) -> None:
    """Visible edges wide, hidden ones dashed, what is cut away narrow."""
    half = shape.depth / 2
    page.line([plan(low[0], 0.0), plan(high[0], 0.0)], WIDE)
    page.line([plan(low[1], shape.width), plan(high[1], shape.width)], WIDE)
    for end, real in ((low, low == shape.low), (high, high == shape.high)):
        if real:
            page.line([plan(end[0], 0.0), plan(end[1], shape.width)], WIDE)
    for cut in cuts:
        for line in (cut.low, cut.high):
            if line not in (shape.low, shape.high):
                page.line([plan(line[0], 0.0), plan(line[1], shape.width)], WIDE if cut.upper else HIDDEN)
    # the side seen from the front edge
    for z, upper in ((0.0, False), (shape.depth, True)):
        reached = low[0]
        for cut in cuts:
            if cut.upper == upper:
                page.line([side(reached, z), side(cut.low[0], z)], WIDE)
                page.line([side(cut.low[0], z), side(cut.high[0], z)], THIN)
                reached = cut.high[0]
        page.line([side(reached, z), side(high[0], z)], WIDE)
    for end, real in ((low, low == shape.low), (high, high == shape.high)):
        if real:
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


def _break(page: Page, ends: Sequence[tuple[float, float]]) -> None:
    """A narrow line with a zigzag in its middle, by ISO 128."""
    (x, a), (_, b) = ends
    middle = (a + b) / 2
    over = -1.5 if b < a else 1.5
    page.line(
        [
            (x, a - over),
            (x, middle - 1.6),
            (x - 1.4, middle - 0.8),
            (x + 1.4, middle + 0.8),
            (x, middle + 1.6),
            (x, b + over),
        ]
        if b > a
        else [
            (x, a - over),
            (x, middle + 1.6),
            (x + 1.4, middle + 0.8),
            (x - 1.4, middle - 0.8),
            (x, middle - 1.6),
            (x, b + over),
        ],
        NARROW,
    )


def _badge(page: Page, at: tuple[float, float], text: str) -> None:
    """A number in a ring, on the lap it belongs to."""
    x, y = at
    radius = 3.0
    ring = [(x + radius * c, y + radius * s) for c, s in _CIRCLE]
    page.area(ring, PAPER)
    page.line(ring, NARROW, closed=True)
    page.text(x, y + 1.3, text, 2.5, "middle", bold=True)


_CIRCLE = tuple((math.cos(math.radians(turn)), math.sin(math.radians(turn))) for turn in range(0, 360, 15))


def _dimensions(page: Page, row: _Row, zone: Zone, along: Callable[[float], float]) -> None:
    """Running dimensions from the datum end: the back edge above, and the front edge below if oblique."""
    shape = row.shape
    slanted = oblique(shape)
    edges = [(1, row.plan_bottom - shape.width / row.scale, -1.0)]
    if slanted:
        edges.append((0, row.side_bottom, 1.0))
    for edge, base, way in edges:
        ticks = _ticks(shape, zone, edge)
        line = base + way * 4.5
        places = _spread([along(s) for s, _ in ticks], 4.2)
        for (s, value), x in zip(ticks, places, strict=True):
            page.line([(along(s), base + way * 0.8), (along(s), line), (x, line + way * 2.0)], THIN)
            page.text(x + 1.25, line + way * 2.6, str(value), 3.5, "start" if way < 0 else "end", bold=True, turn=90.0)


def _ticks(shape: Shape, zone: Zone, edge: int) -> list[tuple[float, int]]:
    """What is dimensioned along an edge in a zone: the piece's ends and every shoulder."""
    found: dict[int, float] = {}
    if zone.begin <= 0.0:
        found[whole(shape.low[edge])] = shape.low[edge]
    for number in zone.cuts:
        cut = shape.cuts[number]
        begin, end = shoulders(cut.low[edge], cut.high[edge], cut.high == shape.high)
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
