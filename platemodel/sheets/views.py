"""Broken views of a piece: its laps drawn true, the whole timber between them left out.

A piece is shown in zones, one about each lap, at one scale; between zones a break. Each zone knows
where on the piece and where on paper it lies.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.shape import Shape
from platemodel.frame.tape import OFF_SQUARE, SQUARED, squared_line, whole
from platemodel.sheets.breaks import break_line
from platemodel.sheets.ends import draw_end
from platemodel.sheets.flat import ToPaper, draw_flat
from platemodel.sheets.lettering import width
from platemodel.sheets.mates import BELOW, NAME, REACH, Mate, draw_mates, draw_mates_beside, mates_width
from platemodel.sheets.page import BLACK, CHAIN, HIDDEN, NARROW, THIN, WIDE, Page
from platemodel.sheets.running import FIGURE, LINE, run_along
from platemodel.sheets.zones import BEFORE_DEPTHS, BREAK, Zone, depths_room, halves, oblique, row_width

BETWEEN = 7.0
"""From one view to the next, mm on paper."""
WORD = 3.0
"""Room below the side view for the word that says which half stays, mm on paper."""
BESIDE_ROW = 6.0
"""How far left of a row a word below its first lap may reach, mm on paper."""
ENDS_APART = 8.0
"""Between the views of the two ends, where they stand beside one another, mm on paper."""
EDGE_NAMES_AWAY = 1.6
EDGE_NAMES = 14.0
"""Room for the names of edges beside an oblique piece, mm on paper."""


FLAG_WORDS = 5.5
"""From the datum end to the words beside its flag (mm on paper)."""

TAPE_LINE = f"tape {SQUARED:g}: hold it here for every figure; not a cut"


def step_dimension(shape: Shape) -> float:
    """Room for the running dimensions above or below a view, mm on paper."""
    return LINE + 3.0 + width(str(whole(shape.length)), FIGURE, bold=True)


@dataclass(frozen=True)
class Manner:
    """How a piece is shown.

    ``forms`` of one mate may be drawn below one another; ``beside``: mates and ends stand right of the views, where
    they take no height; ``turned``: some of the pieces lie turned over, so that words say that they are as drawn.
    """

    forms: int = 1
    beside: bool = False
    turned: bool = False


def row_height(shape: Shape, scale: float, manner: Manner) -> float:
    """The height of one row on paper, with its dimensions, mm."""
    row = _Row(0.0, 0.0, scale, shape)
    if manner.beside:
        return row.below
    return row.mates_bottom + (manner.forms - 1) * (BELOW + shape.depth / scale) + NAME


def room_beside(shape: Shape, scale: float) -> float:
    """Room that a row needs at its right for depths, edges' names and the ends' views, mm on paper."""
    return _depths_width(shape, scale) + (EDGE_NAMES if oblique(shape) else 0.0) + shape.width / scale + 5.0


def ends_left(shape: Shape, scale: float, row: float) -> float:
    """How far right of the left edge of views ``row`` wide the ends' views begin that stand in their line, mm."""
    names = EDGE_NAMES if oblique(shape) else 0.0
    words = _tape_words(shape, scale) + width(TAPE_LINE, 2.5) if squared_line(shape) else 0.0
    return max(row + _depths_width(shape, scale) + names, words)


def beside_left(shape: Shape, scale: float, row: float) -> float:
    """How far right of the left edge of views ``row`` wide ends and mates stand that are drawn beside them, mm."""
    words = _tape_words(shape, scale) + width(TAPE_LINE, 2.5) if squared_line(shape) else 0.0
    names = EDGE_NAMES_AWAY + width("near edge", 2.5, bold=True) if oblique(shape) else 0.0
    return max(row + _depths_width(shape, scale), row + names, words) + 1.6


def beside_size(shape: Shape, mates: Sequence[Mate], scale: float, manner: Manner) -> tuple[float, float]:
    """Width and height of ends and mates drawn beside the views, mm on paper."""
    depth = shape.depth / scale
    wide = max(2 * shape.width / scale + ENDS_APART, mates_width(mates, scale))
    return wide, (depth + 8.0) + (manner.forms * (depth + BELOW) + 4.5)


def draw_beside(
    page: Page, left: float, bottom: float, shape: Shape, mates: Sequence[Mate], scale: float, manner: Manner
) -> None:
    """Draw a piece's ends and mates beside its views, their names standing on a line."""
    depth = shape.depth / scale
    high = beside_size(shape, mates, scale, manner)[1]
    for at_low in (True, False):
        draw_end(page, left, bottom - high + 4.0, shape, at_low, scale)
        left += shape.width / scale + ENDS_APART
    left -= 2 * (shape.width / scale + ENDS_APART)
    first = bottom - BELOW - (manner.forms - 1) * (depth + BELOW)
    draw_mates_beside(page, shape, mates, left, first, scale, manner.forms)


def _depths_width(shape: Shape, scale: float) -> float:
    """Room for the dimensions of depths beside the side view, mm on paper."""
    return 8.5 + width(halves(shape, scale)[0], 2.5) + width(f"{shape.depth:g}", 2.5)


def _tape_words(shape: Shape, scale: float) -> float:
    """How far right of the views' left edge the words stand that say what the tape line is, mm on paper."""
    line = SQUARED / scale + 1.0
    # beside the flag's words too, where they stand below the near edge
    return max(line, FLAG_WORDS + width("datum end", 1.8) + 1.5) if shape.low[0] <= shape.low[1] else line


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
    def below(self) -> float:
        return self.side_bottom + WORD + (step_dimension(self.shape) if oblique(self.shape) else 0.0)

    @property
    def mates_bottom(self) -> float:
        depth = self.shape.depth / self.scale if self.shape.cuts else 0.0
        return self.below + 3.0 + depth


def draw_row(
    page: Page,
    left: float,
    top: float,
    shape: Shape,
    row: Sequence[Zone],
    scale: float,
    mates: Sequence[Mate],
    manner: Manner,
) -> None:
    """Draw one row of zones: top and side view, running dimensions, mates."""
    place = _Row(left, top, scale, shape)
    _names(page, place, manner)
    right = left + row_width(row, scale)
    near_end = shape.high[0] if row[-1].end >= shape.length else row[-1].end
    end = right - (row[-1].end - near_end) / scale
    for zone, x in _placed(row, left, scale):
        _zone(page, place, x, zone)
        # clear of the break lines, and of the depths beside the row
        begin = x - BESIDE_ROW if zone.begin <= 0.0 else x + 0.4
        room = begin, end + 0.6 if zone is row[-1] else x + (zone.end - zone.begin) / scale - 0.4
        _words(page, place, zone, _along(zone, x, scale), room, manner)
        if not manner.beside:
            draw_mates(page, shape, zone, mates, _along(zone, x, scale), place.mates_bottom, scale, manner.forms)
    _row_depths(page, place, row, left, end)
    beside = left + ends_left(shape, scale, row_width(row, scale))
    if oblique(shape):
        _edge_names(page, place, right + EDGE_NAMES_AWAY)
    if row[0].begin <= 0.0:
        _datum(page, place)
    if manner.beside:
        return
    if row[0].begin <= 0.0:
        if shape.cuts:
            for number, words in enumerate(("turned in line", "to show", "their halves")):
                y = place.mates_bottom - shape.depth / scale / 2 + (number - 0.6) * 2.8
                page.text(right + REACH + 3.0, y, words, 1.8)
        draw_end(page, beside + 2.0, place.plan_top + 1.0, shape, True, scale)
    if row[-1].end >= shape.length:
        draw_end(page, beside + 2.0, place.side_bottom - shape.depth / scale, shape, False, scale)


def _placed(row: Sequence[Zone], left: float, scale: float) -> Iterator[tuple[Zone, float]]:
    """The zones of a row, each with where on paper it begins."""
    for zone in row:
        yield zone, left
        left += (zone.end - zone.begin) / scale + BREAK


def _along(zone: Zone, left: float, scale: float) -> Callable[[float], float]:
    def along(s: float) -> float:
        return left + (s - zone.begin) / scale

    return along


def _names(page: Page, row: _Row, manner: Manner) -> None:
    """What each view shows, at its left."""
    x = row.left - 12.5
    middle = (row.plan_top + row.plan_bottom) / 2
    page.text(x, middle, "TOP", 2.5, "middle", bold=True, turn=90.0)
    page.text(x + 3.2, middle, "as drawn", 1.8, "middle", turn=90.0)
    middle = row.side_bottom - row.shape.depth / row.scale / 2
    page.text(x, middle, "near", 1.8, "middle", turn=90.0)
    page.text(x + 3.2, middle, "edge", 1.8, "middle", turn=90.0)
    if row.shape.cuts and not manner.beside:
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
        page.text(x + FLAG_WORDS, y + 2.6, "datum end", 1.8)
    else:
        # in two lines, short of the first shoulder's figure
        page.text(x + FLAG_WORDS, y + 0.6, "datum", 1.8)
        page.text(x + FLAG_WORDS, y + 2.9, "end", 1.8)
    if abs(low[0] - low[1]) > OFF_SQUARE:
        # the board's end, squared before anything is marked
        page.line([(x, row.plan_top), (x, row.plan_bottom)], HIDDEN)
    if squared_line(row.shape):
        # the line squared across that every figure is taped from
        tape = x + SQUARED / row.scale
        page.line([(tape, row.plan_top - 1.5), (tape, row.plan_bottom + 1.5)], CHAIN)
        page.text(x + _tape_words(row.shape, row.scale), row.plan_bottom + 4.4, TAPE_LINE, 2.5)


def _row_depths(page: Page, row: _Row, zones: Sequence[Zone], left: float, end: float) -> None:
    """Half and whole depth of a row whose side view ends at ``end`` on paper: halves at a lap, never at whole timber.

    Where the row does not end in a lap, the halves stand beside the shoulder of one.
    """
    shape = row.shape
    numbers = [number for zone in zones for number in zone.cuts]
    lap_ends = bool(numbers) and shape.cuts[numbers[-1]].high == shape.high
    beside = None if lap_ends or not numbers else _beside_a_shoulder(row, zones, left, end)
    x = end + 2.5
    half, whole_depth = shape.depth / 2, shape.depth
    if numbers:
        at, begin = (x, end + 1.0) if beside is None else beside
        words = halves(shape, row.scale)
        for number, low in enumerate((0.0, half)):
            _depth(page, row, at, begin, (low, low + half), words[number] if len(words) > 1 else "")
        if len(words) == 1:
            page.text(at + 1.2, row.side_bottom - half / row.scale + 1.2, words[0], 2.5)
        if beside is None:
            x += 3.0 + width(words[0], 2.5)
    _depth(page, row, x, end + 1.0, (0.0, whole_depth), f"{whole_depth:g}")


def _beside_a_shoulder(row: _Row, zones: Sequence[Zone], left: float, end: float) -> tuple[float, float] | None:
    """Where halves have room in a row: the line on paper and the shoulder that it is drawn from; the last such."""
    shape, needed = row.shape, depths_room(row.shape, row.scale)
    for zone, x in reversed(list(_placed(zones, left, row.scale))):
        along = _along(zone, x, row.scale)
        for position, number in reversed(list(enumerate(zone.cuts))):
            low, high = (along(line[0]) for line in (shape.cuts[number].low, shape.cuts[number].high))
            before, after = x, min(end, x + (zone.end - zone.begin) / row.scale)
            if position:
                before = along(shape.cuts[zone.cuts[position - 1]].high[0])
            if position + 1 < len(zone.cuts):
                after = along(shape.cuts[zone.cuts[position + 1]].low[0])
            if after - high >= needed - 1e-6:
                return high + BEFORE_DEPTHS - 1.2, high
            if low - before >= needed + 1.0:
                return low - needed + BEFORE_DEPTHS - 1.2, low
    return None


def _depth(page: Page, row: _Row, x: float, begin: float, span: tuple[float, float], words: str) -> None:
    """Dimension a depth, mm from the underside, at a place on paper, its extension lines from another."""
    a, b = (row.side_bottom - depth / row.scale for depth in span)
    page.line([(x, a), (x, b)], THIN)
    for y in (a, b):
        page.line([(begin, y), (x + (0.8 if x > begin else -0.8), y)], THIN)
        page.line([(x - 0.8, y + 0.8), (x + 0.8, y - 0.8)], NARROW)
    if words:
        page.text(x + 1.2, (a + b) / 2 + 1.2, words, 2.5)


def _zone(page: Page, row: _Row, left: float, zone: Zone) -> None:
    shape, scale = row.shape, row.scale
    along = _along(zone, left, scale)

    def plan(s: float, t: float) -> tuple[float, float]:
        return along(s), row.plan_bottom - t / scale

    def side(s: float, z: float) -> tuple[float, float]:
        return along(s), row.side_bottom - z / scale

    draw_flat(page, shape, zone, plan, upper=True)
    _side_view(page, shape, zone, side)
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


def _words(
    page: Page,
    row: _Row,
    zone: Zone,
    along: Callable[[float], float],
    room: tuple[float, float],
    manner: Manner,
) -> None:
    """Under each cut the word for what stays, as drawn; all between two places on paper."""
    shape = row.shape
    if not zone.cuts:
        return
    centres = [along(sum(shape.cuts[number].low + shape.cuts[number].high) / 4) for number in zone.cuts]
    limits = [room[0], *((a + b) / 2 for a, b in itertools.pairwise(centres)), room[1]]
    drawn = " as drawn" if manner.turned else ""
    for number, x, low, high in zip(zone.cuts, centres, limits[:-1], limits[1:], strict=True):
        word = "LOWER" if shape.cuts[number].upper else "UPPER"
        words = [f"{word} HALF STAYS{drawn}", f"{word} STAYS{drawn}", f"{word}{drawn}"]
        text = next((t for t in [*words, word] if width(t, 1.8, bold=True) + 1.0 <= high - low), "")
        half = width(text, 1.8, bold=True) / 2 + 0.5
        page.text(min(max(x, low + half), high - half), row.side_bottom + 2.6, text, 1.8, "middle", bold=True)
