"""The sheet of laps: each kind that occurs, exploded and isometric, in the order of assembly."""

from __future__ import annotations

from dataclasses import dataclass

from platemodel.frame.values import Frame, Joint
from platemodel.sheets.form import SCALES, Room, sheet
from platemodel.sheets.isometric import LIFT, Part, draw_drop, draw_part, extent, parts_of_joint, shift_up, tip
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import fitted, wrapped
from platemodel.sheets.page import THIN, WIDE, XY, Page
from platemodel.sheets.plan_labels import boxed

CELL = 84.0
"""Least width of a lap's drawing with its words, mm on paper."""


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
    pages: list[Page] = []
    while kinds:
        page, room = sheet(frame.plan.job, "laying sheet", "the laps, exploded", "as noted", "laps")
        page.text(room.left + 3, room.top + 7.5, "The laps as they go together", 5.0, bold=True)
        words = "the under half is laid first; the over half is dropped straight down on it"
        page.text(room.right - 3, room.top + 7.5, words, 2.5, "end")
        columns, rows = int(room.width // CELL), int((room.height - 10.0) // 70.0)
        # few kinds are drawn larger
        while columns > 2 and (columns - 1) * rows >= len(kinds):
            columns -= 1
        wide, high = room.width / columns, (room.height - 10.0) / rows
        for number, kind in enumerate(kinds[: columns * rows]):
            left = room.left + number % columns * wide
            top = room.top + 10.0 + number // columns * high
            page.box(left, top, wide, high, THIN)
            _kind(page, frame, kind, Room(left, top, left + wide, top + high))
        pages.append(page)
        kinds = kinds[columns * rows :]
    return pages


def _kind(page: Page, frame: Frame, kind: Kind, room: Room) -> None:
    joint = kind.joints[0]
    under, over = frame.pieces[joint.under], frame.pieces[joint.over]
    lift = LIFT * frame.plan.plate.depth
    parts = parts_of_joint(frame, joint)
    parts[1] = shift_up(parts[1], lift)
    left, top, right, bottom = extent(parts)
    drawing = Room(room.left + 10.0, room.top + 9.0, room.right - 10.0, room.bottom - 17.0)
    wide, high = right - left, bottom - top
    scale = next(s for s in SCALES if s >= 2 and wide / s <= drawing.width and high / s <= drawing.height)
    at = (
        (drawing.left + drawing.right) / 2 - (left + right) / 2 / scale,
        (drawing.top + drawing.bottom) / 2 - (top + bottom) / 2 / scale,
    )
    draw_part(page, parts[0], at, scale, WIDE)
    draw_drop(page, frame, joint, at, scale, lift)
    draw_part(page, parts[1], at, scale, WIDE)
    taken = Taken()
    for piece, part in ((under, parts[0]), (over, parts[1])):
        _label(page, piece.mark, part, at, scale, taken, room)
    page.text(room.left + 3, room.top + 5.5, fitted(kind.words, 3.5, room.width - 26, bold=True), 3.5, bold=True)
    page.text(room.right - 3, room.top + 5.5, f"1:{scale:g}", 2.5, "end")
    words = f"1st: {under.mark} UNDER (laid {under.order}); 2nd: {over.mark} OVER (laid {over.order})"
    page.text(room.left + 3, room.bottom - 11.0, fitted(words, 2.5, room.width - 6), 2.5, bold=True)
    marks = ", ".join(f"{joint.id}" for joint in kind.joints)
    lines = wrapped(f"{len(kind.joints)} so: {marks} (under first)", 2.5, room.width - 6)
    for number, line in enumerate(lines[:2]):
        text = line if number == 0 or len(lines) <= 2 else fitted(line + " …", 2.5, room.width - 6)
        page.text(room.left + 3, room.bottom - 6.8 + number * 3.9, text, 2.5)


def _label(page: Page, mark: str, part: Part, at: XY, scale: float, taken: Taken, room: Room) -> None:
    """A piece's mark beyond its end in the picture, clear of the other's."""
    (x, y), (dx, dy) = tip(part)
    x, y = at[0] + x / scale, at[1] + y / scale
    for away, aside in ((6.0, 0.0), (9.0, 0.0), (6.0, 7.0), (6.0, -7.0), (12.0, 0.0), (4.0, 12.0), (4.0, -12.0)):
        u, v = x + dx * away - dy * aside, y + dy * away + dx * aside
        left, top, right, bottom = box = text_box(u, v, mark, 3.5, 0.0, pad=1.0)
        inside = room.left + 1 < left and right < room.right - 1 and room.top + 8 < top and bottom < room.bottom - 15
        if inside and taken.claim(box):
            boxed(page, u, v, mark, 3.5, 0.0)
            return
