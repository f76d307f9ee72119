"""Near-misses of drawn outlines healed within a tolerance, each told: doubled lines, open ends, needless corners."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from platemodel.outlines.values import DUST, Loop, Segment, spot
from platemodel.plan.values import Point


@dataclass
class Healings:
    """What was healed within ``tolerance`` (mm), in words; ``origin`` is added to places."""

    tolerance: float
    origin: Point = (0.0, 0.0)
    told: list[str] = field(default_factory=list)

    def spot(self, point: Point) -> str:
        """A place of what is healed, in words, as the drawing has it."""
        return spot((point[0] + self.origin[0], point[1] + self.origin[1]))

    def tell(self, what: str, at: Point, by: float | None = None) -> None:
        """Note one healing: where it is, and how far something was moved, mm, if it was."""
        self.told.append(f"{what} at {self.spot(at)}" + ("" if by is None else f", {by:.3g} mm"))


def meeting(one: Segment, other: Segment) -> Point | None:
    """Where the lines of two segments cross; None where they are as good as parallel."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    ux, uy, vx, vy = bx - ax, by - ay, dx - cx, dy - cy
    sine = ux * vy - uy * vx
    if abs(sine) <= 1e-3 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    along = ((cx - ax) * vy - (cy - ay) * vx) / sine
    return ax + along * ux, ay + along * uy


def off(point: Point, segment: Segment) -> float:
    """Distance of a point from a segment."""
    return math.dist(point, foot(point, segment))


def foot(point: Point, segment: Segment) -> Point:
    """The point of a segment that is nearest to a point."""
    (ax, ay), (bx, by) = segment
    ux, uy = bx - ax, by - ay
    square = ux * ux + uy * uy
    along = 0.0 if square == 0.0 else ((point[0] - ax) * ux + (point[1] - ay) * uy) / square
    along = min(1.0, max(0.0, along))
    return ax + along * ux, ay + along * uy


def without_repeats(points: Sequence[Point], closed: bool, healings: Healings) -> tuple[Point, ...]:
    """The points of a line, each once where it was drawn twice on end."""
    kept: list[Point] = []
    for point in points:
        if kept and math.dist(kept[-1], point) <= DUST:
            healings.tell("point drawn twice taken once", point)
        else:
            kept.append(point)
    while closed and len(kept) > 1 and math.dist(kept[0], kept[-1]) <= DUST:
        kept.pop()
    return tuple(kept)


def closing(points: Sequence[Point], healings: Healings) -> Loop | None:
    """An open line whose ends nearly meet, closed where its first and last leg meet; None where they do not.

    Ends that are the same point close it without a word.
    """
    if len(points) < 4:
        return None
    gap = math.dist(points[0], points[-1])
    if gap <= DUST:
        return tuple(points[:-1])
    if gap > healings.tolerance:
        return None
    corner = joined((points[1], points[0]), (points[-2], points[-1]), healings.tolerance)
    healings.tell("gap closed", corner, gap)
    return (corner, *points[1:-1])


def joined(one: Segment, other: Segment, tolerance: float) -> Point:
    """Where two segments' ends are brought together: where their lines meet if that is near, else half-way."""
    a, b = one[1], other[1]
    corner = meeting(one, other)
    if corner is not None and max(math.dist(corner, a), math.dist(corner, b)) <= tolerance:
        return corner
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)


def straightened(loop: Loop, healings: Healings) -> Loop:
    """A closed outline without corners that lie in line, within the tolerance, and without legs shorter than it.

    Every corner that is left out lies within the tolerance of the outline that is left.
    """
    gone: list[Point] = []
    points = list(loop)
    while len(points) > 3:
        found = _needless(points, gone, healings.tolerance)
        if found is None:
            break
        index, by = found
        gone.append(points[index])
        if by > DUST:
            healings.tell("corner in line left out", points[index], by)
        del points[index]
    return tuple(points)


def _needless(points: Sequence[Point], gone: Sequence[Point], tolerance: float) -> tuple[int, float] | None:
    """The corner that is least off the way between its neighbours, within the tolerance, and by how much."""
    count = len(points)
    best: tuple[float, int] | None = None
    for index, point in enumerate(points):
        way = points[index - 1], points[(index + 1) % count]
        by = off(point, way)
        if by <= tolerance and (best is None or by < best[0]):
            best = by, index
    if best is None:
        return None
    by, index = best
    if by > DUST and gone:
        import shapely

        left = shapely.LinearRing([point for number, point in enumerate(points) if number != index])
        # what was left out before must still be within the tolerance
        if shapely.distance(shapely.points(gone), left).max() > tolerance:
            return None
    return index, by
