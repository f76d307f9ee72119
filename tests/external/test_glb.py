"""frame.glb against the glTF 2.0 specification, read by bytes and by the Khronos validator.

glTF 2.0 specification section 3.4 (axes and units), 3.6 (buffers,
accessors), 3.7.2 (meshes), 4.4 (binary layout). From mm with z up: (x, z, -y) / 1000.
"""

from __future__ import annotations

import hashlib
import json
import struct
from collections.abc import Callable
from pathlib import Path
from typing import Any

import gltf_validator
import numpy as np
import pytest
from built import Built
from glb_chunks import BIN_CHUNK, COMPONENT, COUNT, JSON_CHUNK, Glb, read_glb
from meshes_outside import bodies, read_stl

ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER = 34962, 34963


@pytest.fixture
def glb(built: Built) -> Glb:
    return read_glb(built.folder / "frame.glb")


def test_the_validator_finds_nothing_to_say_against_it(built: Built) -> None:
    (report,) = gltf_validator.reports(built.folder / "frame.glb")
    # no errors and no warnings; no information and no hints either
    assert gltf_validator.issues(report) == []
    assert report["mimeType"] == "model/gltf-binary"
    # it has really read the meshes: a draw a piece, all triangles
    assert report["info"]["version"] == "2.0"
    assert report["info"]["drawCallCount"] == len(built.pieces)
    assert 3 * report["info"]["totalTriangleCount"] == report["info"]["totalVertexCount"] >= 36 * len(built.pieces)


def _short_normal(values: dict[str, Any], data: bytearray) -> None:
    accessor = values["accessors"][values["meshes"][0]["primitives"][0]["attributes"]["NORMAL"]]
    begin = values["bufferViews"][accessor["bufferView"]]["byteOffset"] + accessor.get("byteOffset", 0)
    data[begin : begin + 12] = struct.pack("<3f", 0.0, 0.5, 0.0)


def _far_index(values: dict[str, Any], data: bytearray) -> None:
    accessor = values["accessors"][values["meshes"][0]["primitives"][0]["indices"]]
    begin = values["bufferViews"][accessor["bufferView"]]["byteOffset"] + accessor.get("byteOffset", 0)
    data[begin : begin + 4] = struct.pack("<I", accessor["max"][0] + 1)


def _other_bound(values: dict[str, Any], data: bytearray) -> None:
    values["accessors"][values["meshes"][0]["primitives"][0]["attributes"]["POSITION"]]["max"][0] += 1.0


def _no_target(values: dict[str, Any], data: bytearray) -> None:
    del values["bufferViews"][0]["target"]


def _lone_node(values: dict[str, Any], data: bytearray) -> None:
    values["scenes"][0]["nodes"].append(len(values["nodes"]))


SPOILED: dict[str, tuple[Callable[[dict[str, Any], bytearray], None], int]] = {
    "ACCESSOR_VECTOR3_NON_UNIT": (_short_normal, 0),
    "ACCESSOR_INDEX_OOB": (_far_index, 0),
    "ACCESSOR_MAX_MISMATCH": (_other_bound, 0),
    "UNRESOLVED_REFERENCE": (_lone_node, 0),
    "BUFFER_VIEW_TARGET_MISSING": (_no_target, 3),
}
"""What is spoiled, by the code under which the validator must find it, and how severe that is."""


def test_the_validator_finds_what_is_spoiled(builder_of_one: Built, tmp_path: Path) -> None:
    whole = read_glb(builder_of_one.folder / "frame.glb")
    paths = []
    for code, (spoil, _) in SPOILED.items():
        values, data = whole.json, bytearray(whole.chunks[1][1])
        spoil(values, data)
        text = json.dumps(values).encode()
        text += b" " * (-len(text) % 4)
        chunks = ((JSON_CHUNK, text), (BIN_CHUNK, bytes(data)))
        body = b"".join(struct.pack("<II", len(chunk), kind) + chunk for kind, chunk in chunks)
        paths.append(tmp_path / f"{code}.glb")
        paths[-1].write_bytes(struct.pack("<4sII", b"glTF", 2, 12 + len(body)) + body)
    cut = tmp_path / "GLB_LENGTH_MISMATCH.glb"
    cut.write_bytes((builder_of_one.folder / "frame.glb").read_bytes()[:-8])
    *found, short = gltf_validator.reports(*paths, cut)
    for (code, (_, severity)), report in zip(SPOILED.items(), found, strict=True):
        assert (severity, code) in [issue[:2] for issue in gltf_validator.issues(report)]
    assert short["issues"]["numErrors"] > 0


def test_the_validator_is_the_one_that_is_told_of() -> None:
    raw = gltf_validator.VALIDATOR.read_bytes()
    assert hashlib.sha256(raw).hexdigest() in gltf_validator.VALIDATOR.with_suffix(".txt").read_text("utf-8")


def test_header_and_chunks(glb: Glb) -> None:
    assert (glb.magic, glb.version, glb.length) == (b"glTF", 2, glb.size)
    assert [kind for kind, _ in glb.chunks] == [JSON_CHUNK, BIN_CHUNK]
    text, data = (chunk for _, chunk in glb.chunks)
    assert len(text) % 4 == 0
    assert len(data) % 4 == 0
    # JSON is padded with spaces and nothing else, the binary with zeros, by at most three bytes
    assert text.rstrip(b" ").endswith(b"}")
    assert text.startswith(b"{")
    (buffer,) = glb.json["buffers"]
    assert "uri" not in buffer
    assert 0 <= len(data) - buffer["byteLength"] <= 3
    assert not any(data[buffer["byteLength"] :])
    assert glb.json["asset"]["version"] == "2.0"


def test_views_and_accessors_stay_in_their_buffer_and_are_aligned(glb: Glb) -> None:
    values = glb.json
    for view in values["bufferViews"]:
        assert view["buffer"] == 0
        assert view["byteLength"] > 0
        assert view.get("byteOffset", 0) + view["byteLength"] <= values["buffers"][0]["byteLength"]
        assert view.get("target", ARRAY_BUFFER) in (ARRAY_BUFFER, ELEMENT_ARRAY_BUFFER)
    for accessor in values["accessors"]:
        view = values["bufferViews"][accessor["bufferView"]]
        size = np.dtype(COMPONENT[accessor["componentType"]]).itemsize
        offset = accessor.get("byteOffset", 0)
        assert offset % size == 0
        assert (offset + view.get("byteOffset", 0)) % size == 0
        assert accessor["count"] > 0
        assert offset + accessor["count"] * size * COUNT[accessor["type"]] <= view["byteLength"]


def test_bounds_of_accessors_are_those_of_their_data(glb: Glb) -> None:
    positions = {part["attributes"]["POSITION"] for mesh in glb.json["meshes"] for part in mesh["primitives"]}
    for index, accessor in enumerate(glb.json["accessors"]):
        if index in positions:
            assert "min" in accessor
            assert "max" in accessor
        found = glb.accessor(index)
        if index in positions:
            assert accessor["min"] == found.min(axis=0).tolist()
            assert accessor["max"] == found.max(axis=0).tolist()
        elif "min" in accessor:
            # a bound of other data need not be the least, but must hold
            assert (np.array(accessor["min"]) <= found.min(axis=0)).all()
            assert (np.array(accessor["max"]) >= found.max(axis=0)).all()


def test_meshes_are_triangles_with_flat_unit_normals_and_indices_in_range(glb: Glb) -> None:
    for mesh in glb.json["meshes"]:
        (part,) = mesh["primitives"]
        assert part.get("mode", 4) == 4
        positions, normals = (glb.accessor(part["attributes"][name]) for name in ("POSITION", "NORMAL"))
        indices = glb.accessor(part["indices"])[:, 0]
        index_kind = glb.json["accessors"][part["indices"]]["componentType"]
        assert index_kind in (5121, 5123, 5125)
        assert len(indices) % 3 == 0
        assert indices.max() < len(positions) == len(normals)
        assert np.isfinite(positions).all()
        assert np.abs(np.linalg.norm(normals, axis=1) - 1).max() < 1e-5
        corners = positions[indices].reshape(-1, 3, 3).astype(np.float64)
        cross = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
        flat = cross / np.linalg.norm(cross, axis=1, keepdims=True)
        # front faces are anticlockwise; a float32 step of 30 m against the least triangle's height allows 1e-3
        assert np.abs(normals[indices].reshape(-1, 3, 3) - flat[:, None, :]).max() < 1e-3
        materials = glb.json["materials"]
        colour = materials[part["material"]]["pbrMetallicRoughness"]["baseColorFactor"]
        assert len(colour) == 4
        assert all(0.0 <= value <= 1.0 for value in colour)


def test_a_named_node_a_piece_all_in_the_scene_none_moved(built: Built, glb: Glb) -> None:
    values = glb.json
    nodes = [node for node in values["nodes"] if "mesh" in node]
    assert [node["name"] for node in nodes] == list(built.pieces)
    assert sorted(node["mesh"] for node in nodes) == list(range(len(values["meshes"])))
    reached, queue = set(), list(values["scenes"][values["scene"]]["nodes"])
    while queue:
        index = queue.pop()
        assert index not in reached
        reached.add(index)
        queue += values["nodes"][index].get("children", [])
    assert reached == set(range(len(values["nodes"])))
    still = {"translation": [0, 0, 0], "rotation": [0, 0, 0, 1], "scale": [1, 1, 1]}
    still["matrix"] = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1]
    for node in values["nodes"]:
        assert all(node.get(key, value) == value for key, value in still.items())


def test_colours_tell_which_halves_a_piece_has(built: Built, glb: Glb) -> None:
    nodes = {node["name"]: node for node in glb.json["nodes"]}
    colours: dict[frozenset[str], set[tuple[float, ...]]] = {}
    for mark, piece in built.pieces.items():
        (part,) = glb.json["meshes"][nodes[mark]["mesh"]]["primitives"]
        colour = glb.json["materials"][part["material"]]["pbrMetallicRoughness"]["baseColorFactor"]
        colours.setdefault(frozenset(lap["half"] for lap in piece["laps"]), set()).add(tuple(colour))
    assert all(len(found) == 1 for found in colours.values())
    assert len(set().union(*colours.values())) == len(colours)


def test_metres_and_y_up_each_piece_where_the_stl_has_it(built: Built, glb: Glb) -> None:
    frame, _ = read_stl(built.folder / "frame.stl")
    stands = [body.reshape(-1, 3) for body in _parts(built, frame)]
    nodes = {node["name"]: node for node in glb.json["nodes"]}
    for mark, corners in zip(built.pieces, stands, strict=True):
        (part,) = glb.json["meshes"][nodes[mark]["mesh"]]["primitives"]
        found = glb.accessor(part["attributes"]["POSITION"])
        wanted = np.stack([corners[:, 0], corners[:, 2], -corners[:, 1]], axis=1) / 1000
        # a float32 step in each of the two files, in metres
        bound = float(np.spacing(np.float32(np.abs(corners).max()))) / 1000
        assert np.abs(found.min(axis=0) - wanted.min(axis=0)).max() <= bound
        assert np.abs(found.max(axis=0) - wanted.max(axis=0)).max() <= bound
        apart = np.abs(np.unique(wanted, axis=0)[:, None, :] - np.unique(found, axis=0)[None]).max(axis=2)
        assert apart.min(axis=0).max() <= bound
        assert apart.min(axis=1).max() <= bound


def _parts(built: Built, frame: np.ndarray) -> list[np.ndarray]:
    counts = [len(read_stl(built.folder / "pieces" / f"{piece['type']}.stl")[0]) for piece in built.pieces.values()]
    assert sum(counts) == len(frame)
    return np.split(frame, np.cumsum(counts)[:-1])


def test_meshes_are_closed(glb: Glb) -> None:
    for mesh in glb.json["meshes"]:
        (part,) = mesh["primitives"]
        corners = glb.accessor(part["attributes"]["POSITION"])[glb.accessor(part["indices"])[:, 0]]
        facets = corners.reshape(-1, 3, 3).astype(np.float64)
        assert len(bodies(facets)) == 1
        # area vectors of a closed surface sum to nothing
        areas = np.cross(facets[:, 1] - facets[:, 0], facets[:, 2] - facets[:, 0]) / 2
        assert np.abs(areas.sum(axis=0)).max() <= 1e-6 * np.abs(areas).sum()
