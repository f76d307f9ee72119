"""The laying sheets: in which order the pieces go down, which way each lies, and what lies over what."""

from __future__ import annotations

import itertools
import math

from shapely import STRtree, points

from platemodel.frame.values import Frame, Joint, Piece
from platemodel.sheets.cut_tables import datum_side
from platemodel.sheets.form import Room, sheet
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import width, wrapped
from platemodel.sheets.page import BLACK, EXTRA, NARROW, THIN, WHITE, XY, Page
from platemodel.sheets.plan_labels import block_plates, centred
from platemodel.sheets.plan_sheet import parts_of
from platemodel.sheets.plan_view import (
    LEAST_SCALE,
    PlanView,
    datum,
    draw_plates,
    whole_timber,
    whole_view,
)
from platemodel.sheets.tables import Column, table

AROUND = 14.0
KEY = 62.0
"""Width of the key at the right, mm on paper."""
HEIGHTS = (5.0, 3.5, 2.5, 1.8)
"""Heights of laying numbers that are tried, those of ISO 3098; a mark is a step smaller."""
SIGN = 3.4
"""Size of the sign of a lap, mm on paper."""

COLUMNS = [
    Column("no.", 12, figures=True, bold=True),
    Column("mark", 15, bold=True),
    Column("type", 14),
    Column("on wall", 50),
    Column("face UP", 34),
    Column("datum end lies", 30),
    Column("set it down ON (its over halves)", 54),
    Column("laid ON it later (its under halves)", 52),
]


def laying_sheets(frame: Frame) -> list[Page]:
    """A plan with laying numbers and arrows, and the list in laying order."""
    _, room = sheet(frame.plan.job, "", "", "", "")
    inner = Room(room.left + AROUND, room.top + AROUND, room.right - KEY - AROUND, room.bottom - AROUND)
    view = whole_view(frame, inner)
    views = [view]
    if view.scale > LEAST_SCALE:
        views = parts_of(frame, Room(room.left + 4.0, room.top + 4.0, room.right - KEY - 4.0, room.bottom - 4.0))
    pages = [
        _plan(frame, part, "laying order" if len(views) == 1 else f"laying order, part {number} of {len(views)}")
        for number, part in enumerate(views, start=1)
    ]
    return [*pages, *_lists(frame)]


def _plan(frame: Frame, view: PlanView, words: str) -> Page:
    page, room = sheet(frame.plan.job, "laying sheet", words, f"1:{view.scale:g}", "laying")
    draw_plates(page, view)
    _signs(page, view)
    taken = Taken()
    for joint in frame.joints:
        x, y = view(joint.at)
        taken.block((x - SIGN / 2, y - SIGN / 2, x + SIGN / 2, y + SIGN / 2))
    plates = Taken()
    block_plates(view, plates)
    left_out = _numbers(page, view, taken, plates)
    _arrows(page, view, taken, plates)
    _key(page, frame, room, left_out)
    return page


def _signs(page: Page, view: PlanView) -> None:
    """On every lap a small square with two bars that run with the piece that lies over.

    At a splice, where both run one way, the black half is the end of the piece that lies over.
    """
    size = _sign_size(view)
    for joint in view.frame.joints:
        centre = view(joint.at)
        if not view.shows([centre]):
            continue
        over = view.frame.pieces[joint.over]
        ux, uy = view.frame.runs[over.run].strip.direction
        draw_sign(page, centre, (ux, -uy), size, joint.lap.kind == "splice", _away(view.frame, joint, over))


def _sign_size(view: PlanView) -> float:
    """Small enough that the signs of two near laps keep apart."""
    if len(view.frame.joints) < 2:
        return SIGN
    places = points([view(joint.at) for joint in view.frame.joints])
    _, distance = STRtree(places).query_nearest(places, exclusive=True, return_distance=True, all_matches=False)
    return float(min(SIGN, max(1.2, 0.85 * distance.min())))


def _away(frame: Frame, joint: Joint, over: Piece) -> float:
    """1 where the over piece of a splice lies ahead along its run, -1 where behind."""
    strip = frame.runs[over.run].strip
    x, y = frame.origin
    s, _ = strip.place((joint.at[0] + x, joint.at[1] + y))
    return 1.0 if sum(over.low) / 2 + sum(over.high) / 2 > 2 * s else -1.0


def draw_sign(page: Page, centre: XY, along: XY, size: float, splice: bool, away: float) -> None:
    """The sign of a lap about a place, ``along`` a unit vector on paper."""
    half = size / 2
    (x, y), (ux, uy) = centre, along

    def at(a: float, b: float) -> XY:
        return x + a * ux - b * uy, y + a * uy + b * ux

    page.area([at(-half, -half), at(half, -half), at(half, half), at(-half, half)], WHITE)
    if splice:
        page.area([at(0.0, -half), at(away * half, -half), at(away * half, half), at(0.0, half)], BLACK)
        page.line([at(-half, -half), at(half, -half), at(half, half), at(-half, half)], THIN, closed=True)
        return
    for side in (-1.0, 1.0):
        page.line([at(-half, side * half * 0.7), at(half, side * half * 0.7)], EXTRA)


def _numbers(page: Page, view: PlanView, taken: Taken, plates: Taken) -> list[str]:
    """A ringed laying number and the mark on every piece; gives those that found no room.

    A mark keeps off the plates, so that it is not taken for another's, unless there is no room but on one.
    """
    left_out = []
    for piece in view.pieces:
        tries = itertools.product((plates, Taken()), HEIGHTS)
        if not any(_number(page, view, taken, off, piece, height) for off, height in tries):
            left_out.append(f"{piece.order} ({piece.mark})")
    return left_out


def _number(page: Page, view: PlanView, taken: Taken, off: Taken, piece: Piece, height: float) -> bool:
    strip = view.frame.runs[piece.run].strip
    half = strip.width / view.scale / 2
    steep = abs(strip.direction[1]) > abs(strip.direction[0])
    text = str(piece.order)
    radius = max(width(text, height, bold=True) / 2 + 0.9, height * 0.85)
    small = HEIGHTS[min(HEIGHTS.index(height) + 1, len(HEIGHTS) - 1)]
    away = radius + 1.0 + (width(piece.mark, small, bold=True) / 2 if steep else small / 2)
    for low, high in whole_timber(view.frame, piece):
        for part in (0.5, 0.35, 0.65, 0.2, 0.8):
            s = low + part * (high - low)
            x, y = view.on_piece(piece, s)
            for side in (1.0, -1.0):
                # the mark beside the ring, square to the plate
                u, v = view.on_piece(piece, s, side * max(away, half + 2.0))
                ring = (x - radius - 0.3, y - radius - 0.3, x + radius + 0.3, y + radius + 0.3)
                box = text_box(u, v, piece.mark, small, 0.0)
                corners = [ring[:2], ring[2:], box[:2], box[2:]]
                if view.shows(corners) and taken.free(ring) and taken.free(box) and off.free(box):
                    taken.block(ring)
                    taken.block(box)
                    with page.about(piece.mark):
                        _ring(page, (x, y), radius)
                        page.text(x, y + height / 2, text, height, "middle", bold=True)
                        centred(page, u, v, piece.mark, small, 0.0, bold=True)
                    return True
    return False


def _ring(page: Page, at: XY, radius: float) -> None:
    x, y = at
    circle = [(x + radius * math.cos(turn), y + radius * math.sin(turn)) for turn in _TURNS]
    page.area(circle, WHITE)
    page.line(circle, NARROW, closed=True)


_TURNS = tuple(math.radians(turn) for turn in range(0, 360, 15))


def _arrows(page: Page, view: PlanView, taken: Taken, plates: Taken) -> None:
    """An arrow beside every piece that points away from its datum end, clear of numbers and marks."""
    for piece in view.pieces:
        end, way = datum(piece)
        length = (sum(piece.high) - sum(piece.low)) / 2 / view.scale
        half = piece.laid.width / view.scale / 2
        begins = (2.5, 0.5, 0.15 * length, 0.4 * length, 0.7 * length)
        for clear, reach, off, side, begin in itertools.product(
            (plates, Taken()), (14.0, 9.0, 6.0, 4.0), (1.6, 3.0), (1.0, -1.0), begins
        ):
            if begin + reach > length:
                continue
            along = (end + way * place * view.scale for place in (begin, begin + reach))
            tail, head = (view.on_piece(piece, s, side * (half + off)) for s in along)
            if view.shows([tail, head]) and clear.free_line(tail, head) and taken.claim_line(tail, head):
                with page.about(piece.mark):
                    page.arrow(tail, head, NARROW, 2.2)
                break


def _key(page: Page, frame: Frame, room: Room, left_out: list[str]) -> None:
    x, y = room.right - KEY, room.top + 6.0
    page.line([(x, room.top), (x, room.bottom)], THIN)
    page.text(x + 3, y, "Laying order", 3.5, bold=True)
    y += 8.0
    _ring(page, (x + 8, y - 1), 2.6)
    page.text(x + 8, y + 0.3, "1", 2.5, "middle", bold=True)
    y = _say(page, x, y, "lay this piece first, then 2, 3 …")
    page.arrow((x + 3, y - 1), (x + 13, y - 1), NARROW, 2.2)
    y = _say(page, x, y, "points away from the datum end, the end with the flag on the cut sheet")
    if any(joint.lap.kind != "splice" for joint in frame.joints):
        draw_sign(page, (x + 8, y - 0.5), (1.0, 0.0), SIGN, False, 1.0)
        y = _say(page, x, y, "lap: the bars run with the plate that lies OVER")
    if any(joint.lap.kind == "splice" for joint in frame.joints):
        draw_sign(page, (x + 8, y - 0.5), (1.0, 0.0), SIGN, True, 1.0)
        y = _say(page, x, y, "splice: the plate on the black side lies OVER")
    y += 3.0
    notes = [
        "Lay every piece dry first, straight down, UP face up. A piece laid later never has to slide or lift another.",
        "Check marks: each lap has its mate's mark written on it.",
        "Check the diagonals of the plan sheet before bedding. Lift, bed and put back in the same order.",
        *([f"No room here for {', '.join(left_out)}: see the list."] if left_out else []),
        "CAUTION: work at height needs a platform with guard rails, not the wall. Long plates: two people. Wet "
        "mortar burns: gloves, wash off at once.",
    ]
    for note in notes:
        for line in wrapped(note, 2.5, KEY - 6.0):
            if y > room.bottom - 3.0:
                return
            page.text(x + 3, y, line, 2.5)
            y += 3.8
        y += 1.8


def _say(page: Page, x: float, y: float, words: str) -> float:
    for line in wrapped(words, 2.5, KEY - 19.0):
        page.text(x + 16, y, line, 2.5)
        y += 3.8
    return y + 3.2


def _lists(frame: Frame) -> list[Page]:
    """The pieces in laying order with what each comes to lie on."""
    rows = [_row(frame, piece) for piece in frame.laying]
    pages = []
    while rows:
        page, room = sheet(frame.plan.job, "laying sheet", "laying list", "–", "laying")
        page.text(room.left + 3, room.top + 7.5, "Laying list", 5.0, bold=True)
        page.text(room.left + 45, room.top + 7.5, "tick each as it is laid dry", 2.5)
        columns = [*COLUMNS, Column("dry", 12)]
        scale = (room.width - 6.0) / sum(column.width for column in columns)
        columns = [Column(c.head, c.width * scale, c.figures, c.bold) for c in columns]
        _, drawn = table(page, room.left + 3, room.top + 10, columns, rows, room.bottom - 2)
        if not drawn:
            raise AssertionError("a row of the laying list is higher than a sheet")
        pages.append(page)
        rows = rows[drawn:]
    return pages


def _row(frame: Frame, piece: Piece) -> list[str]:
    up = "underside as drawn" if piece.place.turned_over else "top as drawn"
    on = [f"{frame.pieces[half.mate].mark} ({half.kind})" for half in piece.halves if not half.under]
    later = [f"{frame.pieces[half.mate].mark} ({half.kind})" for half in piece.halves if half.under]
    return [
        str(piece.order),
        piece.mark,
        frame.types[piece.type].name,
        " + ".join(piece.walls),
        up,
        f"plan {datum_side(piece)}",
        ", ".join(on) or "the wall alone",
        ", ".join(later) or "nothing",
        "☐",
    ]
