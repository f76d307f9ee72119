"""Strips: the straight bands that plates lie in, and where two of them cross.

A strip has a direction and a width. Inside it a place is (s, t): s along the direction, t across it
from the right edge (t = 0) to the left edge (t = width), mm. A line that crosses a strip is told
by its :data:`Pair`: s where it meets the right edge and s where it meets the left edge.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

Point = tuple[float, float]
Pair = tuple[float, float]


@dataclass(frozen=True)
class Strip:
    """An endless straight band: a point on its right edge, a unit direction, a width in mm."""

    origin: Point
    direction: Point
    width: float

    def point(self, s: float, t: float) -> Point:
        """The plan point at (s, t)."""
        (x, y), (ux, uy) = self.origin, self.direction
        return x + s * ux - t * uy, y + s * uy + t * ux

    def place(self, point: Point) -> tuple[float, float]:
        """The (s, t) of a plan point."""
        dx, dy = point[0] - self.origin[0], point[1] - self.origin[1]
        ux, uy = self.direction
        return dx * ux + dy * uy, dy * ux - dx * uy

    def turned(self) -> Strip:
        """The same band run through the other way."""
        ux, uy = self.direction
        return Strip(self.point(0.0, self.width), (-ux, -uy), self.width)

    def sine(self, other: Strip) -> float:
        """Sine of the turn from this direction to the other's; positive to the left."""
        (ax, ay), (bx, by) = self.direction, other.direction
        return ax * by - ay * bx

    def angle(self, other: Strip) -> float:
        """The acute angle between the two, degrees from 0 to 90."""
        (ax, ay), (bx, by) = self.direction, other.direction
        return math.degrees(math.atan2(abs(ax * by - ay * bx), abs(ax * bx + ay * by)))

    def crossing(self, other: Strip, offset: float) -> Pair:
        """Where the line at ``offset`` across ``other`` crosses this strip. They may not be parallel."""
        sine = self.sine(other)
        (ux, uy) = other.direction
        base = other.point(0.0, offset)
        pair = []
        for t in (0.0, self.width):
            x, y = self.point(0.0, t)
            pair.append(((base[0] - x) * uy - (base[1] - y) * ux) / sine)
        return pair[0], pair[1]

    def crossings(self, other: Strip) -> tuple[Pair, Pair]:
        """Where the two edges of ``other`` cross this strip, the lower pair first."""
        first, second = self.crossing(other, 0.0), self.crossing(other, other.width)
        return (first, second) if sum(first) <= sum(second) else (second, first)

    def corners(self, low: Pair, high: Pair) -> tuple[Point, Point, Point, Point]:
        """The quadrilateral between two crossing lines, anticlockwise in plan."""
        return (
            self.point(low[0], 0.0),
            self.point(high[0], 0.0),
            self.point(high[1], self.width),
            self.point(low[1], self.width),
        )


def shifted(pair: Pair, by: float) -> Pair:
    """A crossing line moved along the strip."""
    return pair[0] + by, pair[1] + by


def area_between(low: Pair, high: Pair, width: float) -> float:
    """Area of a strip between two crossing lines, mm2."""
    return width * ((high[0] - low[0]) + (high[1] - low[1])) / 2


def least_between(low: Pair, high: Pair) -> float:
    """Length between two crossing lines at the edge where it is least, mm."""
    return min(high[0] - low[0], high[1] - low[1])
