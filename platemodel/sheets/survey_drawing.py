"""The drawing of the survey sheets: the shell as built over its design, taped lengths with their numbers, the key."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.plan.values import Plan
from platemodel.sheets.form import Room, scale_for, sheet
from platemodel.sheets.labels import Taken, boxes_along
from platemodel.sheets.lettering import fitted, wrapped
from platemodel.sheets.page import BLACK, CHAIN, THIN, WHITE, WIDE, XY, Page, Pen
from platemodel.sheets.plan_labels import boxed, centred, knock_out, reading
from platemodel.site.as_built import AsBuilt, Row

KEY = 68.0
"""Width of the key at the right, mm on paper."""
AROUND = 17.0
"""Room about the shell for names, mm on paper."""
LARGEST = 7.0
"""The largest deviation is drawn about as large as this, mm on paper."""
FACTORS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
"""How many times larger than to scale deviations may be drawn."""
AGAIN = Pen(0.7, (3.0, 1.5))
"""A reading to take again."""
CLEAR = Pen(2.0, colour=WHITE)
DOT = 0.8
"""Radius of a point's dot, mm on paper."""
PLACES = (0.5, 0.42, 0.58, 0.34, 0.66, 0.27, 0.73, 0.2, 0.8, 0.46, 0.54, 0.38, 0.62, 0.3, 0.7)
"""Where along a taped line its number may stand."""


def survey_drawing(plan: Plan, result: AsBuilt, numbers: dict[str, str], to_do: Sequence[str]) -> Page:
    """The page of the drawing, with the points' numbers by their names and what is to be done."""
    # the scale is known only once the room is
    _, room = sheet(plan.job, "", "", "", "")
    view = _view(
        plan, result, Room(room.left + AROUND, room.top + AROUND, room.right - KEY - AROUND, room.bottom - AROUND)
    )
    page, room = sheet(plan.job, "survey", "shell as built", f"1:{view.scale:g}", "survey")
    drawn = {name: view.deviated(point.at, point.design) for name, point in result.points.items()}
    taken = Taken()
    taken.block((room.right - KEY - 0.5, room.top, room.right, room.bottom))
    for side in (
        (room.left - 20.0, room.top - 10.0, room.left + 1.0, room.bottom),
        (room.left, room.top - 10.0, room.right, room.top + 1.0),
        (room.left, room.bottom - 1.0, room.right, room.bottom + 10.0),
    ):
        taken.block(side)
    lengths = [(place, row) for place, row in enumerate(result.rows, start=1) if row.kind == "distance"]
    page.lines([[drawn[name] for name in row.points] for _, row in lengths if not _again(row)], THIN)
    for wall in plan.walls:
        if wall.shell is not None:
            page.line([view(wall.start), view(wall.end)], CHAIN)
    ends = {number: (plan.walls[number].start, plan.walls[number].end) for number in result.walls}
    for number, line in result.walls.items():
        page.line([view.deviated(place, design) for place, design in zip(line, ends[number], strict=True)], WIDE)
    for _, row in lengths:
        if _again(row):
            # on white, so that it shows on a wall's line too
            page.line([drawn[name] for name in row.points], CLEAR)
            page.line([drawn[name] for name in row.points], AGAIN)
    for x, y in drawn.values():
        page.area(_disc(x, y), BLACK)
        taken.block((x - DOT, y - DOT, x + DOT, y + DOT))
    left_out = _points(page, drawn, numbers, taken)
    _walls(page, plan, view, taken)
    left_out += _numbers(page, drawn, lengths, taken)
    _key(page, room, result, view, to_do, left_out)
    return page


@dataclass(frozen=True)
class _View:
    """From the plan's coordinates to the page; deviations are drawn ``factor`` times larger than to scale."""

    scale: float
    left: float
    bottom: float
    factor: int

    def __call__(self, place: XY) -> XY:
        return self.left + place[0] / self.scale, self.bottom - place[1] / self.scale

    def deviated(self, place: XY, design: XY) -> XY:
        """Where a point as built is drawn."""
        x, y = self(design)
        by = self.factor / self.scale
        return x + by * (place[0] - design[0]), y - by * (place[1] - design[1])


def _view(plan: Plan, result: AsBuilt, room: Room) -> _View:
    places = [place for wall in plan.walls if wall.shell is not None for place in (wall.start, wall.end)]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    east, north = max(xs) - min(xs), max(ys) - min(ys)
    scale = max(scale_for(east, room.width, 10.0), scale_for(north, room.height, 10.0))
    most = max((math.hypot(*point.shift) for point in result.points.values()), default=0.0)
    factor = max((f for f in FACTORS if most * f / scale <= LARGEST), default=1)
    left = room.left + (room.width - east / scale) / 2 - min(xs) / scale
    bottom = room.top + (room.height + north / scale) / 2 + min(ys) / scale
    return _View(scale, left, bottom, factor)


def _again(row: Row) -> bool:
    return row.mark in ("take again", "one of these")


def _disc(x: float, y: float) -> list[XY]:
    return [(x + DOT * math.cos(math.tau * k / 16), y + DOT * math.sin(math.tau * k / 16)) for k in range(16)]


def _write(page: Page, taken: Taken, x: float, y: float, text: str, turn: float = 0.0, bold: bool = False) -> bool:
    """Write a text on white paper where nothing else stands; says whether it was written."""
    if not taken.claim_all(boxes_along(x, y, text, 2.5, turn, 0.7)):
        return False
    knock_out(page, x, y, text, 2.5, turn)
    centred(page, x, y, text, 2.5, turn, bold)
    return True


def _write_boxed(page: Page, taken: Taken, x: float, y: float, text: str) -> bool:
    """The number of a reading to take again, bold in a box."""
    if not taken.claim_all(boxes_along(x, y, text, 3.5, 0.0, 1.2)):
        return False
    boxed(page, x, y, text, 3.5, 0.0)
    return True


def _points(page: Page, drawn: dict[str, XY], numbers: dict[str, str], taken: Taken) -> list[str]:
    """Number the points, away from their middle; gives what found no room."""
    if not drawn:
        return []
    middle = sum(x for x, _ in drawn.values()) / len(drawn), sum(y for _, y in drawn.values()) / len(drawn)
    left_out = []
    for name, (x, y) in drawn.items():
        out = math.atan2(y - middle[1], x - middle[0])
        tries = itertools.product((4.0, 5.5, 8.0), (0.0, 45.0, -45.0, 90.0, -90.0, 135.0, -135.0, 180.0))
        if not any(
            _write(
                page,
                taken,
                x + off * math.cos(out + math.radians(turn)),
                y + off * math.sin(out + math.radians(turn)),
                numbers[name],
                bold=True,
            )
            for off, turn in tries
        ):
            left_out.append(numbers[name])
    return left_out


def _walls(page: Page, plan: Plan, view: _View, taken: Taken) -> None:
    """Names of the shells' walls beside them, outside."""
    for wall in plan.walls:
        if wall.shell is None:
            continue
        outward = -1.0 if sum(wall.leaf) > 0.0 else 1.0
        turn = reading(wall.direction)
        size = wall.length / view.scale
        names = [fitted(wall.name, 2.5, room) for room in (size + 16.0, max(size, 14.0))]
        for name, off, part in itertools.product(names, (9.0, 12.0, 6.5, 15.0), (0.5, 0.35, 0.65, 0.22, 0.78)):
            x, y = view(wall.at(wall.length * part, outward * off * view.scale))
            if _write(page, taken, x, y, name, turn):
                break


def _numbers(page: Page, drawn: dict[str, XY], lengths: Sequence[tuple[int, Row]], taken: Taken) -> list[str]:
    """Number the taped lines, those to take again first; gives what found no room."""
    left_out = []
    for place, row in sorted(lengths, key=lambda item: not _again(item[1])):
        (ax, ay), (bx, by) = (drawn[name] for name in row.points)
        spots = [(ax + part * (bx - ax), ay + part * (by - ay)) for part in PLACES]
        write: Callable[[Page, Taken, float, float, str], bool] = _write_boxed if _again(row) else _write
        if not any(write(page, taken, x, y, str(place)) for x, y in spots):
            left_out.append(str(place))
    return left_out


def _key(page: Page, room: Room, result: AsBuilt, view: _View, to_do: Sequence[str], left_out: Sequence[str]) -> None:
    x, y = room.right - KEY, room.top + 6.0
    page.line([(x, room.top), (x, room.bottom)], THIN)
    page.text(x + 3, y, "Key", 3.5, bold=True)
    y += 7.0
    for pen, words in (
        (CHAIN, "outer face as designed"),
        (WIDE, "outer face as built"),
        (THIN, "taped length, its number"),
        (AGAIN, "TAKE AGAIN"),
    ):
        if pen is AGAIN and not any(map(_again, result.rows)):
            continue
        page.line([(x + 3, y - 1), (x + 17, y - 1)], pen)
        page.text(x + 20, y, words, 2.5, bold=pen is AGAIN)
        y += 5.6
    page.area(_disc(x + 10, y - 1), BLACK)
    page.text(x + 20, y, "measured point", 2.5)
    y += 7.0

    def say(text: str, bold: bool = False) -> None:
        nonlocal y
        for line in wrapped(text, 2.5, KEY - 6.0, bold):
            if y > room.bottom - 2.0:
                return
            page.text(x + 3, y, line, 2.5, bold=bold)
            y += 3.9
        y += 1.4

    times = "to scale" if view.factor == 1 else f"{view.factor} times larger than to scale"
    say(f"Deviations from the design are drawn {times}; all else 1:{view.scale:g}.", bold=True)
    say(_agreement(result))
    say(
        f"Adjusted by least squares with {result.held[0]} and the direction to {result.held[1]} held; then moved and "
        "turned as one to fit the designed corners best. Where the frame goes on it: the setting-out sheet."
    )
    for words in to_do[:4]:
        say(words, bold=True)
    if len(to_do) > 4:
        say("More on the next sheet.")
    if left_out:
        say(f"No room here for {', '.join(left_out[:20])}{' …' if len(left_out) > 20 else ''}: see the tables.")


def _agreement(result: AsBuilt) -> str:
    """How well the readings agree, in words."""
    count = sum(not row.left_out for row in result.rows)
    words = f"{count} readings of {len(result.points)} points, {result.freedom} more than needed"
    if result.s0 is None:
        return f"{words}: nothing checks them."
    return f"{words}; they agree {result.s0:.1f} times their standard errors (about 1 is as it should be)."
