"""Gauges: which laps are sawn with one lap gauge and one setting of the saw.

Two halves share a gauge when their cuts are as long along an edge, lean alike and are as deep: the
shoulders of all of them are then marked with one piece of card or ply.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from platemodel.frame.tape import OFF_SQUARE, gauge_length
from platemodel.frame.values import Frame, Half, Piece


@dataclass(frozen=True)
class Gauge:
    """A lap gauge and what is cut with it.

    ``length`` is along the piece's edge, whole mm, clearance in it; ``lean`` how far the shoulder runs
    along the piece from one edge to the other, mm over ``width``; both are 0 for a square lap;
    ``depth`` the saw's depth, half the plate's; ``halves`` the pieces and the numbers of their cuts, both
    counted from 0, in the order of the pieces.
    """

    length: int
    lean: float
    width: float
    depth: float
    halves: tuple[tuple[int, int], ...]

    @property
    def angle(self) -> float:
        """How far the shoulder is off square, degrees."""
        return math.degrees(math.atan2(self.lean, self.width))

    @property
    def name(self) -> str:
        """What the gauge is called: its length, and how far its shoulder is off square."""
        return f"{self.length}" if self.lean == 0.0 else f"{self.length} / {self.angle:.1f}°"


def gauges(frame: Frame) -> tuple[Gauge, ...]:
    """The gauges of a frame, square ones first, then by length."""
    found: dict[tuple[float, int, float], list[tuple[int, int]]] = {}
    for index, piece in enumerate(frame.pieces):
        for number, half in enumerate(piece.halves):
            found.setdefault(_key(piece, half), []).append((index, number))
    depth = frame.plan.plate.depth / 2
    return tuple(
        Gauge(length, lean, width, depth, tuple(halves))
        for (lean, length, width), halves in sorted(found.items(), key=lambda item: item[0])
    )


def _key(piece: Piece, half: Half) -> tuple[float, int, float]:
    lean = abs(half.high[1] - half.high[0])
    # a mitred splice does not occur: both lines of a cut lean alike
    square = lean <= OFF_SQUARE
    width = 0.0 if square else piece.laid.width
    return (0.0 if square else round(lean, 2)), gauge_length(half.low[0], half.high[0]), width
