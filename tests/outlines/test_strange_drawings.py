"""``new --from`` a DXF drawing as strangers make them: hidden layers, walls as MLINE, blocks turned and mirrored."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from faulty import left
from shapely import Polygon, box
from shapely.affinity import affine_transform, rotate, scale, translate

from platemodel.outlines.reading import read_outlines
from platemodel.plan import read_plan

CORNERS = [(0, 0), (9600, 0), (9600, 4000), (5000, 4000), (5000, 6600), (0, 6600)]
HOUSE = Polygon(CORNERS)
"""An outline that is no mirror image of itself."""


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def drawn(draw: Callable[[Any, Any], None]) -> None:
    document = ezdxf.new("R2010", units=4)
    draw(document, document.modelspace())
    document.saveas("a.dxf")


def new(capsys: Any, *words: str) -> tuple[int, str, str]:
    Path("made.toml").unlink(missing_ok=True)
    return left(["new", "made.toml", "--from", "a.dxf", *words], capsys)


def outline() -> Polygon:
    return Polygon([wall.start for wall in read_plan("made.toml").walls if wall.shell == 0])


def alike(one: Polygon, other: Polygon, within: float = 1e-6) -> bool:
    return bool(one.normalize().equals_exact(other.normalize(), within))


def hidden(document: Any, space: Any) -> None:
    """A house that shows, a site round it on a layer that is off, a grid on one that is frozen."""
    document.layers.add("Site").off()
    document.layers.add("Grid").freeze()
    space.add_lwpolyline(CORNERS, close=True, dxfattribs={"layer": "Walls"})
    space.add_lwpolyline(box(-9000, -9000, 20000, 20000).exterior.coords, dxfattribs={"layer": "SITE"})
    for x in (1000, 3000, 5000):
        space.add_line((x, -5000), (x, 9000), dxfattribs={"layer": "Grid"})


def test_layers_that_are_off_or_frozen_are_left_out_and_told(capsys: Any) -> None:
    drawn(hidden)
    code, out, err = new(capsys)
    assert (code, err) == (0, "")
    assert alike(outline(), HOUSE)
    assert "left out: 1 line that layer 'SITE' hides: it is off or frozen (--layer takes a layer all the same)" in out
    assert "left out: 3 lines that layer 'Grid' hides: it is off or frozen" in out


def test_a_hidden_layer_that_is_named_is_read(capsys: Any) -> None:
    drawn(hidden)
    assert new(capsys, "--layer", "SITE")[0] == 0
    assert alike(outline(), box(-9000, -9000, 20000, 20000))


def test_a_drawing_that_shows_nothing_says_so(capsys: Any) -> None:
    def draw(document: Any, space: Any) -> None:
        document.layers.add("W").off()
        space.add_lwpolyline(CORNERS, close=True, dxfattribs={"layer": "W"})

    drawn(draw)
    code, out, err = new(capsys)
    assert (code, out) == (2, "")
    assert "shows no lines: 1 line that layer 'W' hides" in err
    assert "expected --layer with the one wanted" in err
    assert new(capsys, "--layer", "W")[0] == 0


def test_frozen_hides_all_of_a_block_and_off_what_lies_on_the_layer() -> None:
    def draw(document: Any, space: Any) -> None:
        document.layers.add("Off").off()
        document.layers.add("Frozen").freeze()
        block = document.blocks.new("B")
        block.add_line((0, 0), (1000, 0), dxfattribs={"layer": "0"})
        block.add_line((0, 0), (0, 2000), dxfattribs={"layer": "Own"})
        for layer in ("Off", "Frozen"):
            space.add_blockref("B", (0, 0), dxfattribs={"layer": layer})

    drawn(draw)
    seen = [(line.layer, line.hidden) for line in read_outlines("a.dxf").lines]
    assert seen == [("Off", "Off"), ("Own", None), ("Frozen", "Frozen"), ("Own", "Frozen")]


def test_walls_drawn_as_mline_are_read(capsys: Any) -> None:
    """Two lines 100 mm apart about the centre: the outer one is the face, the inner one is left out."""

    def draw(document: Any, space: Any) -> None:
        wall = {"scale_factor": 100, "justification": 1, "layer": "WALLS"}
        space.add_mline(CORNERS, close=True, dxfattribs=wall)
        space.add_mline([(3000, 50), (3000, 6550)], dxfattribs={**wall, "layer": "INSIDE"})

    drawn(draw)
    code, out, err = new(capsys, "--layer", "WALLS")
    assert (code, err) == (0, "")
    assert alike(outline(), HOUSE.buffer(50, join_style="mitre"), 1e-3)
    assert "left out: outline at (50.0, 50.0): lies inside another, an inner face or a room" in out
    assert "found: 1 outline, 0 cross walls" in out


def test_faces_of_rooms_in_single_lines_are_no_walls(capsys: Any) -> None:
    """Two rooms, each of four lines that meet no other."""

    def draw(_: Any, space: Any) -> None:
        for ring in (box(0, 0, 9000, 6000), box(100, 100, 4000, 5900), box(4100, 100, 8900, 5900)):
            corners = list(ring.exterior.coords)
            for start, end in pairwise(corners):
                space.add_line(start, end)

    drawn(draw)
    code, out, err = new(capsys)
    assert (code, err) == (0, "")
    assert out.count("lies inside another, an inner face or a room") == 2
    assert alike(outline(), box(0, 0, 9000, 6000))
    assert len(read_plan("made.toml").walls) == 4


def mirrored_block(document: Any, space: Any) -> None:
    document.blocks.new("H").add_lwpolyline(CORNERS, close=True)
    space.add_blockref("H", (12000, 500), dxfattribs={"xscale": -1})


def mirrored_lines(_: Any, space: Any) -> None:
    space.add_lwpolyline(CORNERS, close=True, dxfattribs={"extrusion": (0, 0, -1)})


def mirrored_insert(document: Any, space: Any) -> None:
    document.blocks.new("H").add_lwpolyline(CORNERS, close=True)
    space.add_blockref("H", (1000, 2000), dxfattribs={"extrusion": (0, 0, -1)})


def mirrored_polyline(_: Any, space: Any) -> None:
    space.add_polyline2d(CORNERS, close=True, dxfattribs={"extrusion": (0, 0, -1)})


def nested(document: Any, space: Any) -> None:
    """In metres in a block in a block, each turned."""
    inner = document.blocks.new("INNER")
    inner.add_lwpolyline([(x / 1000, y / 1000) for x, y in CORNERS], close=True)
    outer = document.blocks.new("OUTER")
    outer.add_blockref("INNER", (3, 1), dxfattribs={"rotation": 30})
    size = {"xscale": 1000, "yscale": 1000, "zscale": 1000, "rotation": 45}
    space.add_blockref("OUTER", (-2000, 7000), dxfattribs=size)


def moved_base(document: Any, space: Any) -> None:
    """A block whose base point is not its origin, mirrored top to bottom."""
    document.blocks.new("H", base_point=(1000, 500)).add_lwpolyline(CORNERS, close=True)
    space.add_blockref("H", (0, 0), dxfattribs={"yscale": -1})


# with the axis 0, 0, -1 an entity's own x runs against the drawing's (DXF reference, arbitrary axis algorithm)
AGAINST = [-1, 0, 0, 1, 0, 0]


@pytest.mark.parametrize(
    ("draw", "wanted"),
    [
        (mirrored_block, affine_transform(HOUSE, [-1, 0, 0, 1, 12000, 500])),
        (mirrored_lines, affine_transform(HOUSE, AGAINST)),
        (mirrored_polyline, affine_transform(HOUSE, AGAINST)),
        (mirrored_insert, affine_transform(translate(HOUSE, 1000, 2000), AGAINST)),
        (moved_base, affine_transform(translate(HOUSE, -1000, -500), [1, 0, 0, -1, 0, 0])),
        (
            nested,
            translate(
                rotate(
                    scale(
                        translate(rotate(scale(HOUSE, 1e-3, 1e-3, origin=(0, 0)), 30, (0, 0)), 3, 1),
                        1e3,
                        1e3,
                        origin=(0, 0),
                    ),
                    45,
                    (0, 0),
                ),
                -2000,
                7000,
            ),
        ),
    ],
)
def test_blocks_turned_and_mirrored_give_the_outline_that_is_seen(draw: Any, wanted: Polygon, capsys: Any) -> None:
    drawn(draw)
    code, out, err = new(capsys)
    assert (code, err) == (0, "")
    assert "healed" not in out
    assert alike(outline(), wanted, 1e-5)


def faces_of_walls(count: int) -> Callable[[Any, Any], None]:
    """An outline, and inside it as many pairs of lines, 100 mm apart, as a wall has faces."""

    def draw(_: Any, space: Any) -> None:
        space.add_lwpolyline(box(0, 0, 1000 * count + 1000, 6000).exterior.coords)
        for x in range(1000, 1000 * count + 1, 1000):
            for face in (x, x + 100):
                space.add_line((face, 50), (face, 5950))

    return draw


def test_faces_of_walls_taken_for_centre_lines_are_told_as_such(capsys: Any) -> None:
    drawn(faces_of_walls(3))
    code, out, err = new(capsys)
    assert (code, out) == (2, "")
    *others, last = err.splitlines()
    assert any("'inside 1' and 'inside 2'" in line for line in others)
    told = "platemodel: a.dxf: as a plan: without the 6 single lines inside it makes a plan; expected of single lines"
    assert last.startswith(told)


def test_many_faults_are_counted(capsys: Any) -> None:
    drawn(faces_of_walls(15))
    lines = new(capsys)[2].splitlines()
    assert len(lines) == 42
    assert "more faults; expected lines that are walls alone" in lines[40]
