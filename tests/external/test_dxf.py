"""The DXF drawings by a library of other people, which has not written them: its audit, and outlines as polygons.

Format: the DXF reference of the year 2000 (AC1015), group 70 of $INSUNITS 4: millimetres (from memory).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import ezdxf
import pytest
from ezdxf import recover
from houses import house
from shapely.geometry import MultiPoint, Polygon

from platemodel.export.dxf import Drawing
from platemodel.export.dxf_drawings import write_dxfs
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan, read_plan

HERE = Path(__file__).parent
PLANS = {"bungalow": HERE.parents[1] / "examples" / "bungalow.toml", "skew": HERE / "plans" / "skew.toml"}


@pytest.fixture(scope="module", params=PLANS)
def drawn(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[Frame, dict[str, Any]]:
    """A frame, and its drawings as read, by path."""
    frame, folder = decide(read_plan(PLANS[request.param])), tmp_path_factory.mktemp("dxf")
    files = write_dxfs(frame, folder, passed=True)
    return frame, {name: ezdxf.readfile(folder / name) for name, _ in files}


def polygons(document: Any, layer: str) -> list[Polygon]:
    found = document.modelspace().query(f'LWPOLYLINE[layer=="{layer}"]')
    assert all(line.closed for line in found)
    return [Polygon([(x, y) for x, y, *_ in line.get_points()]) for line in found]


def alike(one: Polygon, other: Polygon) -> bool:
    return bool(one.hausdorff_distance(other) < 1e-6 and one.area == pytest.approx(other.area, rel=1e-9))


def test_the_audit_finds_nothing_and_the_unit_is_a_millimetre(drawn: Any) -> None:
    frame, documents = drawn
    assert documents.keys() == {"plan.dxf", *(f"pieces/{kind.name}.dxf" for kind in frame.types)}
    for name, document in documents.items():
        audit = document.audit()
        assert (name, audit.errors, audit.fixes) == (name, [], [])
        assert document.header["$INSUNITS"] == 4
        layers = {layer.dxf.name for layer in document.layers}
        assert {entity.dxf.layer for entity in document.modelspace()} <= layers - {"0", "Defpoints"}
        handles = [entity.dxf.handle for entity in document.entitydb.values()]
        assert int(document.header["$HANDSEED"], 16) > max(int(handle, 16) for handle in handles)


def test_plates_and_laps_in_plan(drawn: Any) -> None:
    frame, documents = drawn
    document = documents["plan.dxf"]
    east, north = frame.origin
    plates = polygons(document, "PLATE")
    assert len(plates) == len(frame.pieces)
    for piece, plate in zip(frame.pieces, plates, strict=True):
        assert alike(plate, MultiPoint([(x + east, y + north) for x, y, _ in piece.vertices]).convex_hull)
        assert plate.exterior.is_ccw
    for joint, lap in zip(frame.joints, polygons(document, "PLATE-LAP"), strict=True):
        both = plates[joint.under].intersection(plates[joint.over])
        assert alike(lap, both)
    marks = document.modelspace().query('TEXT[layer=="PLATE-MARK"]')
    assert [mark.dxf.text for mark in marks] == [piece.mark for piece in frame.pieces]
    for mark, plate in zip(marks, plates, strict=True):
        assert plate.buffer(1e-6).contains(MultiPoint([tuple(mark.dxf.insert)[:2]]))
        assert -90 < mark.dxf.rotation % 360 - 360 * (mark.dxf.rotation % 360 > 180) <= 90.001


def test_views_of_a_type_make_its_solid(drawn: Any) -> None:
    frame, documents = drawn
    for kind in frame.types:
        document, shape = documents[f"pieces/{kind.name}.dxf"], kind.shape
        (top,) = polygons(document, "PIECE-TOP")
        vertices, _ = shape.polyhedron()
        assert alike(top, MultiPoint([vertex[:2] for vertex in vertices]).convex_hull)
        away = polygons(document, "PIECE-UPPER-HALF-AWAY") + polygons(document, "PIECE-LOWER-HALF-AWAY")
        assert all(top.buffer(1e-6).contains(half) for half in away)
        whole = (top.area - sum(half.area for half in away) / 2) * shape.depth
        assert whole == pytest.approx(shape.volume, rel=1e-9)
        sides = [*polygons(document, "PIECE-SIDE"), *polygons(document, "PIECE-FAR-SIDE")]
        assert len(sides) == 2
        # straight across in y: the volume is the mean of the two sides carried across
        assert sum(outline.area for outline in sides) / 2 * shape.width == pytest.approx(shape.volume, rel=1e-9)
        for outline, y in zip(sides, (0.0, shape.width), strict=True):
            corners = {(round(x, 6), round(z, 6)) for x, across, z in vertices if across == y}
            low = outline.bounds[1]
            found = {(round(x, 6), round(z - low, 6)) for x, z in outline.exterior.coords}
            assert found == corners


def test_the_same_bytes_and_the_same_again_not_proved(tmp_path: Path) -> None:
    text = house()
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        files = write_dxfs(decide(parse_plan(text)), tmp_path / name, passed=False)
    for file, _ in files:
        assert (tmp_path / "one" / file).read_bytes() == (tmp_path / "other" / file).read_bytes()
        words = [text.dxf.text for text in ezdxf.readfile(tmp_path / "one" / file).modelspace().query("TEXT")]
        assert "NOT PROVED" in words


def test_texts_of_any_letters_come_back(tmp_path: Path) -> None:
    drawing = Drawing({"WORDS": 7})
    for words in ("Straße ^ 木", "\\U+0041", "#1: 100 x 50"):
        drawing.text("WORDS", words, (0.0, 0.0), 10.0)
    (tmp_path / "words.dxf").write_text(drawing.written(), "ascii")
    document, _ = recover.readfile(tmp_path / "words.dxf")
    read = [text.plain_text() for text in document.modelspace().query("TEXT")]
    assert read == ["Straße ^ 木", "\\ U+0041", "#1: 100 x 50"]


def test_an_open_shell_is_no_closed_outline(tmp_path: Path) -> None:
    text = house("[[0, 0], [0, 3000], [4000, 3000], [4000, 0]]", '["a", "b", "c"]')
    text = text.replace("leaf = 140", 'leaf = 140\nclosed = false\ninside = "right"')
    write_dxfs(decide(parse_plan(text)), tmp_path, passed=True)
    (face,) = ezdxf.readfile(tmp_path / "plan.dxf").modelspace().query('LWPOLYLINE[layer=="WALL-OUTER-FACE"]')
    assert not face.closed
    assert [(x, y) for x, y, *_ in face.get_points()] == [(0, 0), (0, 3000), (4000, 3000), (4000, 0)]
