"""The setting-out sheets: what to mark on the blockwork, in which order, and the figures that check it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from platemodel.frame.tape import whole
from platemodel.frame.values import Frame
from platemodel.sheets.flow import BODY, BODY_LINE, BULLET, Columns, bulleted, inner, write_bulleted
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.labels import Box, Taken, boxes_along, text_box
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import CHAIN_THIN, NARROW, THIN, XY, Page
from platemodel.sheets.plan_labels import boxed, centred, knock_out, label_pieces, reading
from platemodel.sheets.plan_sheet import parts_of
from platemodel.sheets.plan_view import (
    LEAST_SCALE,
    PlanView,
    block_plates,
    draw_plates,
    faces_shown,
    whole_view,
)
from platemodel.sheets.tables import Column, row_height, table
from platemodel.site.setting_out import PUBLISHED, Check, Loop, Mark, Plate, SettingOut

AROUND = 14.0
KEY = 62.0
"""Width of the key at the right, mm on paper."""
GAP = 6.0
HEADS = 14.0
"""Room for the heads of a table, mm."""
PLATE = (0.93, 0.93, 0.93)
FIGURE = 2.5
"""Height of every figure on the drawing, mm."""
TICK = 1.4
"""How far a mark's stroke leads beyond the plate's edges, mm on paper."""
OFFS = (0.9, 3.4, 5.9)
"""How far beyond its stroke a figure is tried, mm on paper."""
BOX = "☐"
TICKED = ("", 8.0, False, False)
"""A column for boxes to tick."""
MINUS = "–"

CAUTION = (
    "Work at height: from a platform with guard rails, not from the wall. Long plates: two people. Wet mortar burns: "
    "gloves, wash off at once.",
    "Local building codes and the engineer come first: where a wall must give, or a plate stands past its face by more "
    "than they allow, ask before anything is bedded.",
)


def setting_out_sheets(frame: Frame, result: SettingOut) -> list[Page]:
    """A plan with marks, setbacks and diagonals; then the order of the work and the tables to tick off."""
    _, room = sheet(frame.plan.job, "", "", "", "")
    around = Room(room.left + AROUND, room.top + AROUND, room.right - KEY - AROUND, room.bottom - AROUND)
    views = [whole_view(frame, around)]
    if views[0].scale > LEAST_SCALE:
        views = parts_of(frame, around)
    pages = [_drawing(frame, result, view, number, len(views)) for number, view in enumerate(views, start=1)]
    return [*pages, *_tables(frame, result, len(pages))]


def mm(value: float) -> str:
    """A figure in whole mm; a dash before one below 0, which is easier seen than a hyphen."""
    figure = whole(value)
    return str(figure) if figure >= 0 else f"{MINUS}{-figure}"


# ---- the drawing


def _drawing(frame: Frame, result: SettingOut, view: PlanView, number: int, count: int) -> Page:
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
    for box in _boxes_of(view, frame, marks):
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


def _boxes_of(view: PlanView, frame: Frame, marks: Sequence[tuple[Mark, tuple[XY, XY]]]) -> Iterator[Box]:
    """The boxes about the strokes of marks."""
    for _, ((ax, ay), (bx, by)) in marks:
        yield min(ax, bx) - 0.3, min(ay, by) - 0.3, max(ax, bx) + 0.3, max(ay, by) + 0.3


def _copy_texts(page: Page, taken: Taken) -> None:
    """Take the room of every text that stands on a page's drawing."""
    from platemodel.sheets.page import Text

    for mark in page.marks:
        if isinstance(mark, Text):
            size = width(mark.text, mark.height, mark.bold)
            x, y = mark.at
            if mark.anchor == "middle":
                radians = math.radians(mark.turn)
                x, y = x - math.sin(radians) * mark.height / 2, y - math.cos(radians) * mark.height / 2
                for box in boxes_along(x, y, mark.text, mark.height, mark.turn):
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
                if _within(room, [box[:2], box[2:]]) and taken.claim(box):
                    if off != OFFS[0]:
                        page.line([at, (at[0] + ux * (off - 0.4), at[1] + uy * (off - 0.4))], THIN)
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
        *result.words[:4],
        *(
            [f"Set so, no setback is more than {math.ceil(result.placed.greatest - 0.05)} mm off the wanted one."]
            if result.placed.measured
            else []
        ),
        *([f"{left_out} figures found no room here: see the tables."] if left_out else []),
        "Order and all figures: on the pages that follow.",
        *CAUTION,
    ]
    lines = bulleted(notes, KEY - 6.0)
    for place, item in enumerate(lines):
        if y + BODY_LINE > room.bottom - 2.0:
            break
        y = write_bulleted(page, x + 3, y, lines[place : place + 1])
        if place + 1 < len(lines) and lines[place + 1].begins:
            y += 1.2
        del item


# ---- the tables


def _tables(frame: Frame, result: SettingOut, before: int) -> list[Page]:
    job = frame.plan.job

    def begin(number: int) -> tuple[Page, Room]:
        words = "order, marks and checks"
        page, room = sheet(job, "setting-out sheet", words, "–", part_name("setting", number + before))
        return page, inner(room, _head(page, room, number == 1))

    flow = Columns(begin, 2, GAP)
    _steps(flow, result)
    if result.words:
        flow.section("The frame on the shell", _placing_words(result), BULLET)
    for plate in result.plates:
        _plate(flow, frame, plate)
    _triangles(flow, result)
    _spans(flow, frame, result)
    _loops(flow, result)
    _aparts(flow, result)
    flow.section("How far out it may be", _limit_words(result), BULLET)
    flow.section("Caution", list(CAUTION), BULLET)
    return flow.pages


def _head(page: Page, room: Room, first: bool) -> float:
    title = "SETTING OUT" if first else "SETTING OUT, continued"
    left, wide = room.left + 3.0, room.width - 6.0
    page.text(left, room.top + 8.0, title, 5.0, bold=True)
    offset = width(title, 5.0, bold=True) + 5.0
    words = "mm; taped along the outer face of the blockwork; – stands past the face. Tick what is done"
    page.text(left + offset, room.top + 8.0, fitted(words, BODY, wide - offset, bold=True), BODY, bold=True)
    page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
    return 13.0


def _steps(flow: Columns, result: SettingOut) -> None:
    columns = _columns(flow, [TICKED, ("no.", 9.0, True, True), ("order of the work", 110.0, False, False)])
    rows = [[BOX, str(number), step.words] for number, step in enumerate(result.steps, start=1)]
    _rows(flow, "Order of the work", columns, rows)


def _placing_words(result: SettingOut) -> list[str]:
    placed = result.placed
    found = list(result.words)
    if placed.measured:
        east, north = placed.shift
        found.append(
            f"Moved {mm(east)} east and {mm(north)} north and turned {placed.turn:.3f}° as one (with its shape kept): "
            f"no setback is more than {placed.greatest:.1f} off the wanted one; none can do better than "
            f"{placed.least:.1f}."
        )
    return found


def _plate(flow: Columns, frame: Frame, plate: Plate) -> None:
    """The marks of a plate, a table for each of its walls."""
    for start in plate.starts:
        marks = [mark for mark in plate.marks if mark.wall == start.wall]
        if not marks:
            continue
        wall = frame.plan.walls[start.wall]
        heads = ("to outer face", "to inner face") if wall.shell is not None else ("to one face", "to other face")
        columns = _columns(
            flow,
            [
                TICKED,
                ("mark", 12.0, True, True),
                ("taped at", 18.0, True, False),
                (heads[0], 18.0, True, True),
                (heads[1], 18.0, True, False),
                ("what", 53.0, False, False),
            ],
        )
        rows = [[BOX, str(m.number), mm(m.taped), mm(m.setback), mm(m.inner), ", ".join(m.what)] for m in marks]
        designed = "" if wall.shell is not None else f"; one face: {start.face}, as designed"
        heading = f"Plate {plate.letter} on '{wall.name}': taped from {start.corner}{designed}"
        _rows(flow, heading, columns, rows)


def _triangles(flow: Columns, result: SettingOut) -> None:
    if not result.triangles:
        return
    columns = _columns(
        flow,
        [
            TICKED,
            ("corner", 28.0, False, True),
            ("one leg", 24.0, True, False),
            ("other leg", 24.0, True, False),
            ("closing side", 22.0, True, True),
            ("angle", 20.0, True, False),
        ],
    )
    rows = [
        [
            BOX,
            item.corner,
            f"on {item.plates[0]}: {mm(item.legs[0])}",
            f"on {item.plates[1]}: {mm(item.legs[1])}",
            mm(item.closing),
            "3-4-5" if item.right else f"{item.angle:.1f}°",
        ]
        for item in result.triangles
    ]
    _rows(flow, "Corners: triangles along the plates' outer edges", columns, rows)
    flow.y -= 1.5
    flow.notes(["Where a corner is not square, the closing side is by the cosine rule; its angle stands beside it."])


def _spans(flow: Columns, frame: Frame, result: SettingOut) -> None:
    if not result.spans:
        return
    columns = _columns(
        flow,
        [
            TICKED,
            ("plates", 22.0, False, True),
            ("clear", 19.0, True, True),
            ("overall", 19.0, True, True),
            ("carries", 46.0, False, False),
        ],
    )
    rows = [
        [
            BOX,
            f"{frame.letters[item.one]} to {frame.letters[item.other]}",
            _both(item.clear),
            _both(item.overall),
            item.carries,
        ]
        for item in result.spans
    ]
    heading = f"Critical front to back: at both ends and in the middle, within {result.limits.span:g} mm"
    _rows(flow, heading, columns, rows)


def _both(values: tuple[float, float]) -> str:
    one, other = (mm(value) for value in values)
    return one if one == other else f"{one} to {other}"


def _loops(flow: Columns, result: SettingOut) -> None:
    if not result.loops:
        return
    columns = _columns(
        flow,
        [
            TICKED,
            ("loop", 30.0, False, False),
            ("from", 26.0, False, True),
            ("to", 26.0, False, True),
            ("check", 20.0, True, True),
            ("taped", 18.0, True, False),
        ],
    )
    rows = []
    for loop in result.loops:
        checks = list(loop.diagonals)
        for number, check in enumerate(checks):
            name = loop.name.removesuffix(", outer corners") if number == 0 else ""
            rows.append([BOX, name, check.one.name, check.other.name, mm(check.figure), ""])
    _rows(
        flow, f"Diagonals, within {result.limits.diagonal:g} mm: bays by inner corners, shells by outer", columns, rows
    )
    sides = _columns(
        flow,
        [
            TICKED,
            ("loop", 30.0, False, False),
            ("sides, round from", 24.0, False, True),
            ("check, one after the other", 66.0, False, False),
        ],
    )
    _rows(
        flow,
        "Sides: equal diagonals alone do not make it square",
        sides,
        [
            [
                BOX,
                loop.name.removesuffix(", outer corners"),
                loop.corners[0].name,
                "  ".join(mm(check.figure) for check in loop.sides),
            ]
            for loop in result.loops
        ],
    )


def _aparts(flow: Columns, result: SettingOut) -> None:
    for apart in result.aparts:
        letters = ", ".join(apart.letters[:8]) + (" …" if len(apart.letters) > 8 else "")
        columns = _columns(
            flow,
            [
                TICKED,
                ("from", 44.0, False, True),
                ("to", 44.0, False, True),
                ("tie", 26.0, True, True),
            ],
        )
        rows = [[BOX, check.one.name, check.other.name, mm(check.figure)] for check in apart.ties]
        _rows(flow, f"Plates {letters}: set out from plate {apart.base}", columns, rows)
        flow.y -= 1.5
        flow.notes(
            [
                f"Least gap between the plates: {mm(apart.gap)}. "
                + "; ".join(
                    f"{corner.name}: {mm(along)} along plate {apart.base}'s outer edge, "
                    + (f"{mm(out)} out from it" if out >= 0.0 else f"{mm(-out)} in from it")
                    for corner, along, out in apart.offsets
                )
                + "."
            ]
        )


def _limit_words(result: SettingOut) -> list[str]:
    limits = result.limits
    return [
        f"Diagonals and sides: {limits.diagonal:g} mm; spans that carry: {limits.span:g} mm, and no more from one end "
        "to the other: common practice. The truss maker's drawing comes first.",
        *(f"{words}." for words in PUBLISHED),
        "A rectangle: diagonals equal and opposite sides equal.",
        "Where an outer skin hides the outer face, use the figure to the inner face.",
    ]


def _columns(flow: Columns, wanted: Sequence[tuple[str, float, bool, bool]]) -> list[Column]:
    """Columns stretched to a column of the sheet; the first, for ticks, keeps its width."""
    fixed = wanted[0][1]
    stretch = (flow.width - fixed) / sum(size for _, size, _, _ in wanted[1:])
    return [
        Column(head, size if number == 0 else size * stretch, figures, bold)
        for number, (head, size, figures, bold) in enumerate(wanted)
    ]


def _rows(flow: Columns, heading: str, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
    """A heading and a table under it, in as many columns of the sheet as it needs."""
    left = list(rows)
    if not left:
        return
    flow.heading(heading, HEADS + sum(row_height(columns, row) for row in left[:2]))
    while left:
        flow.y, drawn = table(flow.page, flow.x, flow.y + 1.0, columns, left, flow.room.bottom)
        left = left[drawn:]
        if left:
            flow.need(2 * flow.room.height)
            flow.heading(f"{heading}, continued", HEADS)
    flow.y += 3.0
