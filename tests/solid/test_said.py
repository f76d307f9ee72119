"""What STEP files say beside their solids, instances of types, and writes that fail."""

from __future__ import annotations

import dataclasses
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import xcaf
from external import part21
from hypothesis import given, settings
from making import failed_names, proved
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.STEPCAFControl import STEPCAFControl_Writer
from plans import Spec, specs

from platemodel.export.step import write_frame_step
from platemodel.faults import PlanError
from platemodel.frame import Frame, decide
from platemodel.frame.shape import ALIKE
from platemodel.plan import parse_plan, read_plan
from platemodel.plan.values import Export
from platemodel.solid import step
from platemodel.solid.bodies import corners_apart
from platemodel.solid.colours import NEUTRAL, ROLE_COLOUR
from platemodel.solid.exact import prove_step
from platemodel.solid.labels import (
    figures_check,
    placed_piece,
    said_checks,
    said_of_instance,
    said_of_type,
    said_of_whole,
    whole_checks,
)
from platemodel.solid.part21 import Heading, spelt
from platemodel.solid.shapes import area, common_volume, middle, solid_of, volume
from platemodel.solid.step import read_pieces, write_step
from platemodel.solid.step_contents import contents
from platemodel.solid.step_text import Figures, Member, StepError
from platemodel.solid.windows import windows

ROOT = Path(__file__).parents[2]
BOX = solid_of(
    [(0, 0, 0), (3, 0, 0), (3, 2, 0), (0, 2, 0), (0, 0, 1), (3, 0, 1), (3, 2, 1), (0, 2, 1)],
    [(3, 2, 1, 0), (4, 5, 6, 7), (0, 1, 5, 4), (1, 2, 6, 5), (2, 3, 7, 6), (3, 0, 4, 7)],
)
MEMBER = Member("A1", BOX, NEUTRAL, "a box", Figures(6.0, 22.0, (1.5, 1.0, 0.5)), (("mark", "A1"),))


def of(frame: Frame, protocol: str = "AP242", instances: bool = False) -> Frame:
    """The same frame with other wishes for its files."""
    return dataclasses.replace(frame, plan=dataclasses.replace(frame.plan, export=Export(protocol, instances)))


@pytest.fixture(scope="module")
def frame() -> Frame:
    # oblique ends, and pieces that are their type turned over
    found = decide(read_plan(ROOT / "tests" / "external" / "plans" / "skew.toml"))
    assert any(piece.place.turned_over for piece in found.pieces)
    assert len(found.types) < len(found.pieces)
    return found


@pytest.fixture(scope="module")
def flat(frame: Frame, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("flat")
    write_frame_step(frame, folder)
    return folder / "frame.step"


@pytest.fixture(scope="module")
def instanced(frame: Frame, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder whose files are proved."""
    folder = tmp_path_factory.mktemp("instanced") / "out"
    assert failed_names(proved(of(frame, instances=True), folder)) == set()
    return folder


def test_instances_and_flat_are_the_same_geometry(frame: Frame, flat: Path, instanced: Path) -> None:
    alone = dict(read_pieces(flat).pieces)
    placed = read_pieces(instanced / "frame.step")
    assert [name for name, _ in placed.pieces] == [piece.mark for piece in frame.pieces]
    assert sorted(name for name, _ in placed.products) == sorted(kind.name for kind in frame.types)
    assert (instanced / "frame.step").read_text().count("MANIFOLD_SOLID_BREP") == len(frame.types)
    for mark, solid in placed.pieces:
        assert volume(alone[mark]) == pytest.approx(volume(solid), rel=1e-9)
        assert common_volume(alone[mark], solid) == pytest.approx(volume(solid), rel=1e-9)


@settings(max_examples=4)
@given(specs())
def test_instances_of_any_plan_stand_where_its_pieces_do(spec: Spec) -> None:
    frame = spec.frame()
    for piece in frame.pieces:
        one = placed_piece(frame, piece)
        along, up = np.array(one.along), np.array(one.up)
        corners = np.array(frame.types[one.member].shape.polyhedron()[0])
        stood = one.origin + corners @ np.array([along, np.cross(up, along), up])
        assert corners_apart(stood, np.array(piece.vertices)) <= 2 * ALIKE


def attributes(frame: Frame, index: int) -> dict[str, str | int | float]:
    piece = frame.pieces[index]
    return {
        "mark": piece.mark,
        "type": frame.types[piece.type].name,
        "grade": "C24",
        "section": f"{piece.laid.width:.0f} x 44 mm",
        "length": piece.length,
        "laying order": piece.order,
    }


def test_the_kernel_s_own_document_reads_a_flat_frame(frame: Frame, flat: Path) -> None:
    found = xcaf.read(flat)
    solids = dict(read_pieces(flat).pieces)
    assert [node.name for node in found] == [piece.mark for piece in frame.pieces]
    for index, (node, piece) in enumerate(zip(found, frame.pieces, strict=True)):
        assert node.colour == pytest.approx(ROLE_COLOUR[piece.role], abs=1e-5)
        assert node.attributes == attributes(frame, index)
        assert node.volume == pytest.approx(volume(solids[piece.mark]), rel=1e-9)
        assert node.instances == []


def test_the_kernel_s_own_document_reads_instances(frame: Frame, instanced: Path) -> None:
    (whole,) = xcaf.read(instanced / "frame.step")
    assert whole.name == "frame"
    # the kernel's own figures of the bodies read back
    solids = [solid for _, solid in read_pieces(instanced / "frame.step").pieces]
    assert whole.volume == pytest.approx(sum(map(volume, solids)), rel=1e-9)
    assert whole.area == pytest.approx(sum(map(area, solids)), rel=1e-9)
    moments = [[volume(solid) * part for part in middle(solid)] for solid in solids]
    assert whole.centroid == pytest.approx(np.sum(moments, axis=0) / whole.volume, abs=1e-6)
    assert [node.name for node in whole.instances] == [piece.mark for piece in frame.pieces]
    for index, (node, piece) in enumerate(zip(whole.instances, frame.pieces, strict=True)):
        kind = frame.types[piece.type]
        assert node.of is not None
        assert (node.of.name, node.of.attributes["marks"]) == (
            kind.name,
            ", ".join(frame.pieces[number].mark for number in kind.pieces),
        )
        assert node.colour == pytest.approx(ROLE_COLOUR[piece.role], abs=1e-5)
        assert node.of.colour == pytest.approx(NEUTRAL, abs=1e-5)
        assert node.attributes == attributes(frame, index)
        assert node.of.volume == pytest.approx(kind.shape.volume, rel=1e-9)
        assert node.of.area == pytest.approx(kind.shape.area, rel=1e-9)
        assert len(node.of.centroid) == 3


def test_the_older_protocol_for_old_readers(frame: Frame, tmp_path: Path) -> None:
    write_frame_step(of(frame, "AP214", True), tmp_path)
    exchange = part21.parse((tmp_path / "frame.step").read_text("ascii"))
    assert exchange.header[2] == ("FILE_SCHEMA", [["AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }"]])
    # it came with the newer protocol
    assert not exchange.named("INTEGER_REPRESENTATION_ITEM")
    assert exchange.named("NEXT_ASSEMBLY_USAGE_OCCURRENCE")
    (whole,) = xcaf.read(tmp_path / "frame.step")
    nodes = whole.instances
    assert [node.attributes for node in nodes] == [attributes(frame, index) for index in range(len(frame.pieces))]


def test_the_same_bytes_each_time_in_one_process(frame: Frame, instanced: Path, tmp_path: Path) -> None:
    write_frame_step(of(frame, "AP214", True), tmp_path)
    write_frame_step(of(frame, instances=True), tmp_path)
    assert (tmp_path / "frame.step").read_bytes() == (instanced / "frame.step").read_bytes()
    assert [path.name for path in tmp_path.iterdir()] == ["frame.step"]


def last(text: str, old: str, new: str) -> str:
    """A text with its last of some words changed: what a file says of the whole stands after what it says of types."""
    before, found, after = text.rpartition(old)
    assert found
    return before + new + after


@pytest.mark.parametrize(
    ("change", "check"),
    [
        (lambda text: text.replace("VOLUME_MEASURE(1", "VOLUME_MEASURE(2", 1), "validation properties off the solids"),
        (lambda text: text.replace("AREA_MEASURE(", "AREA_MEASURE(1", 1), "validation properties off the solids"),
        (lambda text: text.replace("'centre point',(", "'centre point',(1", 1), "validation properties off the solids"),
        (lambda text: text.replace("'geometric val", "'geometric inv", 1), "validation properties off the solids"),
        (lambda text: text.replace("ITEM('grade','C24')", "ITEM('grade','C16')", 1), "attributes other than meant"),
        (lambda text: text.replace("'user defined attribute',#", "'',#", 1), "attributes other than meant"),
        (lambda text: text.replace("'wall plate, ", "'a wall plate, ", 1), "attributes other than meant"),
        (lambda text: re.sub(r"OVER_RIDING_STYLED_ITEM", "STYLED_ITEM", text, count=1), "another name or colour"),
        (lambda text: last(text, "VOLUME_MEASURE(", "VOLUME_MEASURE(1"), "of the whole off the solids"),
        (lambda text: last(text, "AREA_MEASURE(", "AREA_MEASURE(1"), "of the whole off the solids"),
        (lambda text: last(text, "'centre point',(", "'centre point',(1"), "of the whole off the solids"),
        (lambda text: last(text, "'geometric val", "'geometric inv"), "of the whole off the solids"),
        (
            lambda text: last(text, "ITEM('number of children',", "ITEM('number of children',1"),
            "counted other than meant",
        ),
        (lambda text: last(text, "'assembly val", "'assembly inv"), "counted other than meant"),
        (lambda text: last(text, "PRODUCT('frame','frame'", "PRODUCT('frame','house'"), "whole named"),
    ],
)
def test_a_file_that_says_other_than_it_should(
    frame: Frame, instanced: Path, tmp_path: Path, change: Callable[[str], str], check: str
) -> None:
    path = tmp_path / "frame.step"
    text = (instanced / "frame.step").read_text("ascii")
    types = [said_of_type(frame, kind) for kind in frame.types]
    meant = [*types, *(said_of_instance(frame, piece) for piece in frame.pieces)]
    solids = {said.name: said.figures for said in types if said.figures is not None}
    whole = said_of_whole(frame)
    bodies = [solid for _, solid in read_pieces(instanced / "frame.step").pieces]
    placed = [Figures(volume(solid), area(solid), middle(solid)) for solid in bodies]

    def failed(text: str) -> set[str]:
        path.write_text(text, "ascii")
        found = contents(path)
        checks = said_checks("frame.step", meant, [*found.products, *found.instances])
        checks += [figures_check("frame.step", found.products, solids)]
        checks += whole_checks("frame.step", whole, found.whole, placed)
        return {one.name for one in checks if not one.passed}

    assert failed(text) == set()
    assert change(text) != text
    assert any(check in name for name in failed(change(text)))


def test_two_instances_each_in_the_other_s_place(frame: Frame, instanced: Path, tmp_path: Path) -> None:
    shutil.copytree(instanced, tmp_path / "out")
    path = tmp_path / "out" / "frame.step"
    pattern = r"(ITEM_DEFINED_TRANSFORMATION\('','',#\d+,)(#\d+)\)"
    (_, one), (_, other), *_ = re.findall(pattern, path.read_text("ascii"))
    swapped = {one: other, other: one}
    put = re.sub(pattern, lambda match: f"{match[1]}{swapped.get(match[2], match[2])})", path.read_text("ascii"))
    path.write_text(put.replace("OCCURRENCE('A1','A1'", "OCCURRENCE('A1','Z1'"), "ascii")
    whole = of(frame, instances=True)
    findings, _ = prove_step(whole, windows(whole), tmp_path / "out")
    failed = {check.name for check in findings.checks if not check.passed}
    assert {
        "frame.step: pieces missing or misnamed",
        "frame.step: solids of another name or colour",
        "pieces STEP: placed types off the frame, mm",
    } <= failed


def test_words_with_quotes_backslashes_and_letters_beyond_ascii(tmp_path: Path) -> None:
    words = "it's 1/2\\ of Größe 🪵✓"
    member = dataclasses.replace(MEMBER, name=words, description=words, attributes=(("mark", words), (words, 3)))
    write_step(tmp_path / "a.step", [member], Heading(words, words, words, words, "2026-05-01T00:00:00"))
    (said,) = contents(tmp_path / "a.step").products
    assert (said.name, said.solid, said.description) == (words, words, words)
    assert (said.attributes, said.figures) == (member.attributes, member.figures)
    description, name, _ = (args for _, args in part21.parse((tmp_path / "a.step").read_text("ascii")).header)
    told = [description[0][0], name[2][0], name[3][0], name[6]]
    assert len(set(told)) == 1
    assert told[0].endswith("\\X2\\2713\\X0\\")
    assert told[0].startswith("it's 1/2\\\\ of Gr\\X2\\00F6\\X0\\\\X2\\00DF\\X0\\e \\X4\\0001FAB5\\X0\\")
    assert name[1] == "2026-05-01T00:00:00"
    # the kernel's document has attributes by bytes, so that their letters beyond ASCII are not to be told there
    (node,) = xcaf.read(tmp_path / "a.step")
    assert node.name == words


def test_reals_keep_all_of_their_digits() -> None:
    for value in (0.0, -0.0, 1e-7, 1e22, 0.1 + 0.2, -123456.789, 5.0):
        assert float(spelt(value)) == value
        assert re.fullmatch(part21.TOKEN, spelt(value)).lastgroup == "real"


class Refusing(STEPCAFControl_Writer):
    """A kernel that reports a failure."""

    def Write(self, name: str) -> IFSelect_ReturnStatus:  # noqa: N802
        super().Write(name)
        return IFSelect_ReturnStatus.IFSelect_RetFail


class Stopping(STEPCAFControl_Writer):
    """A kernel that stops in the middle, as on a full disk, and says nothing."""

    def Write(self, name: str) -> IFSelect_ReturnStatus:  # noqa: N802
        done = super().Write(name)
        Path(name).write_bytes(Path(name).read_bytes()[:-2000])
        return done


class Losing(STEPCAFControl_Writer):
    """A kernel that leaves a solid out and says nothing."""

    def Write(self, name: str) -> IFSelect_ReturnStatus:  # noqa: N802
        done = super().Write(name)
        text = Path(name).read_text("ascii")
        Path(name).write_text(text.replace("MANIFOLD_SOLID_BREP", "SHELL_BASED_SURFACE_MODEL", 1), "ascii")
        return done


@pytest.mark.parametrize("kernel", [Refusing, Stopping, Losing])
def test_a_failed_write_leaves_nothing_and_an_earlier_file_as_it_was(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, kernel: type
) -> None:
    write_step(tmp_path / "kept.step", [MEMBER], Heading("t"))
    before = (tmp_path / "kept.step").read_bytes()
    monkeypatch.setattr(step, "STEPCAFControl_Writer", kernel)
    for name in ("kept.step", "new.step"):
        with pytest.raises(StepError, match="the kernel"):
            write_step(tmp_path / name, [MEMBER], Heading("t"))
    assert [path.name for path in tmp_path.iterdir()] == ["kept.step"]
    assert (tmp_path / "kept.step").read_bytes() == before


PLAN = """
[job]
title = "t"
{job}
[plate]
width = 100
depth = 50
[[shell]]
leaf = 100
name = "s"
closed = false
corners = [[0, 0], [3000, 0]]
{export}
"""


@pytest.mark.parametrize(
    ("export", "where"),
    [
        ('[export]\nstep = "AP203"', "export.step"),
        ("[export]\ninstances = 1", "export.instances"),
        ("[export]\ninstance = true", "export.instance"),
    ],
)
def test_a_wish_for_files_that_cannot_be_met(export: str, where: str) -> None:
    with pytest.raises(PlanError, match=re.escape(where)):
        parse_plan(PLAN.format(job="", export=export))


def test_the_header_tells_the_title_block(tmp_path: Path) -> None:
    job = 'date = 2026-05-01\ncreator = "C"\nowner = "O"\napprover = "A"\nnumber = 7\nrevision = "B"'
    write_frame_step(decide(parse_plan(PLAN.format(job=job, export=""))), tmp_path)
    description, name, _ = (args for _, args in part21.parse((tmp_path / "frame.step").read_text()).header)
    assert description == [["t, number 7, revision B"], "2;1"]
    assert name[:4] == ["frame.step", "2026-05-01T00:00:00", ["C"], ["O"]]
    assert name[6] == "A"
