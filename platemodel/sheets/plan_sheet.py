"""The plan sheet: the plates as they lie, their marks, the walls, and the main dimensions."""

from __future__ import annotations

import math

from platemodel.frame.values import Frame, Piece
from platemodel.sheets.form import Room, scale_for, sheet
from platemodel.sheets.lettering import width
from platemodel.sheets.page import CENTRE, NARROW, THIN, WIDE, Page
from platemodel.sheets.tape import whole
from platemodel.solid.colours import ROLE_COLOUR

XY = tuple[float, float]

AROUND = 24.0
"""Room about the frame for wall names and dimensions, mm on paper."""
KEY = 44.0
"""Width of the key at the right, mm on paper."""

_ROLE_WORDS = {
    "under": "under halves only",
    "over": "over halves only",
    "both": "under and over halves",
    "none": "no lap",
}


class _Paper:
    """From the frame's axes, north up, to a place on the page."""

    def __init__(self, frame: Frame, room: Room, scale: float) -> None:
        east, north = frame.size
        self.scale = scale
        self.left = room.left + (room.width - KEY - east / scale) / 2
        self.bottom = room.top + (room.height + north / scale) / 2

    def __call__(self, point: XY) -> XY:
        return self.left + point[0] / self.scale, self.bottom - point[1] / self.scale


def plan_sheet(frame: Frame) -> Page:
    """The plan of a frame on one sheet."""
    _, room = sheet(frame.plan.job, "", "", "", "")
    east, north = frame.size
    scale = max(
        scale_for(east, room.width - KEY - 2 * AROUND, 10.0),
        scale_for(north, room.height - 2 * AROUND, 10.0),
    )
    page, room = sheet(frame.plan.job, "plan", "wall plates", f"1:{scale:g}", "plan")
    paper = _Paper(frame, room, scale)
    _plates(page, frame, paper)
    _laps(page, frame, paper)
    _walls(page, frame, paper)
    _marks(page, frame, paper)
    _overall(page, frame, paper)
    _key(page, frame, room)
    return page


def _plates(page: Page, frame: Frame, paper: _Paper) -> None:
    for piece in sorted(frame.pieces, key=lambda piece: piece.order):
        outline = [paper(point) for point in _outline(frame, piece)]
        page.area(outline, _light(piece))
        page.line(outline, WIDE if paper.scale <= 100 else NARROW, closed=True)


def _outline(frame: Frame, piece: Piece) -> list[XY]:
    x, y = frame.origin
    corners = frame.runs[piece.run].strip.corners(piece.low, piece.high)
    return [(east - x, north - y) for east, north in corners]


def _light(piece: Piece) -> tuple[float, float, float]:
    red, green, blue = (1.0 - (1.0 - part) * 0.55 for part in ROLE_COLOUR[piece.role])
    return red, green, blue


def _laps(page: Page, frame: Frame, paper: _Paper) -> None:
    for joint in frame.joints:
        outline = [paper(point) for point in joint.outline]
        page.area(outline, (0.25, 0.25, 0.25) if joint.lap.kind != "splice" else (0.6, 0.6, 0.6))
        page.line(outline, THIN, closed=True)


def _walls(page: Page, frame: Frame, paper: _Paper) -> None:
    """Names of walls beside their outer faces, upright or read from the right; openings as a chain line."""
    x0, y0 = frame.origin
    for wall in frame.plan.walls:
        outer = -1.0 if wall.band[1] > 0 and wall.band[0] >= 0 else 1.0
        edge = min(wall.band, key=abs) if wall.shell is not None else wall.band[1]
        off = outer if wall.shell is not None else 1.0
        start = wall.at(wall.length / 2, edge + off * 6.6 * paper.scale)
        x, y = paper((start[0] - x0, start[1] - y0))
        turn = _reading(wall.direction)
        height = 2.5
        if width(wall.name, height) > wall.length / paper.scale:
            height = 1.8
        radians = math.radians(turn)
        # the baseline is half a letter below the middle, seen along the text
        page.text(
            x + math.sin(radians) * height / 2,
            y + math.cos(radians) * height / 2,
            wall.name,
            height,
            "middle",
            turn=turn,
        )
    for opening in frame.plan.openings:
        wall = frame.plan.walls[opening.wall]
        edge = min(wall.band, key=abs) if wall.shell is not None else wall.band[0]
        away = -1.2 if edge >= 0 and wall.band[1] > 0 else 1.2
        ends = [wall.at(at, edge + away * paper.scale) for at in (opening.begin, opening.end)]
        page.line([paper((x - x0, y - y0)) for x, y in ends], CENTRE)
    for bearing in frame.plan.bearings:
        wall = frame.plan.walls[bearing.wall]
        ends = [wall.at(bearing.at, edge) for edge in wall.band]
        page.line([paper((x - x0, y - y0)) for x, y in ends], THIN)


def _reading(direction: XY) -> float:
    """Degrees to turn a text along a direction so that it reads from below or from the right."""
    turn = math.degrees(math.atan2(direction[1], direction[0]))
    if turn > 90.0 + 1e-6:
        turn -= 180.0
    elif turn <= -90.0 + 1e-6:
        turn += 180.0
    return turn


def _marks(page: Page, frame: Frame, paper: _Paper) -> None:
    """Each mark on the longest whole timber of its piece, with its laying number."""
    for piece in frame.pieces:
        run = frame.runs[piece.run]
        reached = sum(piece.low) / 2
        best = (0.0, reached)
        sides = sorted(
            (side for half in piece.halves for side in frame.joints[half.joint].lap.sides if side.run == piece.run),
            key=lambda side: sum(side.low),
        )
        for low, high in [*((sum(s.low) / 2, sum(s.high) / 2) for s in sides), (sum(piece.high) / 2,) * 2]:
            best = max(best, (round(low - reached, 3), (reached + low) / 2))
            reached = max(reached, high)
        x0, y0 = frame.origin
        east, north = run.strip.point(best[1], run.strip.width / 2)
        x, y = paper((east - x0, north - y0))
        text = piece.mark
        half = width(text, 2.5, bold=True) / 2 + 0.8
        page.area([(x - half, y - 2.1), (x + half, y - 2.1), (x + half, y + 2.1), (x - half, y + 2.1)], (1.0, 1.0, 1.0))
        page.box(x - half, y - 2.1, 2 * half, 4.2, THIN)
        page.text(x, y + 1.25, text, 2.5, "middle", bold=True)


def _overall(page: Page, frame: Frame, paper: _Paper) -> None:
    """Overall dimensions of the frame, below and at the left."""
    east, north = frame.size
    left, bottom = paper((0.0, 0.0))
    right, top = paper((east, north))
    y = bottom + 15.0
    _dimension(page, (left, y), (right, y), (0.0, -1.0), 12.0, str(whole(east)))
    x = left - 15.0
    _dimension(page, (x, bottom), (x, top), (1.0, 0.0), 12.0, str(whole(north)))


def _dimension(page: Page, one: XY, other: XY, back: XY, reach: float, text: str) -> None:
    """A dimension line with oblique strokes, and extension lines that reach back to the feature."""
    page.line([one, other], NARROW)
    for x, y in (one, other):
        page.line([(x - back[0] * 2, y - back[1] * 2), (x + back[0] * reach, y + back[1] * reach)], THIN)
        page.line([(x - 1.2, y + 1.2), (x + 1.2, y - 1.2)], WIDE)
    x, y = (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
    if back[0]:
        page.text(x - 1.2, y, text, 3.5, "middle", bold=True, turn=90.0)
    else:
        page.text(x, y - 1.2, text, 3.5, "middle", bold=True)


def _key(page: Page, frame: Frame, room: Room) -> None:
    """What the colours and lines mean, the north point, and the counts."""
    x, y = room.right - KEY, room.top
    page.line([(x, y), (x, room.bottom)], THIN)
    page.text(x + 3, y + 6, "Key", 3.5, bold=True)
    y += 12
    roles = {piece.role for piece in frame.pieces}
    for role, words in _ROLE_WORDS.items():
        if role in roles:
            sample = next(piece for piece in frame.pieces if piece.role == role)
            box = [(x + 3, y - 2.6), (x + 11, y - 2.6), (x + 11, y + 0.6), (x + 3, y + 0.6)]
            page.area(box, _light(sample))
            page.line(box, NARROW, closed=True)
            page.text(x + 13, y, words, 1.8)
            y += 5.5
    for colour, words in (((0.25, 0.25, 0.25), "corner, tee or cross lap"), ((0.6, 0.6, 0.6), "splice")):
        box = [(x + 5.5, y - 2.6), (x + 8.7, y - 2.6), (x + 8.7, y + 0.6), (x + 5.5, y + 0.6)]
        page.area(box, colour)
        page.text(x + 13, y, words, 1.8)
        y += 5.5
    if frame.plan.openings:
        page.line([(x + 3, y - 1), (x + 11, y - 1)], CENTRE)
        page.text(x + 13, y, "opening below", 1.8)
        y += 5.5
    if frame.plan.bearings:
        page.line([(x + 7, y - 2.6), (x + 7, y + 0.6)], THIN)
        page.text(x + 13, y, "bearing on the plate", 1.8)
        y += 5.5
    y += 3
    page.line([(x + 7, y + 12), (x + 7, y)], WIDE)
    page.area([(x + 7, y - 3), (x + 8.6, y + 2.5), (x + 5.4, y + 2.5)], (0.0, 0.0, 0.0))
    page.text(x + 10, y + 3, "N", 3.5, bold=True)
    page.text(x + 10, y + 8, "y of the plan", 1.8)
    y += 20
    plate = frame.plan.plate
    mass = sum(piece.mass for piece in frame.pieces)
    widths = sorted({piece.laid.width for piece in frame.pieces})
    section = ", ".join(f"{value:g} × {plate.depth:g}" for value in widths)
    for words in (
        f"{len(frame.pieces)} pieces of {len(frame.types)} types",
        f"{len(frame.joints)} laps, {len(frame.boards)} boards",
        f"{section} {plate.grade}",
        f"{mass:.0f} kg of timber in all",
    ):
        page.text(x + 3, y, words, 1.8)
        y += 4.2
