"""Laps drawn isometric, the over piece lifted off the under one, hidden faces left out.

The view is that of ISO 5456-3: east, north and up 120 degrees apart on paper, equally reduced. Pieces
are two flat layers, so drawing their faces from back to front hides what is hidden.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame.shape import Cut, Shape, Vertex, face_normal
from platemodel.frame.strip import Pair, Point
from platemodel.frame.values import Frame, Joint, Piece
from platemodel.sheets.page import THIN, XY, Colour, Page, Pen
from platemodel.solid.colours import ROLE_COLOUR

COS, SIN = math.cos(math.radians(30.0)), 0.5
TOWARDS: Vertex = (1.0, -1.0, 1.0)
"""The way to the eye: it looks from the south-east and above."""

LIFT = 3.0
"""How far the over piece is lifted, in depths of the plate."""
BEYOND = 1.2
"""How much of a piece is shown on either side of a lap, in widths of the plate."""
DROP = Pen(0.18, (2.0, 1.0))


@dataclass(frozen=True)
class Part:
    """A stretch of a piece about a lap, in the frame's axes, about the lap's middle."""

    vertices: tuple[Vertex, ...]
    faces: tuple[tuple[int, ...], ...]
    order: tuple[int, ...]
    colour: Colour
    real: frozenset[int]


def projected(point: Vertex) -> XY:
    """A point in mm to paper at full size, y down."""
    x, y, z = point
    # east runs to the right and down, north to the right and up
    return (x + y) * COS, (x - y) * SIN - z


def facing(frame: Frame, joint: Joint) -> float:
    """Degrees to turn a joint for its picture, so that neither piece points at the eye."""
    ways = [frame.runs[frame.pieces[index].run].strip.direction for index in (joint.under, joint.over)]
    angles = [math.degrees(math.atan2(north, east)) for east, north in ways]
    if joint.lap.kind == "splice" or joint.lap.angle > 80.0:
        # along the axes of the picture
        return -angles[0]

    def worst(turn: int) -> float:
        return round(max(abs(math.cos(math.radians(angle + turn + 45.0))) for angle in angles), 6)

    return float(min(range(0, 360, 15), key=lambda turn: (worst(turn), turn)))


def parts_of_joint(frame: Frame, joint: Joint) -> list[Part]:
    """The parts of the two pieces that meet in a joint, the under one first, turned for the picture."""
    turn = facing(frame, joint)
    return [_part(frame, joint, frame.pieces[index], turn) for index in (joint.under, joint.over)]


def turned(point: Point, degrees: float) -> Point:
    """A point turned about the origin, anticlockwise."""
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    return point[0] * cos - point[1] * sin, point[0] * sin + point[1] * cos


def _part(frame: Frame, joint: Joint, piece: Piece, turn: float) -> Part:
    number = next(n for n, half in enumerate(piece.halves) if frame.joints[half.joint] is joint)
    laid = piece.laid
    cut = laid.cuts[len(laid.cuts) - 1 - number if piece.turn.round else number]
    reach = BEYOND * laid.width
    low, high = _stretch(laid, cut, reach)
    shape = Shape(laid.width, laid.depth, low, high, (cut,))
    vertices, faces = shape.polyhedron()
    strip = frame.runs[piece.run].strip
    base = min(piece.low)
    placed = []
    for s, t, z in vertices:
        east, north = strip.point(base + s, t)
        place = east - frame.origin[0] - joint.at[0], north - frame.origin[1] - joint.at[1]
        placed.append((*turned(place, turn), z))
    ends = [line for line in (low, high) if line in (laid.low, laid.high)]
    real = {
        index
        for index, face in enumerate(faces)
        if index < 2 or not _across(vertices, face, low, high) or any(_on(vertices, face, line) for line in ends)
    }
    return Part(
        tuple(placed),
        tuple(faces),
        _back_to_front(placed, vertices, faces, turned(strip.direction, turn)),
        ROLE_COLOUR["under" if frame.pieces[joint.under] is piece else "over"],
        frozenset(real),
    )


def _stretch(shape: Shape, cut: Cut, reach: float) -> tuple[Pair, Pair]:
    """The lines between which a piece is shown: square ones where it goes on, its own where it ends."""
    begin, end = min(cut.low) - reach, max(cut.high) + reach
    low = shape.low if cut.low == shape.low or begin <= max(shape.low) else (begin, begin)
    high = shape.high if cut.high == shape.high or end >= min(shape.high) else (end, end)
    return low, high


def _on(vertices: Sequence[Vertex], face: tuple[int, ...], line: Pair) -> bool:
    return all(abs(vertices[index][0] - line[bool(vertices[index][1])]) < 1e-6 for index in face)


def _across(vertices: Sequence[Vertex], face: tuple[int, ...], low: Pair, high: Pair) -> bool:
    """Whether a face is one of the two ends of the stretch."""
    return _on(vertices, face, low) or _on(vertices, face, high)


def _back_to_front(
    placed: Sequence[Vertex], local: Sequence[Vertex], faces: Sequence[tuple[int, ...]], direction: Point
) -> tuple[int, ...]:
    """The faces that are seen, in drawing order: from below, along the piece towards the eye, its side last."""
    seen = []
    along = direction[0] * TOWARDS[0] + direction[1] * TOWARDS[1]
    for index, face in enumerate(faces):
        normal = face_normal([placed[corner] for corner in face])
        if sum(a * b for a, b in zip(normal, TOWARDS, strict=True)) <= 1e-9:
            continue
        s = sum(local[corner][0] for corner in face) / len(face)
        z = sum(local[corner][2] for corner in face) / len(face)
        # the lower layer's faces lie behind the upper layer's, and all behind the side
        seen.append((index < 2, round(z, 6), s if along > 0 else -s, index))
    return tuple(index for *_, index in sorted(seen))


def shift_up(part: Part, by: float) -> Part:
    """A part lifted by a height in mm."""
    return Part(tuple((x, y, z + by) for x, y, z in part.vertices), part.faces, part.order, part.colour, part.real)


def extent(parts: Sequence[Part]) -> tuple[float, float, float, float]:
    """The box that parts take on paper at full size: left, top, right, bottom."""
    points = [projected(vertex) for part in parts for vertex in part.vertices]
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def draw_part(page: Page, part: Part, at: XY, scale: float, pen: Pen) -> None:
    """Draw a part about a place on paper; faces where it only is cut off for the picture are thin."""
    for index in part.order:
        face = part.faces[index]
        outline = []
        for corner in face:
            x, y = projected(part.vertices[corner])
            outline.append((at[0] + x / scale, at[1] + y / scale))
        page.area(outline, _shade(part, index))
        page.line(outline, pen if index in part.real else THIN, closed=True)


def _shade(part: Part, index: int) -> Colour:
    """Tops light, sides darker, so that the solid is seen in grey too."""
    normal = face_normal([part.vertices[corner] for corner in part.faces[index]])
    up = normal[2] > 0.5 * math.sqrt(sum(value * value for value in normal))
    keep = 0.35 if up else 0.75
    if index not in part.real:
        return (1.0, 1.0, 1.0)
    red, green, blue = (1.0 - (1.0 - value) * keep for value in part.colour)
    return red, green, blue


def draw_drop(page: Page, frame: Frame, joint: Joint, at: XY, scale: float, lift: float) -> None:
    """Dashed lines straight down from the lifted lap to where it comes to lie."""
    half = frame.plan.plate.depth / 2
    turn = facing(frame, joint)
    for x, y in joint.outline:
        dx, dy = turned((x - joint.at[0], y - joint.at[1]), turn)
        points = [projected((dx, dy, z)) for z in (half, half + lift)]
        page.line([(at[0] + u / scale, at[1] + v / scale) for u, v in points], DROP)


def tip(part: Part) -> tuple[XY, XY]:
    """Where on paper at full size a part ends farthest from its lap, and the way out there."""
    points = [projected(vertex) for vertex in part.vertices]
    out = (sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points))
    base = projected((0.0, 0.0, sum(z for *_, z in part.vertices) / len(part.vertices)))
    dx, dy = out[0] - base[0], out[1] - base[1]
    size = math.hypot(dx, dy)
    # a part with its lap in the middle goes on both ways: its right end is labelled
    way = (dx / size, dy / size) if size > 1.0 else _end_way(points)
    ends = sorted(points, key=lambda point: point[0] * way[0] + point[1] * way[1])[-4:]
    return (sum(x for x, _ in ends) / len(ends), sum(y for _, y in ends) / len(ends)), way


def _end_way(points: Sequence[XY]) -> XY:
    right = max(points)
    left = min(points)
    size = math.hypot(right[0] - left[0], right[1] - left[1]) or 1.0
    return (right[0] - left[0]) / size, (right[1] - left[1]) / size
