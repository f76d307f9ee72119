"""The STEP files as gmsh (https://gmsh.info) reads them: bodies, volumes, boxes, kinds of surface.

gmsh runs in a process of its own, as it sets signal handlers and prints.
"""

from __future__ import annotations

import dataclasses
import functools
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from built import Builder, Built

from platemodel.export.step import write_frame_step
from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.plan.values import Export

SCRIPT = """
import json, sys
import gmsh
gmsh.initialize(interruptible=False)
gmsh.option.setNumber("General.Terminal", 0)
gmsh.option.setString("Geometry.OCCTargetUnit", "MM")
found = {}
for path in sys.argv[1:]:
    gmsh.clear()
    gmsh.model.occ.importShapes(path, highestDimOnly=False)
    gmsh.model.occ.synchronize()
    volumes = [tag for _, tag in gmsh.model.getEntities(3)]
    found[path] = {
        "solids": [
            {
                "name": gmsh.model.getEntityName(3, tag).split("/")[-1],
                "path": gmsh.model.getEntityName(3, tag),
                "volume": gmsh.model.occ.getMass(3, tag),
                "box": gmsh.model.getBoundingBox(3, tag),
                "faces": len(gmsh.model.getAdjacencies(3, tag)[1]),
            }
            for tag in volumes
        ],
        "surfaces": sorted({gmsh.model.getType(2, tag) for _, tag in gmsh.model.getEntities(2)}),
        "loose": len(gmsh.model.getEntities(2)) - sum(len(gmsh.model.getAdjacencies(3, tag)[1]) for tag in volumes),
    }
gmsh.finalize()
print("FOUND" + json.dumps(found))
"""

BOX_GAP = 1e-6
"""gmsh widens each box by 1e-7 on every side (mm)."""


@functools.cache
def _read(folder: Path, paths: tuple[Path, ...]) -> dict[str, Any]:
    command = [sys.executable, "-c", SCRIPT, *map(str, paths)]
    done = subprocess.run(command, capture_output=True, text=True, check=True, cwd=folder)
    values: dict[str, Any] = json.loads(done.stdout.split("FOUND")[-1])
    return values


def read(built: Built) -> dict[str, Any]:
    found = _read(built.folder, tuple(built.steps()))
    return {str(Path(path).relative_to(built.folder).with_suffix("")): values for path, values in found.items()}


def test_every_file_holds_its_solids_and_only_planes(built: Built) -> None:
    found = read(built)
    assert sorted(found) == sorted(["frame", *(f"pieces/{kind['type']}" for kind in built.report["types"])])
    for name, values in found.items():
        marks = sorted(built.pieces) if name == "frame" else [name.split("/")[-1]]
        assert sorted(solid["name"] for solid in values["solids"]) == marks
        assert values["surfaces"] == ["Plane"]
        assert values["loose"] == 0


def test_volumes_are_the_report_s(built: Built) -> None:
    found = read(built)
    for solid in found["frame"]["solids"]:
        assert solid["volume"] == pytest.approx(built.pieces[solid["name"]]["volume"], rel=1e-6)
    for kind in built.report["types"]:
        (solid,) = found[f"pieces/{kind['type']}"]["solids"]
        for mark in kind["marks"]:
            assert solid["volume"] == pytest.approx(built.pieces[mark]["volume"], rel=1e-6)


def test_a_type_s_box_starts_at_its_origin_and_is_length_width_depth(built: Built) -> None:
    found = read(built)
    for kind in built.report["types"]:
        (solid,) = found[f"pieces/{kind['type']}"]["solids"]
        piece = built.pieces[kind["marks"][0]]
        size = (piece["length"], piece["width"], piece["depth"])
        assert solid["box"] == pytest.approx((0.0, 0.0, 0.0, *size), abs=BOX_GAP)


def test_the_frame_stands_on_its_own_least_corner_tops_and_undersides_flush(built: Built) -> None:
    boxes = [solid["box"] for solid in read(built)["frame"]["solids"]]
    assert [min(box[axis] for box in boxes) for axis in (0, 1)] == pytest.approx([0.0, 0.0], abs=BOX_GAP)
    for box in boxes:
        assert (box[2], box[5]) == pytest.approx((0.0, built.depth), abs=BOX_GAP)


def test_a_half_has_only_the_faces_its_cuts_make(built: Built) -> None:
    # a bar has 6 faces; an end lap adds a cheek and a shoulder, a housing a cheek, two shoulders and a second top
    found = {solid["name"]: solid["faces"] for solid in read(built)["frame"]["solids"]}
    for mark, piece in built.pieces.items():
        faces = 6
        for lap in piece["laps"]:
            ends = min(lap["from"]) <= 1e-6 or max(lap["to"]) >= piece["length"] - 1e-6
            faces += 2 if ends else 4
        assert found[mark] == faces


def test_instances_of_types_are_the_same_bodies_in_the_same_places(builder: Builder, tmp_path: Path) -> None:
    built = builder("skew")
    frame = decide(read_plan(built.plan_path))
    instanced = dataclasses.replace(frame, plan=dataclasses.replace(frame.plan, export=Export(instances=True)))
    write_frame_step(instanced, tmp_path)
    (found,) = _read(tmp_path, (tmp_path / "frame.step",)).values()
    flat = {solid["name"]: solid for solid in read(built)["frame"]["solids"]}
    for solid in found["solids"]:
        *_, whole, mark, kind = solid["path"].split("/")
        assert (whole, kind) == ("frame", built.pieces[mark]["type"])
        alone = flat.pop(mark)
        assert solid["volume"] == pytest.approx(alone["volume"], rel=1e-9)
        assert solid["box"] == pytest.approx(alone["box"], abs=BOX_GAP)
    assert not flat
