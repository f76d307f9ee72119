"""Gauges to cut out, true to size: check bars, the depth gauge, and a lap gauge for each gauge of the frame."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.frame.gauges import Gauge, gauges
from platemodel.frame.values import Frame
from platemodel.sheets.flow import BODY, BODY_LINE, BULLET, Columns, bulleted, inner, write_bulleted
from platemodel.sheets.form import SIZES, Room, part_name, sheet
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import HIDDEN, NARROW, THIN, XY, Page
from platemodel.sheets.widths import up_to

CHECK_MM = 100.0
CHECK_INCHES = 4
INCH = 25.4
"""An inch in mm, exact since 1959."""

FIGURE = 3.5
LABEL = 11.5
"""Room for the words below a gauge, mm."""
GAP = 7.0
BEYOND = 12.0
"""How far a strip reaches beyond its half depth line, mm."""
DEEPEST = 80.0
"""A strip whose half depth is more has no half depth line (mm)."""
PLAIN = 36.0
"""Height of such a strip, mm."""

IN_LENGTHS = "Lengths have the clearance in them."
NOTES = (
    "Glue the sheet to card or thin ply with no wrinkle, let it dry, then cut on the middle of each line. Mark both "
    f"gauge and piece with a sharp pencil or a knife. {IN_LENGTHS} Try a gauge on the first lap "
    "before the rest is sawn.",
    "UP edge along the arris of the face that is UP; the broken line is half the depth below it. Lap at an end: HOOK "
    "edge flush with that end, SHOULDER edge gives the shoulder; at the other end turn the gauge end for end, UP edge "
    "still up. Away from an end: tape the first shoulder, HOOK edge on its line.",
    "Leaning gauges lie on the sawn face, level edges on both arrises, HOOK on the bevel line (sawn last) or on the "
    "taped first shoulder. For the other lean turn over, print traced through: it reads from behind. Held to an edge, "
    "UP edge up, only the broken line counts: square shoulders down.",
)
RULES = "Where gauge and taped figures differ, the figures rule: saw nothing, measure the bars, print again."
"""On every page, below its bars."""
READ_FIRST = "How to hold a gauge: see the first gauge sheet."


@dataclass(frozen=True)
class _Figure:
    """Something to cut out: its size in mm, the words below it, and how it is drawn from its top left corner."""

    wide: float
    high: float
    words: tuple[str, str]
    draw: Callable[[Page, float, float], None]

    @property
    def room(self) -> float:
        """The width it takes with its words, mm."""
        return max(self.wide, width(self.words[0], FIGURE, bold=True), width(self.words[1], BODY))


def gauge_sheets(frame: Frame) -> list[Page]:
    """The pages of gauges at 1:1; what is larger than the paper is listed in words."""
    job = frame.plan.job

    def begin(number: int) -> tuple[Page, Room]:
        page, room = sheet(job, "gauge sheet", "gauges to cut out", "1:1", part_name("gauge", number))
        return page, inner(room, _head(page, room, notes if number == 1 else ()))

    notes = [note.replace(IN_LENGTHS, f"{IN_LENGTHS} {up_to(frame)}".strip()) for note in NOTES]
    flow = Columns(begin, 1)
    # on a page that has no notes
    across = SIZES[job.sheet][0] - 30.0 - 6.0
    down = SIZES[job.sheet][1] - 20.0 - 24.0 - 30.0
    large: list[str] = []
    fitting: list[_Figure] = []
    for figure, words in _figures(frame):
        if figure.room <= across and figure.high + LABEL <= down:
            fitting.append(figure)
        else:
            large.append(words)
    _place(flow, fitting)
    if large:
        flow.section("Too large for this paper: mark with square, bevel and tape", large, BULLET)
    return flow.pages


def _figures(frame: Frame) -> list[tuple[_Figure, str]]:
    """Everything to cut out, each with the words that stand for it where the paper is too small."""
    depth = frame.plan.plate.depth
    found = [(_depth_figure(depth), f"depth gauge: half depth {depth / 2:g}, whole depth {depth:g}")]
    for gauge in gauges(frame):
        laps = f"{len(gauge.halves)} lap{'s' if len(gauge.halves) > 1 else ''}"
        words = f"gauge {gauge.name}, {laps}: {gauge.length} along the edge, half depth {gauge.depth:g}"
        if gauge.lean > 0.0:
            words += f", shoulder leaning {gauge.lean:.1f} over the width of {gauge.width:g}"
            found.append((_leaning(gauge, laps), words))
        else:
            found.append((_square(gauge, laps), words))
    return found


def _head(page: Page, room: Room, notes: Sequence[str]) -> float:
    """The check bars and, on the first page, what to do; gives how far they reach below the frame line, mm."""
    left = room.left + 3.0
    y = room.top + 5.5
    page.text(left, y, "PRINT AT 100 %, NOT FITTED TO THE PAGE. MEASURE THESE BARS FIRST:", FIGURE, bold=True)
    words = "if either is not so long, print again"
    page.text(room.right - 3.0, y, words, BODY, "end", bold=True)
    _bar(page, left, room.top + 8.5, CHECK_MM, 10.0, "100 mm")
    _bar(page, left + CHECK_MM + 20.0, room.top + 8.5, CHECK_INCHES * INCH, INCH, "4 inches, 101.6 mm")
    low = room.top + 23.5
    page.text(left, low, RULES if notes else f"{RULES} {READ_FIRST}", BODY, bold=True)
    low += BODY_LINE
    if notes:
        low = write_bulleted(page, left, low, bulleted(notes, room.width - 7.0))
    low -= 1.5
    page.line([(room.left, low), (room.right, low)], NARROW)
    return low + 2.5 - room.top


def _bar(page: Page, x: float, y: float, length: float, step: float, words: str) -> None:
    """A check bar: ``length`` between the middles of its end lines, a line each ``step``, mm."""
    page.box(x, y, length, 5.0)
    for number in range(1, round(length / step)):
        page.line([(x + number * step, y), (x + number * step, y + 2.0)], THIN)
    page.text(x + length / 2, y + 9.3, words, FIGURE, "middle", bold=True)


def _place(flow: Columns, figures: Sequence[_Figure]) -> None:
    """Put figures side by side on shelves, from the left, down the page and onto further pages."""
    shelf: list[_Figure] = []
    for figure in [*figures, None]:
        used = sum(one.room + GAP for one in shelf)
        if shelf and (figure is None or used + figure.room > flow.width):
            _shelf(flow, shelf)
            shelf = []
        if figure is not None:
            shelf.append(figure)


def _shelf(flow: Columns, shelf: Sequence[_Figure]) -> None:
    high = max(figure.high for figure in shelf)
    flow.need(high + LABEL)
    x = flow.x
    for figure in shelf:
        figure.draw(flow.page, x, flow.y)
        low = flow.y + figure.high
        flow.page.text(x, low + 5.4, figure.words[0], FIGURE, bold=True)
        flow.page.text(x, low + 9.4, figure.words[1], BODY)
        x += figure.room + GAP
    flow.y += high + LABEL + 2.0


def _depth_figure(depth: float) -> _Figure:
    wide, half = 60.0, depth / 2

    def draw(page: Page, x: float, y: float) -> None:
        # whole depth at the left, half depth at the right, both from the upper edge
        steps: list[XY] = [(0, 0), (wide, 0), (wide, half), (wide / 2, half), (wide / 2, depth), (0, depth)]
        page.line([(x + dx, y + dy) for dx, dy in steps], NARROW, closed=True)
        if half >= 12.0:
            page.text(x + wide / 2, y + 4.5, "UP edge", BODY, "middle", bold=True)
            page.text(x + wide * 0.75, y + half - 2.0, f"half {half:g}", BODY, "middle", bold=True)
            page.text(x + wide / 4, y + depth - 2.0, f"whole {depth:g}", BODY, "middle", bold=True)

    return _Figure(wide, depth, (f"depth gauge {half:g} / {depth:g}", "half and whole depth, from its UP edge"), draw)


def _square(gauge: Gauge, laps: str) -> _Figure:
    """A strip as long as the lap."""
    marked = gauge.depth <= DEEPEST
    high = gauge.depth + BEYOND if marked else PLAIN

    def draw(page: Page, x: float, y: float) -> None:
        page.box(x, y, gauge.length, high)
        if marked:
            page.line([(x, y + gauge.depth), (x + gauge.length, y + gauge.depth)], HIDDEN)
        _edges(page, x, x + gauge.length, y + high - 2.5)
        words = [("UP edge", BODY, 4.0), (str(gauge.length), 7.0, 12.5)]
        _inside(page, x + gauge.length / 2, y, words, gauge.length - 14.0, gauge.depth - 1.0 if marked else high)
        if marked:
            half = [(f"half depth {gauge.depth:g}", BODY, gauge.depth + 4.0)]
            _inside(page, x + gauge.length / 2, y, half, gauge.length - 14.0, high)

    return _Figure(float(gauge.length), high, (f"gauge {gauge.name}: {laps}", _below(gauge)), draw)


def _leaning(gauge: Gauge, laps: str) -> _Figure:
    """A parallelogram: the lap as it lies on the face, at full width."""
    wide, high, lean = gauge.length + gauge.lean, gauge.width, gauge.lean

    def draw(page: Page, x: float, y: float) -> None:
        length, half = gauge.length, gauge.depth

        def left(down: float) -> float:
            """The left end of a level line, so far below the top."""
            return x + lean * (1.0 - down / high)

        page.line([(x, y + high), (x + length, y + high), (x + wide, y), (x + lean, y)], NARROW, closed=True)
        above, below = (half, high) if high - half >= half else (5.0, min(half, high))
        if half < high - 1.0:
            page.line([(left(half), y + half), (left(half) + length, y + half)], HIDDEN)
            name = [(f"half depth {half:g}", BODY, half - 1.6)]
            if half >= 9.0:
                _inside(page, left(half) + length / 2, y, name, length - 14.0, half)
        up = [("UP edge: only when held to an edge", BODY, 4.0)]
        _inside(page, left(4.0) + length / 2, y, up, length - 14.0, half)
        middle = (above + below) / 2
        words = [(str(length), 7.0, middle - 2.5), (f"{gauge.angle:.1f}° off square", BODY, middle + 2.5)]
        if below - above >= 22.0:
            _inside(page, left(middle) + length / 2, y, words, length - 22.0, below)
        down = min(middle + 9.0, below - 1.5)
        _edges(page, left(down) + 1.5, left(down) + length - 1.5, y + down, leaning=True)
        other = [("other lean: turn over, print traced through", BODY, down + 6.0)]
        # where the half depth is named below it, clear of that
        floor = below if above == half else below - 4.5
        _inside(page, left(down + 6.0) + length / 2, y, other, length - 14.0, floor)

    words = f"{_below(gauge)}, leaning {lean:.1f} over {high:g}"
    return _Figure(wide, high, (f"gauge {gauge.name}: {laps}", words), draw)


def _below(gauge: Gauge) -> str:
    return f"exactly {gauge.length} along the edge"


def _edges(page: Page, left: float, right: float, y: float, leaning: bool = False) -> None:
    """The names of the two edges, on a level line inside the gauge, where it is long enough for both."""
    # a bevelled end is sawn last: at first there is only its line
    hooks, shoulder = ("◁ HOOK on the bevel line", "◁ HOOK")[0 if leaning else 1 :], "SHOULDER ▷"
    room = right - left - width(shoulder, BODY, bold=True) - 8.0
    hook = next((hook for hook in hooks if width(hook, BODY, bold=True) <= room), "")
    if not hook:
        return
    page.text(left + 1.5, y, hook, BODY, bold=True)
    page.text(right - 1.5, y, shoulder, BODY, "end", bold=True)


def _inside(
    page: Page, middle: float, y: float, words: Sequence[tuple[str, float, float]], room: float, bottom: float
) -> None:
    """Words inside a gauge, each at its height below the top, where it has room."""
    for text, height, down in words:
        if width(text, height, bold=True) <= room and down <= bottom - 1.0:
            page.text(middle, y + down, fitted(text, height, room, bold=True), height, "middle", bold=True)
