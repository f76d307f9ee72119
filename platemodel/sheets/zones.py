"""Zones: the stretches of a piece that a broken view shows, one about each lap and each end."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame.shape import Shape
from platemodel.frame.tape import OFF_SQUARE, SQUARED, squared_line
from platemodel.sheets.lettering import width

MARGIN = 8.0
"""Whole timber shown beside a lap, mm on paper."""
BEFORE_DEPTHS, AFTER_DEPTHS = 3.2, 0.9
"""Room left and right of the figures of a lap's half depths, where they stand beside its shoulder, mm on paper."""
BREAK = 7.0
"""Width of a break, mm on paper."""

THIN_HALF = 2.8
"""A half depth thinner than this has no room for a figure of its own (mm on paper)."""


@dataclass(frozen=True)
class Zone:
    """A stretch of a piece, ``begin`` to ``end`` along it (mm), with the numbers of the cuts in it."""

    begin: float
    end: float
    cuts: tuple[int, ...]


def zones(shape: Shape, scale: float) -> list[Zone]:
    """The zones of a piece: its two ends and its laps, those that nearly meet as one."""
    margin = MARGIN * scale
    spans: list[tuple[float, float, tuple[int, ...]]] = [
        (0.0, max(*shape.low, SQUARED if squared_line(shape) else 0.0) + margin, ()),
        (min(shape.high) - margin, shape.length, ()),
    ]
    uncut = all(cut.high != shape.high for cut in shape.cuts)
    for number, cut in enumerate(shape.cuts):
        after = max(margin, (depths_room(shape, scale) + 0.6) * scale) if uncut else margin
        spans.append((max(0.0, min(cut.low) - margin), min(shape.length, max(cut.high) + after), (number,)))
    spans.sort()
    found: list[Zone] = []
    for begin, end, cuts in spans:
        # a break that would show less than it hides is drawn out
        if found and begin - found[-1].end < BREAK * scale * 1.5:
            found[-1] = Zone(found[-1].begin, max(found[-1].end, end), found[-1].cuts + cuts)
        else:
            found.append(Zone(begin, end, cuts))
    return found


def depths_room(shape: Shape, scale: float) -> float:
    """Room for a lap's half depths beside its shoulder, mm on paper."""
    return BEFORE_DEPTHS + width(halves(shape, scale)[0], 2.5) + AFTER_DEPTHS


def halves(shape: Shape, scale: float) -> tuple[str, ...]:
    """The figures of the two half depths from below: one for both where they are too thin for one beside each."""
    half = f"{shape.depth / 2:g}"
    return (half, half) if shape.depth / 2 / scale >= THIN_HALF else (f"{half} + {half}",)


def rows_of(found: Sequence[Zone], scale: float, room: float) -> list[list[Zone]]:
    """Zones put into rows no wider than a room on paper."""
    rows: list[list[Zone]] = [[]]
    used = 0.0
    for zone in found:
        width = (zone.end - zone.begin) / scale
        if rows[-1] and used + BREAK + width > room:
            rows.append([])
            used = 0.0
        used += width + (BREAK if rows[-1] else 0.0)
        rows[-1].append(zone)
    return rows


def row_width(row: Sequence[Zone], scale: float) -> float:
    """The width of a row on paper, mm."""
    return sum((zone.end - zone.begin) / scale for zone in row) + BREAK * (len(row) - 1)


def oblique(shape: Shape) -> bool:
    """Whether any line across a piece is not square."""
    lines = [shape.low, shape.high, *(line for cut in shape.cuts for line in (cut.low, cut.high))]
    return any(abs(line[0] - line[1]) > OFF_SQUARE for line in lines)


def rolled(shape: Shape) -> bool:
    """Whether the underside needs a view of its own: it has cuts that are not square."""
    return any(
        not cut.upper and max(abs(line[0] - line[1]) for line in (cut.low, cut.high)) > OFF_SQUARE for cut in shape.cuts
    )
