"""The fixing sheets: straps and trusses on the plan and wall by wall from its datum, screws in laps, what it takes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.frame.tape import whole
from platemodel.frame.values import Frame, Joint
from platemodel.plan.values import Wall
from platemodel.sheets.flow import BODY, BODY_LINE, BULLET, Columns, inner
from platemodel.sheets.form import Room, part_name, scale_for, sheet
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import BLACK, CHAIN_THIN, NARROW, THIN, WHITE, WIDE, XY, Page
from platemodel.sheets.plan_labels import name_walls
from platemodel.sheets.plan_sheet import parts_of
from platemodel.sheets.plan_view import (
    LEAST_SCALE,
    OPENING,
    SPLICE,
    PlanView,
    block_plates,
    draw_laps,
    draw_plates,
    draw_things,
    outer_edge,
    whole_view,
)
from platemodel.sheets.tables import Column
from platemodel.site.landing import Landed, WallLandings, nails_of
from platemodel.site.rule_set import FIRST, RuleSet, rule_set
from platemodel.site.strapping import LapScrews, Strap, Strapping

KEY = 62.0
"""Width of the key at the right of the plan, mm on paper."""
AROUND = 16.0
PLATE = (0.93, 0.93, 0.93)
TIMBER = (0.95, 0.95, 0.95)
BEYOND = 0.22
"""How much of the plates is drawn beyond a lap, as a part of its greater side."""
FIGURE = 3.5
"""Height of running figures, mm on paper."""
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

CAUTIONS = (
    "Work at height needs a platform with guard rails, not the wall.",
    "Wet cement burns: gloves, wash off at once. Drilling masonry: goggles, and dust kept out of the lungs.",
)


def fixing_sheets(frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings]) -> list[Page]:
    """The plan with straps and trusses, every wall as a strip, the laps' screws, and what it takes; none where none."""
    if straps is None and not landings:
        return []
    rules = rule_set(frame.plan) if straps is None else straps.rules
    pages = _plans(frame, straps, landings)
    pages += _strips(frame, straps, landings, len(pages))
    pages += _details(frame, straps, landings, rules, len(pages))
    return pages


# --- the plan


def _plans(frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings]) -> list[Page]:
    _, room = sheet(frame.plan.job, "", "", "", "")
    view = whole_view(
        frame, Room(room.left + AROUND, room.top + AROUND, room.right - KEY - AROUND, room.bottom - AROUND)
    )
    views = [view]
    if view.scale > LEAST_SCALE:
        views = parts_of(frame, Room(room.left + 8.0, room.top + 8.0, room.right - KEY - 8.0, room.bottom - 8.0))
    pages = []
    for number, part in enumerate(views, start=1):
        words = "straps and trusses" if len(views) == 1 else f"straps and trusses, part {number} of {len(views)}"
        page, room = sheet(frame.plan.job, "fixing sheet", words, f"1:{part.scale:g}", part_name("fixing", number))
        _plan(page, part, straps, landings)
        _key(page, room, frame, straps, landings)
        pages.append(page)
    return pages


def _plan(page: Page, view: PlanView, straps: Strapping | None, landings: Sequence[WallLandings]) -> None:
    draw_plates(page, view, PLATE)
    draw_laps(page, view)
    taken = Taken()
    block_plates(view, taken)
    for one, other in draw_things(page, view):
        taken.block_line(one, other)
    walls = view.frame.plan.walls
    for plate in straps.plates if straps else ():
        for strap in plate.straps:
            at, out = _across(view, walls[strap.wall], strap)
            if view.shows([at, out]):
                _strap(page, at, out, strap.built)
                taken.block((out[0] - 1.6, out[1] - 1.6, out[0] + 1.6, out[1] + 1.6))
    for gable in straps.gables if straps else ():
        wall = walls[gable.wall]
        _, outward = outer_edge(wall)
        for place in gable.places:
            reach = gable.reach or 1200.0
            ends = [view.of_plan(wall.at(place, -outward * off)) for off in (0.0, reach)]
            if view.shows(ends):
                page.line(ends, CHAIN_THIN)
                _ring(page, ends[1], 0.9)
                taken.block_line(ends[0], ends[1])
    for item in (one for wall_landings in landings for one in wall_landings.flagged):
        wall = walls[item.wall]
        edge, outward = outer_edge(wall)
        for off in (4.6, 7.6, 10.6):
            x, y = view.of_plan(wall.at(item.at, edge - outward * (wall.width + off * view.scale)))
            box = text_box(x, y, "!", FIGURE, 0.0, 0.4)
            if view.shows([(box[0], box[1]), (box[2], box[3])]) and taken.claim(box):
                page.text(x, y + FIGURE / 2, "!", FIGURE, "middle", bold=True)
                break
    for wall in walls:
        _zero(page, view, wall, taken)
    name_walls(page, view, taken)


def _across(view: PlanView, wall: Wall, strap: Strap) -> tuple[XY, XY]:
    """On the page, where a strap crosses the plate's inner edge and where it ends outside."""
    edge, outward = outer_edge(wall)
    inside = edge - outward * wall.width
    return view.of_plan(wall.at(strap.at, inside)), view.of_plan(wall.at(strap.at, edge + outward * 2.6 * view.scale))


def _strap(page: Page, at: XY, out: XY, built: bool) -> None:
    """A strap: a bar across the plate with a block at its end outside, hollow where it is built in already."""
    page.line([at, out], WIDE)
    x, y = out
    box = [(x - 1.2, y - 1.2), (x + 1.2, y - 1.2), (x + 1.2, y + 1.2), (x - 1.2, y + 1.2)]
    page.area(box, WHITE if built else BLACK)
    page.line(box, NARROW, closed=True)


def _ring(page: Page, centre: XY, radius: float) -> None:
    x, y = centre
    points = [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in _TURNS]
    page.area(points, WHITE)
    page.line(points, NARROW, closed=True)


_TURNS = [math.radians(turn) for turn in range(0, 360, 20)]


def _zero(page: Page, view: PlanView, wall: Wall, taken: Taken) -> None:
    """An arrow beside a wall's plate at its first corner: its running figures begin there and go that way."""
    edge, outward = outer_edge(wall)
    for inside, off, along in (
        (True, 3.0, 3.0),
        (True, 4.5, 6.0),
        (False, 4.5, 3.0),
        (True, 6.0, 9.0),
        (True, 3.0, 12.0),
    ):
        aside = edge - outward * (wall.width + off * view.scale) if inside else edge + outward * off * view.scale
        reach = along * view.scale + (wall.width if wall.shell is not None else 0.0)
        tail, head = (view.of_plan(wall.at(at, aside)) for at in (reach, reach + 5.0 * view.scale))
        if wall.length > 2 * (reach + 5.0 * view.scale) and view.shows([tail, head]) and taken.free_line(tail, head):
            taken.block_line(tail, head)
            page.arrow(tail, head, NARROW, 2.0)
            _ring(page, tail, 0.7)
            return


def _key(page: Page, room: Room, frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings]) -> None:
    x, y = room.right - KEY, room.top + 6.0
    page.line([(x, room.top), (x, room.bottom)], THIN)
    page.text(x + 3, y, "Straps and trusses", 3.5, bold=True)
    y += 8.0

    def say(words: str, left: float = 16.0) -> None:
        nonlocal y
        for line in wrapped(words, BODY, KEY - left - 3.0):
            if y > room.bottom - 3.0:
                return
            page.text(x + left, y, line, BODY)
            y += BODY_LINE
        y += 1.8

    if straps is not None:
        built = any(strap.built for plate in straps.plates for strap in plate.straps)
        for there, hollow, words in (
            (True, False, "holding-down strap"),
            (built, True, "strap that is built in already"),
        ):
            if there:
                _strap(page, (x + 5, y - 1), (x + 11, y - 1), hollow)
                say(words)
        if straps.gables:
            page.line([(x + 3, y - 1), (x + 12, y - 1)], CHAIN_THIN)
            _ring(page, (x + 12, y - 1), 0.9)
            say("lateral strap of a gable, over the trusses")
    if landings:
        page.line([(x + 8, y - 3.2), (x + 8, y + 0.6)], NARROW)
        say("truss, beam or joist")
    if any(item.flagged for item in landings):
        page.text(x + 8, y + 0.6, "!", FIGURE, "middle", bold=True)
        say("look at this one: see its wall's strip")
    page.arrow((x + 4, y - 1), (x + 12, y - 1), NARROW, 2.0)
    _ring(page, (x + 4, y - 1), 0.7)
    say("0 of the wall's figures, its first corner (outer face), and the way they run")
    y += 1.5
    if straps is not None:
        say(
            f"{straps.new} straps to fix: at most {straps.every:g} apart, {straps.end:g} from a plate's end, "
            f"{straps.beside:g} from an opening; {straps.clear:g} clear of laps, trusses and openings.",
            3.0,
        )
        lacking = [lack for plate in straps.plates for lack in plate.shortfalls]
        if lacking:
            say(f"{len(lacking)} stretch{'es' if len(lacking) > 1 else ''} where that cannot be: see the strips.", 3.0)
    for words in (FIRST, *CAUTIONS):
        say(words, 3.0)


# --- the strips


@dataclass(frozen=True)
class _Tick:
    """A running figure: where it is on its wall (mm), and what is written."""

    at: float
    words: str


@dataclass(frozen=True)
class _Strip:
    """A part of a wall as a strip: from where to where (mm along the wall), its scale."""

    wall: Wall
    number: int
    begin: float
    end: float
    scale: float
    title: str
    above: tuple[_Tick, ...]
    below: tuple[_Tick, ...]


def _strips(frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings], before: int) -> list[Page]:
    def begin(number: int) -> tuple[Page, Room]:
        name = part_name("fixing", before + number)
        page, room = sheet(frame.plan.job, "fixing sheet", "straps and trusses, wall by wall", "as noted", name)
        left = room.left + 3.0
        page.text(left, room.top + 7.5, "WALL BY WALL", 5.0, bold=True)
        offset = width("WALL BY WALL", 5.0, bold=True) + 5.0
        words = "tape from 0, the wall's first corner on its outer face: trusses above, straps below, to their middles"
        page.text(left + offset, room.top + 7.5, fitted(words, BODY, room.width - offset - 6.0), BODY)
        page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
        return page, inner(room, 12.5)

    flow: Columns | None = None
    for number, wall in enumerate(frame.plan.walls):
        landed = next((item for item in landings if item.wall == number), None)
        on = [] if straps is None else straps.of_wall(number)
        if landed is None and not on:
            continue
        flow = flow or Columns(begin, 1)
        notes = _wall_notes(number, on, landed, straps)
        parts = _parts_of_wall(frame, wall, number, on, () if landed is None else landed.landed, flow.width)
        told = BODY_LINE * sum(len(wrapped(words, BODY, flow.width - 3.0)) for words in notes)
        for part in parts:
            # what is said of a wall stands below its last strip, on the same page where it can
            flow.need(_height(part) + (min(told, MOST_TOLD) if part is parts[-1] else 0.0))
            _draw_strip(flow, frame, part)
        if notes:
            flow.notes(notes, BULLET)
        flow.y += 2.0
    return flow.pages if flow else []


def _parts_of_wall(
    frame: Frame, wall: Wall, number: int, on: Sequence[Strap], landed: Sequence[Landed], room: float
) -> list[_Strip]:
    """A wall in so many parts that every running figure has its room."""
    above = [_Tick(item.at, ("! " if item.flags else "") + f"{whole(item.at)}") for item in landed]
    below = [_Tick(strap.at, f"{whole(strap.at)}" + (" built" if strap.built else "")) for strap in on]
    along = room - 2 * END
    count = max(1, math.ceil(max(len(above), len(below)) * PITCH / along))
    while True:
        length = wall.length / count
        spans = [(length * part, length * (part + 1)) for part in range(count)]
        found = []
        for part, (begin, end) in enumerate(spans, start=1):
            title = f"{wall.name}  {whole(wall.length)}" + (f", part {part} of {count}" if count > 1 else "")
            ticks = [
                tuple(tick for tick in row if begin <= tick.at < end or (part == count and tick.at >= end))
                for row in (above, below)
            ]
            scale = scale_for(end - begin, along, 10.0)
            found.append(_Strip(wall, number, begin, end, scale, title, ticks[0], ticks[1]))
        if all(max(len(part.above), len(part.below)) * PITCH <= along for part in found):
            return found
        count += 1


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
    _ticks(page, part.below, across, bottom, 1.0, left, right)
    for tick in part.below:
        x = across(tick.at)
        built = tick.words.endswith("built")
        page.line([(x, top - 0.8), (x, bottom + 0.8)], WIDE)
        box = [(x - 1.2, bottom - 0.4), (x + 1.2, bottom - 0.4), (x + 1.2, bottom + 2.0), (x - 1.2, bottom + 2.0)]
        page.area(box, WHITE if built else BLACK)
        page.line(box, NARROW, closed=True)
    flow.y = bottom + _room(part.below)
    names = _names_below(frame, part)
    if names:
        for line in wrapped(names, BODY, flow.width)[:2]:
            page.text(flow.x, flow.y + 2.9, line, BODY)
            flow.y += BODY_LINE


def _names_below(frame: Frame, part: _Strip) -> str:
    there = [
        f"{item.name} {whole(item.begin)} to {whole(item.end)}"
        for item in frame.plan.openings_on(part.number)
        if item.begin < part.end and item.end > part.begin
    ]
    return "Openings (thick grey line): " + "; ".join(there) if there else ""


def _draw_plate(page: Page, frame: Frame, part: _Strip, across: _Across, top: float) -> None:
    """The plates on a wall, their laps, the openings below, and the wall's ends."""
    bottom = top + BAND
    wall = part.wall
    (ux, uy), (sx, sy) = wall.direction, wall.start

    def spans_of(points: Sequence[XY]) -> tuple[float, float]:
        found = [(x - sx) * ux + (y - sy) * uy for x, y in points]
        return min(found), max(found)

    for piece in frame.pieces:
        if part.number not in frame.runs[piece.run].walls:
            continue
        low, high = spans_of(frame.runs[piece.run].strip.corners(piece.low, piece.high))
        if high > part.begin and low < part.end:
            a, b = across(low), across(high)
            page.area([(a, top), (b, top), (b, bottom), (a, bottom)], TIMBER)
            page.line([(a, top), (b, top), (b, bottom), (a, bottom)], NARROW, closed=True)
    for joint in frame.joints:
        if not any(part.number in frame.runs[side.run].walls for side in joint.lap.sides):
            continue
        low, high = spans_of(joint.lap.outline)
        if high > part.begin and low < part.end:
            a, b = across(low), across(high)
            page.area([(a, top), (b, top), (b, bottom), (a, bottom)], SPLICE)
            page.line([(a, top), (b, top), (b, bottom), (a, bottom)], THIN, closed=True)
    for opening in frame.plan.openings_on(part.number):
        if opening.begin < part.end and opening.end > part.begin:
            page.line([(across(opening.begin), bottom + 1.0), (across(opening.end), bottom + 1.0)], OPENING)
    page.line([(across(part.begin), top - 2.0), (across(part.begin), bottom + 2.0)], NARROW)
    page.line([(across(part.end), top - 2.0), (across(part.end), bottom + 2.0)], NARROW)


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
    if way < 0:
        for tick in ticks:
            page.line([(across(tick.at), base), (across(tick.at), base + BAND)], NARROW)


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


def _wall_notes(number: int, on: Sequence[Strap], landed: WallLandings | None, straps: Strapping | None) -> list[str]:
    """What is to be said of a wall: what lands there, what is wrong with any of it, where straps lack."""
    notes = []
    if landed is not None:
        notes.append("Lands here: " + "; ".join(_groups(landed.landed)) + ".")
        notes += [f"! {item.label} at {whole(item.at)}: {'; '.join(item.flags)}." for item in landed.flagged]
    notes += [
        f"! The strap built in at {whole(strap.at)} stands {' and '.join(strap.faults)}: ask the engineer."
        for strap in on
        if strap.faults
    ]
    for plate in straps.plates if straps else ():
        notes += [
            f"! From {lack.begin:.0f} to {lack.end:.0f} it cannot be had: {lack.asked}. There: {lack.why}. "
            "Ask the engineer."
            for lack in plate.shortfalls
            if lack.wall == number
        ]
    for gable in straps.gables if straps else ():
        if gable.wall == number:
            reach = f", {gable.reach:.0f} in from the outer face" if gable.reach is not None else ""
            places = ", ".join(f"{place:.0f}" for place in gable.places)
            notes.append(f"Lateral straps of the gable at {places}{reach}.")
    return notes


def _groups(landed: Sequence[Landed]) -> list[str]:
    """What lands, those of one width and spacing together."""
    found: list[str] = []
    start = 0
    while start < len(landed):
        stop = start + 1
        step = landed[stop].at - landed[start].at if stop < len(landed) else 0.0
        while (
            stop < len(landed)
            and landed[stop].width == landed[start].width
            and abs(landed[stop].at - landed[stop - 1].at - step) < 0.5
        ):
            stop += 1
        first, last = landed[start], landed[stop - 1]
        if stop - start >= 3:
            found.append(f"{first.label} to {last.label}, {first.width:g} wide, {step:g} apart from {whole(first.at)}")
        else:
            stop = start + 1
            found.append(f"{first.label}, {first.width:g} wide, at {whole(first.at)}")
        start = stop
    return found


# --- tables, laps and the order


def _details(
    frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings], rules: RuleSet, before: int
) -> list[Page]:
    def begin(number: int) -> tuple[Page, Room]:
        name = part_name("fixing", before + number)
        page, room = sheet(frame.plan.job, "fixing sheet", "fixings and screws in laps", "as noted", name)
        left = room.left + 3.0
        page.text(left, room.top + 7.5, "FIXINGS", 5.0, bold=True)
        offset = width("FIXINGS", 5.0, bold=True) + 5.0
        page.text(
            left + offset, room.top + 7.5, fitted(FIRST, BODY, room.width - offset - 6.0, bold=True), BODY, bold=True
        )
        page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
        return page, inner(room, 13.0)

    flow = Columns(begin, 2, 6.0)
    _table(flow, "To order", _ORDER, _order_rows(frame, straps, landings, rules))
    _table(flow, "Wall by wall", _WALLS, _wall_rows(frame, straps, landings))
    if straps is not None:
        flow.section("How a strap is fixed", _strap_words(straps, rules), BULLET)
    flow.section("Trusses, beams and joists", _landing_words(landings, rules), BULLET)
    if straps is not None and straps.screws and frame.plan.lap.screws:
        _laps(flow, frame, straps)
    if straps is not None:
        flow.section("Until the mortar has set", _curing_words(straps), BULLET)
    flow.section("Caution", [*CAUTIONS, "Do not load a plate whose bed is wet: it tips and creeps."], BULLET)
    return flow.pages


_ORDER = (("item", 62.0), ("mm", 34.0), ("number", 22.0))
_WALLS = (("wall", 34.0), ("straps at, from its first corner", 60.0), ("most apart", 18.0), ("lands", 14.0))


def _table(flow: Columns, heading: str, columns: Sequence[tuple[str, float]], rows: list[list[str]]) -> None:
    if not rows:
        return
    stretch = flow.width / sum(size for _, size in columns)
    heads = [
        Column(head, size * stretch, head in ("number", "lands", "most apart"), head in ("number", "mm"))
        for head, size in columns
    ]
    flow.table(heading, heads, rows, keep=1)


def _order_rows(
    frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings], rules: RuleSet
) -> list[list[str]]:
    value = rules.value
    rows = []
    if straps is not None:
        section = f"{value('strap_width'):g} × {value('strap_thickness'):g} × {straps.length:g}"
        into = rules.count("strap_fixings")
        rows.append(["holding-down straps", section, f"{straps.new}"])
        nail = f"{value('strap_nail_diameter'):g} × {value('strap_nail_length'):g}"
        rows.append([f"hardened nails into the wall, {into} a strap", nail, f"{straps.new * into}"])
        own = rules.count("strap_plate_nails")
        rows.append([f"fixings into the plate, {own} a strap", "as the strap's maker says", f"{straps.new * own}"])
        lateral = sum(len(gable.places) for gable in straps.gables)
        if lateral:
            reaches = [gable.reach for gable in straps.gables if gable.reach is not None]
            long = f" × {max(reaches) + value('lateral_downturn'):.0f}" if reaches else ""
            section = f"{value('lateral_width'):g} × {value('lateral_thickness'):g}{long}"
            rows.append(["lateral straps of gables, downturn included", section, f"{lateral}"])
        if straps.screw_length is not None and straps.screws and frame.plan.lap.screws:
            size = f"{value('screw_diameter'):g} × {straps.screw_length}"
            rows.append(["wood screws in laps", size, f"{sum(len(lap.places) for lap in straps.screws)}"])
    nails, clips = nails_of(landings)
    if nails:
        size = f"{value('nail_diameter'):g} × {value('nail_length'):g}"
        rows.append(["round wire nails, galvanised", size, f"{nails}"])
    if clips:
        rows.append(["truss clips with their nails", "to suit the truss", f"{clips}"])
    return rows


def _wall_rows(frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings]) -> list[list[str]]:
    rows = []
    for number, wall in enumerate(frame.plan.walls):
        on = [] if straps is None else straps.of_wall(number)
        landed = next((len(item.landed) for item in landings if item.wall == number), 0)
        if not on and not landed:
            continue
        apart = max((b.at - a.at for a, b in itertools.pairwise(on)), default=0.0)
        places = ", ".join(f"{whole(strap.at)}" + (" (built)" if strap.built else "") for strap in on)
        rows.append([wall.name, places or "none", f"{apart:.0f}" if apart else "–", f"{landed}"])
    return rows


def _strap_words(straps: Strapping, rules: RuleSet) -> list[str]:
    value = rules.value
    return [
        f"Strap {value('strap_width'):g} × {value('strap_thickness'):g} mm or more, {straps.length:g} long, over the "
        "plate and down the wall, or turned into a bed joint.",
        f"{rules.count('strap_fixings')} fixings or more into the wall where it is not built in; the lowest within "
        f"{value('strap_lowest'):g} of the strap's bottom. Mortar in a joint holds no fixing.",
        f"Hardened nails {value('strap_nail_diameter'):g} × {value('strap_nail_length'):g}, or "
        f"{value('strap_screw_length'):g} mm No 12 screws in plugs ({rules['strap_lowest'].source}).",
        f"Into the plate {rules.count('strap_plate_nails')} fixings, never into a lap.",
        f"Straps may be left out only where the local rule lets: {rules['strap_none_pitch'].source} asks all of a "
        f"pitch of {value('strap_none_pitch'):g}° or more, tiles or slates, a kind of roof known to stand the wind "
        f"there, and main members at {value('strap_none_members'):g} or less (from memory: look it up).",
    ]


def _landing_words(landings: Sequence[WallLandings], rules: RuleSet) -> list[str]:
    if not landings:
        return ["None are in the plan: fixings by the engineer's or the local rule."]
    value = rules.value
    if rules.count("clips"):
        how = f"{rules.count('clips')} clip{'s' if rules.count('clips') > 1 else ''} each ({rules['clips'].source})."
    else:
        how = (
            f"{rules.count('nails')} nails {value('nail_diameter'):g} × {value('nail_length'):g} each, skewed, one "
            f"from each side ({rules['nails'].source}), where there is no uplift."
        )
    return [
        how,
        "Uplift, girders, beams and joists: hangers, clips and straps by the engineer or the truss maker.",
        "Mark every truss on both plates before the first is lifted; opposite plates from the same end.",
    ]


def _curing_words(straps: Strapping) -> list[str]:
    curing = straps.curing
    return [
        f"{curing.weights} weights of {curing.each:g} kg, such as blocks, not over {curing.every:g} apart and two on a "
        f"piece, for {curing.hours:g} hours ({straps.rules['weight_every'].source}).",
        f"No trusses for {curing.load_after:g} days ({straps.rules['load_after'].source}), longer in the cold; heavy "
        "loads when the engineer says.",
        "Straps are fixed to the wall once the bed has set; do not pull the plate out of level with them.",
    ]


def _laps(flow: Columns, frame: Frame, straps: Strapping) -> None:
    """A lap of each kind from above and cut through a screw, with its figures."""
    shown: dict[str, tuple[Joint, LapScrews]] = {}
    for joint, lap in zip(frame.joints, straps.screws, strict=True):
        shown.setdefault(joint.lap.kind, (joint, lap))
    depth = frame.plan.plate.depth
    reach = max(max(_extent(frame, joint)) for joint, _ in shown.values())
    scale = scale_for(max(reach * 1.6, depth * 2.0), flow.width * 0.5, 2.0)
    for number, (kind, (joint, lap)) in enumerate(shown.items()):
        across = _extent(frame, joint)
        high = max((across[1] + 2 * BEYOND * max(across)) / scale, depth / scale + 22.0) + 5.0
        if number:
            flow.need(high)
        else:
            flow.heading(f"Screws in laps, 1:{scale:g}", high)
        _lap(flow, frame, straps, joint, lap, kind, scale, high)
    short = straps.rules.value("screw_short")
    if straps.screw_length is None:
        notes = [f"No screw as sold suits plates {depth:g} deep: ask the engineer."]
    else:
        notes = [
            f"Screws {straps.rules.value('screw_diameter'):g} × {straps.screw_length}, {frame.plan.lap.screws} a lap, "
            f"from above, so that they stop {short:g} or more short of the underside "
            f"({straps.rules['screw_short'].source}).",
            "Drill first near an end; heads flush, never proud under a truss.",
        ]
    flow.notes(notes, BULLET)


def _extent(frame: Frame, joint: Joint) -> tuple[float, float]:
    xs, ys = zip(*_turned(frame, joint, joint.lap.outline), strict=True)
    return max(xs) - min(xs), max(ys) - min(ys)


def _turned(frame: Frame, joint: Joint, points: Sequence[XY]) -> list[XY]:
    """Points about a lap's middle, turned so that the piece that lies over runs level."""
    ux, uy = frame.runs[frame.pieces[joint.over].run].strip.direction
    cx, cy = joint.lap.middle
    return [((x - cx) * ux + (y - cy) * uy, (y - cy) * ux - (x - cx) * uy) for x, y in points]


def _lap(
    flow: Columns, frame: Frame, straps: Strapping, joint: Joint, lap: LapScrews, kind: str, scale: float, high: float
) -> None:
    page = flow.page
    half = flow.width * 0.27
    cx, cy = flow.x + half, flow.y + high / 2 + 1.0

    def put(points: Sequence[XY]) -> list[XY]:
        return [(cx + x / scale, cy - y / scale) for x, y in _turned(frame, joint, points)]

    beyond = BEYOND * max(_extent(frame, joint))
    for side in joint.lap.sides:
        strip = frame.runs[side.run].strip
        low = side.low if side.ends_low else (side.low[0] - beyond, side.low[1] - beyond)
        top = side.high if side.ends_high else (side.high[0] + beyond, side.high[1] + beyond)
        outline = put(strip.corners(low, top))
        page.line(outline, NARROW, closed=True)
    outline = put(joint.lap.outline)
    page.area(outline, TIMBER)
    page.line(outline, WIDE, closed=True)
    for x, y in put(lap.places):
        _ring(page, (x, y), 1.3)
        page.lines([[(x - 2.2, y), (x + 2.2, y)], [(x, y - 2.2), (x, y + 2.2)]], THIN)
    x = flow.x + flow.width * 0.56
    y = flow.y + 4.5
    page.text(x, y, f"{kind} lap", BODY, bold=True)
    y += BODY_LINE
    for line in wrapped(f"screws {lap.edge:.0f} in from its edges", BODY, flow.width * 0.44):
        page.text(x, y, line, BODY)
        y += BODY_LINE
    _section(page, frame, straps, x, y + 3.0, scale, flow.width * 0.44)
    flow.y += high


def _section(page: Page, frame: Frame, straps: Strapping, x: float, y: float, scale: float, room: float) -> None:
    """A lap cut through a screw: both halves, and how far the screw stops short."""
    depth = frame.plan.plate.depth / scale
    wide = min(room * 0.42, max(depth * 1.2, 14.0))
    for top in (y, y + depth / 2):
        box = [(x, top), (x + wide, top), (x + wide, top + depth / 2), (x, top + depth / 2)]
        page.area(box, TIMBER)
        page.line(box, NARROW, closed=True)
    # of a shallow plate the words stand further apart than the halves
    aside = max(depth / 4, 2.0)
    page.text(x + wide + 2.0, y + depth / 2 - aside + 1.2, "over", BODY)
    page.text(x + wide + 2.0, y + depth / 2 + aside + 1.2, "under", BODY)
    if straps.screw_length is None:
        return
    length = straps.screw_length / scale
    centre = x + wide / 2
    page.line([(centre, y), (centre, y + length)], WIDE)
    page.line([(centre - 1.6, y), (centre + 1.6, y)], WIDE)
    left = frame.plan.plate.depth - straps.screw_length
    page.text(x, y + depth + 4.2, fitted(f"{straps.screw_length} long, {left:g} short", BODY, room), BODY)
