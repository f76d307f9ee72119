"""frame.ifc by a library of other people: its validator of schema and rules, its geometry engine, its templates.

The file is written without that library. Standard: ISO 16739-1:2018 (IFC4); that an IfcMember of the type PLATE is
"a linear continuous horizontal element in wall framing, such as a head piece or a sole plate" stands in its
IfcMemberTypeEnum, that the predefined type is the type's alone where there is one, in IfcMember (from memory).
"""

from __future__ import annotations

import functools
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.guid
import ifcopenshell.util.element
import ifcopenshell.util.pset
import ifcopenshell.util.shape
import ifcopenshell.validate
import numpy as np
import pytest
from houses import house
from shapely.geometry import Polygon
from shapely.ops import unary_union

from platemodel.export.dxf_drawings import write_dxfs
from platemodel.export.ifc import ifc_text, write_ifc
from platemodel.faults import InputError
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan, read_plan

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
PLANS = {"bungalow": ROOT / "examples" / "bungalow.toml", "skew": HERE / "plans" / "skew.toml"}
"""All kinds of lap; skew ends, three widths, plates that are turned over."""


@functools.cache
def frame_of(name: str) -> Frame:
    return decide(read_plan(PLANS[name]))


@functools.cache
def model_of(name: str) -> Any:
    return ifcopenshell.file.from_string(ifc_text(frame_of(name)))


def complaints(model: Any, rules: bool) -> list[Any]:
    logger = ifcopenshell.validate.json_logger()
    ifcopenshell.validate.validate(model, logger, express_rules=rules)
    return list(logger.statements)


@pytest.mark.filterwarnings("ignore:unclosed file:ResourceWarning")
@pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning")
def test_schema_and_where_rules_hold(tmp_path: Path) -> None:
    path = tmp_path / "frame.ifc"
    path.write_text(ifc_text(frame_of("skew")), "ascii")
    assert complaints(ifcopenshell.open(path), rules=True) == []


def test_schema_holds_and_the_validator_sees_what_does_not() -> None:
    text = ifc_text(frame_of("bungalow"))
    assert complaints(ifcopenshell.file.from_string(text), rules=False) == []
    for old, new in ((".PLATE.", ".PLANK."), ("IFCFACEOUTERBOUND(", "IFCFACEOUTERBOUND($,"), (",.T.);", ",$);")):
        assert old in text
        assert complaints(ifcopenshell.file.from_string(text.replace(old, new, 1)), rules=False)


@pytest.mark.parametrize("name", PLANS)
def test_solids_and_places_by_the_geometry_engine(name: str) -> None:
    frame, model = frame_of(name), model_of(name)
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    members = {member.Name: member for member in model.by_type("IfcMember")}
    assert members.keys() == {piece.mark for piece in frame.pieces}
    assert any(piece.place.turned_over for piece in frame.pieces) or name != "skew"
    for piece in frame.pieces:
        made = ifcopenshell.geom.create_shape(settings, members[piece.mark])
        volume = ifcopenshell.util.shape.get_volume(made.geometry) * 1e9
        assert volume == pytest.approx(piece.laid.volume, rel=1e-6)
        # the plan's own coordinates, mm; each corner is met by one of the other's
        found = ifcopenshell.util.shape.get_vertices(made.geometry) * 1000
        wanted = np.add(piece.vertices, (*frame.origin, 0.0))
        apart = np.abs(found[:, None] - wanted[None]).max(axis=2)
        assert apart.min(axis=1).max() < 1e-4
        assert apart.min(axis=0).max() < 1e-4


@pytest.mark.parametrize("name", PLANS)
def test_quantities_are_of_the_solid_and_of_the_section(name: str) -> None:
    frame, model = frame_of(name), model_of(name)
    settings = ifcopenshell.geom.settings()
    plate = frame.plan.plate
    widths = {piece.mark: piece.laid.width for piece in frame.pieces}
    template = ifcopenshell.util.pset.get_template("IFC4")
    known = {item.Name for item in template.get_by_name("Qto_MemberBaseQuantities").HasPropertyTemplates}
    common = {item.Name for item in template.get_by_name("Pset_MemberCommon").HasPropertyTemplates}
    for member in model.by_type("IfcMember"):
        sets = ifcopenshell.util.element.get_psets(member, should_inherit=False)
        found = {key: value for key, value in sets["Qto_MemberBaseQuantities"].items() if key != "id"}
        assert found.keys() <= known
        assert sets["Pset_MemberCommon"].keys() - {"id"} <= common
        made = ifcopenshell.geom.create_shape(settings, member)
        geometry = made.geometry
        assert found["NetVolume"] == pytest.approx(ifcopenshell.util.shape.get_volume(geometry), rel=1e-6)
        assert found["NetSurfaceArea"] == pytest.approx(ifcopenshell.util.shape.get_area(geometry), rel=1e-6)
        # in its own placement a plate lies along x
        assert found["Length"] == pytest.approx(ifcopenshell.util.shape.get_x(geometry) * 1000, abs=1e-4)
        assert found["CrossSectionArea"] == pytest.approx(widths[member.Name] * plate.depth / 1e6)
        assert found["GrossVolume"] == pytest.approx(found["CrossSectionArea"] * found["Length"] / 1000)
        # mean densities, kg/m3: EN 338:2016, table 1 (from memory)
        density = {"C16": 370, "C24": 420}[plate.grade]
        assert found["NetWeight"] == pytest.approx(density * found["NetVolume"])
        assert found["GrossWeight"] == pytest.approx(density * found["GrossVolume"])


def test_what_a_plate_is_and_what_it_is_part_of() -> None:
    frame, model = frame_of("bungalow"), model_of("bungalow")
    for piece in frame.pieces:
        member = next(item for item in model.by_type("IfcMember") if item.Tag == piece.mark)
        kind = frame.types[piece.type].name
        assert ifcopenshell.util.element.get_predefined_type(member) == "PLATE"
        assert ifcopenshell.util.element.get_type(member).Name == kind
        above = []
        parent = ifcopenshell.util.element.get_parent(member)
        while parent is not None:
            above.append(parent.is_a())
            parent = ifcopenshell.util.element.get_parent(parent)
        assert above == ["IfcElementAssembly", "IfcBuildingStorey", "IfcBuilding", "IfcSite", "IfcProject"]
        material = ifcopenshell.util.element.get_material(member)
        profile = material.MaterialProfiles[0].Profile
        assert (profile.XDim, profile.YDim) == (piece.laid.width, piece.laid.depth)
        grade = ifcopenshell.util.element.get_psets(material.MaterialProfiles[0].Material)
        assert grade["Pset_MaterialWood"]["StrengthGrade"] == frame.plan.plate.grade
        laying = ifcopenshell.util.element.get_psets(member)["WallPlate_Laying"]
        assert laying["LayingOrder"] == piece.order
        assert len(laying["Laps"].split("; ")) == len(piece.halves)
    laps = {(lap.RelatingElement.Name, lap.RelatedElement.Name) for lap in model.by_type("IfcRelConnectsElements")}
    assert laps == {(frame.pieces[j.under].mark, frame.pieces[j.over].mark) for j in frame.joints}


def test_walls_stand_in_outline_where_the_plan_has_them() -> None:
    frame = decide(parse_plan(house("[[1000, 2000], [7000, 2000], [7000, 6000], [1000, 6000]]")))
    model = ifcopenshell.file.from_string(ifc_text(frame))
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    settings.set("dimensionality", ifcopenshell.ifcopenshell_wrapper.CURVES_SURFACES_AND_SOLIDS)
    settings.set("context-identifiers", ["FootPrint"])
    outlines = []
    for wall in model.by_type("IfcWall"):
        made = ifcopenshell.geom.create_shape(settings, wall)
        corners = np.array(made.geometry.verts).reshape(-1, 3)[:, :2] * 1000
        outlines.append(Polygon(corners))
    assert [wall.Name for wall in model.by_type("IfcWall")] == ["front", "right", "back", "left"]
    whole = unary_union([outline.buffer(1e-6) for outline in outlines])
    # a leaf of 140 mm within 6000 by 4000 mm
    assert whole.area == pytest.approx(6000 * 4000 - 5720 * 3720, rel=1e-6)
    assert whole.bounds == pytest.approx((1000, 2000, 7000, 6000), abs=1e-3)


def test_identifiers_stay_with_plan_and_mark() -> None:
    def ids(text: str) -> dict[str, str]:
        model = ifcopenshell.file.from_string(ifc_text(decide(parse_plan(text))))
        roots = model.by_type("IfcRoot")
        assert all(ifcopenshell.validate.validate_guid(root.GlobalId) is None for root in roots)
        assert len({root.GlobalId for root in roots}) == len(roots)
        return {member.Name: member.GlobalId for member in model.by_type("IfcMember")}

    small, large = house(), house("[[0, 0], [5900, 0], [5900, 4000], [0, 4000]]")
    assert ids(small) == ids(large)
    other = ids(small.replace("Made by a test", "Another house"))
    assert not set(other.values()) & set(ids(small).values())
    assert ifc_text(decide(parse_plan(small))) == ifc_text(decide(parse_plan(small)))


def test_a_full_disk_and_one_that_keeps_nothing_are_told(tmp_path: Path) -> None:
    frame = frame_of("skew")
    for device, kind, told in (("full", OSError, "No space left"), ("null", InputError, "is not what was written")):
        (tmp_path / device).mkdir()
        for name in ("frame.ifc", "plan.dxf"):
            (tmp_path / device / name).symlink_to(f"/dev/{device}")
        with pytest.raises(kind, match=told):
            write_ifc(frame, tmp_path / device / "frame.ifc", passed=True)
        with pytest.raises(kind, match=told):
            write_dxfs(frame, tmp_path / device, passed=True)


def test_texts_of_any_letters_come_back() -> None:
    title = "Café 'Straße' \\ 木 🏠"
    text = ifc_text(decide(parse_plan(house().replace("Made by a test", title.replace("\\", "\\\\")))), passed=False)
    project = ifcopenshell.file.from_string(text).by_type("IfcProject")[0]
    assert project.Name == title
    assert project.Description == "NOT PROVED"
