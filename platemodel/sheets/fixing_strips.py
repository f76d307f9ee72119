"""The strips of the fixing sheets: every wall with its straps and trusses, taped from its first corner."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.frame.tape import whole
from platemodel.frame.values import Frame
from platemodel.sheets.fixing_page import FIGURE, TIMBER, draw_strap, headed_page
from platemodel.sheets.fixing_values import Fixings, OnWall
from platemodel.sheets.fixing_words import wall_notes
from platemodel.sheets.flow import BODY, BODY_LINE, BULLET, Columns, inner
from platemodel.sheets.form import Room, scale_for
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import NARROW, THIN, XY, Colour, Page, Pen
from platemodel.sheets.plan_view import OPENING, SPLICE

PITCH = 4.8
"""From one running figure to the next at least, mm on paper."""
BAND = 5.0
"""Height of a plate on its strip, mm on paper."""
TURN_ASIDE = 6.0
"""How far a figure's line leads from the strip to the figure, mm on paper."""
MOST_TOLD = 60.0
"""Notes of a wall that are kept together with its strip (mm on paper)."""
END = 5.0
"""Free room at both ends of a strip, mm on paper."""

_Across = Callable[[float], float]
"""From a place along a wall (mm) to a place across the page."""


@dataclass(frozen=True)
class _Tick:
    """A running figure: where it is on its wall (mm), what is written, and whether a strap is built in there."""

    at: float
    words: str
    built: bool = False


@dataclass(frozen=True)
class _Strip:
    """A part of a wall as a strip: from where to where (mm along the wall), its scale, and the running figures."""

    on: OnWall
    begin: float
    end: float
    scale: float
    title: str
    above: tuple[_Tick, ...]
    below: tuple[_Tick, ...]

    def has(self, begin: float, end: float) -> bool:
        """Whether any of a stretch of the wall is in this part."""
        return end > self.begin and begin < self.end


def strip_pages(fixings: Fixings, before: int) -> list[Page]:
    """A strip for each wall that has straps or carries something, after so many pages of the fixing sheets."""

    def begin(number: int) -> tuple[Page, Room]:
        words = "tape from 0, the wall's first corner on its outer face: trusses above, straps below, to their middles"
        shows = "straps and trusses, wall by wall"
        page, room = headed_page(fixings.frame.plan.job, shows, before + number, "WALL BY WALL", words)
        return page, inner(room, 12.5)

    walls = fixings.walls()
    if not walls:
        return []
    flow = Columns(begin, 1)
    for on in walls:
        notes = wall_notes(on)
        told = BODY_LINE * sum(len(wrapped(words, BODY, flow.width - 3.0)) for words in notes)
        *first, last = _parts_of_wall(on, flow.width)
        for part in first:
            flow.need(_height(part))
            _draw_strip(flow, fixings.frame, part)
        # what is said of a wall stands below its last strip, on the same page where it can
        flow.need(_height(last) + min(told, MOST_TOLD))
        _draw_strip(flow, fixings.frame, last)
        if notes:
            flow.notes(notes, BULLET)
        flow.y += 2.0
    return flow.pages


def _parts_of_wall(on: OnWall, room: float) -> list[_Strip]:
    """A wall in so many parts that every running figure has its room."""
    above = [_Tick(item.at, ("! " if item.flags else "") + f"{whole(item.at)}") for item in on.landed]
    below = [_Tick(s.at, f"{whole(s.at)}" + (" built" if s.built else ""), s.built) for s in on.straps]
    along = room - 2 * END
    count = max(1, math.ceil(max(len(above), len(below)) * PITCH / along))
    while True:
        found = [_part_of_wall(on, above, below, part, count, along) for part in range(count)]
        if all(max(len(part.above), len(part.below)) * PITCH <= along for part in found):
            return found
        count += 1


def _part_of_wall(
    on: OnWall, above: Sequence[_Tick], below: Sequence[_Tick], part: int, count: int, along: float
) -> _Strip:
    length = on.wall.length / count
    begin, end = length * part, length * (part + 1)
    last = part + 1 == count

    def within(ticks: Sequence[_Tick]) -> tuple[_Tick, ...]:
        return tuple(tick for tick in ticks if begin <= tick.at < end or (last and tick.at >= end))

    title = f"{on.wall.name}  {whole(on.wall.length)}" + (f", part {part + 1} of {count}" if count > 1 else "")
    return _Strip(on, begin, end, scale_for(end - begin, along, 10.0), title, within(above), within(below))


def _room(ticks: Sequence[_Tick]) -> float:
    """What running figures take above a strip or below it, mm on paper."""
    return TURN_ASIDE + max((width(tick.words, FIGURE, bold=True) for tick in ticks), default=-3.0) + 2.6


def _height(part: _Strip) -> float:
    return 6.0 + _room(part.above) + BAND + _room(part.below) + 2 * BODY_LINE


def _draw_strip(flow: Columns, frame: Frame, part: _Strip) -> None:
    page, left = flow.page, flow.x + END
    title = fitted(part.title, FIGURE, flow.width - 30.0, bold=True)
    page.text(flow.x, flow.y + 4.2, title, FIGURE, bold=True)
    page.text(flow.x + width(title, FIGURE, bold=True) + 4.0, flow.y + 4.2, f"1:{part.scale:g}", BODY)
    top = flow.y + 6.0 + _room(part.above)
    bottom = top + BAND

    def across(at: float) -> float:
        return left + (min(max(at, part.begin), part.end) - part.begin) / part.scale

    _draw_plate(page, frame, part, across, top)
    right = left + flow.width - 2 * END
    _ticks(page, part.above, across, top, -1.0, left, right)
    for tick in part.above:
        page.line([(across(tick.at), top), (across(tick.at), bottom)], NARROW)
    _ticks(page, part.below, across, bottom, 1.0, left, right)
    for tick in part.below:
        x = across(tick.at)
        draw_strap(page, (x, top - 0.8), (x, bottom + 0.8), tick.built)
    flow.y = bottom + _room(part.below)
    names = _names_below(frame, part)
    for line in wrapped(names, BODY, flow.width)[:2] if names else ():
        page.text(flow.x, flow.y + 2.9, line, BODY)
        flow.y += BODY_LINE


def _names_below(frame: Frame, part: _Strip) -> str:
    there = [
        f"{item.name} {whole(item.begin)} to {whole(item.end)}"
        for item in frame.plan.openings_on(part.on.number)
        if part.has(item.begin, item.end)
    ]
    return "Openings (thick grey line): " + "; ".join(there) if there else ""


def _draw_plate(page: Page, frame: Frame, part: _Strip, across: _Across, top: float) -> None:
    """The plates on a wall, their laps, the openings below, and the wall's ends."""
    bottom = top + BAND
    number, wall = part.on.number, part.on.wall
    (ux, uy), (sx, sy) = wall.direction, wall.start

    def bar(points: Sequence[XY], colour: Colour, pen: Pen) -> None:
        along = [(x - sx) * ux + (y - sy) * uy for x, y in points]
        low, high = min(along), max(along)
        if part.has(low, high):
            a, b = across(low), across(high)
            outline = [(a, top), (b, top), (b, bottom), (a, bottom)]
            page.area(outline, colour)
            page.line(outline, pen, closed=True)

    for piece in frame.pieces:
        run = frame.runs[piece.run]
        if number in run.walls:
            bar(run.strip.corners(piece.low, piece.high), TIMBER, NARROW)
    for joint in frame.joints:
        if any(number in frame.runs[side.run].walls for side in joint.lap.sides):
            bar(joint.lap.outline, SPLICE, THIN)
    for opening in frame.plan.openings_on(number):
        if part.has(opening.begin, opening.end):
            page.line([(across(opening.begin), bottom + 1.0), (across(opening.end), bottom + 1.0)], OPENING)
    for end in (part.begin, part.end):
        page.line([(across(end), top - 2.0), (across(end), bottom + 2.0)], NARROW)


def _ticks(
    page: Page, ticks: Sequence[_Tick], across: _Across, base: float, way: float, left: float, right: float
) -> None:
    """Running figures that read from the right, each with a line to its place; above the strip or below it."""
    places = spaced([across(tick.at) for tick in ticks], PITCH, left, right)
    start = base + way * (0.6 if way < 0 else 2.4)
    for tick, x in zip(ticks, places, strict=True):
        at = across(tick.at)
        page.line([(at, base), (at, start + way * 0.6), (x, start + way * 3.0), (x, start + way * 3.6)], THIN)
        foot = start + way * 4.2
        page.text(x + FIGURE / 2, foot, tick.words, FIGURE, "start" if way < 0 else "end", bold=True, turn=90.0)


def spaced(places: Sequence[float], least: float, left: float, right: float) -> list[float]:
    """Places in order moved apart to ``least``, all of them together as little as can be, between two bounds.

    Least squares: what is left once each has its own share of ``least`` may not fall, so what falls is pooled.
    """
    pools: list[tuple[float, int]] = []
    for number, place in enumerate(places):
        total, count = place - number * least, 1
        while pools and pools[-1][0] / pools[-1][1] > total / count:
            more, further = pools.pop()
            total, count = total + more, count + further
        pools.append((total, count))
    high = right - (len(places) - 1) * least
    found = [min(max(total / count, left), max(high, left)) for total, count in pools for _ in range(count)]
    return [place + number * least for number, place in enumerate(found)]
