"""The broken views of a cut sheet read back: what lies where along a piece, from the marks alone.

A row of views is told by the words at its left; in it a zone is a stretch between ends and break lines,
drawn to scale. Nothing is known beforehand of where on the piece a zone lies.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field

from svg_sheets import Point, Sheet, Stroke, Words

NEAR = 0.002
"""Coordinates on a sheet are thousandths of a millimetre."""
WIDE, HIDDEN, CHAIN = "", "3 1", "6 1 0.6 1"


@dataclass(frozen=True)
class Across:
    """A line drawn across a view: x on paper at the near and at the far edge, and its dashes."""

    near: float
    far: float
    dashes: str


@dataclass(frozen=True)
class Figure:
    """A figure and where its extension line ends at the view, x on paper."""

    value: int
    at: float


@dataclass
class ZoneRead:
    """A stretch of a view: between which x on paper either edge is drawn, and the lines across it."""

    near: tuple[float, float]
    far: tuple[float, float]
    lines: list[Across] = field(default_factory=list)

    def holds(self, x: float) -> bool:
        return min(self.near[0], self.far[0]) - NEAR <= x <= max(self.near[1], self.far[1]) + NEAR


@dataclass(frozen=True)
class Depth:
    """A figure beside a side view, how long its dimension line is on paper, and where that stands, x on paper."""

    text: str
    length: float
    at: float


@dataclass(frozen=True)
class RowRead:
    """A row: its zones from left to right, its figures above and below, the chain line of 100 mm, its depths."""

    zones: tuple[ZoneRead, ...]
    above: tuple[Figure, ...]
    below: tuple[Figure, ...]
    chains: tuple[float, ...]
    depths: tuple[Depth, ...]


def scale_of(sheet: Sheet) -> float:
    """The scale of a sheet's title block."""
    match = re.match(r"1:(\d+(?:\.\d+)?)\b", sheet.under("scale"))
    assert match, sheet.under("scale")
    return float(match[1])


def _two(stroke: Stroke) -> bool:
    return len(stroke.points) == 2 and not stroke.closed and not stroke.hatching


def _named(sheet: Sheet, text: str) -> list[Words]:
    found = [words for words in sheet.words if words.text == text and words.turn == 90.0]
    return sorted(found, key=lambda words: words.at[1])


def _flat(sheet: Sheet, near: float, far: float) -> list[ZoneRead]:
    """The zones of a view of the top or the underside, between its two edges, y on paper."""
    edges: list[list[tuple[float, float]]] = []
    for y in (near, far):
        spans = []
        for stroke in sheet.strokes:
            if stroke.level and stroke.width == 0.5 and abs(stroke.points[0][1] - y) < NEAR:
                spans.append((stroke.points[0][0], stroke.points[1][0]))
        edges.append(sorted(spans))
    assert edges[0]
    assert len(edges[0]) == len(edges[1])
    found = [ZoneRead(*pair) for pair in zip(*edges, strict=True)]
    for stroke in sheet.strokes:
        if not _two(stroke):
            continue
        (ax, ay), (bx, by) = sorted(stroke.points, key=lambda point: abs(point[1] - near))
        if abs(ay - near) < NEAR and abs(by - far) < NEAR:
            # what stays is wide, what lies beneath is dashed
            assert (stroke.width, stroke.dashes) in ((0.5, WIDE), (0.25, HIDDEN)), stroke
            (zone,) = [zone for zone in found if zone.holds(ax) and zone.holds(bx)]
            zone.lines.append(Across(ax, bx, stroke.dashes))
    for zone in found:
        zone.lines.sort(key=lambda line: (line.near + line.far, line.dashes == WIDE))
    return found


def breaks(sheet: Sheet, near: float, far: float) -> list[float]:
    """The break lines of a view, x on paper."""
    top, bottom = min(near, far), max(near, far)
    found = []
    for stroke in sheet.strokes:
        if len(stroke.points) == 6 and not stroke.closed and stroke.width == 0.25:
            ys = [y for _, y in stroke.points]
            if abs(ys[0] - top + 1.5) < NEAR and abs(ys[-1] - bottom - 1.5) < NEAR:
                found.append(stroke.points[0][0])
    return sorted(found)


def _figures(sheet: Sheet, base: float, way: float) -> tuple[Figure, ...]:
    """Bold figures turned by 90° beside a view, each at its extension line, which begins near the view."""
    lines: list[tuple[Point, Point]] = []
    for stroke in sheet.strokes:
        if len(stroke.points) == 3 and not stroke.closed and stroke.width == 0.18:
            (first, _, last) = stroke.points
            if 0.0 < way * (first[1] - base) < 1.5:
                lines.append((first, last))
    found = []
    for words in sheet.words:
        if not (words.bold and words.turn == 90.0 and words.text.isdigit()):
            continue
        # the letters' middle line runs on from the line's outer end
        x, y = words.at[0] - words.capitals / 2, words.at[1]
        near = [line for line in lines if abs(line[1][0] - x) < 0.6 and 0.0 < way * (y - line[1][1]) < 1.5]
        if near:
            (line,) = near
            found.append(Figure(int(words.text), line[0][0]))
            lines.remove(line)
    assert not lines, f"extension lines without figures at {lines}"
    return tuple(sorted(found, key=lambda figure: (figure.at, figure.value)))


def _depths(sheet: Sheet, middle: float, half: float) -> tuple[Depth, ...]:
    """Figures beside a side view, each with the length on paper of the dimension line left of it."""
    found = []
    for words in sheet.words:
        if words.bold or words.turn or not re.fullmatch(r"\d+(\.\d+)?", words.text):
            continue
        x, y = words.at[0], words.middle[1]
        if abs(y - middle) > half + 1.0:
            continue
        lines = [
            stroke
            for stroke in sheet.strokes
            if stroke.upright
            and stroke.width == 0.18
            and 0.0 < x - stroke.points[0][0] < 2.0
            and abs(sum(point[1] for point in stroke.points) / 2 - y) < 0.1
        ]
        assert len(lines) == 1, words
        (one, other) = lines[0].points
        found.append(Depth(words.text, abs(one[1] - other[1]), one[0]))
    return tuple(sorted(found, key=lambda depth: (depth.text, depth.at)))


def rows(sheet: Sheet, width: float, depth: float, oblique: bool) -> list[RowRead]:
    """The rows of a page from above to below."""
    scale = scale_of(sheet)
    found = []
    sides = [words for words in _named(sheet, "near") if words.capitals < 2.0]
    tops = _named(sheet, "TOP")
    assert len(sides) == len(tops)
    for top, side in zip(tops, sides, strict=True):
        near, far = top.at[1] + width / scale / 2, top.at[1] - width / scale / 2
        zones = _flat(sheet, near, far)
        chains = []
        for stroke in sheet.strokes:
            middle = sum(y for _, y in stroke.points) / len(stroke.points)
            if stroke.upright and stroke.dashes == CHAIN and abs(middle - top.at[1]) < NEAR:
                chains.append(stroke.points[0][0])
        low = side.at[1] + depth / scale / 2
        # below the side view a word says what stays
        below = _figures(sheet, low + 3.0, 1.0) if oblique else ()
        above = _figures(sheet, far, -1.0)
        depths = _depths(sheet, side.at[1], depth / scale / 2)
        _close(sheet, zones, near, far)
        found.append(RowRead(tuple(zones), above, below, tuple(chains), depths))
    return found


def _close(sheet: Sheet, zones: Sequence[ZoneRead], near: float, far: float) -> None:
    """Each zone begins and ends with an end of the piece or a break line, never with nothing."""
    broken = breaks(sheet, near, far)
    for zone in zones:
        for end in (0, 1):
            x = zone.near[end], zone.far[end]
            at_break = any(abs(x[0] - b) < NEAR and abs(x[1] - b) < NEAR for b in broken)
            at_end = any(abs(line.near - x[0]) < NEAR and abs(line.far - x[1]) < NEAR for line in zone.lines)
            assert at_break != at_end, (zone, broken)


def undersides(sheet: Sheet, width: float) -> list[list[ZoneRead]]:
    """The zones of each row of the underside, the near edge above."""
    half = width / scale_of(sheet) / 2
    return [_flat(sheet, words.at[1] - half, words.at[1] + half) for words in _named(sheet, "UNDERSIDE") if words.bold]


@dataclass(frozen=True)
class TableRead:
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def table_below(sheet: Sheet, title: str) -> TableRead | None:
    """The ruled table below a bold title that begins with a text: its heads and rows; None where there is none."""
    titles = [words for words in sheet.words if words.bold and words.text.startswith(title)]
    if not titles:
        return None
    (words,) = titles
    boxes = []
    for stroke in sheet.strokes:
        if stroke.closed and len(stroke.points) == 4 and 0 < min(y for _, y in stroke.points) - words.at[1] < 3:
            boxes.append(stroke)
    box = min(boxes, key=lambda stroke: abs(stroke.points[0][0] - words.at[0]))
    left, right = box.points[0][0], box.points[1][0]
    top, bottom = box.points[0][1], box.points[2][1]
    columns = [left, right]
    levels = [bottom]
    for stroke in sheet.strokes:
        (x, y), (u, v) = stroke.points[0], stroke.points[-1]
        if stroke.upright and stroke.width == 0.18 and left < x < right and abs(min(y, v) - top) < NEAR:
            columns.append(x)
        across = stroke.level and abs(x - left) < NEAR and abs(u - right) < NEAR
        if across and top < y < bottom - NEAR:
            levels.append(y)
    columns.sort()
    levels.sort()
    cells: dict[tuple[int, int], list[Words]] = {}
    for word in sheet.words:
        x, y = word.middle
        if left < x < right and top < y < bottom and not word.turn:
            place = sum(level < y for level in levels), sum(column < x for column in columns) - 1
            cells.setdefault(place, []).append(word)
    rows = []
    for row in range(len(levels)):
        texts = []
        for column in range(len(columns) - 1):
            lines = sorted(cells.get((row, column), []), key=lambda one: one.at[1])
            texts.append(" ".join(line.text for line in lines))
        rows.append(tuple(texts))
    return TableRead(rows[0], tuple(rows[1:]))
