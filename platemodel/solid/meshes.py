"""The proof on the STL files, with a mesh kernel that shares nothing with the CAD kernel.

A mesh file holds float32, so a corner may be off by half a step of the number format. Each figure's
limit is half a step at the largest coordinate times the area of the surfaces that bound it.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import manifold3d
import numpy as np
from manifold3d import CrossSection, Manifold, Mesh
from numpy.typing import NDArray
from shapely import Polygon

from platemodel.frame.shape import ALIKE, Shape
from platemodel.frame.values import Frame
from platemodel.solid.bodies import NEAR, corners_apart, near_pairs, placed, plan_hull
from platemodel.solid.triangles import FACET, facets, normals
from platemodel.solid.values import Check, Findings, LapFigures
from platemodel.solid.windows import Window

SLICE = 1e-3
"""Slices are compared this part of the depth under and over mid-depth."""

ROOM = 3**0.5
"""Half a step in each of three axes, along the diagonal."""

Facets = NDArray[np.float32]


class StlError(Exception):
    """A mesh file that is not what the standard says."""


def read_stl(path: Path) -> tuple[Facets, Facets]:
    """Corners (n, 3, 3) and normals (n, 3) of a binary STL file.

    Raises :class:`StlError` where its size is not what its count makes it.
    """
    raw = path.read_bytes()
    if len(raw) < 84 or raw[:5].lower() == b"solid":
        raise StlError(f"{path.name} is not a binary STL file")
    count = int(np.frombuffer(raw, "<u4", 1, 80)[0])
    if len(raw) != 84 + FACET.itemsize * count:
        raise StlError(f"{path.name} says {count} facets but has {len(raw)} bytes")
    records = np.frombuffer(raw, FACET, count, 84)
    return records["corners"].copy(), records["normal"].copy()


@dataclass(frozen=True)
class MeshBody:
    """A welded mesh: the kernel's solid, None where it is not closed and oriented, and what was seen."""

    solid: Manifold | None
    corners: NDArray[np.float32]
    open_edges: int
    turned: int


def weld(corners: Facets, given: Facets) -> MeshBody:
    """Weld facets whose corners are the same numbers, and judge them.

    ``open_edges`` counts directed edges without exactly one opposite; ``turned`` facets whose
    written normal does not agree with the order of their corners.
    """
    points, inverse = np.unique(corners.reshape(-1, 3), axis=0, return_inverse=True)
    faces = inverse.reshape(-1, 3)
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]).astype(np.int64)
    size = len(points)
    forward, counts = np.unique(edges[:, 0] * size + edges[:, 1], return_counts=True)
    backward = np.unique(edges[:, 1] * size + edges[:, 0])
    unmatched = len(np.setxor1d(forward, backward)) + int((counts > 1).sum())
    turned = int((np.sum(normals(corners) * given, axis=1) < 0.99).sum())
    solid = None
    if unmatched == 0 and size:
        mesh = Mesh(points.astype(np.float32), faces.astype(np.uint32))
        made = Manifold(mesh)
        solid = made if made.status() == manifold3d.Error.NoError and made.volume() > 0 else None
    return MeshBody(solid, points, unmatched, turned)


def half_step(coordinates: NDArray[np.float32]) -> float:
    """Half a float32 step at the largest of some coordinates, mm."""
    largest = np.float32(np.abs(coordinates).max(initial=0.0))
    return float(np.spacing(largest)) / 2


def prove_stl(frame: Frame, windows: Sequence[Window], folder: Path) -> Findings:
    """Prove the STL files of a frame in ``folder``."""
    corners, given = read_stl(folder / "frame.stl")
    counts = [len(facets(piece.vertices, piece.faces)) for piece in frame.pieces]
    checks = [Check("frame.stl: facets more or fewer than the polygons make", abs(len(corners) - sum(counts)), 0)]
    bounds = np.cumsum([0, *counts])
    bodies = [weld(corners[a:b], given[a:b]) for a, b in itertools.pairwise(bounds)]
    half = half_step(corners)
    checks += _mesh_checks("frame.stl", [(p.laid, b) for p, b in zip(frame.pieces, bodies, strict=True)], half)
    checks.append(
        Check(
            "frame.stl: corners off the pieces, mm",
            max((_off(np.array(p.vertices), b) for p, b in zip(frame.pieces, bodies, strict=True)), default=math.inf),
            ROOM * half,
        )
    )
    checks += _type_checks(frame, folder, bodies, half)
    laps, more = _pair_checks(frame, windows, bodies, half)
    return Findings("Manifold on STL", tuple(laps), (*checks, *more))


def _mesh_checks(name: str, pairs: Sequence[tuple[Shape, MeshBody]], half: float) -> list[Check]:
    off = 0.0
    for shape, body in pairs:
        volume = math.inf if body.solid is None else body.solid.volume()
        off = max(off, abs(volume - shape.volume) / (half * shape.area))
    return [
        Check(
            f"{name}: edges of a piece not shared by two of its facets", sum(body.open_edges for _, body in pairs), 0
        ),
        Check(f"{name}: facets turned inside out", sum(body.turned for _, body in pairs), 0),
        Check(f"{name}: solids not closed", sum(body.solid is None for _, body in pairs), 0),
        Check(f"{name}: volumes against the polygons, in half float32 steps times area", off, 1.0),
    ]


def _off(corners: NDArray[np.float64], body: MeshBody) -> float:
    return corners_apart(corners, body.corners.astype(np.float64))


def _type_checks(frame: Frame, folder: Path, bodies: Sequence[MeshBody], frame_half: float) -> list[Check]:
    """Each type's file: a closed solid at the origin, which placed by ``place`` is the frame's piece."""
    pairs = []
    half = 0.0
    off_origin = apart = 0.0
    other_count = 0
    for kind in frame.types:
        corners, given = read_stl(folder / "pieces" / f"{kind.name}.stl")
        body = weld(corners, given)
        pairs.append((kind.shape, body))
        half = max(half, half_step(corners))
        other_count += abs(len(corners) - len(facets(*kind.shape.polyhedron())))
        for index in kind.pieces:
            found = placed(frame.pieces[index], body.corners.astype(np.float64))
            apart = max(apart, _off(found, bodies[index]))
        off_origin = max(off_origin, float(np.abs(body.corners.min(axis=0, initial=math.inf)).max()))
    return [
        Check("pieces STL: facets more or fewer than the polygons make", other_count, 0),
        *_mesh_checks("pieces STL", pairs, half),
        Check("pieces STL: boxes off the origin, mm", off_origin, half),
        Check("pieces STL: placed types off the frame, mm", apart, ROOM * (half + frame_half) + ALIKE),
    ]


def _pair_checks(
    frame: Frame, windows: Sequence[Window], bodies: Sequence[MeshBody], half: float
) -> tuple[list[LapFigures], list[Check]]:
    solids = [body.solid for body in bodies]
    near = near_pairs([plan_hull(body.corners) for body in bodies], NEAR)
    depth = frame.plan.plate.depth
    width = max(run.strip.width for run in frame.runs)
    shared = {pair: _volume_shared(solids[pair[0]], solids[pair[1]]) for pair in near}
    blocked = 0.0
    for a, b in near:
        first, second = (a, b) if frame.pieces[a].order < frame.pieces[b].order else (b, a)
        for part in (0.25, 0.5, 0.75):
            blocked = max(blocked, _volume_shared(solids[first], _lifted(solids[second], part * depth)))
    mates = {(min(joint.under, joint.over), max(joint.under, joint.over)) for joint in frame.joints}
    laps = [
        _lap_figures(solids[joint.under], solids[joint.over], window, depth, half, joint.gap_expected)
        for joint, window in zip(frame.joints, windows, strict=True)
    ]
    # touching faces of two straight pieces are at most a lap's: cheek, shoulders and sides
    limit = half * 3 * width * (width + depth)
    others = [volume for pair, volume in shared.items() if pair not in mates]
    checks = [
        Check("frame.stl: volume shared by near pieces that are not mates, mm3", max(others, default=0.0), limit),
        Check("frame.stl: volume that blocks lowering in laying order, mm3", blocked, limit),
    ]
    return laps, checks


def _volume_shared(one: Manifold | None, other: Manifold | None) -> float:
    """The volume two solids share; infinite where one of them is no solid."""
    return math.inf if one is None or other is None else float((one ^ other).volume())


def _lifted(solid: Manifold | None, by: float) -> Manifold | None:
    return None if solid is None else solid.translate((0.0, 0.0, by))


def _prism(outline: Polygon, depth: float) -> Manifold:
    ring = np.array(outline.exterior.coords[:-1], dtype=np.float64)
    if not outline.exterior.is_ccw:
        ring = ring[::-1].copy()
    return Manifold.extrude(CrossSection([ring]), depth)


def _left_of(whole: Manifold, under: Manifold, over: Manifold) -> float:
    """The volume of a prism that two pieces leave empty."""
    return float(Manifold.batch_boolean([whole, under, over], manifold3d.OpType.Subtract).volume())


def _lap_figures(
    under: Manifold | None, over: Manifold | None, window: Window, depth: float, half: float, gap_expected: float
) -> LapFigures:
    core, around = window.core, window.around
    core_surface = 2 * core.area + core.length * depth
    around_surface = 2 * around.area + around.length * depth
    clash = fill = seat = gap = math.nan
    if under is not None and over is not None:
        clash = float((under ^ over).volume())
        # each from the pieces themselves: what is left of a void is slivers, which no boolean should be fed
        gap = _left_of(_prism(around, depth), under, over)
        fill = 1.0 - _left_of(_prism(core, depth), under, over) / (core.area * depth)
        seat = _seat(under, over, core, depth)
    return LapFigures(
        clash,
        fill,
        seat,
        gap,
        core.area,
        gap_expected,
        volume_limit=half * around_surface,
        fill_limit=half * core_surface / (core.area * depth),
        seat_limit=half * core.length,
    )


def _seat(under: Manifold, over: Manifold, core: Polygon, depth: float) -> float:
    """The area in which the under body ends and the over body begins at mid-depth, inside an outline."""
    low, high = depth * (0.5 - SLICE), depth * (0.5 + SLICE)
    ends = under.slice(low) - under.slice(high)
    begins = over.slice(high) - over.slice(low)
    ring = np.array(core.exterior.coords[:-1], dtype=np.float64)
    inside = CrossSection([ring if core.exterior.is_ccw else ring[::-1].copy()])
    return float(((ends ^ begins) ^ inside).area())
