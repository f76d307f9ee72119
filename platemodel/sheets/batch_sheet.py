"""The batch sheet: boards first, then all laps that share one gauge and one setting of the saw."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.values import Frame
from platemodel.sheets.board_bars import board_pages
from platemodel.sheets.cut_tables import FACE_UP
from platemodel.sheets.flow import BODY, BODY_LINE, Columns, inner
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.gauges import Gauge, gauges
from platemodel.sheets.lap_stacks import LapRow, rips, stacks
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import BLACK, NARROW, THIN, WIDE, Page

ROW = 5.6
SECOND = 4.6
"""What a second line adds to a row, mm."""
BAND = 4.6
FIGURE = 3.5
FIGURES_RIGHT = 1.6
"""Room right of a column's figures, mm."""

_SQUARE = [
    ("", 6.0),
    ("mark", 12.5),
    ("type", 11.0),
    ("cut", 7.5),
    ("UP is, as drawn", 21.0),
    ("half", 13.0),
    ("from", 14.6),
    ("to", 14.6),
    ("kind", 12.4),
    ("mate", 12.0),
]
_LEANING = [
    ("", 6.0),
    ("mark", 12.5),
    ("type", 11.0),
    ("cut", 7.5),
    ("UP is, as drawn", 21.0),
    ("half", 13.0),
    ("edge", 9.5),
    ("from", 14.6),
    ("to", 14.6),
    ("kind, mate", 16.9),
]

NOTES = (
    "Write UP, the mark and the datum end on every piece first; from and to are along the near edge as drawn on the "
    "cut sheet, from the datum end.",
    "UNDER: saw into the UP face, half the depth. OVER: saw into the underside as laid, until half the depth is left "
    "under UP; where a board is deeper than said, so much deeper. Always gauge from UP: tops come flush.",
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


def batch_sheets(frame: Frame) -> list[Page]:
    """The pages of boards, then the pages of laps by gauge."""
    pages = board_pages(frame)
    found = gauges(frame)
    return pages + _lap_pages(frame, found, len(pages)) if found else pages


def _lap_pages(frame: Frame, found: Sequence[Gauge], before: int) -> list[Page]:
    job = frame.plan.job

    def begin(number: int) -> tuple[Page, Room]:
        page, free = sheet(job, "batch sheet", "laps by gauge", "–", part_name("batch", before + number))
        return page, inner(free, _head(page, free, found, first=number == 1))

    flow = Columns(begin, 3 if job.sheet == "A3" else 2)
    for gauge in found:
        _Block(flow, frame, gauge).draw()
    return flow.pages


def _head(page: Page, room: Room, found: Sequence[Gauge], first: bool) -> float:
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
    for side, notes in enumerate((NOTES, CAUTIONS)):
        x, at = left + side * (column + gap), y
        for number, note in enumerate(notes):
            bold = side == 1 and number == 0
            for place, line in enumerate(wrapped(note, BODY, column - 4.0, bold)):
                page.text(x + (0.0 if place == 0 else 2.2), at, ("• " if place == 0 else "") + line, BODY, bold=bold)
                at += BODY_LINE
        ends.append(at)
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
        for alike in stacks(self.frame, self.gauge):
            count = len(alike)
            if alike[0].under is not face:
                face = alike[0].under
                self._room(2 * BAND + min(count, 2) * self.row)
                self._band(_face(face))
            if count > 1:
                self._room(BAND + 2 * self.row, face)
                # with their ends flush, a slanting line would run off along the next piece
                how = "mark each singly, with the gauge" if self.leaning else "clamp side by side"
                self._band(f"{count} alike: {how}")
            for number, row in enumerate(alike):
                if self._room(self.row, face) and count > 1 and number:
                    self._band(f"{count} alike, {count - number} more of them")
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
        lines = wrapped("; ".join((f"SAW DEPTH {gauge.depth:g}", *depths)), FIGURE, flow.width - 4.0, bold=True)
        high = 9.0 + 5.0 * len(lines)
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
            self._band(_face(face))
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
        cells: list[tuple[str, ...]] = [("",), (row.mark,), (row.type,), (str(row.cut + 1),), (up,), (half,)]
        if self.leaning:
            cells += [("near", "far"), *zip(map(str, row.near), map(str, row.far), strict=True), (row.kind, row.mate)]
        else:
            begin, end = ("end" if out else str(s) for s, out in zip(row.near, row.ends, strict=True))
            cells += [(begin,), (end,), (row.kind,), (row.mate,)]
        with page.about(row.mark):
            for (head, size), texts in zip(self.columns, cells, strict=True):
                for number, text in enumerate(texts):
                    strong = head in ("mark", "cut", "from", "to", "mate") or (head == "kind, mate" and number == 1)
                    _cell(page, x, y + 4.5 + number * SECOND, size, text, head in ("from", "to"), strong)
                x += size
        page.line([(flow.x, y + self.row), (flow.x + flow.width, y + self.row)], THIN)
        flow.y += self.row


def _rip_words(deep: float, leaning: bool) -> str:
    """How the waste comes off once the shoulders are sawn."""
    if leaning:
        # a rip from an edge would pass the slanting shoulder inside
        return "then kerf and pare"
    return f"ends: rip {deep:g} deep from each edge, housings: kerf and pare"


def _face(under: bool) -> str:
    return "UNDER halves: saw into the UP face" if under else "OVER halves: saw into the underside as laid"


def _cell(page: Page, x: float, y: float, size: float, text: str, figures: bool, strong: bool) -> None:
    """A text in its cell: marks and figures large where they fit."""
    room = size - FIGURES_RIGHT if figures else size - 1.0
    height = FIGURE if strong and width(text, FIGURE, bold=True) <= room else BODY
    text = fitted(text, height, room, strong)
    if figures:
        page.text(x + size - FIGURES_RIGHT, y, text, height, "end", bold=strong)
    else:
        page.text(x + 0.7, y, text, height, bold=strong)
