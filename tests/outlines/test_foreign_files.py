"""Files of other people read into lines: GeoJSON and WKT against shapely, DXF as another library writes it."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import ezdxf
import pytest
from shapely import LineString, MultiLineString, MultiPolygon, Polygon, box, to_wkt
from shapely.affinity import rotate
from shapely.geometry import mapping

from platemodel.faults import InputError
from platemodel.outlines.reading import read_outlines
from platemodel.outlines.values import Drawn

HOUSE = rotate(Polygon([(0, 0), (9600, 0), (9600, 4000), (5000, 4000), (5000, 6600), (0, 6600)]), 17)
HOLED = Polygon(box(20000, 0, 26000, 5000).exterior.coords, [box(20100, 100, 25900, 4900).exterior.coords])
CROSSES = MultiLineString([[(100, 100), (100, 6000)], [(0, 3000), (4000, 3000), (4000, 0)]])


def rings(lines: Any) -> list[Polygon]:
    return [Polygon(line.points) for line in lines if line.closed]


def test_geojson_as_shapely_has_it(tmp_path: Path) -> None:
    def feature(shape: Any, **properties: Any) -> Any:
        return {"type": "Feature", "properties": properties or None, "geometry": mapping(shape)}

    both = {"type": "GeometryCollection", "geometries": [mapping(MultiPolygon([HOUSE, HOLED])), mapping(CROSSES)]}
    data = {"type": "FeatureCollection", "features": [feature(HOUSE, layer="walls"), feature(CROSSES)]}
    data["features"] += [{"type": "Feature", "properties": {}, "geometry": None}]
    data["features"] += [{"type": "Feature", "properties": {"layer": 7}, "geometry": both}]
    (tmp_path / "a.geojson").write_text("\ufeff" + json.dumps(data), "utf-8")
    found = read_outlines(tmp_path / "a.geojson")
    assert found.unit is None
    assert {line.layer for line in found.lines} == {"walls", "0", "7"}
    wanted = [HOUSE, HOUSE, Polygon(HOLED.exterior), Polygon(HOLED.interiors[0])]
    assert all(one.equals(other) for one, other in zip(rings(found.lines), wanted, strict=True))
    opens = [LineString(line.points) for line in found.lines if not line.closed]
    assert all(one.equals(other) for one, other in zip(opens, [*CROSSES.geoms] * 2, strict=True))


def test_wkt_as_shapely_has_it(tmp_path: Path) -> None:
    rows = ["# a remark", to_wkt(HOUSE, rounding_precision=-1), "", f"SRID=27700;{HOLED.wkt}", CROSSES.wkt]
    (tmp_path / "a.wkt").write_text("\n".join([*rows, "POINT (1 2)", "POLYGON Z ((0 0 3, 4 0 3, 4 4 3, 0 0 3))"]))
    found = read_outlines(tmp_path / "a.wkt")
    wanted = [HOUSE, Polygon(HOLED.exterior), Polygon(HOLED.interiors[0]), Polygon([(0, 0), (4, 0), (4, 4)])]
    assert all(one.equals(other) for one, other in zip(rings(found.lines), wanted, strict=True))
    assert found.left_out == ("line 6: a point or nothing",)


def dxf(place: Path, fill: Any, unit: int = 4) -> Path:
    document = ezdxf.new("R2010", units=unit)
    fill(document, document.modelspace())
    path = place / "a.dxf"
    document.saveas(path)
    return path


def test_blocks_in_blocks_are_taken_apart(tmp_path: Path) -> None:
    def fill(document: Any, space: Any) -> None:
        inner = document.blocks.new("INNER")
        inner.add_lwpolyline([(0, 0), (2, 0), (2, 1), (0, 1)], close=True, dxfattribs={"layer": "0"})
        inner.add_line((0, 0), (1, 1), dxfattribs={"layer": "OWN"})
        outer = document.blocks.new("OUTER")
        outer.add_blockref("INNER", (10, 0), dxfattribs={"rotation": 90, "layer": "0"})
        outer.add_blockref("NOWHERE", (0, 0))
        mirrored = {"xscale": -1000, "yscale": 1000, "layer": "WALLS"}
        space.add_blockref("OUTER", (500, 0), dxfattribs=mirrored)
        round_ = document.blocks.new("ROUND")
        round_.add_blockref("ROUND", (0, 0))
        space.add_blockref("ROUND", (0, 0))

    found = read_outlines(dxf(tmp_path, fill))
    ring, line = found.lines
    # turned by 90 degrees about (10, 0), mirrored and a thousandfold
    assert Polygon(ring.points).normalize().equals_exact(box(-10000 + 500, 0, -9000 + 500, 2000).normalize(), 1e-6)
    assert (ring.layer, line.layer, found.unit) == ("WALLS", "OWN", 1.0)
    assert any("'NOWHERE' is not in the file" in words for words in found.left_out)
    assert any("blocks deep" in words for words in found.left_out)


def test_curves_tell_how_far_they_bend(tmp_path: Path) -> None:
    def fill(_: Any, space: Any) -> None:
        space.add_arc((0, 0), 1000, 0, 90)
        # a bulge is the tangent of a quarter of the arc's angle: its rise is half the chord times the bulge
        space.add_lwpolyline([(0, 0, 0.5), (2000, 0, 0), (2000, 3000, 0)], format="xyb", close=True)
        space.add_spline([(0, 0), (1000, 200), (2000, 0)])
        space.add_circle((0, 0), 700)
        space.add_line((0, 0, 5), (100, 0, 9))

    arc, bulge, spline, circle, straight = read_outlines(dxf(tmp_path, fill)).lines
    # each of n equal parts of an arc rises by radius (1 - cos(half its angle)) over its chord
    for line, radius, angle in ((arc, 1000, 90), (circle, 700, 360)):
        part = math.radians(angle) / (len(line.points) - (0 if line.closed else 1))
        assert line.bow == pytest.approx(radius * (1 - math.cos(part / 2)), rel=0.01)
    assert spline.bow > 30
    assert [line.round for line in (arc, bulge, spline, circle)] == [True, False, True, True]
    assert bulge.closed
    assert bulge.bow > 100
    highest = max(abs(y) for _, y in bulge.points if y < 0)
    assert highest == pytest.approx(500, rel=0.01)
    assert (straight.points, straight.bow) == (((0, 0), (100, 0)), 0)


def test_what_a_drawing_says_of_its_unit_and_old_polylines(tmp_path: Path) -> None:
    def fill(document: Any, space: Any) -> None:
        space.add_polyline2d([(0, 0), (4, 0), (4, 3)], close=True)
        space.add_polyline3d([(0, 0, 1), (4, 0, 1), (4, 3, 1)])
        space.add_lwpolyline([(0, 0), (4, 0), (4, 3), (0, 0)])
        document.layout("Layout1").add_line((0, 0), (1, 1))

    for code, unit in ((6, 1000.0), (0, None), (2, 304.8)):
        found = read_outlines(dxf(tmp_path, fill, code))
        assert found.unit == unit
        assert [line.closed for line in found.lines] == [True, False, True]
        assert all(isinstance(line, Drawn) and len(line.points) == 3 for line in found.lines)


def test_a_block_a_million_times_over_is_refused(tmp_path: Path) -> None:
    def fill(document: Any, space: Any) -> None:
        document.blocks.new("B").add_line((0, 0), (1, 1))
        grid = {"row_count": 1000, "column_count": 1000, "row_spacing": 9, "column_spacing": 9}
        space.add_blockref("B", (0, 0), dxfattribs=grid)

    with pytest.raises(InputError, match="more than 100000 entities, blocks taken apart"):
        read_outlines(dxf(tmp_path, fill))


@pytest.mark.parametrize(
    ("name", "content", "told"),
    [
        ("a.dxf", b"hello\n", "is no DXF that can be read"),
        ("a.dxf", b"", "is no DXF that can be read"),
        ("a.dxf", b"  0\nSECTION\n  2\nENTITIES\n  0\nENDSEC\n  0\nEOF\n", "holds no lines"),
        ("a.geojson", b'{"type": "Polygon", "coordinates": [[], [[1, 2]]]}', "Polygon 1: a point or nothing"),
        ("a.geojson", b"{", "a.geojson:1: is no JSON"),
        ("a.geojson", b"\xff\xfe", "is no text in UTF-8"),
        ("a.geojson", b"[1]", "is no object of GeoJSON"),
        ("a.geojson", b'{"type": "Topology"}', 'is of type "Topology"'),
        ("a.geojson", b'{"type": "Polygon", "coordinates": [[[1, "x"]]]}', 'holds [1, "x"] as a point'),
        ("a.geojson", b'{"type": "LineString", "coordinates": [[1, NaN], [2, 3]]}', "a coordinate is no number"),
        ("a.geojson", b'{"type": "FeatureCollection"}', "features: is no list"),
        ("a.geojson", b"[" * 100_000, "is nested too deep"),
        ("a.wkt", b"POLYGON ((0 0, 1 1", "a.wkt:1: is no well-known text"),
        ("a.wkt", b"# nothing\n", "holds no lines"),
        ("a.ifc", b"ISO-10303-21;", "is no IFC that can be read"),
        ("a.svg", b"<svg/>", "expected a name that ends in .dxf, .geojson, .json, .wkt, .ifc"),
    ],
)
def test_files_that_are_none_are_told_in_one_line(tmp_path: Path, name: str, content: bytes, told: str) -> None:
    (tmp_path / name).write_bytes(content)
    with pytest.raises(InputError, match=r"; |\(") as error:
        read_outlines(tmp_path / name)
    assert told in str(error.value)
    assert "expected" in str(error.value)


def test_a_file_of_100_megabytes_is_refused_unread(tmp_path: Path) -> None:
    with open(tmp_path / "a.dxf", "wb") as stream:
        stream.truncate(100_000_000)
    with pytest.raises(InputError, match="holds 100 MB; expected at most 32 MB: save what has the walls alone"):
        read_outlines(tmp_path / "a.dxf")
    with pytest.raises(InputError, match="cannot be read"):
        read_outlines(tmp_path / "none.dxf")


def test_ifc_without_its_library_says_what_to_type(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "ifcopenshell", None)
    (tmp_path / "a.ifc").write_text("")
    with pytest.raises(InputError, match=r'pip install "platemodel\[ifc\]"'):
        read_outlines(tmp_path / "a.ifc")


@pytest.mark.parametrize(
    ("name", "text", "words"),
    [
        ("a.wkt", "CIRCULARSTRING (0 0, 1 1, 2 0)", "a.wkt:1: is curved; expected straight legs"),
        ("a.wkt", "CURVEPOLYGON (CIRCULARSTRING (0 0, 4 0, 4 4, 0 4, 0 0))", "a.wkt:1: is curved"),
        (
            "a.geojson",
            f'{{"type": "LineString", "coordinates": [[{"1" * 5000}, 0], [1, 1]]}}',
            "holds a number that is too large; expected coordinates",
        ),
    ],
)
def test_curves_and_endless_numbers_are_refused(name: str, text: str, words: str, tmp_path: Path) -> None:
    (tmp_path / name).write_text(text)
    with pytest.raises(InputError) as told:
        read_outlines(tmp_path / name)
    assert words in str(told.value)
