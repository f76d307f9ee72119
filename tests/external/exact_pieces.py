"""Pieces and types as report.json has them: lines across them, footprints in the building, whole timber.

A line across a piece is a pair: how far along it is at its near edge (y = 0) and at its far edge (y = width).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

Pair = tuple[float, float]
Point = tuple[float, float]

AT_END = 1e-6
"""A lap that comes so near a piece's end runs out there (mm)."""
SQUARE = 0.05
"""Lines whose ends differ by less are square (mm)."""


@dataclass(frozen=True)
class ExactCut:
    """A cut as the type is drawn; ``upper``: its upper half is sawn away."""

    low: Pair
    high: Pair
    upper: bool


@dataclass(frozen=True)
class ExactPiece:
    """One piece: the lines across its ends, its cuts in order."""

    mark: str
    type: str
    width: float
    depth: float
    length: float
    low: Pair
    high: Pair
    cuts: tuple[ExactCut, ...]
    place: dict[str, Any]

    @property
    def shoulders(self) -> list[Pair]:
        """The lines of cuts that are not the piece's ends."""
        return [line for cut in self.cuts for line in (cut.low, cut.high) if line not in (self.low, self.high)]

    @property
    def oblique(self) -> bool:
        lines = [self.low, self.high, *self.shoulders]
        return any(abs(near - far) > SQUARE for near, far in lines)

    @property
    def taped_from_a_line(self) -> bool:
        """Whether its tape is held on a line 100 mm in: the datum end is oblique and the piece long enough."""
        return abs(self.low[0] - self.low[1]) > SQUARE and self.length > 150.0

    def in_plan(self, along: float, edge: int) -> Point:
        """A place on an edge, 0 the near one and 1 the far one, in the building: turned over, turned, shifted."""
        y = 0.0 if edge == 0 else self.width
        if self.place["turned_over"]:
            y = self.width - y
        turn = math.radians(self.place["angle_deg"])
        cos, sin = math.cos(turn), math.sin(turn)
        return self.place["x"] + along * cos - y * sin, self.place["y"] + along * sin + y * cos

    @property
    def corners(self) -> list[Point]:
        """The corners of its footprint in the building."""
        ends = ((self.low, 0), (self.high, 0), (self.high, 1), (self.low, 1))
        return [self.in_plan(line[edge], edge) for line, edge in ends]

    def whole(self, edge: int) -> list[Pair]:
        """The stretches of an edge that no cut takes from."""
        places = [self.low[edge]]
        for cut in self.cuts:
            places += [cut.low[edge], cut.high[edge]]
        places.append(self.high[edge])
        pairs = list(zip(places[::2], places[1::2], strict=True))
        return [(begin, end) for begin, end in pairs if end - begin > 1e-6]


def exact(piece: dict[str, Any]) -> ExactPiece:
    """A piece of report.json; an end that no lap runs out at is square."""
    length = piece["length"]
    cuts = []
    for lap in sorted(piece["laps"], key=lambda lap: sum(lap["from"])):
        upper = (lap["half"] == "under") != piece["place"]["turned_over"]
        cuts.append(ExactCut((lap["from"][0], lap["from"][1]), (lap["to"][0], lap["to"][1]), upper))
    low = next((cut.low for cut in cuts if min(cut.low) < AT_END), (0.0, 0.0))
    high = next((cut.high for cut in cuts if max(cut.high) > length - AT_END), (length, length))
    sizes = piece["width"], piece["depth"], length
    return ExactPiece(piece["mark"], piece["type"], *sizes, low, high, tuple(cuts), piece["place"])


def pieces(report: dict[str, Any]) -> dict[str, ExactPiece]:
    """All pieces by mark."""
    return {piece["mark"]: exact(piece) for piece in report["pieces"]}


def types(report: dict[str, Any]) -> dict[str, ExactPiece]:
    """For each type the first of its pieces."""
    found = pieces(report)
    return {kind["type"]: found[kind["marks"][0]] for kind in report["types"]}
