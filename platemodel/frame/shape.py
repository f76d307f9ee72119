"""The shape of a piece: a flat bar with half its depth taken away in places.

In the piece's own frame x runs along it, y across, z up; its bounding box starts at (0, 0, 0). A
cut takes the upper or the lower half of the depth between two lines across the piece, so the shape
is two flat layers of equal depth and all its corners are known exactly.
"""

from __future__ import annotations

import functools
import hashlib
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.strip import Pair, area_between, shifted

ALIKE = 1e-5
"""Pieces all of whose corners agree within this are the same solid (mm)."""

Vertex = tuple[float, float, float]
Loop = tuple[int, ...]


@dataclass(frozen=True)
class Cut:
    """Half the depth taken away between two lines: the upper half or the lower (``upper`` False)."""

    low: Pair
    high: Pair
    upper: bool


@dataclass(frozen=True)
class Turn:
    """Half-turns about a piece's middle: end for end about the vertical, and over about its long axis."""

    round: bool = False
    over: bool = False


TURNS = (Turn(), Turn(round=True), Turn(over=True), Turn(round=True, over=True))


@dataclass(frozen=True)
class Shape:
    """A piece between the lines ``low`` and ``high`` across it, less its cuts in order (mm)."""

    width: float
    depth: float
    low: Pair
    high: Pair
    cuts: tuple[Cut, ...]

    @property
    def length(self) -> float:
        """Length of the bounding box, mm."""
        return max(self.high) - min(self.low)

    @property
    def volume(self) -> float:
        """Exact volume from the layers, mm3."""
        whole = area_between(self.low, self.high, self.width)
        cut = sum(area_between(cut.low, cut.high, self.width) for cut in self.cuts)
        return (whole - cut / 2) * self.depth

    @property
    def area(self) -> float:
        """Exact surface area, mm2."""
        vertices, faces = self.polyhedron()
        return sum(face_area(vertices, face) for face in faces)

    def at_origin(self) -> Shape:
        """The same shape with its bounding box at x = 0."""
        by = -min(self.low)
        cuts = tuple(Cut(shifted(cut.low, by), shifted(cut.high, by), cut.upper) for cut in self.cuts)
        return Shape(self.width, self.depth, shifted(self.low, by), shifted(self.high, by), cuts)

    def turned(self, turn: Turn) -> Shape:
        """The shape after half-turns inside its own bounding box, which starts at x = 0."""
        cuts = [
            Cut(*self._turned_lines(cut.low, cut.high, turn), cut.upper != turn.over)
            for cut in (reversed(self.cuts) if turn.round else self.cuts)
        ]
        low, high = self._turned_lines(self.low, self.high, turn)
        return Shape(self.width, self.depth, low, high, tuple(cuts))

    def _turned_lines(self, low: Pair, high: Pair, turn: Turn) -> tuple[Pair, Pair]:
        return turned_lines(low, high, turn, self.length)

    def profile(self) -> tuple[tuple[Pair, float], ...]:
        """The outline seen from the side, anticlockwise from y = 0: each corner's line and height."""
        half = self.depth / 2
        bottom: list[tuple[Pair, float]] = []
        top: list[tuple[Pair, float]] = []
        for low, high, cut in self._stretches():
            _extend(bottom, low, high, half if cut is not None and not cut.upper else 0.0)
            _extend(top, low, high, half if cut is not None and cut.upper else self.depth)
        return (*bottom, *reversed(top))

    def _stretches(self) -> Iterator[tuple[Pair, Pair, Cut | None]]:
        reached = self.low
        for cut in self.cuts:
            if cut.low != reached:
                yield reached, cut.low, None
            yield cut.low, cut.high, cut
            reached = cut.high
        if reached != self.high:
            yield reached, self.high, None

    def polyhedron(self) -> tuple[list[Vertex], list[Loop]]:
        """Corners and faces: each face a loop of corner numbers, anticlockwise from outside."""
        profile = self.profile()
        count = len(profile)
        vertices: list[Vertex] = [(line[0], 0.0, z) for line, z in profile]
        vertices += [(line[1], self.width, z) for line, z in profile]
        faces: list[Loop] = [tuple(range(count)), tuple(range(2 * count - 1, count - 1, -1))]
        for here in range(count):
            there = (here + 1) % count
            faces.append((here, here + count, there + count, there))
        return vertices, faces

    def figures(self) -> tuple[float, ...]:
        """All numbers that tell the shape, in a fixed order; equal figures are equal solids."""
        numbers = [self.width, self.depth, *self.low, *self.high]
        for cut in self.cuts:
            numbers += [*cut.low, *cut.high, float(cut.upper)]
        return tuple(numbers)


def turned_lines(low: Pair, high: Pair, turn: Turn, length: float) -> tuple[Pair, Pair]:
    """Two lines across a piece of the given length after half-turns, the lower one first."""
    if turn.round:
        # x -> length - x and y -> width - y: the lines swap order and each line its ends
        low, high = (length - high[1], length - high[0]), (length - low[1], length - low[0])
    if turn.over:
        # y -> width - y
        low, high = (low[1], low[0]), (high[1], high[0])
    return low, high


def _extend(line: list[tuple[Pair, float]], low: Pair, high: Pair, z: float) -> None:
    """Carry a top or bottom line on, without a corner where nothing changes."""
    if line and line[-1][1] == z:
        line[-1] = (high, z)
    else:
        line += [(low, z), (high, z)]


def face_normal(points: Sequence[Vertex]) -> Vertex:
    """A vector along the outward normal of a planar loop (not of unit length), by Newell's method."""
    x = y = z = 0.0
    for (ax, ay, az), (bx, by, bz) in zip(points, (*points[1:], points[0]), strict=True):
        x += (ay - by) * (az + bz)
        y += (az - bz) * (ax + bx)
        z += (ax - bx) * (ay + by)
    return x, y, z


def face_area(vertices: Sequence[Vertex], face: Loop) -> float:
    """Area of a planar face, mm2: half the length of its normal."""
    x, y, z = face_normal([vertices[index] for index in face])
    return float((x * x + y * y + z * z) ** 0.5 / 2)


def centroid(vertices: Sequence[Vertex], faces: Sequence[Loop]) -> Vertex:
    """Middle of the volume of a planar-faced solid, by tetrahedra from its first corner."""
    ox, oy, oz = vertices[0]
    near = [(x - ox, y - oy, z - oz) for x, y, z in vertices]
    whole = mx = my = mz = 0.0
    for face in faces:
        ax, ay, az = near[face[0]]
        for second, third in itertools.pairwise(face[1:]):
            (bx, by, bz), (cx, cy, cz) = near[second], near[third]
            part = ax * (by * cz - bz * cy) + ay * (bz * cx - bx * cz) + az * (bx * cy - by * cx)
            whole += part
            mx += part * (ax + bx + cx)
            my += part * (ay + by + cy)
            mz += part * (az + bz + cz)
    return ox + mx / whole / 4, oy + my / whole / 4, oz + mz / whole / 4


def compare(one: Shape, other: Shape) -> int:
    """Order two shapes, the longest first; 0 where they are the same solid as they stand."""
    if abs(one.length - other.length) > ALIKE:
        return -1 if one.length > other.length else 1
    if len(one.cuts) != len(other.cuts):
        return -1 if len(one.cuts) > len(other.cuts) else 1
    for a, b in zip(one.figures(), other.figures(), strict=True):
        if abs(a - b) > ALIKE:
            return -1 if a < b else 1
    return 0


shape_key = functools.cmp_to_key(compare)
"""Sort key of shapes."""


def same_turn(shape: Shape, standard: Shape) -> Turn | None:
    """The first half-turn that makes ``shape`` the same solid as ``standard``, or None."""
    return next((turn for turn in TURNS if compare(shape.turned(turn), standard) == 0), None)


def solid_code(shape: Shape) -> str:
    """A code of 16 hexadecimal digits for a solid: the same however it is turned, another for any other solid.

    It is the beginning of the SHA-256 of the shape's figures to a ten-thousandth of a millimetre, of the half-turn
    whose figures are least, so that a label, a list and another plan give one solid one code.
    """
    ways = (tuple(round(figure * 1e4) for figure in shape.turned(turn).figures()) for turn in TURNS)
    return hashlib.sha256(repr(min(ways)).encode()).hexdigest()[:16]
