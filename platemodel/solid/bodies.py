"""Bodies: what a solid's faces say of it, measured in plan.

A body keeps, of a planar-faced solid, the faces that are not upright, as polygons in plan with the
plane they lie in. From these its volume over any outline, its seat on another and whether it can be
lowered past another follow exactly, whichever kernel or file the faces came from.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon

from platemodel.frame.shape import Vertex, face_normal
from platemodel.frame.values import Piece

NEAR = 1.0
"""Pieces that come within this in plan are tested against each other (mm)."""

LEVEL = 1e-6
"""Heights nearer than this are one height (mm)."""

UPRIGHT = 1e-9
"""A face whose unit normal rises less than this is upright."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Body:
    """A planar-faced solid in plan, mm.

    ``corners`` are its distinct corners (n, 3). For each face that is not upright, ``polygons`` has
    its outline in plan and ``planes`` the (a, b, c) of its height z = a x + b y + c; ``up`` is +1
    where the face looks up and -1 where it looks down. ``least_edge`` is its shortest edge.
    """

    name: str
    corners: Array
    polygons: NDArray[Any]
    planes: Array
    up: Array
    least_edge: float

    @property
    def hull(self) -> Polygon:
        """Convex outline in plan."""
        return plan_hull(self.corners)

    @property
    def low(self) -> float:
        """Height of the underside."""
        return float(self.corners[:, 2].min())

    @property
    def high(self) -> float:
        """Height of the top."""
        return float(self.corners[:, 2].max())

    def volume_over(self, outline: Polygon) -> float:
        """Volume of the part of the body that stands over or under an outline in plan, mm3."""
        clipped, areas, chosen = _overlaps(self.polygons, outline)
        return float(np.sum(self.up[chosen] * areas * _heights(self.planes[chosen], clipped)))

    def level_faces(self, up: bool) -> tuple[NDArray[Any], Array]:
        """The faces that look up, or down, and their greatest, or least, heights."""
        chosen = self.up > 0 if up else self.up < 0
        return self.polygons[chosen], self.planes[chosen]


def _overlaps(polygons: NDArray[Any], outline: Polygon) -> tuple[NDArray[Any], Array, NDArray[np.bool_]]:
    """What some polygons share with an outline, where they share any area: the shares, their areas, which."""
    shared = shapely.intersection(polygons, outline)
    areas = shapely.area(shared)
    chosen = areas > 0.0
    return shared[chosen], areas[chosen], chosen


def _heights(planes: Array, shares: NDArray[Any]) -> Array:
    """The mean height of each plane over its share: its height at the share's middle."""
    middles = shapely.centroid(shares)
    heights = planes[:, 0] * shapely.get_x(middles) + planes[:, 1] * shapely.get_y(middles) + planes[:, 2]
    return np.asarray(heights, dtype=np.float64)


def make_body(name: str, faces: Sequence[Sequence[Sequence[Vertex]]]) -> Body:
    """A body from its faces, each a list of loops, the outer first, anticlockwise from outside."""
    polygons: list[Polygon] = []
    planes: list[tuple[float, float, float]] = []
    ups: list[float] = []
    corners: dict[Vertex, None] = {}
    least = float("inf")
    for loops in faces:
        for loop in loops:
            corners.update(dict.fromkeys(loop))
            for (ax, ay, az), (bx, by, bz) in zip(loop, (*loop[1:], loop[0]), strict=True):
                square = (ax - bx) ** 2 + (ay - by) ** 2 + (az - bz) ** 2
                if square < least:
                    least = square
        nx, ny, nz = face_normal(loops[0])
        size = (nx * nx + ny * ny + nz * nz) ** 0.5
        if size == 0.0 or abs(nz) <= UPRIGHT * size:
            continue
        x, y, z = loops[0][0]
        planes.append((-nx / nz, -ny / nz, z + (nx * x + ny * y) / nz) if nx or ny else (0.0, 0.0, z))
        ups.append(1.0 if nz > 0 else -1.0)
        rings = [[(px, py) for px, py, _ in loop] for loop in loops]
        polygons.append(Polygon(rings[0], rings[1:]))
    return Body(
        name=name,
        corners=np.array(list(corners), dtype=np.float64).reshape(-1, 3),
        polygons=np.array(polygons, dtype=object),
        planes=np.array(planes, dtype=np.float64).reshape(-1, 3),
        up=np.array(ups, dtype=np.float64),
        least_edge=least**0.5,
    )


def seat_area(under: Body, over: Body, outline: Polygon) -> float:
    """The area in which cheeks touch inside an outline: the under body's faces up, the over body's down, mm2."""
    ups, up_planes = under.level_faces(up=True)
    downs, down_planes = over.level_faces(up=False)
    total = 0.0
    for polygon, plane in zip(ups, up_planes, strict=True):
        same = np.all(np.abs(down_planes - plane) <= LEVEL, axis=1)
        if same.any():
            shared = shapely.intersection(shapely.intersection(downs[same], polygon), outline)
            total += float(np.sum(shapely.area(shared)))
    return total


def blocked_area(laid: Body, lowered: Body) -> float:
    """The area in plan in which a body lowered straight down would have to pass through one that lies, mm2.

    That is wherever the lying body reaches higher than an underside of the other in its place.
    """
    ups, up_planes = laid.level_faces(up=True)
    downs, down_planes = lowered.level_faces(up=False)
    total = 0.0
    for polygon, plane in zip(ups, up_planes, strict=True):
        shared, areas, chosen = _overlaps(downs, polygon)
        if chosen.any():
            top = _heights(np.broadcast_to(plane, (len(shared), 3)), shared)
            total += float(np.sum(areas[top > _heights(down_planes[chosen], shared) + LEVEL]))
    return total


def placed(piece: Piece, corners: Array) -> Array:
    """Corners (n, 3) of a piece's type where the piece stands, as ``place`` words it."""
    x, y, z = corners.T
    if piece.place.turned_over:
        y, z = piece.laid.width - y, piece.laid.depth - z
    angle = math.radians(piece.place.angle)
    cos, sin = math.cos(angle), math.sin(angle)
    return np.column_stack([x * cos - y * sin + piece.place.x, x * sin + y * cos + piece.place.y, z + piece.place.z])


def corners_apart(one: Array, other: Array) -> float:
    """How far any corner of two sets is from the nearest of the other set, at the most; infinite without any."""
    if not len(one) or not len(other):
        return math.inf
    distances = np.linalg.norm(one[:, None, :] - other[None, :, :], axis=2)
    return float(max(distances.min(axis=0).max(), distances.min(axis=1).max()))


def plan_hull(corners: NDArray[Any]) -> Polygon:
    """Convex outline in plan of corners (n, 3)."""
    return shapely.convex_hull(shapely.multipoints(np.asarray(corners[:, :2], dtype=np.float64)))


def near_pairs(outlines: Sequence[Polygon], within: float) -> list[tuple[int, int]]:
    """Pairs of outlines in plan that come within a distance, by a spatial index."""
    hulls = np.array(outlines, dtype=object)
    if len(hulls) < 2:
        return []
    found = shapely.STRtree(hulls).query(hulls, predicate="dwithin", distance=within)
    return sorted((int(a), int(b)) for a, b in found.T if a < b)
