"""What an import tells that it was not asked: inside walls on another layer, a thickness that nobody gave."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from faulty import left

OUTER = [[0, 0], [8, 0], [8, 6], [0, 6], [0, 0]]


def line(layer: str, *points: list[float]) -> dict[str, Any]:
    closed = points[0] == points[-1]
    geometry = {"type": "Polygon", "coordinates": [points]} if closed else {"type": "LineString", "coordinates": points}
    return {"type": "Feature", "properties": {"layer": layer}, "geometry": geometry}


@pytest.fixture
def source(tmp_path: Path) -> str:
    features = [
        line("walls", *OUTER),
        line("inner", [4, 0.05], [4, 5.95]),
        # along a face, and short of the leaf
        line("dims", [0.02, 0.05], [7.98, 0.05]),
        line("sofa", [1, 1], [2, 1]),
    ]
    path = tmp_path / "house.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return str(path)


def told(source: str, capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str, str]:
    plan = Path(source).with_name("plan.toml")
    plan.unlink(missing_ok=True)
    code, out, err = left(["new", str(plan), "--from", source, "--unit", "m", *words], capsys)
    return int(code), str(out), str(err)


def test_lines_from_leaf_to_leaf_on_another_layer_are_told(source: str, capsys: pytest.CaptureFixture[str]) -> None:
    code, out, _ = told(source, capsys, "--layer", "walls")
    assert code == 0
    hints = [words for words in out.splitlines() if "--cross" in words]
    assert hints == [
        "left out: 1 line from leaf to leaf on layer 'inner'; --cross 'inner' takes centre lines of inside walls"
    ]
    code, out, _ = told(source, capsys, "--layer", "walls", "--cross", "inner")
    assert code == 0
    assert "--cross" not in out
    assert "1 cross wall" in out


def test_the_question_for_a_layer_names_the_option_for_inside_walls(
    source: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = told(source, capsys)
    assert code == 2
    assert "centre lines of inside walls alone is for --cross" in err


def test_a_leaf_that_nobody_told_is_not_told_as_found(source: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = told(source, capsys, "--layer", "walls")
    assert "leaf 100 mm, as none is told: --leaf" in out
    _, out, _ = told(source, capsys, "--layer", "walls", "--leaf", "140")
    assert "leaf 140 mm\n" in out
