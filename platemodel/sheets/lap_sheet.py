"""The sheet of laps: each kind that occurs, exploded and isometric, in the order of assembly."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from shapely import MultiPoint, box
from shapely.geometry.base import BaseGeometry

from platemodel.frame.values import Frame, Joint
from platemodel.sheets.form import Room, scale_for, sheet
from platemodel.sheets.isometric import (
    LIFT,
    Part,
    draw_drop,
    draw_part,
    extent,
    parts_of_joint,
    projected,
    shift_up,
    tip,
)
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import fitted, wrapped
from platemodel.sheets.page import THIN, WIDE, XY, Page
from platemodel.sheets.plan_labels import boxed

CELL = (84.0, 70.0)
"""Least width and height of a lap's drawing with its words, mm on paper."""
_LABEL = tuple((away, aside) for away in (4.0, 6.0, 9.0, 12.0, 16.0, 20.0) for aside in (0.0, 7.0, -7.0, 12.0, -12.0))
"""Where a mark is tried beyond its piece's end: how far on and how far aside, mm on paper."""
HEAD = 10.0
"""Height of the sheet's heading (mm)."""
SIDES, ABOVE, BELOW = 10.0, 9.0, 17.0
"""Room of a lap's words beside, above and below its drawing, mm on paper."""


@dataclass(frozen=True)
class Kind:
    """A kind of lap that occurs: its name in words, and its joints, that laid first first."""

    words: str
    joints: tuple[Joint, ...]


def kinds_of_lap(frame: Frame) -> list[Kind]:
    """The kinds of lap that occur: by kind, by which piece ends under or over, and by angle."""
    found: dict[tuple[int, float, str], list[Joint]] = {}
    for joint in frame.joints:
        order = ("corner", "tee", "cross", "splice").index(joint.lap.kind)
        angle = round(joint.lap.angle, 1) if joint.lap.kind != "splice" else 90.0
        found.setdefault((order, -angle, _words(frame, joint)), []).append(joint)
    return [
        Kind(words, tuple(sorted(joints, key=lambda joint: _laid(frame, joint))))
        for (_, _, words), joints in sorted(found.items(), key=lambda item: item[0])
    ]


def _laid(frame: Frame, joint: Joint) -> tuple[int, int]:
    return frame.pieces[joint.over].order, frame.pieces[joint.under].order


def _words(frame: Frame, joint: Joint) -> str:
    kind, angle = joint.lap.kind, joint.lap.angle
    oblique = f", {angle:.1f}°" if kind != "splice" and angle < 89.95 else ""
    if kind != "tee":
        return kind + oblique
    over = frame.pieces[joint.over]
    ends = next(half.ends for half in over.halves if frame.joints[half.joint] is joint)
    return f"tee, its end {'OVER' if ends else 'UNDER'}{oblique}"


def lap_sheets(frame: Frame) -> list[Page]:
    """A drawing a kind of lap."""
    kinds = kinds_of_lap(frame)
    if not kinds:
        return []
    _, room = sheet(frame.plan.job, "", "", "", "")
    columns, rows, scale = _grid(frame, kinds, room)
    pages: list[Page] = []
    while kinds:
        page, room = sheet(frame.plan.job, "laying sheet", "the laps, exploded", "as noted", "laps")
        page.text(room.left + 3, room.top + 7.5, "The laps as they go together", 5.0, bold=True)
        words = "the under half is laid first; the over half is dropped straight down on it"
        page.text(room.right - 3, room.top + 7.5, words, 2.5, "end")
        wide, high = room.width / columns, (room.height - HEAD) / rows
        for number, kind in enumerate(kinds[: columns * rows]):
            left = room.left + number % columns * wide
            top = room.top + HEAD + number // columns * high
            page.box(left, top, wide, high, THIN)
            _kind(page, frame, kind, Room(left, top, left + wide, top + high), scale)
        pages.append(page)
        kinds = kinds[columns * rows :]
    return pages


def _grid(frame: Frame, kinds: Sequence[Kind], room: Room) -> tuple[int, int, float]:
    """Columns and rows of laps, and the one scale at which all are drawn: the largest, on no more pages than need be.

    Of arrangements with one scale the one whose drawings fill the sheet best.
    """
    sizes = [extent(_parts(frame, kind)) for kind in kinds]
    wide, high = (max(box[2 + axis] - box[axis] for box in sizes) for axis in (0, 1))
    most = [max(1, int(size // cell)) for size, cell in zip((room.width, room.height - HEAD), CELL, strict=True)]
    count = min(len(kinds), most[0] * most[1])
    found = []
    for columns in range(1, most[0] + 1):
        rows = -(-count // columns)
        if rows > most[1]:
            continue
        across, down = room.width / columns - 2 * SIDES, (room.height - HEAD) / rows - ABOVE - BELOW
        found.append((max(scale_for(wide, across, 2.0), scale_for(high, down, 2.0)), columns * rows, columns, rows))
    scale, _, columns, rows = min(found)
    return columns, rows, scale


def _parts(frame: Frame, kind: Kind) -> list[Part]:
    """The parts of a kind's first joint, the over one lifted."""
    parts = parts_of_joint(frame, kind.joints[0])
    parts[1] = shift_up(parts[1], LIFT * frame.plan.plate.depth)
    return parts


def _kind(page: Page, frame: Frame, kind: Kind, room: Room, scale: float) -> None:
    joint = kind.joints[0]
    under, over = frame.pieces[joint.under], frame.pieces[joint.over]
    lift = LIFT * frame.plan.plate.depth
    parts = _parts(frame, kind)
    left, top, right, bottom = extent(parts)
    drawing = Room(room.left + SIDES, room.top + ABOVE, room.right - SIDES, room.bottom - BELOW)
    at = (
        (drawing.left + drawing.right) / 2 - (left + right) / 2 / scale,
        (drawing.top + drawing.bottom) / 2 - (top + bottom) / 2 / scale,
    )
    draw_part(page, parts[0], at, scale, WIDE)
    draw_drop(page, frame, joint, at, scale, lift)
    draw_part(page, parts[1], at, scale, WIDE)
    taken = Taken()
    hulls = [
        MultiPoint([(at[0] + x / scale, at[1] + y / scale) for x, y in map(projected, part.vertices)]).convex_hull
        for part in parts
    ]
    for piece, part in ((under, parts[0]), (over, parts[1])):
        _label(page, piece.mark, part, at, scale, taken, room, hulls)
    page.text(room.left + 3, room.top + 5.5, fitted(kind.words, 3.5, room.width - 26, bold=True), 3.5, bold=True)
    page.text(room.right - 3, room.top + 5.5, f"1:{scale:g}", 2.5, "end")
    words = f"1st: {under.mark} UNDER (laid {under.order}); 2nd: {over.mark} OVER (laid {over.order})"
    page.text(room.left + 3, room.bottom - 11.0, fitted(words, 2.5, room.width - 6), 2.5, bold=True)
    marks = ", ".join(f"{joint.id}" for joint in kind.joints)
    lines = wrapped(f"{len(kind.joints)} so: {marks} (under first)", 2.5, room.width - 6)
    for number, line in enumerate(lines[:2]):
        text = line if number == 0 or len(lines) <= 2 else fitted(line + " …", 2.5, room.width - 6)
        page.text(room.left + 3, room.bottom - 6.8 + number * 3.9, text, 2.5)


def _label(
    page: Page, mark: str, part: Part, at: XY, scale: float, taken: Taken, room: Room, hulls: Sequence[BaseGeometry]
) -> None:
    """A piece's mark beyond its end in the picture, clear of the other's and of both pieces where it can be."""
    (x, y), (dx, dy) = tip(part)
    x, y = at[0] + x / scale, at[1] + y / scale
    for off, (away, aside) in itertools.product((hulls, ()), _LABEL):
        u, v = x + dx * away - dy * aside, y + dy * away + dx * aside
        left, top, right, bottom = bounds = text_box(u, v, mark, 3.5, 0.0, pad=1.0)
        inside = room.left + 1 < left and right < room.right - 1 and room.top + 8 < top and bottom < room.bottom - 15
        if inside and not any(hull.intersects(box(*bounds)) for hull in off) and taken.claim(bounds):
            boxed(page, u, v, mark, 3.5, 0.0)
            return
