"""The shop manifest as a shop's own program reads it: by its JSON Schema, and solids from its features alone.

JSON Schema draft 2020-12: https://json-schema.org/draft/2020-12/schema. Solids: booleans of Open CASCADE.
"""

from __future__ import annotations

import copy
import csv
import hashlib
import json
import math
import re
import subprocess
import sys
from collections.abc import Callable
from typing import Any

import ezdxf
import pytest
from built import PLANS, Built
from features import difference, rebuilt
from jsonschema import Draft202012Validator
from shapely import Polygon

from platemodel.solid.step import read_step

EXACT = 1e-9
"""Of a solid's volume: what two booleans of the same solid may leave."""


def read(built: Built) -> dict[str, Any]:
    values: dict[str, Any] = json.loads((built.folder / "manifest.json").read_text("utf-8"))
    return values


def schema(built: Built) -> dict[str, Any]:
    values: dict[str, Any] = json.loads((built.folder / "manifest.schema.json").read_text("utf-8"))
    return values


def test_it_keeps_to_the_schema_beside_it(built: Built) -> None:
    Draft202012Validator.check_schema(schema(built))
    Draft202012Validator(schema(built)).validate(read(built))


def test_places_and_origin_lead_to_where_the_plan_s_drawing_has_the_plates(built: Built) -> None:
    values = read(built)
    kinds = {kind["type"]: kind for kind in values["types"]}
    east, north = values["origin"]
    drawn = [
        Polygon([(x, y) for x, y, *_ in line.get_points()])
        for line in ezdxf.readfile(built.folder / "plan.dxf").modelspace().query('LWPOLYLINE[layer=="PLATE"]')
    ]
    for piece in values["pieces"]:
        kind, place = kinds[piece["type"]], piece["place"]
        (a, b), (c, d), width = kind["start"]["at"], kind["end"]["at"], kind["section"]["width"]
        outline = [(a, 0.0), (c, 0.0), (d, width), (b, width)]
        if place["turned_over"]:
            outline = [(x, width - y) for x, y in outline]
        cos, sin = (turn(math.radians(place["angle_deg"])) for turn in (math.cos, math.sin))
        there = Polygon(
            [(x * cos - y * sin + place["x"] + east, x * sin + y * cos + place["y"] + north) for x, y in outline]
        )
        assert min(plate.symmetric_difference(there).area for plate in drawn) < 1.0


def test_equal_figures_are_written_alike(built: Built) -> None:
    laps = [lap for kind in read(built)["types"] for lap in kind["laps"]]
    figures = [figure for lap in laps for figure in (*lap["from"], *lap["to"], lap["from_angle"], lap["to_angle"])]
    assert all(figure == round(figure, 9) for figure in figures)


def test_the_schema_is_the_one_that_the_command_prints(builder_of_one: Built) -> None:
    command = [sys.executable, "-m", "platemodel", "schema"]
    done = subprocess.run([*command, "--manifest"], capture_output=True, text=True, check=True)
    assert json.loads(done.stdout) == schema(builder_of_one)
    both = subprocess.run([*command, "--manifest", "--doc"], capture_output=True, text=True, check=False)
    assert both.returncode == 2
    assert "expected one of --doc and --manifest" in both.stderr


def _set(*keys: str | int, value: Any) -> Callable[[dict[str, Any]], None]:
    def change(values: Any) -> None:
        for key in keys[:-1]:
            values = values[key]
        values[keys[-1]] = value

    return change


@pytest.mark.parametrize(
    "spoil",
    [
        _set("types", 0, "laps", 0, "face", value="side"),
        _set("types", 0, "laps", 0, "from", value=[1.0]),
        _set("types", 0, "laps", 0, "to_angle", value=180.0),
        _set("types", 0, "sha256", value="none"),
        _set("pieces", 0, "laps", 0, "half", value="upper"),
        _set("units", value="inch"),
        _set("pieces", 0, "place", "height", value=0.0),
        lambda values: values["types"][0].pop("section"),
    ],
)
def test_the_schema_refuses_what_is_no_manifest(builder_of_one: Built, spoil: Callable[[Any], None]) -> None:
    values = copy.deepcopy(read(builder_of_one))
    spoil(values)
    assert not Draft202012Validator(schema(builder_of_one)).is_valid(values)


def test_features_alone_make_the_solid_of_the_file(built: Built) -> None:
    for kind in read(built)["types"]:
        raw = (built.folder / kind["file"]).read_bytes()
        assert hashlib.sha256(raw).hexdigest() == kind["sha256"]
        (solid,) = read_step(built.folder / kind["file"])
        assert abs(difference(solid, rebuilt(kind))) <= EXACT


def test_a_feature_a_tenth_of_a_millimetre_off_is_seen(builder_of_one: Built) -> None:
    kind = next(kind for kind in read(builder_of_one)["types"] if kind["laps"])
    (solid,) = read_step(builder_of_one.folder / kind["file"])
    kind["laps"][0]["to"] = [at + 0.1 for at in kind["laps"][0]["to"]]
    assert difference(solid, rebuilt(kind)) > 1e3 * EXACT


def test_it_says_of_pieces_what_the_report_says(built: Built) -> None:
    made = read(built)
    kinds = {kind["type"]: kind for kind in made["types"]}
    assert [piece["mark"] for piece in made["pieces"]] == list(built.pieces)
    assert {name: kind["marks"] for name, kind in kinds.items()} == {
        kind["type"]: kind["marks"] for kind in built.report["types"]
    }
    for piece in made["pieces"]:
        known, kind = built.pieces[piece["mark"]], kinds[piece["type"]]
        assert (piece["type"], piece["order"], piece["place"]) == (known["type"], known["order"], known["place"])
        assert kind["count"] == len(kind["marks"])
        assert kind["mass"] == pytest.approx(known["mass"], rel=1e-6)
        assert kind["volume"] == pytest.approx(known["volume"], rel=1e-6)
        assert kind["section"] == {"width": known["width"], "depth": known["depth"]}
        assert [half["lap"] for half in piece["laps"]] == list(range(1, len(kind["laps"]) + 1))
        for half, lap, told in zip(piece["laps"], kind["laps"], known["laps"], strict=True):
            assert {key: half[key] for key in ("joint", "kind", "half", "mate")} == {
                key: told[key] for key in ("joint", "kind", "half", "mate")
            }
            assert [*lap["from"], *lap["to"]] == pytest.approx([*told["from"], *told["to"]], abs=1e-4)
            # the half that is taken away is the upper one as laid of an under half
            as_laid = half["half"] == "under"
            assert lap["face"] == ("top" if as_laid != piece["place"]["turned_over"] else "bottom")
            assert piece["up_face"] == ("bottom" if piece["place"]["turned_over"] else "top")


def test_halves_meet_where_it_says_below_the_face_that_is_up(built: Built) -> None:
    values = read(built)
    assert values["clearance"] == pytest.approx(built.clearance, abs=1e-9)
    kinds = {kind["type"]: kind for kind in values["types"]}
    for piece in values["pieces"]:
        kind = kinds[piece["type"]]
        for half in piece["laps"]:
            lap = kind["laps"][half["lap"] - 1]
            from_up = lap["face"] == piece["up_face"]
            assert from_up == (half["half"] == "under")
            # of a lap sawn from the other face the rest stays under the face that is up
            assert half["joint_below_up"] == (lap["depth"] if from_up else kind["section"]["depth"] - lap["depth"])


def test_shoulders_are_told_from_ends_and_by_their_angles(built: Built) -> None:
    for kind in read(built)["types"]:
        width = kind["section"]["width"]
        for lap in kind["laps"]:
            for line, end in (("from", "start"), ("to", "end")):
                runs_out = lap[line] == pytest.approx(kind[end]["at"], abs=1e-6)
                assert lap[f"{line}_is"] == ("end" if runs_out else "shoulder")
                near, far = lap[line]
                assert math.tan(math.radians(90 - lap[f"{line}_angle"])) * width == pytest.approx(far - near, abs=1e-6)


def test_the_table_is_the_same(built: Built) -> None:
    made = read(built)
    kinds = {kind["type"]: kind for kind in made["types"]}
    with open(built.folder / "manifest.csv", encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    told = [(piece, half) for piece in made["pieces"] for half in piece["laps"] or [None]]
    for row, (piece, half) in zip(rows, told, strict=True):
        kind = kinds[piece["type"]]
        assert (row["mark"], row["type"], row["file"]) == (piece["mark"], kind["type"], kind["file"])
        assert (row["sha256"], row["count"], row["proved"]) == (kind["sha256"], str(kind["count"]), "yes")
        assert float(row["length_mm"]) == pytest.approx(kind["length"], abs=1e-8)
        if half is None:
            assert row["lap"] == row["mate"] == row["face"] == ""
            continue
        lap = kind["laps"][half["lap"] - 1]
        assert (row["half"], row["mate"], row["face"]) == (half["half"], half["mate"], lap["face"])
        figures = [float(row[f"{line}_{part}"]) for line in ("from", "to") for part in ("y0", "yw", "angle")]
        assert figures == pytest.approx([*lap["from"], lap["from_angle"], *lap["to"], lap["to_angle"]], abs=1e-8)


def test_a_script_of_ten_lines_lists_the_saw_cuts_of_a_type(builder_of_one: Built) -> None:
    script = PLANS["canted-bay"].with_name("saw_cuts.py")
    # what is said of bad input is no part of the work
    check = re.compile(r"\s*(if len\(sys|raise SystemExit|try:|except )|$")
    assert sum(not check.match(line) for line in script.read_text("utf-8").splitlines()[1:]) == 10
    for kind in read(builder_of_one)["types"][:2]:
        words = [sys.executable, str(script), str(builder_of_one.folder / "manifest.json"), kind["type"]]
        lines = subprocess.run(words, capture_output=True, text=True, check=True).stdout.splitlines()
        shoulders = [lap[f"{line}_is"] for lap in kind["laps"] for line in ("from", "to")].count("shoulder")
        assert len(lines) == 2 + shoulders
        assert sum(line.startswith("through") for line in lines) == 2
        near = [float(line.split(" from ")[1].split()[0]) for line in lines]
        assert min(near) == pytest.approx(kind["start"]["at"][0], abs=0.01)
