"""STL files read by bytes, pieces put where the report says, and their layers, without the program.

Format: https://paulbourke.net/dataformats/stl and the STL description of Kaitai Struct (media/stl.ksy).
"""

from __future__ import annotations

import functools
import math
import struct
from pathlib import Path
from typing import Any

import manifold3d
import numpy as np
from built import Built
from manifold3d import CrossSection, Manifold, Mesh64
from numpy.typing import NDArray

Array = NDArray[np.float64]


@functools.cache
def read_stl(path: Path) -> tuple[Array, Array]:
    """Corners (n, 3, 3) and normals (n, 3) of a binary STL file."""
    raw = path.read_bytes()
    (count,) = struct.unpack_from("<I", raw, 80)
    facets = np.array([struct.unpack_from("<12f", raw, 84 + 50 * number) for number in range(count)], dtype=np.float64)
    return facets[:, 3:].reshape(-1, 3, 3), facets[:, :3]


def bodies(corners: Array) -> list[Array]:
    """Facets parted into bodies: those whose corners are joined through common corners."""
    _, inverse = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    faces = inverse.reshape(-1, 3)
    label = np.arange(inverse.max() + 1)
    while True:
        least = label.copy()
        for column in range(3):
            np.minimum.at(least, faces[:, column], label[faces].min(axis=1))
        if np.array_equal(least, label):
            break
        label = least
    return [corners[label[faces[:, 0]] == one] for one in np.unique(label[faces[:, 0]])]


def solid(corners: Array) -> Manifold:
    """A solid of one body's facets, its corners in double precision."""
    points, inverse = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    made = Manifold(Mesh64(points, inverse.reshape(-1, 3).astype(np.uint64)))
    assert made.status() == manifold3d.Error.NoError
    assert made.volume() > 0
    return made


def put(corners: Array, place: dict[str, Any], width: float, depth: float) -> Array:
    """Corners of a piece frame moved to where a report's ``place`` puts them.

    First, if turned over, (x, y, z) to (x, width - y, depth - z); then the angle about z through the
    origin, anticlockwise; then the shift.
    """
    x, y, z = corners[..., 0], corners[..., 1], corners[..., 2]
    if place["turned_over"]:
        y, z = width - y, depth - z
    angle = math.radians(place["angle_deg"])
    east = x * math.cos(angle) - y * math.sin(angle) + place["x"]
    north = x * math.sin(angle) + y * math.cos(angle) + place["y"]
    return np.stack([east, north, z + place["z"]], axis=-1)


@functools.cache
def _placed(folder: Path, mark: str, values: tuple[Any, ...]) -> Manifold:
    kind, width, depth, place = values
    corners, _ = read_stl(folder / "pieces" / f"{kind}.stl")
    return solid(put(corners, dict(place), width, depth))


def placed(built: Built) -> dict[str, Manifold]:
    """Every piece as a solid where it stands, from pieces/ and the report alone, by mark."""
    return {
        mark: _placed(
            built.folder, mark, (piece["type"], piece["width"], piece["depth"], tuple(piece["place"].items()))
        )
        for mark, piece in built.pieces.items()
    }


def lower(piece: Manifold, depth: float) -> CrossSection:
    """The lower of the two layers of a piece."""
    return piece.slice(depth / 4)


def upper(piece: Manifold, depth: float) -> CrossSection:
    """The upper of the two layers of a piece."""
    return piece.slice(3 * depth / 4)


def half_step(built: Built) -> float:
    """Half a float32 step at the largest coordinate of any type: how far a corner of a file may be off (mm)."""
    longest = max(piece["length"] for piece in built.pieces.values())
    return float(np.spacing(np.float32(longest))) / 2
