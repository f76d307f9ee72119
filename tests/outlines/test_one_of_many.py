"""``new --from``: one house of several, houses that touch, maps that are no plans, corners that are nearly straight."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest
from faulty import left
from shapely import Polygon, box, to_geojson
from shapely.affinity import translate

from platemodel.cli import outlining
from platemodel.plan import read_plan

LONG = Polygon([(0, 0), (9000, 0), (9000, 4000), (5000, 4000), (5000, 6000), (0, 6000)])
WIDE = box(20000, -3000, 28000, 4000)


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def new(capsys: Any, *words: str) -> tuple[int, str, str]:
    Path("made.toml").unlink(missing_ok=True)
    return left(["new", "made.toml", *words], capsys)


def refused(capsys: Any, *words: str) -> str:
    """The one message of a command that leaves nothing behind."""
    code, out, err = new(capsys, *words)
    assert (code, out) == (2, "")
    assert not Path("made.toml").exists()
    assert "expected" in err
    return err


def outline() -> Polygon:
    """The outer face of the plan's one shell."""
    walls = [wall for wall in read_plan("made.toml").walls if wall.shell is not None]
    assert {wall.shell for wall in walls} == {0}
    return Polygon([wall.start for wall in walls])


@pytest.mark.parametrize(
    ("at", "wanted", "inside"),
    [("4000,2000", LONG, 1), ("25000,-2500", WIDE, 0), ("-20000,-8000", translate(WIDE, -44000, -10000), 0)],
)
def test_of_several_houses_the_one_round_a_place(at: str, wanted: Polygon, inside: int, capsys: Any) -> None:
    third = translate(WIDE, -44000, -10000)
    Path("a.wkt").write_text(f"{LONG.wkt}\n{WIDE.wkt}\n{third.wkt}\nLINESTRING (2500 50, 2500 5950)\n")
    code, out, err = new(capsys, "--from", "a.wkt", "--unit", "mm", "--at", at)
    assert (code, err) == (0, "")
    assert f"found: 1 outline, {'1 cross wall' if inside else '0 cross walls'}, " in out
    assert outline().equals(wanted)
    assert len(read_plan("made.toml").walls) == len(wanted.exterior.coords) - 1 + inside


def test_a_place_is_in_millimetres_whatever_the_file_is_in(capsys: Any) -> None:
    Path("a.wkt").write_text(f"{box(0, 0, 9, 6).wkt}\n{box(20, 0, 28, 6).wkt}\n")
    assert new(capsys, "--from", "a.wkt", "--unit", "m", "--at", "25000,3000")[0] == 0
    assert outline().equals(box(20000, 0, 28000, 6000))
    told = refused(capsys, "--from", "a.wkt", "--unit", "m", "--at", "25,30000")
    assert told.startswith("platemodel: a.wkt: no outline goes round (25.0, 30000.0); all 2 lie between (0.0, 0.0) and")


def test_one_house_of_a_whole_town(capsys: Any) -> None:
    """More houses than are read at once, and farther apart than a building reaches."""
    houses = [box(x, y, x + 9000, y + 6000) for x in range(0, 3_600_000, 90_000) for y in range(0, 3_600_000, 90_000)]
    Path("a.wkt").write_text("\n".join(house.wkt for house in houses))
    assert "one house of many, --at a place in it" in refused(capsys, "--from", "a.wkt", "--unit", "mm")
    assert new(capsys, "--from", "a.wkt", "--unit", "mm", "--at", "903000,1803000")[0] == 0
    assert outline().equals(box(900_000, 1_800_000, 909_000, 1_806_000))


def test_far_off_places_are_those_of_the_file(capsys: Any) -> None:
    """On a national grid: what is refused tells places that lead there, and the plan begins at the house alone."""
    first, second = box(432000, 5400000, 432009, 5400006), box(432009, 5400002, 432018, 5400008)
    Path("a.wkt").write_text(f"{first.wkt}\n{second.wkt}\n")
    told = refused(capsys, "--from", "a.wkt", "--unit", "m")
    # shapely begins a box at its south-east corner
    assert "the outlines at (432009000.0, 5400000000.0) and (432018000.0, 5400002000.0) touch" in told
    assert "--at 432004500,5400003000 for the first" in told
    code, out, _ = new(capsys, "--from", "a.wkt", "--unit", "m", "--at", "432013500,5400005000")
    assert code == 0
    assert "healed: moved to the origin of the plan from (432009000.0, 5400002000.0)" in out
    assert outline().equals(box(0, 0, 9000, 6000))
    told = refused(capsys, "--from", "a.wkt", "--unit", "m", "--at", "13500,5000")
    assert "no outline goes round (13500.0, 5000.0); all 2 lie between (432000000.0, 5400000000.0) and" in told
    bent = Polygon([(432000, 5400000), (432004.5, 5399999.85), (432009, 5400000), (432009, 5400006), (432000, 5400006)])
    Path("b.wkt").write_text(bent.wkt)
    assert "the corner at (432004500.0, 5399999850.0) turns" in refused(capsys, "--from", "b.wkt", "--unit", "m")
    faces = [f"LINESTRING ({x} 5400000.05, {x} 5400005.95)" for x in (432004, 432004.1)]
    Path("c.wkt").write_text("\n".join([first.wkt, *faces]))
    told = refused(capsys, "--from", "c.wkt", "--unit", "m")
    assert "c.wkt: as a plan moved to its origin from (432000000.0, 5400000000.0): " in told


@pytest.mark.parametrize("at", ["here", "1,2,3", "1", "", "nan,1", "1e999,0"])
def test_a_place_that_is_none(at: str, capsys: Any) -> None:
    Path("a.wkt").write_text(LONG.wkt)
    told = refused(capsys, "--from", "a.wkt", "--unit", "mm", "--at", at)
    assert f"--at '{at}' is no place; expected X,Y in mm, such as 12500,-3400" in told
    assert "go with --from" in left(["new", "made.toml", "--at", "1,2"], capsys)[2]


@pytest.mark.parametrize(("by", "how"), [(9000, "touch"), (8000, "overlap")])
def test_houses_that_touch_are_told_how_to_take_one(by: float, how: str, capsys: Any) -> None:
    Path("a.wkt").write_text(f"{LONG.wkt}\n{translate(LONG, by, 0).wkt}\n")
    told = refused(capsys, "--from", "a.wkt", "--unit", "mm")
    assert f"the outlines at (0.0, 0.0) and ({by:.1f}, 0.0) {how}; expected houses that stand apart" in told
    at = re.search(r"--at (\S+) for the first", told)
    assert at is not None
    assert new(capsys, "--from", "a.wkt", "--unit", "mm", "--at", at[1])[0] == 0
    assert outline().equals(LONG)


def test_houses_a_hand_apart_are_two(capsys: Any) -> None:
    Path("a.wkt").write_text(f"{box(0, 0, 9000, 6000).wkt}\n{box(9100, 0, 18100, 6000).wkt}\n")
    code, out, err = new(capsys, "--from", "a.wkt", "--unit", "mm")
    assert (code, err) == (0, "")
    assert "found: 2 outlines" in out
    assert {wall.shell for wall in read_plan("made.toml").walls} == {0, 1}


def with_system(name: str) -> str:
    system = {"type": "name", "properties": {"name": name}}
    feature = {"type": "Feature", "properties": {}, "geometry": json.loads(to_geojson(LONG))}
    return json.dumps({"type": "FeatureCollection", "crs": system, "features": [feature]})


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("a.geojson", with_system("urn:ogc:def:crs:EPSG::3857")),
        ("a.geojson", with_system("EPSG:900913")),
        ("a.wkt", f"SRID=3857;{LONG.wkt}"),
        ("a.wkt", f"srid=3857; {LONG.wkt}"),
    ],
)
def test_maps_of_the_web_stretch_lengths_and_are_refused(file: str, text: str, capsys: Any) -> None:
    Path(file).write_text(text)
    told = refused(capsys, "--from", file, "--unit", "mm")
    assert "in which lengths are stretched (half as long again at 48° north); expected one in which" in told


@pytest.mark.parametrize(
    ("file", "text"), [("a.geojson", with_system("urn:ogc:def:crs:EPSG::27700")), ("a.wkt", f"SRID=27700;{LONG.wkt}")]
)
def test_other_coordinate_systems_are_taken(file: str, text: str, capsys: Any) -> None:
    Path(file).write_text(text)
    assert new(capsys, "--from", file, "--unit", "mm")[0] == 0
    assert outline().equals(LONG)


def test_degrees_stay_degrees_whatever_unit_is_said(capsys: Any) -> None:
    """One house, and a street of which all together reach farther than a house does."""
    house = box(14.4000, 50.1000, 14.4002, 50.1001)
    Path("one.geojson").write_text(to_geojson(house))
    houses = [translate(house, 0.003 * number, 0) for number in range(40)]
    Path("many.wkt").write_text("\n".join(house.wkt for house in houses))
    for file in ("one.geojson", "many.wkt"):
        for unit in ("m", "ft"):
            told = refused(capsys, "--from", file, "--unit", unit)
            assert "look like degrees of longitude and latitude; expected lengths on a plane" in told


@pytest.mark.parametrize(
    ("text", "key"),
    [
        (
            '{"type": "Polygon", "coordinates": [[[0,0],[9,0],[9,6],[0,6],[0,0]]], "coordinates": [[[0,0]]]}',
            "coordinates",
        ),
        ('{"type": "FeatureCollection", "features": [], "features": []}', "features"),
        ('{"type": "Feature", "type": "Polygon", "geometry": null}', "type"),
    ],
)
def test_a_key_that_decides_stands_once(text: str, key: str, capsys: Any) -> None:
    Path("a.geojson").write_text(text)
    assert f"holds an object with '{key}' twice; expected each once" in refused(capsys, "--from", "a.geojson")


def test_what_does_not_decide_may_stand_twice(capsys: Any) -> None:
    Path("a.geojson").write_text(to_geojson(LONG)[:-1] + ', "name": 1, "name": 2}')
    assert new(capsys, "--from", "a.geojson", "--unit", "mm")[0] == 0


@pytest.mark.parametrize(("out", "enough"), [(15, 20), (60, 100)])
def test_a_corner_nearly_straight_is_told_with_the_tolerance_that_helps(out: float, enough: int, capsys: Any) -> None:
    bent = [(1000, 2000), (5000, 2000 - out), (9000, 2000), (9000, 8000), (1000, 8000)]
    Path("a.wkt").write_text(Polygon(bent).wkt)
    told = refused(capsys, "--from", "a.wkt", "--unit", "mm")
    assert f"the corner at (5000.0, {2000.0 - out}) turns by " in told
    assert f"{out:.1f} mm off the straight; expected corners of " in told
    assert f"with --tolerance {enough} they are straight, and it makes a plan" in told
    code, found, _ = new(capsys, "--from", "a.wkt", "--unit", "mm", "--tolerance", str(enough))
    assert code == 0
    assert f"corner in line left out at (5000.0, {2000.0 - out}), {out} mm" in found
    assert outline().equals(box(1000, 2000, 9000, 8000))
    # and no less would do of what is tried
    less = {20: "10", 100: "50"}[enough]
    assert "turns by" in refused(capsys, "--from", "a.wkt", "--unit", "mm", "--tolerance", less)


def test_no_tolerance_is_told_where_none_helps(capsys: Any) -> None:
    Path("a.wkt").write_text(Polygon([(0, 0), (4000, -150), (8000, 0), (8000, 6000), (0, 6000)]).wkt)
    told = refused(capsys, "--from", "a.wkt", "--unit", "mm")
    assert "the corner at (4000.0, -150.0) turns by 4.3°, 150.0 mm off the straight" in told
    assert "--tolerance" not in told


def test_a_place_waits_for_the_unit_that_is_asked_for(capsys: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    Path("a.wkt").write_text(f"{box(0, 0, 9, 6).wkt}\n{box(20, 0, 28, 6).wkt}\n")
    monkeypatch.setattr(outlining, "on_terminal", lambda: True)
    monkeypatch.setattr("click.prompt", lambda *_, **given: "m")
    assert new(capsys, "--from", "a.wkt", "--at", "25000,3000")[0] == 0
    assert outline().equals(box(20000, 0, 28000, 6000))
