"""The setting-out sheets: what to mark on the blockwork, in which order, and the figures that check it."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.values import Frame
from platemodel.sheets.flow import BODY, BULLET, Columns, inner
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import NARROW, Page
from platemodel.sheets.plan_sheet import parts_of
from platemodel.sheets.plan_view import (
    LEAST_SCALE,
    whole_view,
)
from platemodel.sheets.setting_out_drawing import AROUND, KEY, drawing, mm
from platemodel.sheets.tables import Column
from platemodel.site.setting_out_values import Plate, SettingOut

GAP = 6.0
HEADS = 14.0
"""Room for the heads of a table, mm."""
BOX = "☐"
TICKED = ("", 8.0, False, False)
"""A column for boxes to tick."""


def setting_out_sheets(frame: Frame, result: SettingOut) -> list[Page]:
    """A plan with marks, setbacks and diagonals; then the order of the work and the tables to tick off."""
    _, room = sheet(frame.plan.job, "", "", "", "")
    around = Room(room.left + AROUND, room.top + AROUND, room.right - KEY - AROUND, room.bottom - AROUND)
    views = [whole_view(frame, around)]
    if views[0].scale > LEAST_SCALE:
        views = parts_of(frame, around)
    pages = [drawing(frame, result, view, number, len(views)) for number, view in enumerate(views, start=1)]
    return [*pages, *_tables(frame, result, len(pages))]


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
    return flow.pages


def _head(page: Page, room: Room, first: bool) -> float:
    title = "SETTING OUT" if first else "SETTING OUT, continued"
    left, wide = room.left + 3.0, room.width - 6.0
    page.text(left, room.top + 8.0, title, 5.0, bold=True)
    offset = width(title, 5.0, bold=True) + 5.0
    words = "mm along the outer face from the wall's first corner; – stands past the face. Tick what is done"
    page.text(left + offset, room.top + 8.0, fitted(words, BODY, wide - offset, bold=True), BODY, bold=True)
    page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
    return 13.0


def _steps(flow: Columns, result: SettingOut) -> None:
    columns = _columns(flow, [TICKED, ("no.", 9.0, True, True), ("order of the work", 110.0, False, False)])
    rows = [[BOX, str(number), step.words] for number, step in enumerate(result.steps, start=1)]
    flow.table("Order of the work", columns, rows, heads=HEADS)


def _placing_words(result: SettingOut) -> list[str]:
    placed = result.placed
    found = list(result.words)
    if placed.measured:
        east, north = placed.shift
        found.append(
            f"Moved {mm(east)} east and {mm(north)} north and turned {placed.turn:.3f}° as one (with its shape kept): "
            f"every setback is within {placed.greatest:.1f} of the wanted one; no place does better than "
            f"{placed.least:.1f}."
        )
    return found


def _plate(flow: Columns, frame: Frame, plate: Plate) -> None:
    """The marks of a plate, a table for each of its walls."""
    for start in plate.starts:
        # walls in line may run against each other: on each the tape runs from its own first corner
        marks = sorted((mark for mark in plate.marks if mark.wall == start.wall), key=lambda mark: mark.taped)
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
        flow.table(heading, columns, rows, heads=HEADS)


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
    flow.table("Corners: triangles along the plates' outer edges", columns, rows, heads=HEADS)
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
    heading = f"Critical front to back: at both ends and in the middle, within {result.limits.span.figure}"
    flow.table(heading, columns, rows, heads=HEADS)


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
    heading = f"Diagonals, within {result.limits.diagonal.figure}: bays by inner corners, shells by outer"
    flow.table(heading, columns, rows, heads=HEADS)
    sides = _columns(
        flow,
        [
            TICKED,
            ("loop", 30.0, False, False),
            ("sides, round from", 24.0, False, True),
            ("check, one after the other", 66.0, False, False),
        ],
    )
    flow.table(
        "Sides: equal diagonals alone do not make it square",
        sides,
        [
            [
                BOX,
                loop.name.removesuffix(", outer corners"),
                loop.corners[0].name,
                "; ".join(mm(check.figure) for check in loop.sides),
            ]
            for loop in result.loops
        ],
        heads=HEADS,
    )


def _aparts(flow: Columns, result: SettingOut) -> None:
    for apart in result.aparts:
        begin = apart.ties[0].one.name
        letters = ", ".join(apart.letters[:8]) + (" …" if len(apart.letters) > 8 else "")
        columns = _columns(
            flow,
            [
                TICKED,
                ("from", 44.0, False, True),
                ("to", 44.0, False, True),
                ("figure", 26.0, True, True),
            ],
        )
        rows = [[BOX, check.one.name, check.other.name, mm(check.figure)] for check in apart.ties]
        edge = f"plate {apart.base}'s outer edge"
        for corner, along, out in apart.offsets:
            way = f"{'out' if out >= 0.0 else 'in'} from {edge}"
            rows += [[BOX, f"along {edge} from {begin}", corner.name, mm(along)], [BOX, way, corner.name, mm(abs(out))]]
        rows.append([BOX, f"plates {apart.base} …", "least gap", mm(apart.gap)])
        flow.table(f"Plates {letters}: set out from plate {apart.base}", columns, rows, heads=HEADS)


def _limit_words(result: SettingOut) -> list[str]:
    limits = result.limits
    return [
        f"Diagonals and sides: {limits.diagonal.figure}; spans that carry: {limits.span.figure}, and no more from one "
        f"end to the other: {limits.source}. The truss maker's drawing comes first.",
        *(f"{words}." for words in limits.beside),
        "A rectangle: diagonals equal and opposite sides equal.",
    ]


def _columns(flow: Columns, wanted: Sequence[tuple[str, float, bool, bool]]) -> list[Column]:
    """Columns stretched to a column of the sheet; the first, for ticks, keeps its width."""
    fixed = wanted[0][1]
    stretch = (flow.width - fixed) / sum(size for _, size, _, _ in wanted[1:])
    return [
        Column(head, size if number == 0 else size * stretch, figures, bold)
        for number, (head, size, figures, bold) in enumerate(wanted)
    ]
