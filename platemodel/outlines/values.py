"""What a foreign file holds: lines on layers, in its own unit; and what becomes of them."""

from __future__ import annotations

from dataclasses import dataclass, replace

from platemodel.plan.values import Point

DUST = 1e-6
"""Points nearer than this are one point: less than any one draws (mm)."""

Segment = tuple[Point, Point]
Single = tuple[Segment, float]
"""A wall's centre line, and its thickness in mm."""

Loop = tuple[Point, ...]
"""Corners of a closed outline, the first not repeated."""


@dataclass(frozen=True)
class Drawn:
    """A line as it was drawn, straight from point to point, in the file's unit.

    ``where`` finds it in the file. ``bow`` is how far it really bends off these straight legs, at most; ``round``:
    it does so at every leg, as a circle does; ``centre``: it is a wall's centre line, as the file itself says,
    and ``leaf`` that wall's thickness in mm, where it says so. ``hidden`` is the layer that is switched off or
    frozen in the drawing and hides it.
    """

    points: tuple[Point, ...]
    closed: bool
    layer: str
    where: str
    bow: float = 0.0
    round: bool = False
    centre: bool = False
    leaf: float | None = None
    hidden: str | None = None

    def scaled(self, factor: float, origin: Point = (0.0, 0.0)) -> Drawn:
        """The same with its lengths multiplied, about a point that becomes 0, 0."""
        points = tuple(((x - origin[0]) * factor, (y - origin[1]) * factor) for x, y in self.points)
        return replace(self, points=points, bow=self.bow * factor)


@dataclass(frozen=True)
class Foreign:
    """A foreign file's lines. ``unit`` is what it says one of its units is, mm, None where it does not say.

    ``left_out`` tells what could not be taken; ``leaf`` is the walls' thickness in mm where the file tells it;
    ``layers`` is what the file calls what its lines are sorted by. ``openings`` are doors and windows from above;
    ``left_on`` has a layer each, and what was left out of it.
    """

    lines: tuple[Drawn, ...]
    unit: float | None
    left_out: tuple[str, ...] = ()
    leaf: float | None = None
    layers: str = "layer"
    openings: tuple[Drawn, ...] = ()
    left_on: tuple[tuple[str, str], ...] = ()


def spot(point: Point) -> str:
    """A point in words, to a tenth of a millimetre."""
    return f"({point[0]:.1f}, {point[1]:.1f})"


def extent(lines: tuple[Drawn, ...]) -> tuple[float, float, float, float]:
    """Least x and y, greatest x and y of lines, of which there is one at least."""
    xs = [x for line in lines for x, _ in line.points]
    ys = [y for line in lines for _, y in line.points]
    return min(xs), min(ys), max(xs), max(ys)
