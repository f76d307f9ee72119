"""What the walls of a storey make together, from above: the outer faces of houses, and the walls inside them.

Lengths are metres, as the geometry engine gives them whatever the model's own unit.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from platemodel.outlines.values import Drawn, Segment

METRE = 1000.0

TOUCHING = 5e-4
"""Walls nearer than this touch."""

ALIKE = 1.25
"""Of two leaves of one thickness neither is so many times the other, common practice: else one lines the other."""


MOST_NAMED = 5
"""Walls beyond this are counted, not named."""


@dataclass(frozen=True)
class Seen:
    """A wall from above: what it is called, its area, and whether it is a partition, that carries nothing."""

    where: str
    outline: Any
    partition: bool = False

    def sides(self) -> tuple[Segment, float, float]:
        """Its centre line, length and thickness, by the least rectangle round it."""
        import shapely

        corners = [(float(x), float(y)) for x, y in self.outline.minimum_rotated_rectangle.exterior.coords]
        first, second = (shapely.LineString(corners[at : at + 2]).length for at in (0, 1))
        ends = corners[:4] if first <= second else [*corners[1:4], corners[0]]
        (ax, ay), (bx, by), (cx, cy), (dx, dy) = ends
        line = ((ax + bx) / 2, (ay + by) / 2), ((cx + dx) / 2, (cy + dy) / 2)
        return line, max(first, second), min(first, second)


def storey(name: str, walls: Sequence[Seen], leaves: Counter[float]) -> tuple[list[Drawn], list[str]]:
    """The outer faces that walls make together, and the centre lines of the others; counts outer walls' leaves."""
    import shapely

    together = shapely.union_all([wall.outline.buffer(TOUCHING, join_style="mitre") for wall in walls])
    shrunk = together.buffer(-TOUCHING, join_style="mitre")
    parts = list(shrunk.geoms) if hasattr(shrunk, "geoms") else [shrunk]
    left_out = [f"storey '{name}': walls that enclose nothing" for part in parts if not part.interiors]
    rings = [shapely.Polygon(part.exterior) for part in parts if part.interiors]
    rings = [ring for ring in rings if not any(other is not ring and other.contains(ring) for other in rings)]
    whole = shapely.union_all([ring.exterior for ring in rings]).buffer(2 * TOUCHING)
    inside = [wall for wall in walls if not _along(wall, whole)]
    houses = [house for ring in rings for house in _houses(ring, inside)]
    faces = shapely.union_all([house.exterior for house in houses]).buffer(2 * TOUCHING)
    lines = [
        Drawn(tuple((float(x), float(y)) for x, y in house.exterior.coords[:-1]), True, name, f"outline {number}")
        for number, house in enumerate(houses, start=1)
    ]
    partitions = []
    for wall in walls:
        line, _, thick = wall.sides()
        leaf = round(thick * METRE, 1)
        if _along(wall, faces):
            leaves[leaf] += 1
        elif wall.partition:
            partitions.append(wall.where)
        elif houses and shrunk.intersects(wall.outline):
            lines.append(Drawn(line, False, name, wall.where, centre=True, leaf=leaf))
    if partitions:
        named = ", ".join(partitions[:MOST_NAMED]) + (" …" if len(partitions) > MOST_NAMED else "")
        left_out.append(
            f"storey '{name}': walls inside that carry nothing, as the model says: {len(partitions)}: {named}"
        )
    return lines, left_out


def _along(wall: Seen, faces: Any) -> bool:
    """Whether a wall lies along outer faces."""
    return bool(wall.outline.boundary.intersection(faces).length > wall.sides()[1] / 2)


def _houses(ring: Any, inside: Sequence[Seen]) -> list[Any]:
    """The houses in an outer face, parted where two leaves of one thickness stand side by side all through it."""
    from shapely import LineString
    from shapely.ops import split

    houses = [ring]
    bearing = [wall for wall in inside if not wall.partition and ring.intersects(wall.outline)]
    for one, other in combinations(bearing, 2):
        if not one.outline.dwithin(other.outline, 2 * TOUCHING):
            continue
        (line, length, thick), (_, beside, leaf) = one.sides(), other.sides()
        contact = one.outline.boundary.intersection(other.outline.buffer(2 * TOUCHING, join_style="mitre"))
        if max(thick, leaf) > ALIKE * min(thick, leaf) or contact.length < 0.8 * max(length, beside):
            continue
        (ax, ay), (bx, by) = line
        ux, uy = (bx - ax) / length, (by - ay) / length
        middle = contact.centroid
        # on through both outer walls
        reach = length / 2 + 2 * max(thick, leaf) + 2 * TOUCHING
        ends = [(middle.x + way * reach * ux, middle.y + way * reach * uy) for way in (-1, 1)]
        houses = [part for house in houses for part in split(house, LineString(ends)).geoms]
    return houses
