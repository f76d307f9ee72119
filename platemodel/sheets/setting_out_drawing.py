"""The drawing of the setting-out sheets: marks on the blockwork, setbacks beside them, and diagonals."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from platemodel.frame.tape import whole
from platemodel.frame.values import Frame
from platemodel.sheets.flow import BODY, BODY_LINE, bulleted, write_bulleted
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.labels import Box, Taken, boxes_along, text_box
from platemodel.sheets.lettering import width, wrapped
from platemodel.sheets.page import CHAIN_THIN, NARROW, THIN, XY, Page, Text
from platemodel.sheets.plan_labels import boxed, centred, knock_out, label_pieces, reading
from platemodel.sheets.plan_view import (
    PlanView,
    block_plates,
    draw_plates,
    faces_shown,
)
from platemodel.site.setting_out_values import Check, Loop, Mark, SettingOut

AROUND = 14.0
KEY = 62.0
"""Width of the key at the right, mm on paper."""
PLATE = (0.93, 0.93, 0.93)
FIGURE = 2.5
"""Height of every figure on the drawing, mm."""
TICK = 1.4
"""How far a mark's stroke leads beyond the plate's edges, mm on paper."""
OFFS = (0.9, 3.4, 5.9)
"""How far beyond its stroke a figure is tried, mm on paper."""
MINUS = "–"

CAUTION = (
    "Work at height: from a platform with guard rails, not from the wall. Long plates: two people. Wet mortar burns: "
    "gloves, wash off at once.",
    "Local building codes and the engineer come first: where a wall must give, or a plate stands past its face by more "
    "than they allow, ask before anything is bedded.",
)


def mm(value: float) -> str:
    """A figure in whole mm; a dash before one below 0, which is easier seen than a hyphen."""
    figure = whole(value)
    return str(figure) if figure >= 0 else f"{MINUS}{-figure}"


def drawing(frame: Frame, result: SettingOut, view: PlanView, number: int, count: int) -> Page:
    """The page of a view, page ``number`` of ``count``."""
    words = "marks on the blockwork" + (f", part {number} of {count}" if count > 1 else "")
    page, room = sheet(frame.plan.job, "setting-out sheet", words, f"1:{view.scale:g}", part_name("setting", number))
    draw_plates(page, view, PLATE)
    for wall in faces_shown(view):
        shown = view.cut_line([view.of_plan(wall.start), view.of_plan(wall.end)])
        if shown:
            page.line(shown, NARROW)
    drawn = _diagonals_drawn(result, view)
    for check in drawn:
        page.line([view.of_plan(check.one.at), view.of_plan(check.other.at)], CHAIN_THIN)
    taken = Taken()
    block_plates(view, taken)
    marks = _marks(view, result)
    for _, ends in marks:
        taken.block_line(*ends)
        page.line(ends, NARROW)
    left_out = _figures(page, view, taken, marks, frame)
    # the boxes of the pieces' marks may stand on their plates, but on nothing else
    own = Taken()
    for box in _boxes_of(marks):
        own.block(box)
    _copy_texts(page, own)
    label_pieces(page, view, own, lambda piece: piece.mark, (FIGURE,))
    _copy_texts(page, taken)
    _bay_names(page, view, taken, result.loops)
    _figure_diagonals(page, view, taken, drawn)
    _key(page, room, result, bool(drawn), bool(faces_shown(view)), left_out)
    return page


def _drawn_room(view: PlanView) -> Room:
    """The room for figures: of a part of a frame as far as beyond the frame's own edges, but not into the next part."""
    if not view.clipped:
        return Room(-math.inf, -math.inf, math.inf, math.inf)
    room = view.room
    (west, south), (east, north) = view((0.0, 0.0)), view(view.frame.size)
    return Room(
        room.left - (AROUND - 2.0 if west >= room.left else TICK + 0.5),
        room.top - (AROUND - 2.0 if north >= room.top else TICK + 0.5),
        room.right + (AROUND - 2.0 if east <= room.right else TICK + 0.5),
        room.bottom + (AROUND - 2.0 if south <= room.bottom else TICK + 0.5),
    )


def _within(room: Room, points: Sequence[XY]) -> bool:
    return all(room.left <= x <= room.right and room.top <= y <= room.bottom for x, y in points)


def _diagonals_drawn(result: SettingOut, view: PlanView) -> list[Check]:
    """The diagonals of bays; of shells without a bay those of the shell."""
    loops = [loop for loop in result.loops if loop.inner] or list(result.loops)
    found = []
    for loop in loops:
        for check in loop.diagonals[: 2 if len(loop.corners) == 4 else 4]:
            if view.shows([view.of_plan(check.one.at), view.of_plan(check.other.at)]):
                found.append(check)
    return found


def _marks(view: PlanView, result: SettingOut) -> list[tuple[Mark, tuple[XY, XY]]]:
    """The marks that are shown, with the stroke of each across its plate; ends and laps before metres."""
    found = []
    room = _drawn_room(view)
    for plate in result.plates:
        across = view.frame.runs[plate.run].strip.width / view.scale
        for mark in plate.marks:
            x, y = view.of_plan(mark.place)
            ux, uy = mark.off[0], -mark.off[1]
            ends = (x - TICK * ux, y - TICK * uy), (x + (across + TICK) * ux, y + (across + TICK) * uy)
            if _within(room, ends):
                found.append((mark, ends))
    return sorted(found, key=lambda item: all(word.endswith(" m") for word in item[0].what))


def _boxes_of(marks: Sequence[tuple[Mark, tuple[XY, XY]]]) -> Iterator[Box]:
    """The boxes about the strokes of marks."""
    for _, ((ax, ay), (bx, by)) in marks:
        yield min(ax, bx) - 0.3, min(ay, by) - 0.3, max(ax, bx) + 0.3, max(ay, by) + 0.3


def _copy_texts(page: Page, taken: Taken) -> None:
    """Take the room of every text that stands on a page's drawing."""
    for mark in page.marks:
        if isinstance(mark, Text):
            size = width(mark.text, mark.height, mark.bold)
            x, y = mark.at
            if mark.anchor == "middle":
                radians = math.radians(mark.turn)
                x, y = x - math.sin(radians) * mark.height / 2, y - math.cos(radians) * mark.height / 2
                # the corners of a slanting label's box reach beyond the squares that stand for it
                for box in boxes_along(x, y, mark.text, mark.height, mark.turn, pad=1.3):
                    taken.block(box)
            elif mark.anchor == "start":
                taken.block((x - 0.3, y - mark.height - 0.3, x + size + 0.3, y + 0.8))


def _figures(
    page: Page, view: PlanView, taken: Taken, marks: Sequence[tuple[Mark, tuple[XY, XY]]], frame: Frame
) -> int:
    """Beyond the outer edge the setback, bold, beyond the inner one the mark's number; gives how many found no room."""
    left_out = 0
    room = _drawn_room(view)
    for mark, (outer, far) in marks:
        shell = frame.plan.walls[mark.wall].shell is not None
        texts = [(str(mark.number), far, 1.0, False)]
        if shell:
            texts.append((mm(mark.setback), outer, -1.0, True))
        for text, at, way, bold in texts:
            ux, uy = way * mark.off[0], -way * mark.off[1]
            reach = abs(ux) * width(text, FIGURE, bold=True) / 2 + abs(uy) * FIGURE / 2
            side = abs(uy) * width(text, FIGURE, bold=True) / 2 + abs(ux) * FIGURE / 2 + 0.9
            for aside, off in itertools.product((0.0, side, -side), OFFS):
                x, y = at[0] + ux * (reach + off) - uy * aside, at[1] + uy * (reach + off) + ux * aside
                box = text_box(x, y, text, FIGURE, 0.0, pad=0.35)
                end = at[0] + ux * (off - 0.4), at[1] + uy * (off - 0.4)
                # clear of its own stroke, about which a wider band is taken where it slants
                clear = 0.5 if min(abs(ux), abs(uy)) < 0.05 else 1.6
                begin = at[0] + ux * clear, at[1] + uy * clear
                if off != OFFS[0] and not taken.free_line(begin, end):
                    continue
                if _within(room, [box[:2], box[2:]]) and taken.claim(box):
                    if off != OFFS[0]:
                        page.line([at, end], THIN)
                        taken.block_line(begin, end)
                    knock_out(page, x, y, text, FIGURE, 0.0)
                    centred(page, x, y, text, FIGURE, 0.0, bold=bold)
                    break
            else:
                left_out += 1
    return left_out


def _bay_names(page: Page, view: PlanView, taken: Taken, loops: Sequence[Loop]) -> None:
    """The number of each bay in its middle."""
    for loop in loops:
        if not loop.inner:
            continue
        count = len(loop.corners)
        middle = sum(c.at[0] for c in loop.corners) / count, sum(c.at[1] for c in loop.corners) / count
        x, y = view.of_plan(middle)
        text = loop.name
        for across, down in itertools.product((0.0, 8.0, -8.0, 16.0, -16.0), (0.0, 5.0, -5.0)):
            box = text_box(x + across, y + down, text, FIGURE, 0.0, pad=1.2)
            if view.shows([box[:2], box[2:]]) and taken.claim(box):
                boxed(page, x + across, y + down, text, FIGURE, 0.0)
                break


def _figure_diagonals(page: Page, view: PlanView, taken: Taken, drawn: Sequence[Check]) -> None:
    """The lengths of diagonals along their lines, each where it finds room."""
    for check in drawn:
        (ax, ay), (bx, by) = view.of_plan(check.one.at), view.of_plan(check.other.at)
        turn = reading((bx - ax, ay - by))
        text = mm(check.figure)
        for part in (0.33, 0.67, 0.26, 0.74, 0.4, 0.6, 0.2, 0.8):
            x, y = ax + part * (bx - ax), ay + part * (by - ay)
            if taken.claim_all(boxes_along(x, y, text, FIGURE, turn)):
                knock_out(page, x, y, text, FIGURE, turn)
                centred(page, x, y, text, FIGURE, turn)
                break


def _key(page: Page, room: Room, result: SettingOut, diagonals: bool, faces: bool, left_out: int) -> None:
    x, y = room.right - KEY, room.top + 6.0
    page.line([(x, room.top), (x, room.bottom)], THIN)
    page.text(x + 3, y, "Setting out", 3.5, bold=True)
    y += 9.0
    page.area([(x + 3, y - 0.9), (x + 13, y - 0.9), (x + 13, y + 0.9), (x + 3, y + 0.9)], PLATE)
    page.line([(x + 3, y - 0.9), (x + 13, y - 0.9), (x + 13, y + 0.9), (x + 3, y + 0.9)], NARROW, closed=True)
    page.line([(x + 8, y - 2.3), (x + 8, y + 2.3)], NARROW)
    centred(page, x + 8, y - 4.4, "12", FIGURE, 0.0, bold=True)
    centred(page, x + 8, y + 4.4, "7", FIGURE, 0.0)
    entries = wrapped("bold, outside: from the outer face in to the plate, mm", BODY, KEY - 19.0)
    entries += wrapped("inside: the mark's number, as in the tables", BODY, KEY - 19.0)
    line = y - 3.6
    for words in entries:
        page.text(x + 16, line, words, BODY)
        line += BODY_LINE
    y = max(y + 10.0, line + 2.0)
    for there, pen, words in (
        (diagonals, CHAIN_THIN, "diagonal, inner corners of plates"),
        (faces, NARROW, "outer face of the wall"),
    ):
        if there:
            if pen is CHAIN_THIN and not any(loop.inner for loop in result.loops):
                words = "diagonal, outer corners of plates"
            page.line([(x + 3, y - 1), (x + 13, y - 1)], pen)
            for line_words in wrapped(words, BODY, KEY - 19.0):
                page.text(x + 16, y, line_words, BODY)
                y += BODY_LINE
            y += 1.6
    notes = [
        "Below 0 (–): the plate stands past the face.",
        "Where an outer skin hides the outer face, use the figure to the inner face.",
        "In the tables 'lap' and 'splice' are the middle of the lap, 'end' the end of the plate, whose lap is told "
        "beside it.",
        *CAUTION,
        *(
            [f"Set so, every setback is within {math.ceil(result.placed.greatest - 0.05)} mm of the wanted one."]
            if result.placed.measured
            else []
        ),
        *([f"{left_out} figures found no room here: see the tables."] if left_out else []),
        "Order and all figures: on the pages that follow.",
        # said on the next page too: what finds no room here is not lost
        *result.words[:4],
    ]
    lines = bulleted(notes, KEY - 6.0)
    starts = [place for place, line in enumerate(lines) if line.begins] + [len(lines)]
    for place in range(len(lines)):
        # a note stands whole or not at all
        after = next(start for start in starts if start > place)
        if lines[place].begins and y + BODY_LINE * (after - place) > room.bottom - 2.0:
            break
        y = write_bulleted(page, x + 3, y, lines[place : place + 1])
        if place + 1 < len(lines) and lines[place + 1].begins:
            y += 1.2
