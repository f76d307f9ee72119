"""plan.dxf, and pieces/T1.dxf …: a frame in plan, and each type's top and sides, as outlines in millimetres.

The plan stands at the plan file's own coordinates. A type is drawn in its piece frame: the top view with x along
the piece and y across it, the sides above it with the same x and z up the sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from platemodel.export.checked import write_checked
from platemodel.export.dxf import Drawing
from platemodel.frame.shape import Shape
from platemodel.frame.strip import Pair
from platemodel.frame.values import Frame, Piece, Type
from platemodel.plan.leaves import leaf_outline
from platemodel.plan.values import Plan, Point

LEAF, OUTER, CENTRE = "WALL-LEAF", "WALL-OUTER-FACE", "WALL-CENTRE-LINE"
PLATE, LAP, MARK = "PLATE", "PLATE-LAP", "PLATE-MARK"
PLAN_LAYERS = {LEAF: 8, OUTER: 4, CENTRE: 5, PLATE: 7, LAP: 1, MARK: 3}
"""Layers of the plan with their colours: 1 red, 3 green, 4 cyan, 5 blue, 7 black on white, 8 grey."""

TOP, UPPER, LOWER = "PIECE-TOP", "PIECE-UPPER-HALF-AWAY", "PIECE-LOWER-HALF-AWAY"
SIDE, FAR, WORDS = "PIECE-SIDE", "PIECE-FAR-SIDE", "PIECE-TEXT"
TYPE_LAYERS = {TOP: 7, UPPER: 1, LOWER: 5, SIDE: 7, FAR: 7, WORDS: 3}

GAP = 50.0
"""Between the views of a type, mm."""

NOT_PROVED = "NOT PROVED"


def write_dxfs(frame: Frame, folder: Path, passed: bool) -> list[tuple[str, str]]:
    """Write all drawings into a folder; gives their paths, each with what it is."""
    (folder / "pieces").mkdir(exist_ok=True)
    write_checked(folder / "plan.dxf", plan_drawing(frame, passed).written())
    files = [("plan.dxf", "walls and plates in plan, mm")]
    for kind in frame.types:
        name = f"pieces/{kind.name}.dxf"
        write_checked(folder / name, type_drawing(frame, kind, passed).written())
        files.append((name, f"top and sides of type {kind.name}, mm"))
    return files


def plan_drawing(frame: Frame, passed: bool = True) -> Drawing:
    """Leaves, outer faces and centre lines of the walls, plates with their laps and marks, in the plan's axes."""
    drawing, plan = Drawing(dict(PLAN_LAYERS)), frame.plan
    for index in range(len(plan.walls)):
        drawing.outline(LEAF, leaf_outline(plan, index))
    for points, closed in outer_faces(plan):
        drawing.outline(OUTER, points, closed)
    for wall in plan.walls:
        if wall.shell is None:
            drawing.line(CENTRE, wall.start, wall.end)
    east, north = frame.origin
    for piece in frame.pieces:
        drawing.outline(PLATE, frame.runs[piece.run].strip.corners(piece.low, piece.high))
    for joint in frame.joints:
        drawing.outline(LAP, [(x + east, y + north) for x, y in joint.outline])
    for piece in frame.pieces:
        _mark(drawing, frame, piece)
    if not passed:
        drawing.text(MARK, NOT_PROVED, frame.origin, 5 * plan.plate.width)
    return drawing


def outer_faces(plan: Plan) -> list[tuple[list[Point], bool]]:
    """The corners of each shell on the outer face of its leaf, and whether it is closed."""
    found = []
    for shell in range(len(plan.shells)):
        legs = [wall for wall in plan.walls if wall.shell == shell]
        closed = legs[0].before is not None
        found.append(([wall.start for wall in legs] + ([] if closed else [legs[-1].end]), closed))
    return found


def _ends(low: Pair, high: Pair, width: float) -> list[Point]:
    """The corners between two lines across a strip, anticlockwise."""
    return [(low[0], 0.0), (high[0], 0.0), (high[1], width), (low[1], width)]


def _mark(drawing: Drawing, frame: Frame, piece: Piece) -> None:
    """The mark of a piece at its middle, along it, and never head down."""
    strip = frame.runs[piece.run].strip
    height = strip.width / 2
    middle = (sum(piece.low) + sum(piece.high)) / 4
    angle = math.degrees(math.atan2(strip.direction[1], strip.direction[0]))
    # upright from just over -90 to 90 degrees
    down = not -90.0 + 1e-6 < angle <= 90.0 + 1e-6
    at = strip.point(middle, strip.width * (0.75 if down else 0.25))
    drawing.text(MARK, piece.mark, at, height, angle + 180.0 if down else angle)


def type_drawing(frame: Frame, kind: Type, passed: bool = True) -> Drawing:
    """A type's top view with what is sawn away, its sides at y = 0 and, seen through, at y = width."""
    drawing, shape = Drawing(dict(TYPE_LAYERS)), kind.shape
    drawing.outline(TOP, _ends(shape.low, shape.high, shape.width))
    for cut in shape.cuts:
        drawing.outline(UPPER if cut.upper else LOWER, _ends(cut.low, cut.high, shape.width))
    height = shape.width / 5
    rise = shape.width + GAP
    for edge, layer, where in ((0, SIDE, "side at y = 0"), (1, FAR, f"side at y = {shape.width:g}, seen through")):
        drawing.outline(layer, [(x, rise + z) for x, z in side(shape, edge)])
        drawing.text(WORDS, where, (0.0, rise + shape.depth + height / 2), height)
        rise += shape.depth + GAP
    for row, words in enumerate(_words(frame, kind, passed)):
        drawing.text(WORDS, words, (0.0, -(2 + 1.6 * row) * height), height)
    return drawing


def side(shape: Shape, edge: int) -> list[Point]:
    """The outline (x, z) of a piece's side, anticlockwise: ``edge`` 0 at y = 0, 1 at y = width."""
    return [(line[edge], z) for line, z in shape.profile()]


def _words(frame: Frame, kind: Type, passed: bool) -> Sequence[str]:
    shape = kind.shape
    pieces = [frame.pieces[index] for index in kind.pieces]
    up = [piece.mark for piece in pieces if not piece.place.turned_over]
    over = [piece.mark for piece in pieces if piece.place.turned_over]
    words = [
        f"{kind.name}: {len(pieces)} off, {shape.width:g} x {shape.depth:g} {frame.plan.plate.grade}, "
        f"{shape.length:.1f} long, mm",
        *([f"laid as drawn: {', '.join(up)}"] if up else []),
        *([f"laid turned over about its length: {', '.join(over)}"] if over else []),
    ]
    return words if passed else [NOT_PROVED, *words]
