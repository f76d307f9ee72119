"""Sources spoilt in one place, of those found by chance on which a library underneath tripped: told, no traceback."""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import ezdxf
import pytest
from ifc_walls import Model

from platemodel.faults import InputError
from platemodel.outlines.reading import read_outlines


@pytest.mark.parametrize(
    "text",
    [
        "POLYGON ((0 0, 9600 0, 9600 nan, 0 6600, 0 0), (100 100, 100 6500, 9500 Infinity, 9500 100, 100 100))",
        "MULTIPOLYGON Z (((20000 0 3, 29600 0 3, 29 6600 3, 20000 1e999 3, 20000 0 3)))",
        "LINESTRING (0 0, 1e999 -1e999, -1e999 nan)",
    ],
)
def test_numbers_that_are_none_are_told_without_a_warning(text: str, tmp_path: Path) -> None:
    (tmp_path / "a.wkt").write_text(text)
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        with pytest.raises(InputError, match="expected"):
            read_outlines(tmp_path / "a.wkt")


def test_a_vertex_without_a_place_costs_its_block_alone(tmp_path: Path) -> None:
    """A polyline of the old kind in a block: its reader stumbles only when the block is taken apart."""
    document = ezdxf.new("R12")
    document.blocks.new("B").add_polyline2d([(0, 0), (9600, 0), (9600, 6600), (0, 6600)], close=True)
    document.modelspace().add_blockref("B", (0, 0))
    document.modelspace().add_line((0, 0), (7000, 0))
    document.saveas(tmp_path / "a.dxf")
    text = (tmp_path / "a.dxf").read_text()
    spoilt = re.sub(r"(VERTEX\n(?:.*\n){1,8}? )10\n9600\.0", r"\g<1>1e999\n9600.0", text, count=1)
    assert spoilt != text
    (tmp_path / "a.dxf").write_text(spoilt)
    found = read_outlines(tmp_path / "a.dxf")
    assert [line.points for line in found.lines] == [((0, 0), (7000, 0))]
    assert [words.split(": ")[1] for words in found.left_out] == ["block 'B' cannot be taken apart"]


@pytest.fixture(scope="module")
def model() -> str:
    """Four walls round a house, and one inside."""
    made = Model()
    around = [(9.0, 0, 0, 0), (5.72, 9.0, 0.14, 90), (9.0, 9.0, 6, 180), (5.72, 0, 5.86, 270)]
    walls = [made.wall(0.14, *wall) for wall in around]
    made.storey("Ground", [*walls, made.wall(0.1, 5.72, 4.5, 0.14, 90)])
    return str(made.model.to_string())


@pytest.mark.parametrize("shape", ["-1e308", "#1", "'x'"])
def test_a_wall_with_no_shape_that_can_be_is_left_out_and_told(shape: str, model: str, tmp_path: Path) -> None:
    *_, last = re.finditer(r"#(\d+)=IFCWALL\((?:[^,]*,){6}(#\d+)", model)
    (tmp_path / "a.ifc").write_text(model[: last.start(2)] + shape + model[last.end(2) :])
    found = read_outlines(tmp_path / "a.ifc")
    assert [line.closed for line in found.lines] == [True]
    assert found.left_out == (f"wall #{last[1]}: cannot be read",)


def test_walls_on_a_storey_that_is_none_are_told(model: str, tmp_path: Path) -> None:
    spoilt = re.sub(r"(IFCRELCONTAINEDINSPATIALSTRUCTURE\(.*,)#\d+\);", r"\g<1>0);", model)
    assert spoilt != model
    (tmp_path / "a.ifc").write_text(spoilt)
    with pytest.raises(InputError, match=r"holds no lines \(wall #\d+: cannot be read; .*expected closed outlines"):
        read_outlines(tmp_path / "a.ifc")
