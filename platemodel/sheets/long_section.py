"""The long section of each wall, its heights exaggerated: wall top, bed, plates and the instrument's line."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.runs import on_run
from platemodel.frame.tape import whole
from platemodel.frame.values import Frame, Piece
from platemodel.sheets.bedding_sheet import NONE, must_words
from platemodel.sheets.form import Room, part_name, scale_for, sheet
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import CHAIN, HIDDEN, NARROW, THIN, WHITE, WIDE, XY, Page
from platemodel.site.bedding import Bedding
from platemodel.site.dry_laps import without_mortar
from platemodel.site.ground import Stretch, Tops, ground, shares, tops

LABELS = 14.0
"""Room for the names of the rows of figures at the left, mm on paper."""
AROUND = 5.0
HEIGHT = 36.0
"""What the heights from the lowest place to the plates' top may take, mm on paper."""
HEAD = 7.0
SIGHT = 8.0
"""From the plates' top to a line of sight that is farther away than the paper allows, mm on paper."""
BODY = 9.0
"""What is shown of the wall under its lowest place, mm on paper."""
LINTEL = 2.2
HATCHES = 2.5
"""Between the lines of the hatching, mm on paper."""
ROW = 4.6
ROWS = 3
BETWEEN = 6.0
TIMBER = (0.93, 0.93, 0.93)
MORTAR = (0.72, 0.72, 0.72)


@dataclass(frozen=True)
class _Strip:
    """One wall's drawing: where on paper a place along it and a level lie, mm."""

    left: float
    top: float
    low: float
    along: float
    up: float
    plates: float

    def x(self, at: float) -> float:
        return self.left + (at - self.low) / self.along

    def y(self, level: float) -> float:
        return self.top + (self.plates - level) / self.up


def long_sections(frame: Frame, result: Bedding) -> list[Page]:
    """The pages of the long sections, as many walls on a page as there is room for."""
    plan = frame.plan
    levels = plan.site.levels
    assert levels is not None
    found = tops(plan, levels, sorted({wall for run in frame.runs for wall in run.walls}))
    by_wall: dict[int, list[Stretch]] = {}
    for run in frame.runs:
        for it in ground(plan, run, found):
            by_wall.setdefault(it.wall, []).append(it)
    reach = {
        wall: (
            min(0.0, *(min(it.at_low, it.at_high) for it in parts)),
            max(plan.walls[wall].length, *(max(it.at_low, it.at_high) for it in parts)),
        )
        for wall, parts in by_wall.items()
    }
    _, room = sheet(plan.job, "", "", "", "")
    longest = max(high - low for low, high in reach.values())
    along = scale_for(longest, room.width - LABELS - 2 * AROUND)
    up = scale_for(result.top - result.lowest.level, HEIGHT)
    tall = (result.top - result.lowest.level) / up
    step = HEAD + SIGHT + tall + BODY + ROWS * ROW + BETWEEN
    count = max(1, int((room.height - AROUND) // step))
    walls = sorted(by_wall)
    pages = []
    for number, first in enumerate(range(0, len(walls), count), start=1):
        scale = f"1:{along:g} along, 1:{up:g} up"
        page, room = sheet(plan.job, "long section", "walls, bed and plates", scale, part_name("section", number))
        for place, wall in enumerate(walls[first : first + count]):
            top = room.top + AROUND + place * step + HEAD + SIGHT
            strip = _Strip(room.left + AROUND + LABELS, top, reach[wall][0], along, up, result.top)
            _wall(page, room, frame, result, found, wall, reach[wall], by_wall[wall], strip, tall)
        pages.append(page)
    return pages


def _wall(
    page: Page,
    room: Room,
    frame: Frame,
    result: Bedding,
    found: Tops,
    wall: int,
    ends: tuple[float, float],
    parts: Sequence[Stretch],
    strip: _Strip,
    tall: float,
) -> None:
    name = frame.plan.walls[wall].name
    beds = [result.underside - level for it in parts for level in (it.level_low, it.level_high)]
    words = f": bed {whole(min(beds))} to {whole(max(beds))} mm"
    if result.highest.wall == name:
        words += f"; HIGHEST PLACE at {whole(result.highest.at)}"
    if result.lowest.wall == name:
        words += f"; lowest place at {whole(result.lowest.at)}"
    words += f"; heights drawn {strip.along / strip.up:g} times too tall"
    if any(without_mortar(frame, wall, at) for it in parts for at in (it.at_low, it.at_high)):
        words += f"; {NONE}: on another plate"
    y = strip.top - SIGHT - HEAD + 4.5
    most = room.right - AROUND - (room.left + AROUND) - width(words, 2.5)
    shown = fitted(name, 3.5, most, bold=True)
    page.text(room.left + AROUND, y, shown, 3.5, bold=True)
    page.text(room.left + AROUND + width(shown, 3.5, bold=True) + 0.5, y, words, 2.5)
    bottom = strip.top + tall + BODY
    _masonry(page, frame, wall, ends, strip, bottom, found)
    for it in parts:
        _bed(page, result, it, strip)
    _plates(page, frame, result, wall, strip)
    _line(page, room, frame, result, wall, strip, tall)
    _figures(page, room, frame, result, wall, parts, strip, bottom, found)


def _masonry(
    page: Page, frame: Frame, wall: int, ends: tuple[float, float], strip: _Strip, bottom: float, found: Tops
) -> None:
    """The wall's top as it was read, hatched below as far as plates reach; openings white, with lintels."""
    low, high = ends
    line = [(low, found.by_wall[wall][0][1]), *found.by_wall[wall], (high, found.by_wall[wall][-1][1])]
    points = [(strip.x(at), strip.y(level)) for at, level in line]
    page.lines(_hatching(points, bottom), THIN)
    page.line(points, WIDE)
    page.lines([[(x, y), (x, bottom)] for x, y in (points[0], points[-1])], NARROW)
    for it in frame.plan.openings_on(wall):
        one, two = strip.x(it.begin), strip.x(it.end)
        inside = [(x, y) for x, y in points if one < x < two]
        outline: list[XY] = [(one, _level_y(points, one)), *inside, (two, _level_y(points, two))]
        up = it.stands_up / strip.up
        lintel = [(x, y - up) for x, y in outline]
        foot = max(y for _, y in [*outline, *lintel]) + LINTEL
        page.area([(one, foot), (two, foot), (two, bottom), (one, bottom)], WHITE)
        page.area([*lintel, (two, foot), (one, foot)], WHITE)
        page.line([*lintel, (two, foot), (one, foot)], WIDE, closed=True)
        page.lines([[(one, foot), (one, bottom)], [(two, foot), (two, bottom)]], NARROW)
        words = fitted(it.name, 2.5, two - one - 2.0)
        if bottom - foot > 3.6 and len(words) > 2:
            page.text((one + two) / 2, bottom - 1.0, words, 2.5, "middle")


def _hatching(points: Sequence[XY], bottom: float) -> Iterator[tuple[XY, XY]]:
    """Lines that rise to the right under a line through points, as far down as the bottom."""
    (left, _), (right, _) = points[0], points[-1]
    step = HATCHES * math.sqrt(2.0)
    highest = min(y for _, y in points)
    # lines x + y = k rise to the right on paper
    for count in range(math.ceil((left + highest) / step), math.floor((right + bottom) / step) + 1):
        k = count * step
        x = max(left, k - bottom)
        if k - x <= _level_y(points, x):
            continue
        cuts = [_meets(one, other, k) for one, other in itertools.pairwise(points)]
        end = min((cut for cut in cuts if cut is not None and cut > x), default=right)
        yield (x, k - x), (end, k - end)


def _meets(one: XY, other: XY, k: float) -> float | None:
    """Where a line x + y = k meets a line between two points."""
    a, b = sum(one) - k, sum(other) - k
    if (a < 0.0) == (b < 0.0):
        return None
    return one[0] + (other[0] - one[0]) * a / (a - b)


def _level_y(points: Sequence[XY], x: float) -> float:
    for (ax, ay), (bx, by) in itertools.pairwise(points):
        if ax <= x <= bx and bx > ax:
            return ay + (by - ay) * (x - ax) / (bx - ax)
    return points[-1][1]


def _bed(page: Page, result: Bedding, it: Stretch, strip: _Strip) -> None:
    under = strip.y(result.underside)
    (one, low), (two, high) = sorted(((it.at_low, it.level_low), (it.at_high, it.level_high)))
    ends = [(strip.x(one), strip.y(low)), (strip.x(two), strip.y(high))]
    page.area([(ends[0][0], under), (ends[1][0], under), *reversed(ends)], MORTAR)
    page.line(ends, WIDE)


def _plates(page: Page, frame: Frame, result: Bedding, wall: int, strip: _Strip) -> None:
    top, under = strip.y(result.top), strip.y(result.underside)
    line = min(max(strip.y(result.line), top), under)
    # a mark keeps off the line of sight, where that runs through the plate
    clear = (top, line) if line - top > under - line else (line, under)
    for number, run in enumerate(frame.runs):
        for on, low, high in shares(frame.plan, run):
            if on != wall:
                continue
            begin, end = (strip.x(_at(frame, number, wall, s)) for s in (low, high))
            begin, end = min(begin, end), max(begin, end)
            page.area([(begin, top), (end, top), (end, under), (begin, under)], TIMBER)
            page.box(begin, top, end - begin, under - top, WIDE)
            for piece in (piece for piece in frame.pieces if piece.run == number):
                _mark(page, frame, piece, wall, strip, (begin, end), (top, under), clear)


def _mark(page: Page, frame: Frame, piece: Piece, wall: int, strip: _Strip, ends: XY, sides: XY, clear: XY) -> None:
    """Where a piece ends, dashed, and its mark in its middle."""
    one, two = (strip.x(_at(frame, piece.run, wall, sum(pair) / 2)) for pair in (piece.low, piece.high))
    one, two = max(min(one, two), ends[0]), min(max(one, two), ends[1])
    for x in (one, two):
        if ends[0] + 0.3 < x < ends[1] - 0.3:
            page.line([(x, sides[0]), (x, sides[1])], HIDDEN)
    lap = 2 * piece.laid.width / strip.along
    height = min(3.5, clear[1] - clear[0] - 1.0)
    if height >= 2.5 and two - one > width(piece.mark, height, bold=True) + 2 * lap + 1.0:
        page.text((one + two) / 2, (clear[0] + clear[1] + height) / 2, piece.mark, height, "middle", bold=True)


def _at(frame: Frame, run: int, wall: int, s: float) -> float:
    """The place along a wall of a place on a run's strip, mm."""
    line = frame.plan.walls[wall]
    begin, end = (on_run(frame.plan, frame.runs[run], wall, at) for at in (0.0, line.length))
    return (s - begin) / (end - begin) * line.length


def _line(page: Page, room: Room, frame: Frame, result: Bedding, wall: int, strip: _Strip, tall: float) -> None:
    """The instrument's line, with how far the plates' top lies from it."""
    begin, end = strip.x(0.0), strip.x(frame.plan.walls[wall].length)
    top, true = strip.y(result.top), strip.y(result.line)
    kind = "laser line" if result.laser else "line of sight"
    words = f"{kind}; plate top {must_words(result)}"
    if result.must < 0.0:
        y = true
        if true > top + tall + BODY:
            page.text(begin, top - 2.0, fitted(words, 2.5, room.right - AROUND - begin), 2.5)
            return
        page.text(begin, top - 2.0, fitted(words, 2.5, room.right - AROUND - begin), 2.5)
    else:
        y = max(true, top - SIGHT + 1.5)
        if true < y - 1e-6:
            words += " (this height not to scale)"
        shown = fitted(words, 2.5, room.right - AROUND - begin - 6.0)
        under = min(y + 3.4, top - 0.8)
        if under - 2.5 > y + 0.3:
            page.text(begin + 6.0, under, shown, 2.5)
        else:
            page.text(begin + 6.0, top - SIGHT + 0.4, shown, 2.5)
            y = max(y, top - SIGHT + 1.6)
        if top - y > 2.8:
            page.arrow((begin + 3.0, y), (begin + 3.0, top), NARROW, 2.0)
    page.line([(begin, y), (end, y)], CHAIN)


def _figures(
    page: Page,
    room: Room,
    frame: Frame,
    result: Bedding,
    wall: int,
    parts: Sequence[Stretch],
    strip: _Strip,
    bottom: float,
    found: Tops,
) -> None:
    """Rows under the wall: bed and place at ends, lintels and whole metres, and what was read."""
    rows = [bottom + 3.4 + number * ROW for number in range(ROWS)]
    for y, words in zip(rows, ("BED", "at", "read"), strict=True):
        page.text(room.left + AROUND, y, words, 2.5, bold=words == "BED")
    taken: list[tuple[float, float]] = []
    for at, level in _wanted(result, frame.plan.walls[wall].name, parts):
        dry = without_mortar(frame, wall, at)
        bed, place = NONE if dry else f"{whole(result.underside - level)}", f"{whole(at)}"
        half = max(width(bed, 2.5, bold=True), width(place, 2.5)) / 2 + 0.8
        x = min(max(strip.x(at), room.left + AROUND + LABELS - 2.0), room.right - AROUND - half)
        if any(x - half < high and low < x + half for low, high in taken):
            continue
        taken.append((x - half, x + half))
        page.line([(strip.x(at), bottom - 0.8), (strip.x(at), bottom + 0.4)], NARROW)
        page.text(x, rows[0], bed, 2.5, "middle", bold=True)
        page.text(x, rows[1], place, 2.5, "middle")
    last = -math.inf
    for it in sorted((it for it in found.readings if it.wall == wall), key=lambda it: it.at):
        x = strip.x(it.at)
        y = strip.y(it.level)
        page.line([(x - 0.9, y + 2.0), (x + 0.9, y + 2.0), (x, y)], THIN, closed=True)
        words = fitted(it.station or f"{whole(-it.level)}", 2.5, 18.0)
        half = width(words, 2.5) / 2 + 0.8
        x = min(max(x, room.left + AROUND + LABELS - 2.0), room.right - AROUND - half)
        if x - half >= last:
            page.text(x, rows[2], words, 2.5, "middle")
            last = x + half


def _wanted(result: Bedding, wall: str, parts: Sequence[Stretch]) -> Iterator[tuple[float, float]]:
    """Places along a wall and levels there, those first whose figures matter most."""
    ends = sorted(
        {(at, level) for it in parts for at, level in ((it.at_low, it.level_low), (it.at_high, it.level_high))}
    )
    for spot in (result.highest, result.lowest):
        if spot.wall == wall:
            yield spot.at, spot.level
    yield from (ends[0], ends[-1])
    for it in result.places:
        if it.wall == wall and it.lintel:
            yield it.at, it.top
    for it in result.places:
        if it.wall == wall and abs(it.at / 1000 - round(it.at / 1000)) < 1e-6:
            yield it.at, it.top
    yield from ends


__all__ = ["long_sections"]
