"""Cross walls from single centre lines: each end must lie on the leaf of a wall, and is brought there if it is near.

Lengths are mm, about the same origin as the outlines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from platemodel.faults import Fault
from platemodel.outlines.mending import Healings
from platemodel.outlines.values import Drawn, Loop, Segment, Single
from platemodel.plan.values import Point

HELD = 1.0
"""An end this near to a leaf is on it (mm), as a plan has it."""

MOST_FAULTS = 40
"""Lines that end nowhere beyond this are counted, not told one by one."""


def outer_face(loop: Loop, leaf: float) -> Loop:
    """The outer face of walls whose centre lines a loop gives: half a leaf outside, with sharp corners."""
    from shapely import Polygon, orient_polygons

    around = orient_polygons(Polygon(loop))
    corners = [(float(x), float(y)) for x, y in around.exterior.coords[:-1]]
    return tuple(_moved(corners, index, -leaf / 2) for index in range(len(corners)))


def _moved(corners: Sequence[Point], index: int, by: float) -> Point:
    """A corner of an anticlockwise outline whose legs are moved ``by`` to their left."""
    before, here, after = corners[index - 1], corners[index], corners[(index + 1) % len(corners)]
    (ux, uy), (vx, vy) = _direction(before, here), _direction(here, after)
    # the sum of the legs' normals, as long as brings it to both moved legs
    scale = by / (1.0 + ux * vx + uy * vy)
    return here[0] - (uy + vy) * scale, here[1] + (ux + vx) * scale


def _direction(start: Point, end: Point) -> Point:
    length = math.dist(start, end)
    return (end[0] - start[0]) / length, (end[1] - start[1]) / length


def cross_walls(
    rest: Sequence[Single], faces: Sequence[Loop], leaf: float, healings: Healings, *, all_wanted: bool = True
) -> tuple[list[Single], list[Fault], list[str]]:
    """Single lines as centre lines of cross walls, their ends on a leaf; faults; and what was left out.

    ``leaf`` is that of the walls whose outer ``faces`` these are. A line that ends nowhere is a fault where
    ``all_wanted``; elsewhere it is left out, and so is what then ends nowhere.
    """
    from shapely import LineString

    leaves = _Leaves(
        [
            *_leaves_of(faces, leaf),
            *(LineString(line).buffer(own / 2, cap_style="flat") for line, own in rest),
        ],
        healings.tolerance,
    )
    left_out: list[str] = []
    found: dict[int, tuple[Single, list[str]]] = {}
    doubtful = set(range(len(rest)))
    while True:
        nowhere: dict[int, list[Point]] = {}
        for number in sorted(doubtful):
            told = Healings(healings.tolerance, healings.origin)
            itself = len(faces) + number
            (one, other), own = rest[number]
            start, end = leaves.held(one, other, itself, told), leaves.held(other, one, itself, told)
            if start is not None and end is not None:
                found[number] = ((start, end), own), told.told
            else:
                nowhere[number] = [at for at, is_held in ((one, start), (other, end)) if is_held is None]
        if all_wanted or not nowhere:
            break
        for number in nowhere:
            found.pop(number, None)
            leaves.gone.add(len(faces) + number)
            left_out.append(f"{named(rest[number], healings)}: ends where no other wall is that carries a plate")
        # what may have ended on those that are gone
        doubtful = {near - len(faces) for number in nowhere for near in leaves.beside(len(faces) + number)}
        doubtful = {number for number in doubtful if number >= 0}
    kept = [found[number] for number in sorted(found)]
    healings.told += [words for _, told_of in kept for words in told_of]
    faults = []
    for number, ends in list(nowhere.items())[:MOST_FAULTS]:
        for at in ends:
            words = f"the line {_from_to(rest[number][0], healings)} ends"
            by = leaves.distance(at, len(faces) + number)
            expected = (
                f"expected each end of a cross wall on the leaf of another wall, within {healings.tolerance:g} mm"
            )
            faults.append(Fault((), f"{words} {by:.1f} mm from any leaf at {healings.spot(at)}", expected))
    if len(nowhere) > MOST_FAULTS:
        more = f"{len(nowhere) - MOST_FAULTS} more lines end nowhere"
        faults.append(Fault((), more, "expected cross walls alone on the layers that are read"))
    return [single for single, _ in kept], faults, left_out


def named(single: Single, healings: Healings) -> str:
    """A cross wall in words."""
    return f"wall inside {_from_to(single[0], healings)}, {single[1]:g} mm thick"


def _from_to(line: Segment, healings: Healings) -> str:
    return f"from {healings.spot(line[0])} to {healings.spot(line[1])}"


class _Leaves:
    """Areas that may hold the end of a cross wall, found by place; those ``gone`` hold none."""

    def __init__(self, areas: Sequence[Any], tolerance: float) -> None:
        from shapely import STRtree

        self.areas = areas
        self.tree = STRtree(areas)
        self.tolerance = tolerance
        self.gone: set[int] = set()

    def distance(self, at: Point, itself: int) -> float:
        """Distance of a point from the nearest area but one."""
        others = [area for number, area in enumerate(self.areas) if number != itself and number not in self.gone]
        return min((float(area.distance(_at(at))) for area in others), default=math.inf)

    def beside(self, number: int) -> set[int]:
        """The areas that one may hold an end of, or that may hold one of its own."""
        near = self.tree.query(self.areas[number], predicate="dwithin", distance=2 * max(self.tolerance, HELD))
        return set(near.tolist()) - self.gone

    def held(self, end: Point, other: Point, itself: int, healings: Healings) -> Point | None:
        """An end where it is, or moved along its line on to an area that is not its own; None where none is near."""
        from shapely import LineString, get_coordinates, union_all

        reach = self.tolerance
        near = self.tree.query(_at(end), predicate="dwithin", distance=max(reach, HELD)).tolist()
        areas = [self.areas[number] for number in sorted(near) if number != itself and number not in self.gone]
        if any(area.dwithin(_at(end), HELD) for area in areas):
            return end
        if reach == 0.0 or not areas:
            return None
        ux, uy = _direction(other, end)
        way = LineString([(end[0] - reach * ux, end[1] - reach * uy), (end[0] + reach * ux, end[1] + reach * uy)])
        places = get_coordinates(way.intersection(union_all(areas)))
        if not len(places):
            return None
        place = min(((float(x), float(y)) for x, y in places), key=lambda place: math.dist(place, end))
        healings.tell("end of a cross wall brought to a leaf", place, math.dist(place, end))
        return place


def _at(point: Point) -> Any:
    from shapely import Point as At

    return At(point)


def _leaves_of(faces: Sequence[Loop], leaf: float) -> list[Any]:
    """The areas that the leaves of shells take up, by their outer faces."""
    from shapely import Polygon

    shells = [Polygon(face) for face in faces]
    return [shell.difference(shell.buffer(-leaf, join_style="mitre")) for shell in shells]


def from_leaf_to_leaf(lines: Sequence[Drawn], faces: Sequence[Loop], leaf: float, reach: float) -> dict[str, int]:
    """How many straight single lines of each layer go from leaf to leaf, their ends within ``reach`` (mm)."""
    from shapely import prepare, union_all

    leaves = union_all(_leaves_of(faces, leaf))
    prepare(leaves)
    found: dict[str, int] = {}
    for line in lines:
        single = not line.closed and len(line.points) == 2 and line.bow <= HELD
        if single and all(leaves.dwithin(_at(end), max(reach, HELD)) for end in line.points):
            (ax, ay), (bx, by) = line.points
            # a line that lies along a leaf is one of its faces
            if not leaves.dwithin(_at(((ax + bx) / 2, (ay + by) / 2)), leaf):
                found[line.layer] = found.get(line.layer, 0) + 1
    return found
