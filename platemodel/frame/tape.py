"""Whole millimetres for the tape, so rounded that no lap comes out shorter than its gauge."""

from __future__ import annotations

import math

from platemodel.frame.shape import Cut, Shape
from platemodel.frame.values import Board

DUST = 1e-6

OFF_SQUARE = 0.05
"""A line whose ends along a piece differ by less is square (mm)."""

NOTHING = 0.02
"""What no saw can tell is not rounded up (mm)."""


def whole(value: float) -> int:
    """A length in whole millimetres, halves up."""
    return math.floor(value + 0.5 + DUST)


def offcut(board: Board) -> int:
    """What is left of a board in whole mm, rounded down: no piece may slide further along it."""
    return math.floor(board.offcut + DUST)


def gauge_length(low: float, high: float) -> int:
    """The length of a cut along an edge in whole mm: rounded up, so that the mate always goes in."""
    return math.ceil(high - low - NOTHING)


def shoulders(low: float, high: float, ends_high: bool) -> tuple[int, int]:
    """Where a cut begins and ends along one edge of a piece, from its datum end, in whole mm.

    The cut's length is rounded up, once, and then set off from one shoulder (from the piece's far end,
    where the cut runs out there), so that the mate always goes in.
    """
    length = gauge_length(low, high)
    if ends_high:
        end = whole(high)
        return end - length, end
    # a shoulder at a half millimetre goes back rather than on, and its mate goes on
    begin = math.ceil(low - 0.5 - DUST)
    return begin, begin + length


def taped(shape: Shape, cut: Cut, edge: int) -> tuple[int, int]:
    """Where a cut of a shape begins and ends along an edge, 0 near and 1 far, in whole mm."""
    return shoulders(cut.low[edge], cut.high[edge], cut.high == shape.high)


SQUARED = 100.0
"""Where the line is squared across a board that an oblique end is taped from (mm)."""


def squared_line(shape: Shape) -> bool:
    """Whether a piece is taped from a line squared across it: its datum end is oblique, its tip no place to hook on."""
    return abs(shape.low[0] - shape.low[1]) > OFF_SQUARE and shape.length > 1.5 * SQUARED
