"""The plates seen from above, drawn into a part of a page; every sheet that shows the frame uses it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from shapely import LineString, Polygon, clip_by_rect, get_coordinates

from platemodel.frame.laps import Side
from platemodel.frame.values import Frame, Piece
from platemodel.plan.values import Wall
from platemodel.sheets.form import SCALES, Room
from platemodel.sheets.labels import Box, Taken
from platemodel.sheets.page import BLACK, NARROW, THIN, WIDE, XY, Colour, Page, Pen
from platemodel.solid.colours import ROLE_COLOUR

LAP: Colour = (0.25, 0.25, 0.25)
SPLICE: Colour = (0.6, 0.6, 0.6)
OPENING = Pen(0.7, colour=(0.55, 0.55, 0.55))
"""The line of an opening below, beside its plate."""

ROLE_LETTER = {"under": "U", "over": "O", "both": "UO", "none": "–"}
"""What halves a piece has, in letters, so that no one depends on colours."""

TICK = 1.6
"""How far a bearing's line leads beyond the plate's inner edge, mm on paper."""
OVER_LABEL = 2.8
"""How far it leads at least from the plate's middle, out from under a label (mm on paper)."""
FACE_APART = 1.1
"""The outer face of a wall is drawn where it lies this far off its plate, mm on paper: ISO 128-2 wants 0.7 clear."""

LEAST_SCALE = 200.0
"""A frame that needs a smaller scale than this is shown in parts."""


@dataclass(frozen=True)
class PlanView:
    """From the frame's axes, north up, to a place on the page.

    ``room`` is the part of the page that may be drawn on; ``clipped``: it shows only a part of the frame,
    and ``pieces`` are those in it, in laying order.
    """

    frame: Frame
    scale: float
    left: float
    bottom: float
    room: Room
    pieces: tuple[Piece, ...]
    clipped: bool = False

    def __call__(self, point: XY) -> XY:
        """The place on the page of a point in the frame's axes."""
        return self.left + point[0] / self.scale, self.bottom - point[1] / self.scale

    def of_plan(self, point: XY) -> XY:
        """The place on the page of a point in the plan's axes."""
        x, y = self.frame.origin
        return self((point[0] - x, point[1] - y))

    def outline(self, piece: Piece) -> list[XY]:
        """A piece's outline on the page, as far as it is shown; nothing where it is not."""
        corners = self.frame.runs[piece.run].strip.corners(piece.low, piece.high)
        return self.cut_area([self.of_plan(point) for point in corners])

    def on_piece(self, piece: Piece, s: float, aside: float = 0.0) -> XY:
        """The place at s along a piece's run, on its centre line or ``aside`` mm on paper to its left."""
        strip = self.frame.runs[piece.run].strip
        return self.of_plan(strip.point(s, strip.width / 2 + aside * self.scale))

    def shows(self, points: Iterable[XY]) -> bool:
        """Whether places on the page all lie in the part that is shown."""
        room = self.room
        return not self.clipped or all(room.left <= x <= room.right and room.top <= y <= room.bottom for x, y in points)

    def cut_area(self, outline: Sequence[XY]) -> list[XY]:
        """What of a convex area is shown."""
        if self.shows(outline):
            return list(outline)
        room = self.room
        part = clip_by_rect(Polygon(outline), room.left, room.top, room.right, room.bottom)
        # an area that only touches the room's edge comes back as less than an area
        return [] if part.area < 1e-6 else [(x, y) for x, y in get_coordinates(part).tolist()[:-1]]

    def cut_line(self, ends: Sequence[XY]) -> list[XY]:
        """What of a straight line is shown."""
        if self.shows(ends):
            return list(ends)
        room = self.room
        part = clip_by_rect(LineString(ends), room.left, room.top, room.right, room.bottom)
        return [(x, y) for x, y in get_coordinates(part).tolist()]


def whole_view(frame: Frame, room: Room, scale: float | None = None) -> PlanView:
    """The whole frame in the middle of a room, at a standard scale or one that is given."""
    east, north = frame.size
    if scale is None:
        scale = next((s for s in SCALES if s >= 10 and east / s <= room.width and north / s <= room.height), SCALES[-1])
    left = room.left + (room.width - east / scale) / 2
    return PlanView(frame, scale, left, room.top + (room.height + north / scale) / 2, room, tuple(frame.laying))


def part_views(frame: Frame, room: Room, scale: float) -> list[PlanView]:
    """Parts of a frame at a scale, row by row from the north-west, those that show no plate left out."""
    east, north = frame.size
    columns, rows = (
        max(1, math.ceil(size / scale / most)) for size, most in ((east, room.width), (north, room.height))
    )
    wide, high = east / scale / columns, north / scale / rows
    x0, y0 = room.left + (room.width - wide) / 2, room.top + (room.height - high) / 2
    shown = Room(x0 - 0.3, y0 - 0.3, x0 + wide + 0.3, y0 + high + 0.3)
    extents = [(piece, _extent(piece)) for piece in frame.laying]
    found = []
    for row, column in itertools.product(range(rows), range(columns)):
        view = PlanView(frame, scale, x0 - column * wide, y0 + (rows - row) * high, shown, (), columns * rows > 1)
        inside = [
            piece
            for piece, (west, south, far_east, far_north) in extents
            if view((far_east, 0.0))[0] >= shown.left
            and view((west, 0.0))[0] <= shown.right
            and view((0.0, far_north))[1] <= shown.bottom
            and view((0.0, south))[1] >= shown.top
        ]
        pieces = tuple(piece for piece in inside if view.outline(piece))
        if pieces:
            found.append(replace(view, pieces=pieces))
    return found


def _extent(piece: Piece) -> tuple[float, float, float, float]:
    """Least and greatest easting and northing of a piece: west, south, east, north."""
    xs, ys = [x for x, _, _ in piece.vertices], [y for _, y, _ in piece.vertices]
    return min(xs), min(ys), max(xs), max(ys)


def light(piece: Piece) -> Colour:
    """The colour of a piece's halves, light enough for black lines and letters on it."""
    red, green, blue = (1.0 - (1.0 - part) * 0.55 for part in ROLE_COLOUR[piece.role])
    return red, green, blue


def draw_plates(page: Page, view: PlanView, colour: Colour | None = None) -> None:
    """Every piece in the colour of its halves or one that is given, those laid later over those laid before."""
    for piece in view.pieces:
        outline = view.outline(piece)
        with page.about(piece.mark):
            page.area(outline, colour or light(piece))
            # a plate narrower on paper than its outlines would show only them
            page.line(outline, WIDE if piece.laid.width / view.scale >= 3.0 else NARROW, closed=True)


def draw_laps(page: Page, view: PlanView) -> None:
    """Every lap where it lies."""
    for joint in view.frame.joints:
        outline = view.cut_area([view(point) for point in joint.outline])
        if outline:
            page.area(outline, SPLICE if joint.lap.kind == "splice" else LAP)
            page.line(outline, THIN, closed=True)


def block_plates(view: PlanView, taken: Taken) -> None:
    """Keep texts off the plates."""
    for piece in view.pieces:
        half = piece.laid.width / view.scale / 2 + 0.3
        ux, uy = view.frame.runs[piece.run].strip.direction
        # the corners of the squares lie on the edges; the more it slants, the nearer squares leave no room between
        half /= abs(ux) + abs(uy)
        apart = half / 3 if min(abs(ux), abs(uy)) > 0.05 else 2 * half
        low, high = sum(piece.low) / 2, sum(piece.high) / 2
        count = max(1, math.ceil((high - low) / view.scale / max(apart, 1.5)))
        for number in range(count + 1):
            x, y = view.on_piece(piece, low + (high - low) * number / count)
            taken.block((x - half, y - half, x + half, y + half))


def setback(wall: Wall) -> float:
    """How far the plate on a shell's wall lies in from the wall's outer face, mm."""
    return abs(outer_edge(wall)[0])


def faces_shown(view: PlanView) -> list[Wall]:
    """The walls whose outer face can be told apart from the plate at the scale."""
    walls = view.frame.plan.walls
    return [wall for wall in walls if wall.shell is not None and setback(wall) / view.scale >= FACE_APART]


def draw_things(page: Page, view: PlanView) -> list[tuple[XY, XY]]:
    """Outer faces of walls, openings as a line beside the plate, bearings as lines across it and out of it.

    Gives their lines.
    """
    plan = view.frame.plan
    drawn: list[tuple[XY, XY]] = []
    faces = faces_shown(view)
    for wall in faces:
        shown = view.cut_line([view.of_plan(wall.start), view.of_plan(wall.end)])
        if shown:
            page.line(shown, NARROW)
            drawn.append((shown[0], shown[-1]))
    for opening in plan.openings:
        wall = plan.walls[opening.wall]
        edge, outward = outer_edge(wall)
        off = (0.0 if wall in faces else edge) + outward * 1.2 * view.scale
        shown = view.cut_line([view.of_plan(wall.at(at, off)) for at in (opening.begin, opening.end)])
        if shown:
            page.line(shown, OPENING)
            drawn.append((shown[0], shown[-1]))
    for bearing in plan.bearings:
        wall = plan.walls[bearing.wall]
        edge, outward = outer_edge(wall)
        inner = edge - outward * max(wall.width + TICK * view.scale, wall.width / 2 + OVER_LABEL * view.scale)
        one, other = (view.of_plan(wall.at(bearing.at, off)) for off in (edge, inner))
        if view.shows([one, other]):
            page.line([one, other], NARROW)
            drawn.append((one, other))
    return drawn


def draw_flags(
    page: Page, view: PlanView, things: Sequence[tuple[XY, XY]] = (), lines: Sequence[tuple[XY, XY]] = ()
) -> list[Box]:
    """A small black flag beside each piece at its datum end, as on its cut sheet; gives the boxes about them.

    A flag keeps off plates and other flags, and off ``things`` and ``lines`` where it can.
    """
    hard, soft = Taken(), Taken()
    block_plates(view, hard)
    for one, other in things:
        hard.block_line(one, other)
    for one, other in lines:
        soft.block_line(one, other)
    boxes = []
    for piece in view.pieces:
        tries = [flag for flag in _flags(view, piece) if view.shows(flag)]
        found = next(
            (
                flag
                for other in (soft, Taken())
                for flag in tries
                if hard.free(_about(flag, 0.0)) and other.free(_about(flag, 0.2))
            ),
            tries[0] if tries else None,
        )
        if found is not None:
            page.area(found, BLACK)
            hard.block(_about(found, 0.8))
            boxes.append(_about(found, 0.0))
    return boxes


def _flags(view: PlanView, piece: Piece) -> list[list[XY]]:
    """Places for a piece's flag: at its outer edge or its inner one, near its datum end."""
    end, way = datum(piece)
    half = piece.laid.width / view.scale / 2
    long = (sum(piece.high) - sum(piece.low)) / 2 / view.scale
    outer = -1.0 if inner_edge(view.frame, piece) else 1.0
    return [
        [
            view.on_piece(piece, end + way * (begin + along) * view.scale, side * (half + beside))
            for along, beside in ((0.0, 0.5), (2.6, 1.1), (0.0, 1.7))
        ]
        for begin, side in itertools.product((2.2, 1.0, 4.0, 6.0), (outer, -outer))
        if begin == 2.2 or begin + 2.6 < long / 3
    ]


def _about(points: Sequence[XY], pad: float) -> Box:
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs) - pad, min(ys) - pad, max(xs) + pad, max(ys) + pad


def inner_edge(frame: Frame, piece: Piece) -> int:
    """The edge of a piece away from the outer face of its wall: 0 the right one of its run, 1 the left one."""
    run = frame.runs[piece.run]
    for index in run.walls:
        wall = frame.plan.walls[index]
        if wall.shell is not None:
            along = wall.direction[0] * run.strip.direction[0] + wall.direction[1] * run.strip.direction[1] > 0
            return int((wall.band[0] >= 0) == along)
    return 0


def datum(piece: Piece) -> tuple[float, float]:
    """Where a piece's datum end lies along its run, and 1 where the piece leads on from there, -1 where back."""
    back = piece.turn.round
    return sum(piece.high if back else piece.low) / 2, -1.0 if back else 1.0


def outer_edge(wall: Wall) -> tuple[float, float]:
    """The edge of a wall's plate beside which things stand, and the way that leads off it.

    Of a shell's wall that is the outer edge, of a cross wall its left one.
    """
    if wall.shell is None:
        return wall.band[1], 1.0
    return wall.outer, -1.0 if wall.band[0] >= 0 else 1.0


def sides_along(frame: Frame, piece: Piece) -> list[Side]:
    """A piece's sides of its laps, in order along its run."""
    found = [side for half in piece.halves for side in frame.joints[half.joint].lap.sides if side.run == piece.run]
    if any(frame.joints[half.joint].lap.kind == "splice" for half in piece.halves):
        # both sides of a splice are on one run: this piece's is the one that ends at the piece's end
        found = [side for side in found if _is_of(piece, side)]
    return sorted(found, key=lambda side: sum(side.low))


def _is_of(piece: Piece, side: Side) -> bool:
    """Whether a side of a lap is this piece's, told by the end that it makes."""
    low, high = sum(piece.low), sum(piece.high)
    if side.ends_low and abs(sum(side.low) - low) > 1e-3:
        return False
    return not (side.ends_high and abs(sum(side.high) - high) > 1e-3)


def whole_timber(frame: Frame, piece: Piece) -> list[tuple[float, float]]:
    """The stretches of a piece between its laps, along its run's middle, the longest first."""
    edges = [sum(piece.low) / 2]
    for side in sides_along(frame, piece):
        edges += [sum(side.low) / 2, sum(side.high) / 2]
    edges.append(sum(piece.high) / 2)
    return sorted(zip(edges[::2], edges[1::2], strict=True), key=lambda span: (round(span[0] - span[1], 3), span[0]))
