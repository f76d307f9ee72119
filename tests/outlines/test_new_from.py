"""``platemodel new FILE --from SOURCE``: the same frame back, what is asked, what is told, what is refused."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from faulty import left
from ifc_walls import Model
from shapely import Polygon, box, to_geojson

from platemodel.cli import outlining
from platemodel.export.dxf_drawings import write_dxfs
from platemodel.export.ifc import write_ifc
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan, read_plan
from platemodel.plan.starter import with_shells

ROOT = Path(__file__).parents[2]

SKEW = """
[[shell]]
name = "main"
leaf = 100
corners = [[2000, 1000], [9800, 2200], [9800, 5600], [6000, 5600], [5400, 8000], [2000, 8000]]

[[cross]]
name = "spine"
leaf = 100
from = [2050, 4900]
to = [9750, 4300]

[[cross]]
name = "rib"
leaf = 100
from = [4400, 1420]
to = [4400, 4717]
"""
"""A shell with no two corners alike, a cross wall between two legs and one that meets it."""


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def new(capsys: Any, *words: str) -> tuple[int, str, str]:
    return left(["new", "made.toml", *words], capsys)


def same(one: Frame, other: Frame) -> None:
    assert [piece.mark for piece in one.pieces] == [piece.mark for piece in other.pieces]
    assert [joint.id for joint in one.joints] == [joint.id for joint in other.joints]
    assert [board.length for board in one.boards] == [board.length for board in other.boards]
    assert one.origin == pytest.approx(other.origin, abs=1e-6)
    for a, b in zip(one.pieces, other.pieces, strict=True):
        assert (a.type, a.order, a.turn) == (b.type, b.order, b.turn)
        for here, there in zip(a.vertices, b.vertices, strict=True):
            assert here == pytest.approx(there, abs=1e-6)


def test_plan_to_dxf_to_plan_is_the_same_frame(capsys: Any) -> None:
    frame = decide(parse_plan(with_shells("a.toml", "A", SKEW)))
    write_dxfs(frame, Path(), passed=True)
    words = ["--from", "plan.dxf", "--layer", "WALL-OUTER-FACE", "--cross", "WALL-CENTRE-LINE"]
    code, out, err = new(capsys, *words)
    assert (code, err) == (0, "")
    assert out.splitlines()[0] == "found: 1 outline, 2 cross walls, leaf 100 mm, as none is told: --leaf"
    same(decide(read_plan("made.toml")), frame)


def test_a_frame_to_ifc_to_plan_has_the_same_walls(capsys: Any) -> None:
    frame = decide(read_plan(ROOT / "examples" / "bungalow.toml"))
    write_ifc(frame, Path("frame.ifc"), passed=True)
    code, _, err = new(capsys, "--from", "frame.ifc")
    assert (code, err) == (0, "")
    made = decide(read_plan("made.toml")).plan

    def faces(walls: Any) -> set[Any]:
        return {frozenset((round(x, 2), round(y, 2)) for x, y in (wall.start, wall.end)) for wall in walls}

    assert {wall.leaf[1] - wall.leaf[0] for wall in made.walls} == {100.0}
    for inside in (False, True):
        one, other = ([w for w in plan.walls if (w.shell is None) == inside] for plan in (frame.plan, made))
        assert faces(one) == faces(other)


def test_what_the_command_makes_is_a_plan_like_any_other(capsys: Any) -> None:
    Path("house.wkt").write_text(box(0, 0, 9.6, 6.6).wkt + "\nLINESTRING (4.8 0.1, 4.8 6.497)\n")
    code, out, err = new(capsys, "--from", "house.wkt", "--unit", "m", "--leaf", "140")
    assert (code, err) == (0, "")
    # 140 mm of leaf: the line ends on it as drawn
    assert "healed" not in out
    plan = read_plan("made.toml")
    # four corners, and the tees of the wall inside
    assert sorted(joint.lap.kind for joint in decide(plan).joints if joint.lap.kind != "splice") == [
        *["corner"] * 4,
        *["tee"] * 2,
    ]
    assert Polygon([wall.start for wall in plan.walls if wall.shell == 0]).equals(box(0, 0, 9600, 6600))
    assert plan.job.title == "house"


def test_centre_lines_and_far_places(capsys: Any) -> None:
    # a national grid in metres: farther off than a plan's places go
    Path("house.geojson").write_text(to_geojson(box(432000, 5400000, 432009, 5400006)))
    code, out, err = new(capsys, "--from", "house.geojson", "--unit", "m", "--centre-lines")
    assert (code, err) == (0, "")
    assert "healed: moved to the origin of the plan from (432000000.0, 5400000000.0)" in out
    corners = [wall.start for wall in read_plan("made.toml").walls]
    assert Polygon(corners).normalize().equals_exact(box(-50, -50, 9050, 6050).normalize(), 1e-3)


def test_longitude_and_latitude_are_no_lengths(capsys: Any) -> None:
    Path("map.geojson").write_text(to_geojson(box(-0.1276, 51.5072, -0.1274, 51.5073)))
    code, _, err = new(capsys, "--from", "map.geojson")
    assert code == 2
    assert "look like degrees of longitude and latitude; expected lengths" in err


def storeys() -> None:
    """A model as other programs make them: walls by extrusion, openings cut, two storeys, thick and thin walls."""
    model = Model()
    for name, wide in (("Ground", 9.0), ("First", 7.0)):
        around = [(wide, 0, 0, 0), (5.72, wide, 0.14, 90), (wide, wide, 6, 180), (5.72, 0, 5.86, 270)]
        walls = [model.wall(0.14, *wall) for wall in around]
        walls.append(model.wall(0.1, 5.72, 4.5, 0.14, 90))
        model.hole(walls[0], 0.4, 0.9, 1.0, -0.1, 0)
        model.storey(name, walls)
    model.model.write("house.ifc")


def test_a_storey_of_a_model_that_others_made(capsys: Any) -> None:
    storeys()
    assert "has lines on several storeys: 'Ground' (1 closed and 1 open" in new(capsys, "--from", "house.ifc")[2]
    code, out, err = new(capsys, "--from", "house.ifc", "--layer", "Ground")
    assert (code, err) == (0, "")
    assert "found: 1 outline, 1 cross wall, 1 opening, leaf 140 mm" in out
    *around, inside = read_plan("made.toml").walls
    assert Polygon([wall.start for wall in around]).normalize().equals(box(0, 0, 9000, 6000).normalize())
    assert {wall.leaf[1] - wall.leaf[0] for wall in around} == {140}
    assert inside.leaf == (-50, 50)
    assert {inside.start, inside.end} == {(4450, 140), (4450, 5860)}
    # the door stands 1000 to 1900 from the west end of the front wall, whichever way that is named
    (opening,) = read_plan("made.toml").openings
    wall = around[opening.wall]
    assert {wall.start, wall.end} == {(0, 0), (9000, 0)}
    places = {abs(wall.start[0] - at) for at in (opening.begin, opening.end)}
    assert (places, opening.name) == ({1000.0, 1900.0}, "opening")


def drawing(unit: int, *rings: Any) -> None:
    document = ezdxf.new("R2000", units=unit)
    for number, ring in enumerate(rings):
        document.modelspace().add_lwpolyline(ring, format="xyb", close=True, dxfattribs={"layer": f"L{number}"})
    document.saveas("a.dxf")


def rectangle(width: float, depth: float, bulge: float = 0.0) -> Any:
    return [(0, 0, 0), (width, 0, bulge), (width, depth, 0), (0, depth, 0)]


def test_a_house_of_12_millimetres_is_asked_about(capsys: Any, monkeypatch: Any) -> None:
    drawing(4, rectangle(12, 8))
    code, out, err = new(capsys, "--from", "a.dxf")
    assert (code, out) == (2, "")
    assert err == (
        "platemodel: a.dxf: says it is in mm: the outline is 12 by 8, which is no building's size; "
        "expected --unit with one of m, ft\n"
    )
    assert not Path("made.toml").exists()
    monkeypatch.setattr(outlining, "on_terminal", lambda: True)
    monkeypatch.setattr("click.prompt", lambda *_, **given: given["type"].choices[0])
    assert new(capsys, "--from", "a.dxf")[0] == 0
    assert read_plan("made.toml").walls[0].length == pytest.approx(12000)


def test_several_layers_are_asked_about(capsys: Any, monkeypatch: Any) -> None:
    drawing(6, rectangle(12, 8), rectangle(5, 4))
    code, _, err = new(capsys, "--from", "a.dxf")
    assert code == 2
    assert "'L0' (1 closed and 0 open lines, 12 by 8), 'L1' (1 closed" in err
    assert "did you mean 'L0'?" in new(capsys, "--from", "a.dxf", "--layer", "L00")[2]
    monkeypatch.setattr(outlining, "on_terminal", lambda: True)
    monkeypatch.setattr("click.prompt", lambda *_, **given: given["type"].choices[1])
    assert new(capsys, "--from", "a.dxf")[0] == 0
    assert read_plan("made.toml").walls[0].length == pytest.approx(5000)


@pytest.mark.parametrize(
    ("rows", "words", "told"),
    [
        (
            ["LINESTRING (0 0, 9 0, 9 6, 0 6, 0 0.02)"],
            (),
            "ends those at (0.0, 0.0) and (0.0, 20.0) are the nearest, 20.0 mm",
        ),
        (["POLYGON ((0 0, 9 6, 9 0, 0 6, 0 0))"], (), "crosses or touches itself at (4500.0, 3000.0)"),
        ([box(0, 0, 9, 6).wkt, "LINESTRING (4 0.1, 4 5)"], (), "ends 900.0 mm from any leaf at (4000.0, 5000.0)"),
        ([box(0, 0, 9, 6).wkt], ("--cross", "walls"), "has no lines on layer 'walls'; one of '0'"),
        (["LINESTRING (0 0, 1e300 0)"], (), "its lines reach over 1e+300 by 0 m; expected at most 1000 m"),
        (["LINESTRING (0 0, 9 9)"] * 2600, (), "lines with 5200 points together where the outlines are looked for"),
        (["POLYGON ((0 0, 9 0, 0 0.9, 0 0))"], (), "expected 30° to 150° between two plates"),
    ],
)
def test_what_makes_no_plan_is_told_and_nothing_is_written(rows: Any, words: Any, told: str, capsys: Any) -> None:
    Path("a.wkt").write_text("\n".join(rows))
    code, out, err = new(capsys, "--from", "a.wkt", "--unit", "m", *words)
    assert (code, out) == (2, "")
    assert told in err
    assert all(line.startswith("platemodel: a.wkt: ") and "expected" in line for line in err.splitlines()) or words
    assert not Path("made.toml").exists()


def test_a_rounded_corner_is_refused_and_a_hair_of_bend_is_healed(capsys: Any) -> None:
    drawing(4, rectangle(9000, 6000, bulge=0.2))
    code, _, err = new(capsys, "--from", "a.dxf")
    assert code == 2
    assert "is curved, by" in err
    assert "expected straight legs" in err
    # its rise is half the chord times the bulge: 3 mm
    drawing(4, rectangle(9000, 6000, bulge=0.001))
    code, out, _ = new(capsys, "--from", "a.dxf")
    assert code == 0
    assert "curve taken straight" in out
    corners = [wall.start for wall in read_plan("made.toml").walls]
    assert len(corners) == 4
    assert math.isclose(Polygon(corners).area, 54e6, rel_tol=1e-3)
    assert "# Healed within 5 mm: " in Path("made.toml").read_text()


def test_options_that_do_not_go_together(capsys: Any) -> None:
    Path("a.wkt").write_text(box(0, 0, 9000, 6000).wkt)
    for words, told in (
        (["--unit", "m"], "go with --from"),
        (["--from", "a.wkt", "--ask"], "exclude one another"),
        (["--from", "a.wkt", "--unit", "mile"], "'mile' is not one of"),
    ):
        code, _, err = new(capsys, *words)
        assert code == 2
        assert told in err
    Path("made.toml").write_text("mine")
    assert "is there already" in new(capsys, "--from", "none.dxf")[2]
    assert Path("made.toml").read_text() == "mine"


def crossed(draw: Any) -> None:
    """a.dxf: an outline on W, and on C what is drawn there."""
    document = ezdxf.new("R2010", units=4)
    space = document.modelspace()
    corners = [(0, 0), (9600, 0), (9600, 6600), (0, 6600)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "W"})
    draw(space)
    document.saveas("a.dxf")


def crosses() -> int:
    """How many cross walls the plan has."""
    return len(read_plan("made.toml").walls) - 4


def test_a_curve_on_the_layer_of_cross_walls_is_left_out_and_told(capsys: Any) -> None:
    crossed(lambda space: space.add_lwpolyline([(4000, 50, 1), (4000, 6550, 0)], "xyb", dxfattribs={"layer": "C"}))
    code, out, err = new(capsys, "--from", "a.dxf", "--layer", "W", "--cross", "C")
    assert code == 0
    assert "is curved, by " in out + err
    assert crosses() == 0


def test_a_cross_wall_that_is_drawn_twice_is_one(capsys: Any) -> None:
    def draw(space: Any) -> None:
        for _ in range(2):
            space.add_line((4000, 50), (4000, 6550), dxfattribs={"layer": "C"})

    crossed(draw)
    code, out, err = new(capsys, "--from", "a.dxf", "--layer", "W", "--cross", "C")
    assert (code, "left out" in out + err) == (0, True)
    assert crosses() == 1
