"""Cross walls from single centre lines: each end must lie on the leaf of a wall, and is brought there if it is near.

Lengths are mm, about the same origin as the outlines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from platemodel.faults import Fault
from platemodel.outlines.mending import Healings
from platemodel.outlines.values import Loop, Single, spot
from platemodel.plan.values import Point

HELD = 1.0
"""An end this near to a leaf is on it (mm), as a plan has it."""


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
    rest: Sequence[Single], faces: Sequence[Loop], leaf: float, healings: Healings
) -> tuple[list[Single], list[Fault]]:
    """Single lines as centre lines of cross walls, their ends on a leaf; and faults of those that end nowhere.

    ``leaf`` is that of the walls whose outer ``faces`` these are.
    """
    from shapely import LineString, Polygon, union_all

    shells = [Polygon(face) for face in faces]
    leaves = [shell.difference(shell.buffer(-leaf, join_style="mitre")) for shell in shells]
    crosses = [LineString(line).buffer(own / 2, cap_style="flat") for line, own in rest]
    found, faults = [], []
    for number, (line, own) in enumerate(rest):
        near = union_all([*leaves, *(cross for other, cross in enumerate(crosses) if other != number)])
        ends = []
        for here, there in ((line[0], line[1]), (line[1], line[0])):
            end = _held(here, there, near, healings)
            if end is None:
                at, by = healings.origin, near.distance(_at(here)) if not near.is_empty else math.inf
                words = f"the line from {_spot(line[0], at)} to {_spot(line[1], at)} ends {by:.1f} mm from any leaf"
                expected = (
                    f"expected each end of a cross wall on the leaf of another wall, within {healings.tolerance:g} mm"
                )
                faults.append(Fault((), f"{words} at {_spot(here, at)}", expected))
            ends.append(end or here)
        found.append(((ends[0], ends[1]), own))
    return found, faults


def _held(end: Point, other: Point, leaves: Any, healings: Healings) -> Point | None:
    """An end where it is, or moved along its line on to a leaf; None where none is near."""
    from shapely import LineString, get_coordinates

    if leaves.dwithin(_at(end), HELD):
        return end
    ux, uy = _direction(other, end)
    reach = healings.tolerance
    way = LineString([(end[0] - reach * ux, end[1] - reach * uy), (end[0] + reach * ux, end[1] + reach * uy)])
    places = get_coordinates(way.intersection(leaves)) if reach > 0.0 else []
    if not len(places):
        return None
    place = min(((float(x), float(y)) for x, y in places), key=lambda place: math.dist(place, end))
    healings.tell("end of a cross wall brought to a leaf", place, math.dist(place, end))
    return place


def _at(point: Point) -> Any:
    from shapely import Point as At

    return At(point)


def _spot(point: Point, origin: Point) -> str:
    return spot((point[0] + origin[0], point[1] + origin[1]))
