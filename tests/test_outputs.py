"""outputs/ holds what the program makes of the main demo today."""

from __future__ import annotations

import csv
import json
import struct
from pathlib import Path
from typing import Any

import pytest

from platemodel.cli.building import build

ROOT = Path(__file__).parents[1]
KEPT = ROOT / "outputs" / "bungalow"


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("fresh") / "bungalow"
    assert build(str(ROOT / "examples" / "bungalow.toml"), str(folder), timings=False) == 0
    return folder


def files_in(folder: Path) -> set[str]:
    return {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}


def test_the_same_files(fresh: Path) -> None:
    assert files_in(fresh) == files_in(KEPT)
    with open(KEPT / "files.csv", newline="", encoding="utf-8") as stream:
        listed = {row["file"] for row in csv.DictReader(stream)}
    assert listed == files_in(KEPT) - {"files.csv"}


def test_the_same_bytes(fresh: Path) -> None:
    # frame.glb comes from a library whose minor versions word its header anew; it is read below
    for name in files_in(KEPT) - {"frame.glb", "files.csv", "report.json"}:
        assert (fresh / name).read_bytes() == (KEPT / name).read_bytes(), name


def test_the_same_report_within_rounding(fresh: Path) -> None:
    one, other = (json.loads((folder / "report.json").read_text("utf-8")) for folder in (fresh, KEPT))
    _alike(one, other, "report")


def _alike(one: Any, other: Any, where: str) -> None:
    assert type(one) is type(other), where
    if isinstance(one, dict):
        assert one.keys() == other.keys(), where
        for key in one:
            _alike(one[key], other[key], f"{where}.{key}")
    elif isinstance(one, list):
        assert len(one) == len(other), where
        for number, (a, b) in enumerate(zip(one, other, strict=True)):
            _alike(a, b, f"{where}[{number}]")
    elif isinstance(one, float):
        assert one == pytest.approx(other, rel=1e-9, abs=1e-6), where
    else:
        assert one == other, where


def test_the_same_model_for_viewers(fresh: Path) -> None:
    one, other = (_glb(folder / "frame.glb") for folder in (fresh, KEPT))
    assert one[0]["nodes"] == other[0]["nodes"]
    assert one[0]["accessors"] == other[0]["accessors"]
    assert one[1] == other[1]


def _glb(path: Path) -> tuple[dict[str, Any], bytes]:
    raw = path.read_bytes()
    (length,) = struct.unpack_from("<I", raw, 12)
    return json.loads(raw[20 : 20 + length]), raw[20 + length :]
