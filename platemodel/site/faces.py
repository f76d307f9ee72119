"""The faces of a shell's walls: as designed or as built, and how places and plates lie to them. Lengths in mm."""

from __future__ import annotations

import math
from collections.abc import Mapping

from platemodel.plan.site_values import PlacingWish
from platemodel.plan.values import Plan, Wall

XY = tuple[float, float]
Line = tuple[XY, XY]
"""The outer face of a wall, from its start to its end."""

SHORTEST = 1.0
"""A face as built, or a stretch of plate on it, that is shorter than this is none (mm)."""


def inside_of(wall: Wall) -> float:
    """1 where the shell's inside is to the left of a wall, -1 where to the right."""
    return 1.0 if sum(wall.band) > 0.0 else -1.0


def inward(face: Line, inside: float, point: XY) -> float:
    """How far a point is in from a face, mm."""
    (ax, ay), (bx, by) = face
    size = math.dist((ax, ay), (bx, by))
    return inside * ((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / size


def normal(face: Line, inside: float) -> XY:
    """The direction straight in from a face."""
    (ax, ay), (bx, by) = face
    size = math.dist((ax, ay), (bx, by))
    return -inside * (by - ay) / size, inside * (bx - ax) / size


def along(wall: Wall, point: XY) -> float:
    """How far along a wall as designed from its first corner a point is, mm."""
    ux, uy = wall.direction
    return (point[0] - wall.start[0]) * ux + (point[1] - wall.start[1]) * uy


def wanted_setback(wall: Wall) -> float:
    """The setback that a shell's wall shall have, mm."""
    return abs(wall.outer)


def leaf_of(wall: Wall) -> float:
    """The thickness of a wall's leaf, mm."""
    return wall.leaf[1] - wall.leaf[0]


def past_inner(wish: PlacingWish, wall: Wall) -> float:
    """How far a plate may stand past its leaf's inner face, mm: as is wished, or as it does by design."""
    overhang = max(0.0, max(abs(edge) for edge in wall.band) - leaf_of(wall))
    return max(wish.inner, overhang)


def best_turn(plan: Plan, walls: Mapping[int, Line]) -> tuple[XY, XY, float]:
    """The move of the design that lies nearest to faces as built in the least squares of their ends.

    Gives what it turns about, the shift, and the turn in radians.
    """
    pairs = [
        (one, other)
        for index, line in walls.items()
        for one, other in zip((plan.walls[index].start, plan.walls[index].end), line, strict=True)
    ]
    count = len(pairs)
    (ax, ay), (bx, by) = (
        (sum(pair[side][0] for pair in pairs) / count, sum(pair[side][1] for pair in pairs) / count) for side in (0, 1)
    )
    dot = sum((p[0] - ax) * (q[0] - bx) + (p[1] - ay) * (q[1] - by) for p, q in pairs)
    cross = sum((p[0] - ax) * (q[1] - by) - (p[1] - ay) * (q[0] - bx) for p, q in pairs)
    return (ax, ay), (bx - ax, by - ay), math.atan2(cross, dot)
