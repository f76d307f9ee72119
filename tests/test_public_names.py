"""The library as a script uses it: what it loads, what a notebook shows, and the scripts among the examples."""

from __future__ import annotations

import re
import runpy
import subprocess
import sys
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from houses import house

import platemodel
from platemodel import library

ROOT = Path(__file__).parents[1]
KERNEL = ("OCP", "cadquery", "trimesh")


def python(*words: str, place: Path = ROOT) -> subprocess.CompletedProcess[str]:
    return subprocess.run([sys.executable, *words], capture_output=True, text=True, cwd=place, timeout=120, check=False)


def test_nothing_is_loaded_by_the_import_and_no_kernel_before_solids_are_asked_for() -> None:
    code = f"""
import sys
import platemodel
print(sorted(name for name in sys.modules if name.startswith("platemodel")))
def kernel():
    return sorted({{name.split(".")[0] for name in sys.modules}} & set({KERNEL!r}))
frame = platemodel.frame_of(platemodel.parse_plan(platemodel.starter_plan()))
platemodel.judge(frame), frame._repr_svg_(), platemodel.sheets_of(frame), repr(frame)
print(kernel())
platemodel.solids(frame)
print("OCP" in kernel())
"""
    done = python("-c", code)
    assert done.stderr == ""
    assert done.stdout.splitlines() == ["['platemodel']", "[]", "True"]


def test_every_name_of_the_page_is_the_package_s() -> None:
    assert sorted(platemodel.__all__) == sorted(library.__all__)
    assert set(library.__all__) <= set(dir(platemodel))
    for name in library.__all__:
        assert getattr(platemodel, name) is getattr(library, name)
        assert getattr(library, name).__doc__
    with pytest.raises(AttributeError, match="no attribute 'plates'"):
        platemodel.plates  # noqa: B018


def test_a_notebook_shows_a_frame_its_sheets_and_its_proof() -> None:
    frame = platemodel.frame_of(platemodel.parse_plan(house()))
    shown = frame._repr_svg_()
    assert shown is not None
    assert all(f">{piece.mark}<" in shown for piece in frame.pieces)
    sheet = platemodel.sheets_of(frame)["T1"]
    assert "<svg" in sheet._repr_svg_()
    proof = platemodel.prove(frame)
    told = proof._repr_html_()
    assert "✓ proved" in told
    assert "of 4 laps 4 passed" in told
    assert told.count("<tr>") == 1 + len(proof.checks)
    assert "✗" not in told


def test_a_plan_of_plain_values_is_that_of_its_file(tmp_path: Path) -> None:
    import tomllib

    text = (ROOT / "examples" / "two-shells.toml").read_text("utf-8")
    values: dict[str, Any] = tomllib.loads(text)
    before = repr(values)
    in_code = platemodel.frame_of(platemodel.plan_of(values))
    read = platemodel.frame_of(platemodel.parse_plan(text))
    assert in_code.pieces == read.pieces
    assert repr(values) == before
    values["plate"]["widht"] = values["plate"].pop("width")
    with pytest.raises(platemodel.PlanError) as caught:
        platemodel.plan_of(values, "made in code")
    assert {fault.path for fault in caught.value.faults} >= {("plate", "widht"), ("plate", "width")}
    assert all(line.startswith("made in code: plate.wid") for line in str(caught.value).splitlines())


def test_a_build_that_is_written_is_that_of_the_command(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(house())
    built = platemodel.write_build(platemodel.read_plan(tmp_path / "plan.toml"), tmp_path / "a", ["lists", "dxf"])
    assert built.passed
    done = python(
        *("-m", "platemodel", "build", str(tmp_path / "plan.toml"), "-o", str(tmp_path / "b"), "--only", "lists,dxf")
    )
    assert done.returncode == 0
    trees = [
        {path.relative_to(place).as_posix(): path.read_bytes() for path in place.rglob("*") if path.is_file()}
        for place in (tmp_path / "a", tmp_path / "b")
    ]
    assert trees[0] == trees[1]
    with pytest.raises(platemodel.InputError, match="'list' is no part of a build"):
        platemodel.write_build(platemodel.parse_plan(house()), tmp_path / "c", ["list"])
    assert not (tmp_path / "c").exists()


def test_the_script_that_builds_a_plan_in_code(tmp_path: Path) -> None:
    done = python(str(ROOT / "examples" / "plan_in_code.py"), "2", str(tmp_path / "row"))
    assert done.stderr == ""
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert lines[0].startswith("<Frame 'Row of 2 garages': ")
    pieces = int(re.findall(r"(\d+) pieces", lines[0])[0])
    assert len([line for line in lines if line.endswith(("under", "over"))]) == pieces
    assert "proved" in lines
    assert (tmp_path / "row" / "frame.step").stat().st_size > 10_000


def script(name: str) -> dict[str, Any]:
    """What a script among the examples defines."""
    return runpy.run_path(str(ROOT / "examples" / name))


@pytest.mark.parametrize("bays", ["0", "-1", "two", "2.5", "1" * 5000, ""])
def test_bays_that_are_no_number_are_told_in_one_line(bays: str) -> None:
    with pytest.raises(SystemExit, match=r"^bays: found '.*'; expected a whole number from 1 to 999$"):
        script("plan_in_code.py")["main"](bays)


def test_a_missing_kernel_and_a_folder_that_cannot_be_written_to_are_told_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(_: platemodel.Frame) -> platemodel.Proof:
        raise platemodel.KernelMissing("the CAD kernel is missing")

    main = script("plan_in_code.py")["main"]
    with monkeypatch.context() as without:
        without.setattr(platemodel, "prove", missing)
        with pytest.raises(SystemExit, match=r"^the CAD kernel is missing$"):
            main("1")
    # what is proved is another test's; here it is only passed on
    monkeypatch.setattr(platemodel, "prove", lambda _: SimpleNamespace(passed=True))
    (tmp_path / "file").touch()
    with pytest.raises(SystemExit, match=r"Not a directory|File exists") as caught:
        main("1", str(tmp_path / "file"))
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "expected a manifest and a type: python saw_cuts.py "),
        (["m.json"], "expected a manifest and a type: "),
        (["none.json", "T1"], "none.json: cannot be read as a manifest: FileNotFoundError"),
        (["broken.json", "T1"], "broken.json: cannot be read as a manifest: JSONDecodeError"),
        (["list.json", "T1"], "list.json: cannot be read as a manifest: TypeError"),
        (["m.json", "T9"], "m.json: has no type 'T9'; expected one such as T1"),
    ],
)
def test_what_the_script_of_saw_cuts_cannot_read_is_told_in_one_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: list[str], said: str
) -> None:
    for name, text in {"m": '{"types": [{"type": "T1"}]}', "broken": "{", "list": "[]"}.items():
        (tmp_path / f"{name}.json").write_text(text)
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "argv", ["saw_cuts.py", *words])
    with pytest.raises(SystemExit) as caught:
        script("saw_cuts.py")
    assert str(caught.value).startswith(said)
    assert "\n" not in str(caught.value)


def test_the_script_that_checks_a_batch(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_text(house().replace("width", "widht"))
    (tmp_path / "ruled.toml").write_text(house() + '[rules]\nfile = "none.toml"\n')
    checking = str(ROOT / "examples" / "check_many.py")
    good = [str(ROOT / "examples" / name) for name in ("garden-room.toml", "crossing.toml")]
    done = python(checking, *good)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.count("<Frame '") == 2
    mixed = python(checking, good[0], *(str(tmp_path / name) for name in ("bad.toml", "ruled.toml")), good[1])
    assert mixed.returncode == 1
    assert "Traceback" not in mixed.stderr
    assert f"{tmp_path / 'bad.toml'}:5: plate.widht: unknown key" in mixed.stdout
    assert f"{tmp_path / 'ruled.toml'}:12: rules.file: none.toml cannot be read" in mixed.stdout
    assert mixed.stdout.count("<Frame '") == 2
