"""The proof must be able to fail: solids spoiled in a dozen ways, each caught by the check meant for it."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from making import failed_names, write_solids

from platemodel.export.stl import write_stl
from platemodel.frame import Frame, Piece, decide
from platemodel.frame.shape import Cut, Shape
from platemodel.plan import parse_plan
from platemodel.solid import prove
from platemodel.solid.colours import NEUTRAL
from platemodel.solid.part21 import Heading
from platemodel.solid.shapes import solid_of
from platemodel.solid.step import write_step
from platemodel.solid.step_text import Member
from platemodel.solid.triangles import facets

PLAN = """
[job]
title = "To be spoiled"
[plate]
width = 100
depth = 50
[[shell]]
leaf = 100
corners = [[0, 0], [4200, 0], [5400, 3000], [0, 3000]]
walls = ["front", "slant", "back", "left"]
[[cross]]
name = "spine"
leaf = 100
from = { wall = "front", at = 2000 }
to = { wall = "back", at = 3200 }
"""


@pytest.fixture(scope="module")
def frame() -> Frame:
    return decide(parse_plan(PLAN))


def _rewrite(frame: Frame, folder: Path, pieces: list[Piece]) -> None:
    """Write frame.step and frame.stl anew from other pieces; the types' files stay."""
    members = [Member(piece.mark, solid_of(piece.vertices, piece.faces), NEUTRAL) for piece in pieces]
    write_step(folder / "frame.step", members, Heading("spoiled"))
    write_stl(folder / "frame.stl", [facets(piece.vertices, piece.faces) for piece in pieces])


def _reshaped(piece: Piece, change: Callable[[Shape], Shape]) -> Piece:
    """A piece with another shape where it lies."""
    shape = change(piece.laid)
    old, new = piece.laid.polyhedron()[0], shape.polyhedron()
    # the motion from the laid shape to the building, from three corners of the old one
    a, b = np.array(old), np.array(piece.vertices)
    motion, *_ = np.linalg.lstsq(np.column_stack([a, np.ones(len(a))]), b, rcond=None)
    placed = np.column_stack([np.array(new[0]), np.ones(len(new[0]))]) @ motion
    return dataclasses.replace(piece, laid=shape, vertices=tuple(map(tuple, placed.tolist())), faces=tuple(new[1]))


def _with_cut(shape: Shape, number: int, change: Callable[[Cut], Cut | None]) -> Shape:
    cuts = [cut if index != number else change(cut) for index, cut in enumerate(shape.cuts)]
    return dataclasses.replace(shape, cuts=tuple(cut for cut in cuts if cut is not None))


def _spoil(frame: Frame, mark: str, change: Callable[[Piece], Piece]) -> list[Piece]:
    assert any(piece.mark == mark for piece in frame.pieces)
    return [change(piece) if piece.mark == mark else piece for piece in frame.pieces]


def _findings(frame: Frame, folder: Path, pieces: list[Piece]) -> set[str]:
    write_solids(frame, folder / "out")
    assert prove(frame, folder / "out").passed
    _rewrite(frame, folder / "out", pieces)
    proof = prove(frame, folder / "out")
    assert not proof.passed
    return failed_names(proof)


def test_a_piece_shifted_by_a_fifth_of_a_millimetre(frame: Frame, tmp_path: Path) -> None:
    def shift(piece: Piece) -> Piece:
        # north, so that it leaves its seat's edge and its shoulders' gaps change
        return dataclasses.replace(piece, vertices=tuple((x, y + 0.2, z) for x, y, z in piece.vertices))

    names = _findings(frame, tmp_path, _spoil(frame, "A1", shift))
    assert {"exact fill", "mesh fill", "exact gap", "mesh gap", "exact seat", "mesh seat"} <= names
    assert "pieces STEP: placed types off the frame, mm" in names


@pytest.mark.parametrize("by", [0.5, -0.5])
def test_a_shoulder_half_a_millimetre_long_or_short(frame: Frame, tmp_path: Path, by: float) -> None:
    def change(cut: Cut) -> Cut:
        # the first cut of this piece is at its low end: its shoulder is the cut's high line
        return dataclasses.replace(cut, high=(cut.high[0] + by, cut.high[1] + by))

    pieces = _spoil(frame, "A1", lambda piece: _reshaped(piece, lambda shape: _with_cut(shape, 0, change)))
    names = _findings(frame, tmp_path, pieces)
    assert {"exact gap", "mesh gap", "frame.step: volumes against the polygons, relative"} <= names


def test_a_depth_wrong_by_a_tenth(frame: Frame, tmp_path: Path) -> None:
    def deepen(piece: Piece) -> Piece:
        moved = tuple((x, y, z + 0.1 if abs(z - 25.0) < 1e-9 else z) for x, y, z in piece.vertices)
        return dataclasses.replace(piece, vertices=moved)

    names = _findings(frame, tmp_path, _spoil(frame, "A1", deepen))
    # the under half stands a tenth too high: it clashes with what lies on it
    assert {"exact clash", "mesh clash", "exact seat"} <= names
    assert "frame.step: volumes against the polygons, relative" in names


def test_a_depth_wrong_by_a_tenth_the_other_way(frame: Frame, tmp_path: Path) -> None:
    def cut_away(piece: Piece) -> Piece:
        moved = tuple((x, y, z - 0.1 if abs(z - 25.0) < 1e-9 else z) for x, y, z in piece.vertices)
        return dataclasses.replace(piece, vertices=moved)

    names = _findings(frame, tmp_path, _spoil(frame, "A1", cut_away))
    assert {"exact fill", "mesh fill", "exact seat", "mesh seat"} <= names


def test_an_under_swapped_for_an_over(frame: Frame, tmp_path: Path) -> None:
    def swap(cut: Cut) -> Cut:
        return dataclasses.replace(cut, upper=not cut.upper)

    pieces = _spoil(frame, "A1", lambda piece: _reshaped(piece, lambda shape: _with_cut(shape, 0, swap)))
    names = _findings(frame, tmp_path, pieces)
    assert {"exact clash", "mesh clash", "exact fill", "mesh fill", "exact seat", "mesh seat"} <= names


def test_a_mirror_image_of_a_piece_with_an_oblique_lap(frame: Frame, tmp_path: Path) -> None:
    def mirror(shape: Shape) -> Shape:
        cuts = tuple(dataclasses.replace(cut, low=cut.low[::-1], high=cut.high[::-1]) for cut in shape.cuts)
        return dataclasses.replace(shape, low=shape.low[::-1], high=shape.high[::-1], cuts=cuts)

    slant = next(piece for piece in frame.pieces if piece.walls == ("slant",))
    names = _findings(frame, tmp_path, _spoil(frame, slant.mark, lambda piece: _reshaped(piece, mirror)))
    # volume and area are those of the right piece: only the laps and the placed type can tell
    assert {"exact fill", "mesh fill", "pieces STEP: placed types off the frame, mm"} <= names
    assert "frame.step: volumes against the polygons, relative" not in names


def test_a_missing_lap(frame: Frame, tmp_path: Path) -> None:
    pieces = _spoil(frame, "A1", lambda p: _reshaped(p, lambda shape: _with_cut(shape, 0, lambda cut: None)))
    write_solids(frame, tmp_path / "out")
    _rewrite(frame, tmp_path / "out", pieces)
    names = failed_names(prove(frame, tmp_path / "out"))
    assert {"exact clash", "exact gap", "frame.step: faces more or fewer than the polygons make"} <= names
    assert "frame.stl: facets more or fewer than the polygons make" in names


def test_a_hole_in_a_mesh(frame: Frame, tmp_path: Path) -> None:
    write_solids(frame, tmp_path / "out")
    found = [facets(piece.vertices, piece.faces) for piece in frame.pieces]
    # one facet twice and its neighbour not at all, so that the count is right and the mesh is not
    found[0][3] = found[0][4]
    write_stl(tmp_path / "out" / "frame.stl", found)
    names = failed_names(prove(frame, tmp_path / "out"))
    assert {
        "frame.stl: edges of a piece not shared by two of its facets",
        "frame.stl: solids not closed",
        "mesh fill",
    } <= names


def test_an_open_solid(frame: Frame, tmp_path: Path) -> None:
    def open_up(piece: Piece) -> Piece:
        return dataclasses.replace(piece, faces=piece.faces[:-1])

    write_solids(frame, tmp_path / "out")
    members = [Member(p.mark, solid_of(p.vertices, p.faces), NEUTRAL) for p in _spoil(frame, "A1", open_up)]
    write_step(tmp_path / "out" / "frame.step", members, Heading("spoiled"))
    names = failed_names(prove(frame, tmp_path / "out"))
    assert "frame.step: faces more or fewer than the polygons make" in names
    assert {"frame.step: solids not closed", "frame.step: solids not valid"} & names


def test_an_extra_sliver(frame: Frame, tmp_path: Path) -> None:
    def sliver(shape: Shape) -> Shape:
        # a cut so narrow that its edge is no cut but a slip
        middle = (shape.low[0] + shape.high[0]) / 2 + 300
        thin = Cut((middle, middle), (middle + 5e-5, middle + 5e-5), True)
        return dataclasses.replace(shape, cuts=tuple(sorted((*shape.cuts, thin), key=lambda cut: cut.low)))

    write_solids(frame, tmp_path / "out")
    pieces = _spoil(frame, "A1", lambda piece: _reshaped(piece, sliver))
    members = [Member(p.mark, solid_of(p.vertices, p.faces), NEUTRAL) for p in pieces]
    write_step(tmp_path / "out" / "frame.step", members, Heading("spoiled"))
    names = failed_names(prove(frame, tmp_path / "out"))
    assert "frame.step: shortest edge, mm" in names


def test_a_flipped_facet_in_a_mesh(frame: Frame, tmp_path: Path) -> None:
    write_solids(frame, tmp_path / "out")
    found = [facets(piece.vertices, piece.faces) for piece in frame.pieces]
    found[1][5] = found[1][5][::-1].copy()
    write_stl(tmp_path / "out" / "frame.stl", found)
    names = failed_names(prove(frame, tmp_path / "out"))
    assert {"frame.stl: edges of a piece not shared by two of its facets", "frame.stl: solids not closed"} <= names


def test_a_normal_that_disagrees_with_its_facet(frame: Frame, tmp_path: Path) -> None:
    write_solids(frame, tmp_path / "out")
    path = tmp_path / "out" / "frame.stl"
    raw = bytearray(path.read_bytes())
    normal = np.frombuffer(bytes(raw[84:96]), "<f4")
    raw[84:96] = (-normal).astype("<f4").tobytes()
    path.write_bytes(bytes(raw))
    assert "frame.stl: facets turned inside out" in failed_names(prove(frame, tmp_path / "out"))


def test_a_piece_left_out(frame: Frame, tmp_path: Path) -> None:
    names = _findings(frame, tmp_path, [piece for piece in frame.pieces if piece.mark != "A1"])
    assert "frame.step: pieces missing or misnamed" in names
    assert "frame.stl: facets more or fewer than the polygons make" in names
    assert {"exact fill", "mesh fill"} <= names


def test_two_pieces_with_each_other_s_names(frame: Frame, tmp_path: Path) -> None:
    names = {"A1": "B1", "B1": "A1"}
    pieces = [dataclasses.replace(piece, mark=names.get(piece.mark, piece.mark)) for piece in frame.pieces]
    assert "frame.step: pieces missing or misnamed" in _findings(frame, tmp_path, pieces)


def test_an_order_that_cannot_be_lowered(frame: Frame, tmp_path: Path) -> None:
    write_solids(frame, tmp_path / "out")
    last = len(frame.pieces) + 1
    backward = tuple(dataclasses.replace(piece, order=last - piece.order) for piece in frame.pieces)
    proof = prove(dataclasses.replace(frame, pieces=backward), tmp_path / "out")
    assert not proof.lowering
    # the files tell each piece's laying number too
    assert failed_names(proof) == {
        "frame.step: descriptions or attributes other than meant",
        "frame.step: area that blocks lowering in laying order, mm2",
        "frame.stl: volume that blocks lowering in laying order, mm3",
    }


def test_pieces_that_are_no_mates_share_volume(frame: Frame, tmp_path: Path) -> None:
    spine = next(piece for piece in frame.pieces if piece.walls == ("spine",))
    left = next(piece for piece in frame.pieces if piece.walls == ("left",))
    assert not any(half.mate == frame.pieces.index(left) for half in spine.halves)

    def onto_left(piece: Piece) -> Piece:
        by = min(x for x, _, _ in piece.vertices) - 50.0
        return dataclasses.replace(piece, vertices=tuple((x - by, y, z) for x, y, z in piece.vertices))

    names = _findings(frame, tmp_path, _spoil(frame, spine.mark, onto_left))
    assert "frame.step: volume shared by near pieces that are not mates, mm3" in names
    assert "frame.stl: volume shared by near pieces that are not mates, mm3" in names


def test_a_type_file_that_is_another_type(frame: Frame, tmp_path: Path) -> None:
    write_solids(frame, tmp_path / "out")
    one, other = (tmp_path / "out" / "pieces" / f"T{number}.step" for number in (1, 2))
    one.write_bytes(other.read_bytes())
    assert "pieces STEP: files without one solid of the type's name" in failed_names(prove(frame, tmp_path / "out"))
