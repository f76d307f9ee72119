"""The plan sheet: the plates as they lie, their marks, the walls, and the main dimensions."""

from __future__ import annotations

import math

from platemodel.frame.values import Frame, Piece
from platemodel.sheets.form import Room, scale_for, sheet
from platemodel.sheets.labels import Taken, text_box
from platemodel.sheets.lettering import width
from platemodel.sheets.page import NARROW, THIN, WIDE, Page, Pen
from platemodel.sheets.tape import whole
from platemodel.solid.colours import ROLE_COLOUR

XY = tuple[float, float]

AROUND = 24.0
"""Room about the frame for wall names and dimensions, mm on paper."""
KEY = 44.0
"""Width of the key at the right, mm on paper."""

OPENING = Pen(0.7, colour=(0.55, 0.55, 0.55))
"""The line of an opening below, beside its plate."""

_TRIES = [(height, part, off) for height in (2.5, 1.8) for off in (5.0, 6.6) for part in (0.5, 0.35, 0.65, 0.2, 0.8)]
"""Heights, parts of a wall's length and distances from it (mm on paper) at which its name is tried."""

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
    _things(page, frame, paper)
    taken = Taken()
    _flags(page, frame, paper)
    _marks(page, frame, paper, taken)
    if len({wall.shell for wall in frame.plan.walls} - {None}) == 1:
        _overall(page, frame, paper)
    _block_plates(frame, paper, taken)
    _walls(page, frame, paper, taken)
    _key(page, frame, room)
    return page


def _plates(page: Page, frame: Frame, paper: _Paper) -> None:
    for piece in sorted(frame.pieces, key=lambda piece: piece.order):
        outline = [paper(point) for point in _outline(frame, piece)]
        with page.about(piece.mark):
            page.area(outline, _light(piece))
            # a plate narrower on paper than its outlines would show only them
            page.line(outline, WIDE if piece.laid.width / paper.scale >= 3.0 else NARROW, closed=True)


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


def _walls(page: Page, frame: Frame, paper: _Paper, taken: Taken) -> None:
    """Names of walls beside their outer faces, upright or read from the right, where they find room."""
    x0, y0 = frame.origin
    for wall in frame.plan.walls:
        # outside the outer face of a shell's wall, to the left of a cross wall
        outward = -1.0 if wall.shell is not None and wall.band[0] >= 0 else 1.0
        edge = min(wall.band, key=abs) if wall.shell is not None else wall.band[1]
        turn = _reading(wall.direction)
        # a shell's wall with the length of its outer face, as it is taped
        name = wall.name if wall.shell is None else f"{wall.name}  {whole(wall.length)}"
        for height, part, off in _TRIES:
            east, north = wall.at(wall.length * part, edge + outward * off * paper.scale)
            x, y = paper((east - x0, north - y0))
            room = wall.length / paper.scale + 20.0
            if width(name, height) <= room and taken.claim(text_box(x, y, name, height, turn)):
                _centred(page, x, y, name, height, turn)
                break


def _things(page: Page, frame: Frame, paper: _Paper) -> None:
    """Openings as a chain line beside the plate, bearings as lines across it."""
    x0, y0 = frame.origin
    for opening in frame.plan.openings:
        wall = frame.plan.walls[opening.wall]
        outward = -1.0 if wall.shell is None or wall.band[0] >= 0 else 1.0
        edge = min(wall.band, key=abs) if wall.shell is not None else wall.band[0]
        ends = [wall.at(at, edge + outward * 1.2 * paper.scale) for at in (opening.begin, opening.end)]
        page.line([paper((x - x0, y - y0)) for x, y in ends], OPENING)
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


def _marks(page: Page, frame: Frame, paper: _Paper, taken: Taken) -> None:
    """Each mark on whole timber of its piece, along it, where it is clear of the others."""
    x0, y0 = frame.origin
    for piece in frame.pieces:
        strip = frame.runs[piece.run].strip
        steep = abs(strip.direction[1]) > abs(strip.direction[0])
        turn = 90.0 if steep else 0.0
        choice = None
        for height in (2.5, 1.8):
            for s in _whole_timber(frame, piece):
                east, north = strip.point(s, strip.width / 2)
                x, y = paper((east - x0, north - y0))
                box = text_box(x, y, piece.mark, height, turn, pad=0.8)
                choice = choice or (x, y, height)
                if taken.claim(box):
                    choice = (x, y, height)
                    break
            else:
                continue
            break
        if choice is not None:
            with page.about(piece.mark):
                _label(page, *choice, piece.mark, turn)


def _flags(page: Page, frame: Frame, paper: _Paper) -> None:
    """A small black flag beside each piece at its datum end, as on its cut sheet."""
    x0, y0 = frame.origin
    for piece in frame.pieces:
        strip = frame.runs[piece.run].strip
        back = piece.turn.round
        end = sum(piece.high if back else piece.low) / 2
        way = -1.0 if back else 1.0
        points = []
        for along, beside in ((2.2, 0.5), (4.8, 1.1), (2.2, 1.7)):
            east, north = strip.point(end + way * along * paper.scale, strip.width + beside * paper.scale)
            points.append(paper((east - x0, north - y0)))
        page.area(points, (0.0, 0.0, 0.0))


def _block_plates(frame: Frame, paper: _Paper, taken: Taken) -> None:
    """Keep names of walls off the plates."""
    x0, y0 = frame.origin
    for piece in frame.pieces:
        strip = frame.runs[piece.run].strip
        half = strip.width / paper.scale / 2 + 0.3
        low, high = sum(piece.low) / 2, sum(piece.high) / 2
        count = max(1, math.ceil((high - low) / paper.scale / max(2 * half, 2.0)))
        for number in range(count + 1):
            east, north = strip.point(low + (high - low) * number / count, strip.width / 2)
            x, y = paper((east - x0, north - y0))
            taken.block((x - half, y - half, x + half, y + half))


def _whole_timber(frame: Frame, piece: Piece) -> list[float]:
    """Places along a piece clear of its laps, the middle of its longest whole timber first."""
    sides = sorted(
        (side for half in piece.halves for side in frame.joints[half.joint].lap.sides if side.run == piece.run),
        key=lambda side: sum(side.low),
    )
    edges = [sum(piece.low) / 2]
    for side in sides:
        edges += [sum(side.low) / 2, sum(side.high) / 2]
    edges.append(sum(piece.high) / 2)
    spans = sorted(zip(edges[::2], edges[1::2], strict=True), key=lambda span: (round(span[0] - span[1], 3), span[0]))
    return [low + part * (high - low) for low, high in spans for part in (0.5, 0.3, 0.7, 0.15, 0.85)]


def _label(page: Page, x: float, y: float, height: float, text: str, turn: float) -> None:
    """A mark in a white box with a thin edge."""
    left, top, right, bottom = text_box(x, y, text, height, turn, pad=0.8)
    page.area([(left, top), (right, top), (right, bottom), (left, bottom)], (1.0, 1.0, 1.0))
    page.box(left, top, right - left, bottom - top, THIN)
    _centred(page, x, y, text, height, turn, bold=True)


def _centred(page: Page, x: float, y: float, text: str, height: float, turn: float, bold: bool = False) -> None:
    """A text about its middle: its baseline is half a capital below, seen along the text."""
    radians = math.radians(turn)
    page.text(
        x + math.sin(radians) * height / 2,
        y + math.cos(radians) * height / 2,
        text,
        height,
        "middle",
        bold=bold,
        turn=turn,
    )


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
    page.area([(x + 5, y - 2.2), (x + 7.6, y - 1.6), (x + 5, y - 1.0)], (0.0, 0.0, 0.0))
    page.text(x + 13, y, "datum end of a piece", 1.8)
    y += 5.5
    if frame.plan.openings:
        page.line([(x + 3, y - 1), (x + 11, y - 1)], OPENING)
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
    page.text(x + 10, y + 8, "plan north, not compass", 1.8)
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
