"""Room for labels: what is already taken on a sheet, and what a text would take."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence

from platemodel.sheets.lettering import width
from platemodel.sheets.page import XY

Box = tuple[float, float, float, float]
"""Left, top, right, bottom, mm on paper."""

SQUARES = 0.85
"""Half a square along a slanting text, in half heights of it."""

CORNER = 0.3
"""Half a square at each corner of the box about a slanting text (mm)."""

CELL = 20.0
"""Boxes are looked up in squares of this size (mm)."""


def text_box(x: float, y: float, text: str, height: float, turn: float, pad: float = 0.5) -> Box:
    """The box about a text centred at a point and turned, with some room around it."""
    along, across = width(text, height, bold=True) / 2 + pad, height / 2 + pad
    cos, sin = abs(math.cos(math.radians(turn))), abs(math.sin(math.radians(turn)))
    wide, high = along * cos + across * sin, along * sin + across * cos
    return x - wide, y - high, x + wide, y + high


def boxes_along(x: float, y: float, text: str, height: float, turn: float, pad: float = 0.5) -> list[Box]:
    """The boxes about a text: one where it is level or reads upwards, else small ones along it and at its corners."""
    if abs(turn) < 1e-6 or abs(abs(turn) - 90.0) < 1e-6:
        return [text_box(x, y, text, height, turn, pad)]
    along, across = width(text, height, bold=True) / 2 + pad, height / 2 + pad
    cos, sin = math.cos(math.radians(turn)), math.sin(math.radians(turn))
    # squares that reach as far as the turned text does, no farther than it is high
    half = across * SQUARES
    reach = max(along - half, 0.0)
    count = math.ceil(2 * reach / half) or 1
    places = [-reach + 2 * reach * number / count for number in range(count + 1)]
    squares = [(x + s * cos - half, y - s * sin - half, x + s * cos + half, y - s * sin + half) for s in places]
    # and its corners, which the squares leave out
    out, up = along - CORNER, across - CORNER
    turned = [(x + s * cos + t * sin, y - s * sin + t * cos) for s in (-out, out) for t in (-up, up)]
    return squares + [(u - CORNER, v - CORNER, u + CORNER, v + CORNER) for u, v in turned]


class Taken:
    """The boxes that are taken on a sheet."""

    def __init__(self) -> None:
        self._cells: dict[tuple[int, int], list[Box]] = defaultdict(list)

    def claim(self, box: Box) -> bool:
        """Take a box if it is clear of all that are taken; says whether it was."""
        if not self.free(box):
            return False
        self.block(box)
        return True

    def claim_all(self, boxes: Sequence[Box]) -> bool:
        """Take boxes if all are clear of all that are taken; says whether they were."""
        if not all(map(self.free, boxes)):
            return False
        for box in boxes:
            self.block(box)
        return True

    def free(self, box: Box) -> bool:
        """Whether a box is clear of all that are taken."""
        left, top, right, bottom = box
        for cell in _cells(box):
            for other in self._cells.get(cell, ()):
                if left < other[2] and other[0] < right and top < other[3] and other[1] < bottom:
                    return False
        return True

    def block(self, box: Box) -> None:
        """Take a box whether it is clear or not."""
        for cell in _cells(box):
            self._cells[cell].append(box)

    def copy(self) -> Taken:
        """The same boxes, to try on."""
        other = Taken()
        other.block_all(self)
        return other

    def block_all(self, other: Taken) -> None:
        """Take all that is taken in another."""
        for cell, boxes in other._cells.items():
            self._cells[cell].extend(boxes)

    def claim_line(self, one: XY, other: XY) -> bool:
        """Take the places along a straight line if they are clear; says whether they were."""
        if not self.free_line(one, other):
            return False
        self.block_line(one, other)
        return True

    def free_line(self, one: XY, other: XY) -> bool:
        """Whether the places along a straight line are clear of all that are taken."""
        return all(map(self.free, _along(one, other)))

    def block_line(self, one: XY, other: XY) -> None:
        """Take the places along a straight line."""
        for box in _along(one, other):
            self.block(box)


def _along(one: XY, other: XY) -> list[Box]:
    """Boxes along a straight line, one where it is upright or level."""
    (ax, ay), (bx, by) = one, other
    if min(abs(bx - ax), abs(by - ay)) < 0.4:
        return [(min(ax, bx) - 0.2, min(ay, by) - 0.2, max(ax, bx) + 0.2, max(ay, by) + 0.2)]
    count = math.ceil(math.hypot(bx - ax, by - ay))
    places = [(ax + (bx - ax) * number / count, ay + (by - ay) * number / count) for number in range(count + 1)]
    return [(x - 0.5, y - 0.5, x + 0.5, y + 0.5) for x, y in places]


def _cells(box: Box) -> list[tuple[int, int]]:
    """The squares that a box lies in."""
    return [
        (column, row)
        for column in range(int(box[0] // CELL), int(box[2] // CELL) + 1)
        for row in range(int(box[1] // CELL), int(box[3] // CELL) + 1)
    ]
