"""Parts of a build by name, and the page opened afterwards."""

from __future__ import annotations

import csv
import os
import subprocess
import sys
from pathlib import Path

import pytest
from faulty import SOUND, left

COMMAND = Path(sys.executable).with_name("platemodel")
ALWAYS = {"report.json", "files.csv"}
PARTS = {
    "solids": {"frame.step", "frame.stl", "frame.glb"},
    "lists": {"cutting-list.csv", "buying-list.csv", "fixings-list.csv"},
    "manifest": {"manifest.json", "manifest.csv", "manifest.schema.json"},
    "ifc": {"frame.ifc"},
    "dxf": {"plan.dxf", "pieces/T1.dxf"},
    "sheets": {"sheets/cover.svg", "sheets/plan.svg", "sheets/T1.svg", "sheets/gauge.svg", "sheets/batch.svg"},
    "pack": {"pack.pdf"},
    "page": {"index.html"},
}


def run(place: Path, *words: str, path: str | None = None) -> subprocess.CompletedProcess[str]:
    (place / "plan.toml").write_text(SOUND)
    environment = {**os.environ, **({"PATH": path} if path is not None else {})}
    return subprocess.run(
        [COMMAND, "build", "plan.toml", "-o", "out", *words],
        cwd=place,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        env=environment,
    )


def files(place: Path) -> set[str]:
    return {path.relative_to(place / "out").as_posix() for path in (place / "out").rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A whole build by the installed command."""
    place = tmp_path_factory.mktemp("whole")
    assert run(place).returncode == 0
    return place


def here(place: Path, capsys: pytest.CaptureFixture[str], *words: str) -> str:
    """Build parts in this process; gives what is said."""
    (place / "plan.toml").write_text(SOUND)
    code, out, err = left(["build", str(place / "plan.toml"), "-o", str(place / "out"), *words], capsys)
    assert code == 0, err
    return str(out)


def test_every_part_is_written_where_none_is_named(whole: Path) -> None:
    assert ALWAYS.union(*PARTS.values()) <= files(whole)
    with open(whole / "out" / "files.csv", newline="", encoding="utf-8") as stream:
        listed = {row["file"] for row in csv.DictReader(stream)}
    assert listed == files(whole) - {"files.csv"}


@pytest.mark.parametrize("part", PARTS)
def test_one_part_alone(tmp_path: Path, part: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert here(tmp_path, capsys, "--only", part).startswith("proved: ")
    found = files(tmp_path)
    assert PARTS[part] | ALWAYS <= found
    for other, names in PARTS.items():
        assert other == part or not names & found


def test_a_part_alone_is_the_same_as_in_a_whole_build(
    whole: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    # the manifest tells the hashes of files that then are not there
    alone = ("pack.pdf", "manifest.json")
    here(tmp_path, capsys, "--only", "pack, lists, manifest")
    for name in alone:
        assert (tmp_path / "out" / name).read_bytes() == (whole / "out" / name).read_bytes()
    assert files(tmp_path) == ALWAYS | PARTS["pack"] | PARTS["lists"] | PARTS["manifest"]


def test_a_part_that_is_none_is_one_clear_message(tmp_path: Path) -> None:
    done = run(tmp_path, "--only", "shets")
    assert done.returncode == 2
    words = (
        "--only: 'shets' is no part of a build; expected some of solids, lists, manifest, ifc, dxf, labels, sheets, "
        "pack, page"
    )
    assert done.stderr == f"platemodel: {words}\n"
    assert not (tmp_path / "out").exists()


def test_the_page_is_opened_and_only_where_there_is_one(tmp_path: Path) -> None:
    done = run(tmp_path, "--only", "lists", "--open")
    assert done.returncode == 2
    assert "--open" in done.stderr
    opener = tmp_path / "bin" / "xdg-open"
    opener.parent.mkdir()
    opener.write_text(f'#!/bin/sh\necho "$1" > "{tmp_path}/opened"\n')
    opener.chmod(0o755)
    done = run(tmp_path, "--only", "page", "--open", path=f"{opener.parent}:/usr/bin:/bin")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "opened").read_text().strip() == str(tmp_path / "out" / "index.html")


def test_a_machine_without_a_browser_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "plan.toml").write_text(SOUND)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("PATH", str(tmp_path / "none"))
    code, _, err = left(["build", "plan.toml", "-o", "out", "--only", "page", "--open"], capsys)
    assert code == 0
    assert "no browser could be started; open out/index.html yourself" in err
