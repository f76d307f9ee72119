"""Whole millimetres for the tape, so rounded that no lap comes out shorter than its gauge."""

from __future__ import annotations

import math

DUST = 1e-6

NOTHING = 0.02
"""What no saw can tell is not rounded up (mm)."""


def whole(value: float) -> int:
    """A length in whole millimetres, halves up."""
    return math.floor(value + 0.5 + DUST)


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
