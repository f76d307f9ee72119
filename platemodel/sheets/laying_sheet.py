"""The laying sheets: in which order the pieces go down, which way each lies, and what lies over what."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import STRtree, points

from platemodel.frame.values import Frame, Joint, Piece
from platemodel.sheets.cut_tables import FACE_UP, datum_side
from platemodel.sheets.form import Room, sheet
from platemodel.sheets.labels import Box, Taken, text_box
from platemodel.sheets.lettering import width, wrapped
from platemodel.sheets.page import BLACK, EXTRA, NARROW, THIN, WHITE, XY, Page
from platemodel.sheets.plan_labels import centred
from platemodel.sheets.plan_sheet import parts_of
from platemodel.sheets.plan_view import (
    LEAST_SCALE,
    PlanView,
    block_plates,
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
PLATE = (0.93, 0.93, 0.93)
"""Plates in one light grey: colours of halves would say nothing here."""
LEADERS = (4.0, 7.0, 10.0)
"""How far a ring stands from its plate that finds no room on it, mm on paper."""
DOT = 0.6
"""Radius of the dot at a leader's end (mm), by ISO 128-2."""
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
    draw_plates(page, view, PLATE)
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


@dataclass(frozen=True)
class _Spot:
    """A ringed number and its mark as they will stand; ``leader`` is the place on the plate the ring is led from."""

    piece: Piece
    height: float
    at: XY
    mark_at: XY
    leader: XY | None = None

    @property
    def text(self) -> str:
        """The laying number."""
        return str(self.piece.order)

    @property
    def radius(self) -> float:
        """The ring's radius, mm on paper."""
        return _radius(self.text, self.height)


def _radius(text: str, height: float) -> float:
    return max(width(text, height, bold=True) / 2 + 0.9, height * 0.85)


def _smaller(height: float) -> float:
    """The height of a mark beside a number."""
    return HEIGHTS[min(HEIGHTS.index(height) + 1, len(HEIGHTS) - 1)]


def _numbers(page: Page, view: PlanView, taken: Taken, plates: Taken) -> list[str]:
    """A ringed laying number and the mark on every piece; gives those that found no room.

    All have one height where that can be: the largest at which each finds room, on its plate or beside it with a
    leader. A mark keeps off the plates, so that it is not taken for another's, unless there is no room but on one.
    """
    spots: list[_Spot] = []
    for height in HEIGHTS[:-1]:
        tried = taken.copy()
        spots = [spot for piece in view.pieces if (spot := _spot(view, tried, plates, piece, height)) is not None]
        if len(spots) == len(view.pieces):
            break
    else:
        tried = taken.copy()
        spots = []
        for piece in view.pieces:
            tries = ((off, height) for off in (plates, Taken()) for height in HEIGHTS)
            found = (_spot(view, tried, off, piece, height, leaders=False) for off, height in tries)
            spots += [spot for spot in [next((spot for spot in found if spot is not None), None)] if spot is not None]
    for spot in spots:
        _draw_spot(page, spot, taken)
    numbered = {spot.piece.mark for spot in spots}
    return [f"{piece.order} ({piece.mark})" for piece in view.pieces if piece.mark not in numbered]


def _draw_spot(page: Page, spot: _Spot, taken: Taken) -> None:
    small = _smaller(spot.height)
    with page.about(spot.piece.mark):
        if spot.leader is not None:
            page.line([spot.leader, spot.at], NARROW)
            page.area(_circle(spot.leader, DOT), BLACK)
            taken.block_line(spot.leader, spot.at)
        _ring(page, spot.at, spot.radius)
        page.text(spot.at[0], spot.at[1] + spot.height / 2, spot.text, spot.height, "middle", bold=True)
        centred(page, *spot.mark_at, _named(spot.piece), small, 0.0, bold=True)
    taken.block(_square(spot.at, spot.radius + 0.3))
    taken.block(text_box(*spot.mark_at, _named(spot.piece), small, 0.0))


def _square(at: XY, half: float) -> Box:
    return at[0] - half, at[1] - half, at[0] + half, at[1] + half


def _spot(view: PlanView, taken: Taken, off: Taken, piece: Piece, height: float, leaders: bool = True) -> _Spot | None:
    """Find room for a number: in the middle of whole timber, beside that with a leader, elsewhere on the plate."""
    spans = whole_timber(view.frame, piece)
    middle = sum(spans[0]) / 2
    on = [low + part * (high - low) for low, high in spans for part in (0.5, 0.35, 0.65, 0.2, 0.8)]
    found = _on_plate(view, taken, off, piece, height, [middle])
    if found is None and leaders:
        found = _with_leader(view, taken, off, piece, height, [sum(span) / 2 for span in spans])
    return found or _on_plate(view, taken, off, piece, height, on)


def _on_plate(
    view: PlanView, taken: Taken, off: Taken, piece: Piece, height: float, places: Sequence[float]
) -> _Spot | None:
    """A ring on the plate, the mark beside it, square to the plate."""
    strip = view.frame.runs[piece.run].strip
    half = strip.width / view.scale / 2
    steep = abs(strip.direction[1]) > abs(strip.direction[0])
    small, radius = _smaller(height), _radius(str(piece.order), height)
    away = radius + 1.0 + (width(_named(piece), small, bold=True) / 2 if steep else small / 2)
    for s in places:
        at = view.on_piece(piece, s)
        for side in (1.0, -1.0):
            spot = _Spot(piece, height, at, view.on_piece(piece, s, side * max(away, half + 2.0)))
            if _claimed(view, taken, off, spot):
                return spot
    return None


def _with_leader(
    view: PlanView, taken: Taken, off: Taken, piece: Piece, height: float, places: Sequence[float]
) -> _Spot | None:
    """A ring beside the plate with a leader to it, the mark beyond the ring or beside it."""
    half = view.frame.runs[piece.run].strip.width / view.scale / 2
    small, radius = _smaller(height), _radius(str(piece.order), height)
    wide = radius + 1.0 + width(_named(piece), small, bold=True) / 2
    high = radius + 1.0 + small / 2
    for s, aside, side in itertools.product(places, LEADERS, (1.0, -1.0)):
        leader = view.on_piece(piece, s)
        x, y = view.on_piece(piece, s, side * (half + aside + radius))
        if not taken.free_line(view.on_piece(piece, s, side * (half + 0.4)), (x, y)):
            continue
        for dx, dy in ((wide, 0.0), (-wide, 0.0), (0.0, -high), (0.0, high)):
            spot = _Spot(piece, height, (x, y), (x + dx, y + dy), leader)
            if off.free(_square((x, y), radius + 0.3)) and _claimed(view, taken, off, spot):
                taken.block_line(leader, (x, y))
                return spot
    return None


def _claimed(view: PlanView, taken: Taken, off: Taken, spot: _Spot) -> bool:
    """Take the room of a number and its mark if it is free; says whether it was."""
    ring = _square(spot.at, spot.radius + 0.3)
    box = text_box(*spot.mark_at, _named(spot.piece), _smaller(spot.height), 0.0)
    # beside a frame that is shown whole there is a margin, of which some stays free
    room, more = view.room, 0.0 if view.clipped else AROUND - 3.0
    inside = all(
        room.left - more <= x <= room.right + more and room.top - more <= y <= room.bottom + more
        for x, y in (ring[:2], ring[2:], box[:2], box[2:])
    )
    return inside and off.free(box) and taken.claim_all([ring, box])


def _ring(page: Page, at: XY, radius: float) -> None:
    circle = _circle(at, radius)
    page.area(circle, WHITE)
    page.line(circle, NARROW, closed=True)


def _circle(at: XY, radius: float) -> list[XY]:
    return [(at[0] + radius * math.cos(turn), at[1] + radius * math.sin(turn)) for turn in _TURNS]


_TURNS = tuple(math.radians(turn) for turn in range(0, 360, 15))


def _named(piece: Piece) -> str:
    """A piece's mark, with the sign of its face where it lies turned over."""
    return f"{piece.mark} {FACE_UP[True]}" if piece.place.turned_over else piece.mark


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
    y = _say(
        page,
        x,
        y,
        "the way from the datum end (flag on the cut sheet) to the other end, wherever it stands beside the piece",
    )
    if any(piece.place.turned_over for piece in frame.pieces):
        page.text(x + 8, y, FACE_UP[True], 3.5, "middle", bold=True)
        y = _say(page, x, y, "turned over: its underside as drawn is UP")
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
    over = piece.place.turned_over
    up = f"{FACE_UP[over]} {'UNDERSIDE as drawn: turn it over' if over else 'top as drawn'}"
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
