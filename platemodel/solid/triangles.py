"""Triangles of known planar faces: the least there are, each face's corners used as they are."""

from __future__ import annotations

from collections.abc import Sequence

import manifold3d
import numpy as np
from numpy.typing import NDArray

from platemodel.frame.shape import Loop, Vertex, face_normal

FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
"""One facet of a binary STL file: 50 bytes."""


def triangles(vertices: Sequence[Vertex], faces: Sequence[Loop]) -> NDArray[np.int64]:
    """Corner numbers (n, 3) of triangles that fill the faces, anticlockwise from outside."""
    found: list[tuple[int, int, int]] = []
    for loop in faces:
        if len(loop) == 3:
            found.append((loop[0], loop[1], loop[2]))
        elif len(loop) == 4:
            # the faces across a piece are convex
            found += [(loop[0], loop[1], loop[2]), (loop[0], loop[2], loop[3])]
        else:
            found += _many_sided(vertices, loop)
    return np.array(found, dtype=np.int64)


def _many_sided(vertices: Sequence[Vertex], loop: Loop) -> list[tuple[int, int, int]]:
    """Triangles of a face with more than four corners, which need not be convex."""
    points = [vertices[index] for index in loop]
    nx, ny, nz = (abs(part) for part in face_normal(points))
    # seen along the axis to which the face is most square: two coordinates are dropped onto paper
    drop = 0 if nx >= ny and nx >= nz else 1 if ny >= nz else 2
    one, other = ((1, 2), (2, 0), (0, 1))[drop]
    signed = face_normal(points)[drop]
    flat = np.array([(p[one], p[other]) for p in points], dtype=np.float64)
    if signed < 0:
        flat = flat[::-1].copy()
        loop = loop[::-1]
    cut = manifold3d.triangulate([flat], allow_convex=False)
    corners = [(loop[a], loop[b], loop[c]) for a, b, c in cut.tolist()]
    return corners if signed > 0 else [(a, c, b) for a, b, c in corners]


def facets(vertices: Sequence[Vertex], faces: Sequence[Loop]) -> NDArray[np.float32]:
    """The triangles' corners (n, 3, 3) as a mesh file holds them: float32, none collapsed to a line."""
    corners = np.array(vertices, dtype=np.float64).astype(np.float32)
    found = corners[triangles(vertices, faces)]
    a, b, c = found[:, 0], found[:, 1], found[:, 2]
    collapsed = np.all(a == b, axis=1) | np.all(b == c, axis=1) | np.all(a == c, axis=1)
    return np.ascontiguousarray(found[~collapsed])


def normals(found: NDArray[np.float32]) -> NDArray[np.float32]:
    """Unit normals (n, 3) of facets (n, 3, 3)."""
    wide = found.astype(np.float64)
    cross = np.cross(wide[:, 1] - wide[:, 0], wide[:, 2] - wide[:, 0])
    size = np.linalg.norm(cross, axis=1, keepdims=True)
    unit = np.divide(cross, size, out=np.zeros_like(cross), where=size > 0)
    return np.asarray(unit, dtype=np.float32)
