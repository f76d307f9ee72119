"""The batch sheet: boards first, then all laps that share one gauge and one setting of the saw."""

from __future__ import annotations

import math
from collections.abc import Sequence

from platemodel.frame.gauges import Gauge, gauges
from platemodel.frame.values import Frame
from platemodel.sheets.board_bars import board_pages
from platemodel.sheets.cut_tables import FACE_UP, alike_in_length
from platemodel.sheets.flow import BODY, Columns, bulleted, inner, write_bulleted
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.lap_stacks import LapRow, rips, stacks
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import BLACK, NARROW, THIN, WIDE, Page

ROW = 5.6
SECOND = 4.6
"""What a second line adds to a row, mm."""
BAND = 4.6
FIGURE = 3.5
CLAMPED = 4
"""No more pieces than this are clamped side by side."""
REACH = 55.0
DEEPER = "deeper than many hand-held saws: finish with a hand saw"
"""How deep many hand-held circular saws reach, mm; common practice."""
SINGLY = "singly: mark and saw each by itself"
FIGURES_RIGHT = 1.6
"""Room right of a column's figures, mm."""

_SQUARE = [
    ("", 6.0),
    ("mark", 12.5),
    ("type", 10.5),
    ("cut", 7.0),
    ("UP is, as drawn", 21.0),
    ("it lies", 12.2),
    ("from", 14.6),
    ("to", 14.6),
    ("kind", 14.2),
    ("mate", 12.0),
]
_LEANING = [
    ("", 6.0),
    ("mark, type", 12.5),
    ("cut", 7.5),
    ("UP as drawn; it lies", 21.0),
    ("lean, on the face sawn", 22.0),
    ("edge", 9.5),
    ("from", 14.6),
    ("to", 14.6),
    ("kind, mate", 16.9),
]

_STRONG = {
    *((head, 0) for head in ("mark", "mark, type", "cut", "mate")),
    *((head, number) for head in ("from", "to") for number in (0, 1)),
    ("lean, on the face sawn", 0),
    ("kind, mate", 1),
}
"""Which texts of a row are large and bold: the head of their column, and on which line."""

NOTES = (
    "Write UP, the mark and the datum end on every piece first; from and to are along the near edge as drawn on the "
    "cut sheet, from the datum end.",
    "UNDER: saw into the UP face, half the depth. OVER: saw into the underside as laid, until half the depth is left "
    "under UP: saw depth = the board's own depth less what is left. Always gauge from UP: tops come flush.",
    "Alike: datum ends flush (bevelled ends by a line squared across), sawn faces up, clamped side by side, shoulders "
    "marked across all with the gauge. Try the setting on two offcuts: they must close flush.",
    "Saw the shoulders on the waste side. Then rip along the half depth line from each edge: the two rips meet. Where "
    "the blade does not reach, or between two shoulders, saw kerfs close together and pare the waste out. Bevelled "
    "ends are sawn last: see the cut sheets.",
)

# pushing and extraction: HSE, safe use of circular saws, and cutting and sanding wood on site; the rest is
# common practice
CAUTIONS = (
    "CAUTION. The saw maker's instructions come first; trained users only; guards and riving knife on.",
    "Unplug the saw or take its battery out before setting its depth. Clamp the stack to the bench; both hands on the "
    "saw, the body out of its line; let the blade stop before lifting it.",
    "On a bench saw a push stick for the last 300 mm of every cut. Ripping on edge: clamp a second timber beside it "
    "for the sole of the saw to stand on.",
    "Wood dust harms lungs: extraction on the tool (class M or H), mask of class FFP3 that fits the face, no dry "
    "sweeping; eye and ear protection.",
)

# stands in the other column, which has room for it
ROLLED = (
    "Roll a board over about its long edge, so that its datum end stays at the left; a lean is given as it is seen "
    "then, on the face that is sawn."
)


def batch_sheets(frame: Frame) -> list[Page]:
    """The pages of boards, then the pages of laps by gauge."""
    pages = board_pages(frame)
    found = gauges(frame)
    return pages + _lap_pages(frame, found, len(pages)) if found else pages


def _lap_pages(frame: Frame, found: Sequence[Gauge], before: int) -> list[Page]:
    job = frame.plan.job
    alike = "; ".join(" and ".join(names) for names in alike_in_length(frame))
    warned = (f"NOT the same, though alike in length: {alike}.",) if alike else ()
    beside = (*CAUTIONS, ROLLED, *warned)

    def begin(number: int) -> tuple[Page, Room]:
        page, free = sheet(job, "batch sheet", "laps by gauge", "–", part_name("batch", before + number))
        return page, inner(free, _head(page, free, found, beside, first=number == 1))

    flow = Columns(begin, 3 if job.sheet == "A3" else 2)
    for gauge in found:
        _Block(flow, frame, gauge).draw()
    return flow.pages


def _head(page: Page, room: Room, found: Sequence[Gauge], beside: Sequence[str], first: bool) -> float:
    """How to saw a batch; gives how far it reaches below the frame line, mm."""
    left, wide = room.left + 3.0, room.width - 6.0
    page.text(left, room.top + 8.0, "LAPS BY GAUGE" if first else "LAPS BY GAUGE, continued", 5.0, bold=True)
    if not first:
        return 12.0
    count = sum(len(gauge.halves) for gauge in found)
    words = f"{count} cuts, gauges: {', '.join(gauge.name for gauge in found)}"
    offset = width("LAPS BY GAUGE", 5.0, bold=True) + 5.0
    page.text(left + offset, room.top + 8.0, fitted(words, BODY, wide - offset, bold=True), BODY, bold=True)
    y = room.top + 13.5
    gap = 6.0
    column = (wide - gap) / 2
    ends = []
    for side, notes in enumerate((NOTES, beside)):
        lines = bulleted(notes, column - 2.0, *((0, len(CAUTIONS) + 1) if side else ()))
        ends.append(write_bulleted(page, left + side * (column + gap), y, lines))
    page.line([(left + column + gap / 2, y - 3.5), (left + column + gap / 2, max(ends) - 2.5)], NARROW)
    page.line([(room.left, max(ends) - 1.0), (room.right, max(ends) - 1.0)], NARROW)
    return max(ends) + 1.0 - room.top


class _Block:
    """A gauge's laps, in as many columns as they fill."""

    def __init__(self, flow: Columns, frame: Frame, gauge: Gauge) -> None:
        self.flow, self.frame, self.gauge = flow, frame, gauge
        self.leaning = gauge.lean > 0.0
        columns = _LEANING if self.leaning else _SQUARE
        stretch = flow.width / sum(size for _, size in columns)
        self.columns = [(head, size * stretch) for head, size in columns]
        self.row = ROW + SECOND if self.leaning else ROW

    def draw(self) -> None:
        """Draw the head of the gauge and its rows."""
        self._head()
        face: bool | None = None
        singly = False
        for alike in stacks(self.frame, self.gauge):
            count = len(alike)
            if alike[0].under is not face:
                face, singly = alike[0].under, False
                self._room(2 * BAND + min(count, 2) * self.row)
                self._band(_face(face, self.gauge.depth))
            if count > 1:
                self._room(BAND + 2 * self.row, face)
                # with their ends flush, a slanting line would run off along the next piece
                how = "mark each singly, with the gauge" if self.leaning else _clamped(count)
                self._band(f"{count} alike: {how}")
            elif not singly:
                self._room(BAND + self.row, face)
                self._band(SINGLY)
            singly = count == 1
            lot = count if self.leaning else _lot(count)
            for number, row in enumerate(alike):
                if self._room(self.row + (BAND if number and number % lot == 0 else 0.0), face):
                    if number or count == 1:
                        self._band(f"{count} alike, {count - number} more of them" if count > 1 else SINGLY)
                elif number and number % lot == 0:
                    self._band(f"{count} alike, the next {min(lot, count - number)}")
                self._row(row)
                if count > 1:
                    self._bracket()
            page, x, y = self.flow.page, self.flow.x, self.flow.y
            page.line([(x, y), (x + self.flow.width, y)], NARROW)
        self.flow.y += 5.0

    def _head(self) -> None:
        flow, gauge = self.flow, self.gauge
        depths = [_rip_words(deep, self.leaning) for _, deep in rips(self.frame, gauge)]
        if len(depths) > 1:
            depths = [
                f"{across:g} wide: {words}" for words, (across, _) in zip(depths, rips(self.frame, gauge), strict=True)
            ]
        half = f"{gauge.depth:g}"
        saw = f"UNDER: saw {half} deep. OVER: saw (board's own depth less {half}) deep, leave {half}"
        saw += _beyond(gauge.depth)
        lines = wrapped(saw, FIGURE, flow.width - 4.0, bold=True)
        then = wrapped("; ".join(depths), BODY, flow.width - 4.0, bold=True)
        high = 9.0 + 5.0 * len(lines) + 4.0 * len(then)
        flow.need(high + 4.5 + 3 * BAND + 2 * self.row)
        flow.page.box(flow.x, flow.y, flow.width, high, WIDE)
        flow.page.text(flow.x + 2.0, flow.y + 6.6, f"GAUGE {gauge.name}", 5.0, bold=True)
        count = len(gauge.halves)
        words = f"{count} lap{'s' if count > 1 else ''}"
        flow.page.text(flow.x + flow.width - 2.0, flow.y + 6.6, words, FIGURE, "end", bold=True)
        flow.y += 7.2
        for line in lines:
            flow.page.text(flow.x + 2.0, flow.y + 4.2, line, FIGURE, bold=True)
            flow.y += 5.0
        for line in then:
            flow.page.text(flow.x + 2.0, flow.y + 3.4, line, BODY, bold=True)
            flow.y += 4.0
        flow.y += 1.8
        self._names()

    def _names(self) -> None:
        """The heads of the columns."""
        x = self.flow.x
        lines = max(len(wrapped(head, BODY, size - 1.6)) for head, size in self.columns)
        for head, size in self.columns:
            for number, line in enumerate(wrapped(head, BODY, size - 1.6)):
                words, y = fitted(line, BODY, size - 1.6), self.flow.y + 3.4 + number * 3.4
                if head in ("from", "to"):
                    self.flow.page.text(x + size - FIGURES_RIGHT, y, words, BODY, "end")
                else:
                    self.flow.page.text(x + 0.8, y, words, BODY)
            x += size
        self.flow.y += 3.4 * lines + 1.2
        self.flow.page.line([(self.flow.x, self.flow.y), (self.flow.x + self.flow.width, self.flow.y)], NARROW)

    def _room(self, height: float, face: bool | None = None) -> bool:
        """Make room; where that begins a column, say there again what is being sawn."""
        if not self.flow.need(height):
            return False
        flow = self.flow
        flow.page.text(flow.x, flow.y + 4.6, f"GAUGE {self.gauge.name}, continued", FIGURE, bold=True)
        flow.y += 5.6
        self._names()
        if face is not None:
            self._band(_face(face, self.gauge.depth))
        return True

    def _band(self, words: str) -> None:
        """A line of words across the column, on grey."""
        flow = self.flow
        right = flow.x + flow.width
        corners = [(flow.x, flow.y), (right, flow.y), (right, flow.y + BAND), (flow.x, flow.y + BAND)]
        flow.page.area(corners, (0.88, 0.88, 0.88))
        flow.page.text(flow.x + 1.0, flow.y + 3.6, fitted(words, BODY, flow.width - 2.0, bold=True), BODY, bold=True)
        flow.y += BAND

    def _bracket(self) -> None:
        """A black bar beside a row that is one of several alike."""
        x, top, bottom = self.flow.x, self.flow.y - self.row, self.flow.y
        self.flow.page.area([(x, top), (x + 0.5, top), (x + 0.5, bottom), (x, bottom)], BLACK)

    def _row(self, row: LapRow) -> None:
        flow = self.flow
        page, x, y = flow.page, flow.x, flow.y
        page.box(x + 0.7, y + 0.8, 4.0, 4.0)
        up = f"{FACE_UP[not row.top_up]} {'top' if row.top_up else 'underside'}"
        half = "UNDER" if row.under else "OVER"
        cut = str(row.cut + 1)
        cells: list[tuple[str, ...]]
        if self.leaning:
            figures = zip(map(str, row.near), map(str, row.far), strict=True)
            cells = [("",), (row.mark, row.type), (cut,), (up, half), tuple(row.lean.split(" ")), ("near", "far")]
            cells += [*figures, (row.kind, row.mate)]
        else:
            begin, end = map(str, row.near)
            cells = [("",), (row.mark,), (row.type,), (cut,), (up,), (half,), (begin,), (end,), (row.kind,)]
            cells.append((row.mate,))
        with page.about(row.mark):
            for (head, size), texts in zip(self.columns, cells, strict=True):
                for number, text in enumerate(texts):
                    strong = (head, number) in _STRONG
                    _cell(page, x, y + 4.5 + number * SECOND, size, text, head in ("from", "to"), strong)
                x += size
        page.line([(flow.x, y + self.row), (flow.x + flow.width, y + self.row)], THIN)
        flow.y += self.row


def _rip_words(deep: float, leaning: bool) -> str:
    """How the waste comes off once the shoulders are sawn."""
    if leaning:
        # a rip from an edge would pass the slanting shoulder inside
        return "then kerf and pare"
    return f"ends: rip {deep:g} in from each edge{_beyond(deep)}; housings: kerf and pare"


def _beyond(deep: float) -> str:
    """What to do where a cut is deeper than many saws reach."""
    return f", {DEEPER}" if deep > REACH else ""


def _face(under: bool, half: float) -> str:
    if under:
        return f"UNDER halves: saw into the UP face, {half:g} down"
    return f"OVER halves: saw into the underside as laid, leave {half:g} under UP"


def _lot(count: int) -> int:
    """How many of a number alike are clamped at a time: no more than can be held, in even lots."""
    return math.ceil(count / math.ceil(count / CLAMPED))


def _clamped(count: int) -> str:
    return "clamp side by side" + (f", {_lot(count)} at a time" if count > CLAMPED else "")


def _cell(page: Page, x: float, y: float, size: float, text: str, figures: bool, strong: bool) -> None:
    """A text in its cell: marks and figures large where they fit."""
    room = size - FIGURES_RIGHT if figures else size - 1.0
    height = FIGURE if strong and width(text, FIGURE, bold=True) <= room else BODY
    text = fitted(text, height, room, strong)
    if figures:
        page.text(x + size - FIGURES_RIGHT, y, text, height, "end", bold=strong)
    else:
        page.text(x + 0.7, y, text, height, bold=strong)
