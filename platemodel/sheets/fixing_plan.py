"""The plan of the fixing sheets: where straps and trusses stand on the plates, and its key."""

from __future__ import annotations

import itertools

from platemodel.plan.values import Wall
from platemodel.sheets.fixing_page import FIGURE, draw_flag, draw_ring, draw_strap
from platemodel.sheets.fixing_values import Fixings
from platemodel.sheets.fixing_words import CAUTIONS
from platemodel.sheets.flow import BODY, BODY_LINE
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import wrapped
from platemodel.sheets.page import CHAIN_THIN, NARROW, THIN, Page
from platemodel.sheets.plan_labels import name_walls
from platemodel.sheets.plan_sheet import parts_of
from platemodel.sheets.plan_view import (
    LEAST_SCALE,
    PlanView,
    block_plates,
    draw_laps,
    draw_plates,
    draw_things,
    outer_edge,
    whole_view,
)
from platemodel.site.rule_set import FIRST

KEY = 62.0
"""Width of the key at the right of the plan, mm on paper."""
AROUND = 16.0
"""Room about the whole frame for what stands beside it, mm on paper."""
AROUND_PART = 8.0
"""Room about a part of a frame, mm on paper."""
PLATE = (0.93, 0.93, 0.93)
UNKNOWN_REACH = 1200.0
"""How far in a gable's strap is drawn where the plan does not tell its trusses, mm."""


def plan_pages(fixings: Fixings) -> list[Page]:
    """The whole frame on a page, or its parts on several."""
    frame = fixings.frame
    _, room = sheet(frame.plan.job, "", "", "", "")

    def inside(around: float) -> Room:
        return Room(room.left + around, room.top + around, room.right - KEY - around, room.bottom - around)

    views = [whole_view(frame, inside(AROUND))]
    if views[0].scale > LEAST_SCALE:
        views = parts_of(frame, inside(AROUND_PART))
    pages = []
    for number, view in enumerate(views, start=1):
        words = "straps and trusses" if len(views) == 1 else f"straps and trusses, part {number} of {len(views)}"
        page, room = sheet(frame.plan.job, "fixing sheet", words, f"1:{view.scale:g}", part_name("fixing", number))
        _plan(page, view, fixings)
        _key(page, room, fixings)
        pages.append(page)
    return pages


def _plan(page: Page, view: PlanView, fixings: Fixings) -> None:
    draw_plates(page, view, PLATE)
    draw_laps(page, view)
    taken = Taken()
    block_plates(view, taken)
    for one, other in draw_things(page, view):
        taken.block_line(one, other)
    _straps(page, view, fixings, taken)
    _gables(page, view, fixings, taken)
    _flags(page, view, fixings, taken)
    for wall in view.frame.plan.walls:
        _zero(page, view, wall, taken)
    name_walls(page, view, taken)


def _straps(page: Page, view: PlanView, fixings: Fixings, taken: Taken) -> None:
    """The holding-down straps, from the plate's inner edge to outside its outer one."""
    for strap in fixings.holding_down:
        wall = view.frame.plan.walls[strap.wall]
        edge, outward = outer_edge(wall)
        offs = edge - outward * wall.width, edge + outward * 2.6 * view.scale
        at, out = (view.of_plan(wall.at(strap.at, off)) for off in offs)
        if view.shows([at, out]):
            draw_strap(page, at, out, strap.built)
            taken.block((out[0] - 1.6, out[1] - 1.6, out[0] + 1.6, out[1] + 1.6))


def _gables(page: Page, view: PlanView, fixings: Fixings, taken: Taken) -> None:
    """The lateral straps of gables, from the wall's outer face inwards."""
    for gable in fixings.gables:
        wall = view.frame.plan.walls[gable.wall]
        _, outward = outer_edge(wall)
        for place in gable.places:
            reach = gable.reach or UNKNOWN_REACH
            ends = [view.of_plan(wall.at(place, -outward * off)) for off in (0.0, reach)]
            if view.shows(ends):
                page.line(ends, CHAIN_THIN)
                draw_ring(page, ends[1], 0.9)
                taken.block_line(ends[0], ends[1])


def _flags(page: Page, view: PlanView, fixings: Fixings, taken: Taken) -> None:
    """A sign beside the plate at each truss that something is wrong with, and where straps cannot be had."""
    for number, at in fixings.to_look_at:
        wall = view.frame.plan.walls[number]
        edge, outward = outer_edge(wall)
        aside = [edge - outward * (wall.width + off * view.scale) for off in (4.6, 7.6, 10.6)]
        # outside the plate, beyond the straps and the wall's name, where there is no room inside
        aside += [edge + outward * off * view.scale for off in (5.0, 8.0, 11.0)]
        for off, along in itertools.product(aside, (0.0, 2.5, -2.5, 5.0, -5.0)):
            x, y = view.of_plan(wall.at(at + along * view.scale, off))
            box = text_box(x, y, "!", FIGURE, 0.0, 0.4)
            if view.shows([(box[0], box[1]), (box[2], box[3])]) and taken.claim(box):
                draw_flag(page, x, y + FIGURE / 2)
                break


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
            draw_ring(page, tail, 0.7)
            return


def _key(page: Page, room: Room, fixings: Fixings) -> None:
    x, y = room.right - KEY, room.top + 6.0
    straps = fixings.straps
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
        draw_strap(page, (x + 5, y - 1), (x + 11, y - 1), False)
        say("holding-down strap")
        if any(strap.built for strap in fixings.holding_down):
            draw_strap(page, (x + 5, y - 1), (x + 11, y - 1), True)
            say("strap that is built in already")
        if straps.gables:
            page.line([(x + 3, y - 1), (x + 12, y - 1)], CHAIN_THIN)
            draw_ring(page, (x + 12, y - 1), 0.9)
            say("lateral strap of a gable, over the trusses")
    if fixings.landings:
        page.line([(x + 8, y - 3.2), (x + 8, y + 0.6)], NARROW)
        say("truss, beam or joist")
    if fixings.to_look_at:
        draw_flag(page, x + 8, y + 0.6)
        say("look here: see the wall's strip")
    page.arrow((x + 4, y - 1), (x + 12, y - 1), NARROW, 2.0)
    draw_ring(page, (x + 4, y - 1), 0.7)
    say("0 of the wall's figures, its first corner (outer face), and the way they run")
    y += 1.5
    if straps is not None:
        say(
            f"{straps.new} straps to fix: at most {straps.every:g} apart, {straps.end:g} from a plate's end, "
            f"{straps.beside:g} from an opening; {straps.clear:g} clear of laps, trusses and openings.",
            3.0,
        )
    lacking = len(fixings.shortfalls)
    if lacking:
        say(f"{lacking} stretch{'es' if lacking > 1 else ''} where that cannot be: see the strips.", 3.0)
    for words in (FIRST, *CAUTIONS):
        say(words, 3.0)
