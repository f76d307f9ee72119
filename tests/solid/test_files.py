"""STEP, STL and glTF as written and read back, and work shared between processes."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import trimesh
from bench.terrace import terrace
from making import failed_names, prism, proved
from OCP.Interface import Interface_Static
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS

from platemodel.export.meshes import write_glb
from platemodel.export.stl import write_stl
from platemodel.frame import decide
from platemodel.frame.shape import Cut, Shape
from platemodel.plan import parse_plan, read_plan
from platemodel.solid.colours import NEUTRAL, linear
from platemodel.solid.meshes import StlError, half_step, read_stl
from platemodel.solid.part21 import Heading
from platemodel.solid.shapes import explore, face_loops, solid_of, volume
from platemodel.solid.step import read_step, write_step
from platemodel.solid.step_contents import product_names
from platemodel.solid.step_text import Member, StepError
from platemodel.solid.triangles import facets
from platemodel.solid.workers import beside, mapped, partner

ROOT = Path(__file__).parents[2]
NOTCHED = Shape(
    100.0,
    50.0,
    (0.0, 30.0),
    (900.0, 870.0),
    (Cut((0.0, 30.0), (101.0, 131.0), True), Cut((400.0, 430.0), (501.0, 531.0), False)),
)


def test_names_with_quotes_and_letters_beyond_ascii(tmp_path: Path) -> None:
    solid = solid_of(*NOTCHED.polyhedron())
    write_step(tmp_path / "a.step", [Member("it's", solid, NEUTRAL)], Heading("Größe ✓"))
    assert product_names(tmp_path / "a.step") == ["it's"]
    assert (tmp_path / "a.step").read_bytes().isascii()


def test_settings_of_the_kernel_do_not_stick(tmp_path: Path) -> None:
    write_step(tmp_path / "a.step", [Member("A1", prism([(0, 0), (1, 0), (1, 1)], 0, 1), NEUTRAL)], Heading("t"))
    before = Interface_Static.CVal_s("write.step.schema")
    Interface_Static.SetCVal_s("write.step.schema", "AP203")
    try:
        write_step(tmp_path / "b.step", [Member("A1", prism([(0, 0), (1, 0), (1, 1)], 0, 1), NEUTRAL)], Heading("t"))
        assert Interface_Static.CVal_s("write.step.schema") == "AP203"
        assert "AP242" in (tmp_path / "b.step").read_text()
    finally:
        Interface_Static.SetCVal_s("write.step.schema", before)


def test_a_step_file_that_is_none_is_refused(tmp_path: Path) -> None:
    (tmp_path / "a.step").write_text("not a STEP file")
    with pytest.raises(StepError, match=r"a\.step cannot be read back"):
        read_step(tmp_path / "a.step")


def test_a_folder_that_is_not_there_cannot_be_written_to(tmp_path: Path) -> None:
    solid = prism([(0, 0), (1, 0), (1, 1)], 0, 1)
    with pytest.raises(StepError, match="could not write"):
        write_step(tmp_path / "none" / "a.step", [Member("A1", solid, NEUTRAL)], Heading("t"))


def test_a_solid_read_back_is_what_was_written(tmp_path: Path) -> None:
    write_step(tmp_path / "a.step", [Member("A1", solid_of(*NOTCHED.polyhedron()), NEUTRAL)], Heading("t"))
    (solid,) = read_step(tmp_path / "a.step")
    assert volume(solid) == pytest.approx(NOTCHED.volume, rel=1e-12)
    corners = {
        tuple(round(part, 6) for part in point)
        for face in explore(solid, TopAbs_ShapeEnum.TopAbs_FACE)
        for loop in face_loops(TopoDS.Face_s(face))
        for point in loop
    }
    assert corners == {tuple(round(part, 6) for part in vertex) for vertex in NOTCHED.polyhedron()[0]}


def test_facets_are_the_least_there_are() -> None:
    vertices, faces = NOTCHED.polyhedron()
    assert len(facets(vertices, faces)) == sum(len(face) - 2 for face in faces)


@pytest.mark.parametrize("spoil", [lambda raw: raw[:-1], lambda raw: b"solid" + raw[5:], lambda raw: raw[:40]])
def test_a_mesh_file_of_the_wrong_size_or_kind_is_refused(tmp_path: Path, spoil) -> None:  # noqa: ANN001
    path = tmp_path / "a.stl"
    write_stl(path, [facets(*NOTCHED.polyhedron())])
    path.write_bytes(spoil(path.read_bytes()))
    with pytest.raises(StlError):
        read_stl(path)


def test_half_a_step_of_float32() -> None:
    assert half_step(np.array([9000.0], dtype=np.float32)) == 2.0**-11
    assert half_step(np.array([1.0], dtype=np.float32)) == 2.0**-24


def test_linear_light() -> None:
    assert linear((0.0, 1.0, 0.5)) == pytest.approx((0.0, 1.0, 0.2140), abs=1e-4)


def test_work_is_shared_out_in_order() -> None:
    here = os.getpid()
    answers = mapped(lambda number: (number, os.getpid()), 200, 10)
    assert [number for number, _ in answers] == list(range(200))
    if (os.cpu_count() or 1) > 1:
        assert here not in {process for _, process in answers}
    assert {process for _, process in mapped(lambda number: (number, os.getpid()), 5, 10)} == {here}


def test_a_fault_in_shared_work_comes_back() -> None:
    def fail(number: int) -> int:
        raise ValueError(f"number {number}")

    with pytest.raises(ValueError, match="number"):
        mapped(fail, 200, 10)
    with pytest.raises(ValueError, match="number 7"), beside(lambda: fail(7), worth_it=True) as result:
        result()


def test_a_large_frame_is_proved_by_several_processes(tmp_path: Path) -> None:
    frame = decide(parse_plan(terrace(24)))
    assert len(frame.pieces) > 80
    assert failed_names(proved(frame, tmp_path / "out")) == set()


def test_the_viewer_s_model_has_a_node_a_piece(tmp_path: Path) -> None:
    frame = decide(read_plan(ROOT / "examples" / "two-shells.toml"))
    write_glb(frame, tmp_path / "frame.glb")
    scene = trimesh.load(tmp_path / "frame.glb")
    assert set(scene.geometry) == {piece.mark for piece in frame.pieces}
    for piece in frame.pieces:
        low, high = scene.geometry[piece.mark].bounds * 1000
        xs, ys, zs = zip(*piece.vertices, strict=True)
        assert low == pytest.approx((min(xs), min(zs), -max(ys)), abs=0.01)
        assert high == pytest.approx((max(xs), max(zs), -min(ys)), abs=0.01)


def test_a_partner_keeps_what_it_has_done_and_tells_what_goes_wrong() -> None:
    kept: list[int] = []

    def work(value: int) -> list[int]:
        if value < 0:
            raise ValueError(f"number {value}")
        kept.append(value)
        return list(kept)

    with partner(work) as ask:
        first, second, third = ask(1), ask(2), ask(-3)
        assert first() == [1]
        assert second() == [1, 2]
        with pytest.raises(ValueError, match="number -3"):
            third()
