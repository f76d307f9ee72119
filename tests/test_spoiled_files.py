"""The proof must be able to fail, continued: levels, types' files, names and colours."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from making import failed_names, write_solids
from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

from platemodel.export.step import write_frame_step
from platemodel.export.stl import write_stl
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan
from platemodel.solid import prove
from platemodel.solid.colours import ROLE_COLOUR
from platemodel.solid.labels import type_member
from platemodel.solid.part21 import Heading
from platemodel.solid.shapes import solid_of
from platemodel.solid.step import write_step
from platemodel.solid.step_text import Member
from platemodel.solid.triangles import facets

PLAN = """
[job]
title = "To be spoiled too"
[plate]
width = 100
depth = 50
[[shell]]
name = "house"
leaf = 100
corners = [[0, 0], [4200, 0], [5400, 3000], [0, 3000]]
walls = ["front", "slant", "back", "left"]
[[shell]]
name = "lone"
leaf = 100
closed = false
corners = [[0, 6000], [3000, 6000]]
walls = ["alone"]
"""


@pytest.fixture(scope="module")
def frame() -> Frame:
    return decide(parse_plan(PLAN))


@pytest.fixture
def folder(frame: Frame, tmp_path: Path) -> Path:
    write_solids(frame, tmp_path / "out")
    assert failed_names(prove(frame, tmp_path / "out")) == set()
    return tmp_path / "out"


def _meshes(frame: Frame, folder: Path, index: int, change: Callable[[np.ndarray], np.ndarray]) -> None:
    found = [facets(piece.vertices, piece.faces) for piece in frame.pieces]
    found[index] = change(found[index].astype(np.float64)).astype(np.float32)
    write_stl(folder / "frame.stl", found)


def _type_mesh(frame: Frame, folder: Path, kind: int, change: Callable[[np.ndarray], np.ndarray]) -> None:
    found = facets(*frame.types[kind].shape.polyhedron())
    write_stl(
        folder / "pieces" / f"{frame.types[kind].name}.stl", [change(found.astype(np.float64)).astype(np.float32)]
    )


def test_a_lone_plate_moved_in_the_mesh(frame: Frame, folder: Path) -> None:
    lone = next(number for number, piece in enumerate(frame.pieces) if piece.walls == ("alone",))
    assert not frame.pieces[lone].halves
    _meshes(frame, folder, lone, lambda found: found + np.array([-40.0, 0.0, 0.0]))
    # the types' files are right, and seen to be elsewhere than the frame's mesh
    assert failed_names(prove(frame, folder)) == {
        "frame.stl: corners off the pieces, mm",
        "pieces STL: placed types off the frame, mm",
    }


def test_a_piece_lifted_a_hundredth(frame: Frame, folder: Path) -> None:
    lifted = dataclasses.replace(
        frame.pieces[0], vertices=tuple((x, y, z + 0.01) for x, y, z in frame.pieces[0].vertices)
    )
    write_frame_step(dataclasses.replace(frame, pieces=(lifted, *frame.pieces[1:])), folder)
    names = failed_names(prove(frame, folder))
    assert {"frame.step: undersides off level, mm", "frame.step: tops not flush, mm"} <= names


def test_a_round_piece(frame: Frame, folder: Path) -> None:
    members = [Member(p.mark, solid_of(p.vertices, p.faces), ROLE_COLOUR[p.role]) for p in frame.pieces]
    members[0] = dataclasses.replace(members[0], solid=BRepPrimAPI_MakeCylinder(50.0, 50.0).Shape())
    write_step(folder / "frame.step", members, Heading("spoiled"))
    names = failed_names(prove(frame, folder))
    assert {"frame.step: faces not planar", "frame.step: areas against the polygons, relative"} <= names


def test_a_type_off_its_origin(frame: Frame, folder: Path) -> None:
    vertices, faces = frame.types[0].shape.polyhedron()
    moved = [(x + 1.0, y, z) for x, y, z in vertices]
    member = dataclasses.replace(type_member(frame, frame.types[0]), solid=solid_of(moved, faces))
    write_step(folder / "pieces" / "T1.step", [member], Heading("spoiled"))
    _type_mesh(frame, folder, 0, lambda found: found + np.array([1.0, 0.0, 0.0]))
    names = failed_names(prove(frame, folder))
    assert names == {
        "pieces STEP: validation properties off the solids, relative",
        "pieces STEP: bounding boxes off the origin, mm",
        "pieces STEP: placed types off the frame, mm",
        "pieces STL: boxes off the origin, mm",
        "pieces STL: placed types off the frame, mm",
    }


def test_a_type_s_mesh_that_is_its_mirror_image(frame: Frame, folder: Path) -> None:
    slant = next(piece for piece in frame.pieces if piece.walls == ("slant",))
    width = slant.laid.width

    def mirror(found: np.ndarray) -> np.ndarray:
        found[:, :, 1] = width - found[:, :, 1]
        return found[:, ::-1].copy()

    _type_mesh(frame, folder, slant.type, mirror)
    assert failed_names(prove(frame, folder)) == {"pieces STL: placed types off the frame, mm"}


@pytest.mark.parametrize(
    ("change", "check"),
    [
        (lambda found: found[1:], "pieces STL: facets more or fewer than the polygons make"),
        (lambda found: found[1:], "pieces STL: edges of a piece not shared by two of its facets"),
        (lambda found: found[:, ::-1].copy(), "pieces STL: solids not closed"),
        (
            lambda found: found * np.array([1.0, 1.0, 1.01]),
            "pieces STL: volumes against the polygons, in half float32 steps times area",
        ),
    ],
)
def test_a_type_s_mesh_with_a_fault(frame: Frame, folder: Path, change, check: str) -> None:  # noqa: ANN001
    _type_mesh(frame, folder, 0, change)
    assert check in failed_names(prove(frame, folder))


def test_a_type_s_normal_that_disagrees(frame: Frame, folder: Path) -> None:
    path = folder / "pieces" / "T1.stl"
    raw = bytearray(path.read_bytes())
    raw[84:96] = (-np.frombuffer(bytes(raw[84:96]), "<f4")).astype("<f4").tobytes()
    path.write_bytes(bytes(raw))
    assert failed_names(prove(frame, folder)) == {"pieces STL: facets turned inside out"}


@pytest.mark.parametrize(
    ("pattern", "instead"),
    [
        (r"MANIFOLD_SOLID_BREP\('A1'", "MANIFOLD_SOLID_BREP('B1'"),
        (r"COLOUR_RGB\('',[^)]*\)", "COLOUR_RGB('',1.0,0.0,0.0)"),
        (r"STYLED_ITEM\('color'", "UNSTYLED_ITEM('color'"),
    ],
)
def test_a_solid_of_another_name_or_colour(frame: Frame, folder: Path, pattern: str, instead: str) -> None:
    path = folder / "frame.step"
    text, count = re.subn(pattern, instead, path.read_text("ascii"))
    assert count
    path.write_text(text, "ascii")
    assert "frame.step: solids of another name or colour" in failed_names(prove(frame, folder))
