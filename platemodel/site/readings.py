"""What is read of a plane net: lengths, angles, offsets, each with its value at places of its points.

Units are the caller's own for lengths, degrees for angles.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

XY = tuple[float, float]


@dataclass(frozen=True)
class Distance:
    """A length from one point to another, and its standard error."""

    begin: str
    end: str
    value: float
    sd: float = 1.0

    @property
    def points(self) -> tuple[str, ...]:
        """The points it ties."""
        return self.begin, self.end

    @property
    def words(self) -> str:
        """What was read, in words."""
        return f"the length from {self.begin} to {self.end}"

    def model(self, at: Sequence[XY]) -> tuple[float, tuple[float, ...]]:
        """Its value at places of its points, and the derivatives by their x and y."""
        (ax, ay), (bx, by) = at
        size = math.hypot(bx - ax, by - ay) or 1e-300
        ux, uy = (bx - ax) / size, (by - ay) / size
        return size, (-ux, -uy, ux, uy)


@dataclass(frozen=True)
class Angle:
    """The angle at a point, anticlockwise from one point to another, and its standard error; degrees."""

    at: str
    begin: str
    end: str
    value: float
    sd: float = 1.0

    @property
    def points(self) -> tuple[str, ...]:
        """The points it ties."""
        return self.at, self.begin, self.end

    @property
    def words(self) -> str:
        """What was read, in words."""
        return f"the angle at {self.at} from {self.begin} to {self.end}"

    def model(self, at: Sequence[XY]) -> tuple[float, tuple[float, ...]]:
        """Its value at places of its points, within half a turn of what was read, and the derivatives."""
        (px, py), (ax, ay), (bx, by) = at
        ax, ay, bx, by = ax - px, ay - py, bx - px, by - py
        one, other = ax * ax + ay * ay or 1e-300, bx * bx + by * by or 1e-300
        turn = math.degrees(math.atan2(by, bx) - math.atan2(ay, ax))
        turn = self.value + (turn - self.value + 180.0) % 360.0 - 180.0
        by_a = (ay / one, -ax / one)
        by_b = (-by / other, bx / other)
        by_p = (-by_a[0] - by_b[0], -by_a[1] - by_b[1])
        return turn, tuple(math.degrees(part) for part in (*by_p, *by_a, *by_b))


@dataclass(frozen=True)
class Offset:
    """How far a point is to the left of the straight line from one point to another, and its standard error."""

    point: str
    begin: str
    end: str
    value: float
    sd: float = 1.0

    @property
    def points(self) -> tuple[str, ...]:
        """The points it ties."""
        return self.point, self.begin, self.end

    @property
    def words(self) -> str:
        """What was read, in words."""
        return f"the offset of {self.point} from the line {self.begin} to {self.end}"

    def model(self, at: Sequence[XY]) -> tuple[float, tuple[float, ...]]:
        """Its value at places of its points, and the derivatives by their x and y."""
        (px, py), (ax, ay), (bx, by) = at
        size = math.hypot(bx - ax, by - ay) or 1e-300
        ux, uy = (bx - ax) / size, (by - ay) / size
        along, off = (px - ax) * ux + (py - ay) * uy, -(px - ax) * uy + (py - ay) * ux
        part = along / size
        return off, (-uy, ux, uy * (1.0 - part), -ux * (1.0 - part), uy * part, -ux * part)


Reading = Distance | Angle | Offset


def misfit(reading: Reading, at: Mapping[str, XY]) -> float:
    """What was read less what places of points make of it."""
    return reading.value - reading.model([at[name] for name in reading.points])[0]
