"""Triangles that prove a corner with a tape: 3-4-5 where it is square, a closing side where it is not.

Lengths in mm. That sides of 3, 4 and 5 make a right angle, and that the larger triangle is the better: Boulder
Library, framing, checking by 3-4-5 (boulderlibrary.net/framing/checking-reference.html).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

XY = tuple[float, float]

SQUARE = 0.05
"""A corner that is off square by less is square (degrees)."""
UNITS = (100.0, 10.0)
"""Legs are 3 and 4 times a whole number of these: of 100 where the walls are long enough, else of 10."""
TAPE = 30_000.0
"""No side is longer than this: the longest tape in common use; common practice."""
OBLIQUE = 3000.0
"""The legs at an oblique corner where the walls are long enough; common practice."""


@dataclass(frozen=True)
class Triangle:
    """A triangle at a corner: both legs along the plates' outer edges, and the side that closes it.

    ``plates`` are the letters of the plates along which the legs lie, ``to`` where the legs end; ``right``: it is a
    3-4-5.
    """

    corner: str
    plates: tuple[str, str]
    at: XY
    to: tuple[XY, XY]
    angle: float
    legs: tuple[float, float]
    closing: float
    right: bool


def triangle(name: str, plates: tuple[str, str], at: XY, before: XY, after: XY) -> Triangle | None:
    """The largest triangle that fits a corner and the edges to its neighbours; None where they are too short.

    >>> triangle("A1/B1", ("A", "B"), (0.0, 0.0), (4700.0, 0.0), (0.0, 3300.0)).legs
    (4400.0, 3300.0)
    """
    rooms = math.dist(at, before), math.dist(at, after)
    ways = [((x - at[0]) / room, (y - at[1]) / room) for (x, y), room in zip((before, after), rooms, strict=True)]
    (ax, ay), (bx, by) = ways
    angle = math.degrees(math.atan2(abs(ax * by - ay * bx), ax * bx + ay * by))
    found = _three_four_five(rooms) if abs(angle - 90.0) < SQUARE else None
    if found is not None:
        legs, closing = found
    else:
        leg = min(OBLIQUE, math.floor((min(rooms) + 1e-6) / 100.0) * 100.0)
        if leg <= 0.0:
            return None
        legs, closing = (leg, leg), 2.0 * leg * math.sin(math.radians(angle) / 2)
    one, other = ((at[0] + leg * way[0], at[1] + leg * way[1]) for leg, way in zip(legs, ways, strict=True))
    return Triangle(name, plates, at, (one, other), angle, legs, closing, found is not None)


def _three_four_five(rooms: tuple[float, float]) -> tuple[tuple[float, float], float] | None:
    """Legs and closing side of the largest 3-4-5 in two lengths."""
    for unit in UNITS:
        best: tuple[int, tuple[float, float]] | None = None
        for parts in ((3.0, 4.0), (4.0, 3.0)):
            times = min(*(room / part for room, part in zip(rooms, parts, strict=True)), TAPE / 5.0)
            count = math.floor((times + 1e-6) / unit)
            if count and (best is None or count > best[0]):
                best = count, (parts[0] * unit * count, parts[1] * unit * count)
        if best is not None:
            return best[1], 5.0 * unit * best[0]
    return None
