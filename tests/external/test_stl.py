"""The STL files by their bytes, and as solids in two mesh programs.

Layout: https://paulbourke.net/dataformats/stl and the STL description of Kaitai Struct (media/stl.ksy);
facets: right-hand vertex order, neighbours share two vertices (the former page).
"""

from __future__ import annotations

import struct
from collections import Counter

import numpy as np
import pytest
import trimesh
from built import Built
from meshes_outside import bodies, read_stl, solid


def test_layout_by_bytes(built: Built) -> None:
    for path in built.stls():
        raw = path.read_bytes()
        assert not raw[:80].lstrip().lower().startswith(b"solid")
        (count,) = struct.unpack("<I", raw[80:84])
        assert count > 0
        assert len(raw) == 84 + 50 * count
        attributes = {raw[84 + 50 * number + 48 : 84 + 50 * number + 50] for number in range(count)}
        assert attributes == {b"\0\0"}


def test_normals_are_unit_and_by_the_right_hand_rule(built: Built) -> None:
    for path in built.stls():
        corners, normals = read_stl(path)
        assert np.isfinite(corners).all()
        cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        size = np.linalg.norm(cross, axis=1)
        assert (size > 0).all()
        assert np.abs(np.linalg.norm(normals, axis=1) - 1).max() < 1e-6
        assert np.abs(cross / size[:, None] - normals).max() < 1e-6


def test_each_edge_is_shared_by_two_facets_that_run_along_it_in_opposite_ways(built: Built) -> None:
    for path in built.stls():
        corners, _ = read_stl(path)
        # bytes of coordinates: neighbours must share the very same vertices; pieces in a frame touch,
        # so each body is taken by itself
        edges: Counter[tuple[int, bytes, bytes]] = Counter()
        for number, body in enumerate(_in_order(built, path.stem, corners)):
            for facet in body:
                points = [(point + 0.0).astype("<f4").tobytes() for point in facet]
                for one, other in zip(points, points[1:] + points[:1], strict=True):
                    edges[number, one, other] += 1
        assert set(edges.values()) == {1}
        assert all((number, other, one) in edges for number, one, other in edges)


def _in_order(built: Built, name: str, corners: np.ndarray) -> list[np.ndarray]:
    """The bodies of a file: a type's is one; a frame's follow each other, as long as their types' files."""
    if name != "frame":
        return [corners]
    counts = [len(read_stl(built.folder / "pieces" / f"{piece['type']}.stl")[0]) for piece in built.pieces.values()]
    assert sum(counts) == len(corners)
    return np.split(corners, np.cumsum(counts)[:-1])


def test_type_files_are_one_watertight_body_of_the_report_s_volume(built: Built) -> None:
    for kind in built.report["types"]:
        path = built.folder / "pieces" / f"{kind['type']}.stl"
        volume = built.pieces[kind["marks"][0]]["volume"]
        corners, _ = read_stl(path)
        assert len(bodies(corners)) == 1
        assert solid(corners).volume() == pytest.approx(volume, rel=1e-5)
        mesh = trimesh.load_mesh(path)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.body_count == 1
        assert mesh.volume == pytest.approx(volume, rel=1e-5)


def test_the_frame_file_holds_a_watertight_body_a_piece_in_the_report_s_order(built: Built) -> None:
    corners, _ = read_stl(built.folder / "frame.stl")
    found = _in_order(built, "frame", corners)
    assert len(found) == len(built.pieces)
    for body, piece in zip(found, built.pieces.values(), strict=True):
        assert len(bodies(body)) == 1
        assert solid(body).volume() == pytest.approx(piece["volume"], rel=1e-5)
        mesh = trimesh.Trimesh(*_indexed(body), process=False)
        assert mesh.is_watertight
        assert mesh.is_winding_consistent
        assert mesh.volume == pytest.approx(piece["volume"], rel=1e-5)


def _indexed(body: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    points, inverse = np.unique(body.reshape(-1, 3), axis=0, return_inverse=True)
    return points, inverse.reshape(-1, 3)


def test_type_files_stand_at_their_origin(built: Built) -> None:
    for kind in built.report["types"]:
        corners, _ = read_stl(built.folder / "pieces" / f"{kind['type']}.stl")
        piece = built.pieces[kind["marks"][0]]
        assert corners.reshape(-1, 3).min(axis=0).tolist() == [0.0, 0.0, 0.0]
        size = np.array([piece["length"], piece["width"], piece["depth"]])
        assert corners.reshape(-1, 3).max(axis=0).tolist() == size.astype(np.float32).tolist()
