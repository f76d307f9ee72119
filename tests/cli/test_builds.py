"""Whole builds: stopped, short of room, two at once, not proved, locked."""

from __future__ import annotations

import dataclasses
import json
import os
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from faulty import SOUND, left, sound

from platemodel.solid import proving
from platemodel.solid.values import Check

COMMAND = Path(sys.executable).with_name("platemodel")


def tree(place: Any) -> Any:
    return {path.relative_to(place).as_posix(): path.read_bytes() for path in place.rglob("*") if path.is_file()}


@pytest.fixture(scope="module")
def built(tmp_path_factory: Any) -> Any:
    """A build by the installed command, quiet in a pipe; copied by the tests that need one."""
    place = tmp_path_factory.mktemp("built")
    (place / "plan.toml").write_text(SOUND)
    done = subprocess.run(
        [COMMAND, "build", "plan.toml"], cwd=place, capture_output=True, text=True, timeout=60, check=False
    )
    assert done.returncode == 0
    assert done.stdout.startswith("proved: ")
    assert done.stdout.endswith(f"in {Path('outputs') / 'plan'}\n")
    assert done.stdout.count("\n") == 1
    # no progress: only advice
    assert all(line.startswith("advice: ") for line in done.stderr.splitlines())
    assert "\r" not in done.stderr
    return place


@pytest.fixture
def place(built: Any, tmp_path: Any, monkeypatch: Any) -> Any:
    shutil.copytree(built, tmp_path / "site")
    monkeypatch.chdir(tmp_path / "site")
    return tmp_path / "site"


def alone(place: Any) -> Any:
    """Whether nothing half-made lies beside the results."""
    return [path.name for path in (place / "outputs").iterdir()] == ["plan"]


def started(place: Any, plan: Any = "plan.toml") -> Any:
    """A build that has begun to write beside its target."""
    build = subprocess.Popen(
        [COMMAND, "build", plan, "-o", "outputs/plan"],
        cwd=place,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    end = time.monotonic() + 30
    while not any(path.name.endswith(".part") for path in (place / "outputs").iterdir()):
        assert time.monotonic() < end
        assert build.poll() is None
        time.sleep(0.01)
    return build


@pytest.mark.parametrize(
    ("stop", "later"), [(signal.SIGINT, 0.0), (signal.SIGINT, 0.01), (signal.SIGINT, 0.9), (signal.SIGTERM, 0.4)]
)
def test_stopped_build_leaves_the_earlier_results_whole(place: Any, stop: Any, later: Any) -> None:
    before = tree(place)
    build = started(place)
    time.sleep(later)
    build.send_signal(stop)
    out, err = build.communicate(timeout=60)
    assert (build.returncode, out) == (130, "")
    assert err == "platemodel: stopped; no half-made results are left\n"
    assert tree(place) == before
    assert alone(place)


def test_two_builds_into_one_folder(place: Any, capsys: Any) -> None:
    (place / "outputs" / "plan" / "notes.txt").write_text("mine")
    build = started(place)
    code, out, err = left(["build", "plan.toml", "-o", "outputs/plan"], capsys)
    assert (code, out) == (2, "")
    assert err == "platemodel: outputs/plan: another build is writing into it; wait until it has ended\n"
    build.communicate(timeout=60)
    assert build.returncode == 0
    assert alone(place)
    assert (place / "outputs" / "plan" / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize("room", [2_000, 30_000])
def test_no_room_leaves_the_earlier_results_whole(place: Any, room: Any) -> None:
    before = tree(place)
    done = subprocess.run(
        [COMMAND, "build", "plan.toml"],
        cwd=place,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (room, room)),
    )
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.startswith("platemodel: ")
    assert done.stderr.count("\n") == 1
    assert tree(place) == before
    assert alone(place)


def spoil(monkeypatch: Any) -> Any:
    real = proving.prove

    def prove(*arguments: Any) -> Any:
        proof = real(*arguments)
        bad = (*proof.exact.checks, Check("a check made to fail", 2.0, 1.0))
        return dataclasses.replace(proof, exact=dataclasses.replace(proof.exact, checks=bad))

    monkeypatch.setattr(proving, "prove", prove)


def test_failed_proof_goes_beside_and_leaves_the_results(place: Any, capsys: Any, monkeypatch: Any) -> None:
    before = tree(place / "outputs" / "plan")
    with monkeypatch.context() as spoiled:
        spoil(spoiled)
        code, out, err = left(["build", "plan.toml"], capsys)
        assert code == 1
        assert out.startswith("failed: ")
        assert "platemodel: NOT PROVED\n  a check made to fail: 2, at most 1\n" in err
        assert tree(place / "outputs" / "plan") == before
        failed = place / "outputs" / "plan.failed"
        assert json.loads((failed / "report.json").read_text())["passed"] is False
        sheets = list((failed / "sheets").glob("*.svg"))
        assert sheets
        assert all("NOT PROVED" in sheet.read_text() for sheet in sheets)
        assert left(["check", "plan.toml"], capsys)[0] == 1
    # a later build that is proved clears the failed one away
    assert left(["build", "plan.toml"], capsys)[0] == 0
    assert alone(place)
    assert tree(place / "outputs" / "plan") == before


def test_check_leaves_no_files(place: Any, capsys: Any, monkeypatch: Any, tmp_path: Any) -> None:
    before = tree(place)
    (tmp_path / "scratch").mkdir()
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path / "scratch"))
    code, out, _ = left(["check", "plan.toml"], capsys)
    assert code == 0
    assert out.startswith("proved: ")
    assert tree(place) == before
    assert list((tmp_path / "scratch").iterdir()) == []


def test_locked_report(place: Any, capsys: Any) -> None:
    report = {"laying": {"start": "front", "locked": "outputs/plan/report.json"}}
    before = tree(place / "outputs")
    altered = sound() | report
    altered["cross"][0]["from"]["at"] = 2600
    Path("plan.toml").write_text(tomli_w.dumps(altered))
    code, out, err = left(["build", "plan.toml"], capsys)
    assert (code, out) == (1, "")
    assert err.startswith("platemodel: the locked report would be altered; nothing was written:\n")
    assert "  A1: its lap with F1 would move\n" in err
    assert "  F1: length 3" in err
    assert tree(place / "outputs") == before
    assert alone(place)
    Path("plan.toml").write_text(tomli_w.dumps(sound() | report))
    code, out, err = left(["build", "plan.toml"], capsys)
    assert code == 0, err
    named = json.loads((place / "outputs" / "plan" / "report.json").read_text())
    assert any("locked" in rule["rule"] and rule["passed"] for rule in named["rules"])


@pytest.mark.parametrize("locked", ["none.json", "plan.toml", ".", "outputs", "\\u0000"])
def test_locked_report_that_is_none(place: Any, capsys: Any, locked: Any) -> None:
    Path("plan.toml").write_text(SOUND + f'locked = "{locked}"\n')
    code, _, err = left(["build", "plan.toml"], capsys)
    assert code == 2
    assert err.startswith("platemodel: ")
    assert "locked" in err
    assert err.count("\n") == 1


def test_names_that_a_terminal_cannot_show(tmp_path: Any) -> None:
    name = os.fsdecode(b"caf\xe9")
    (tmp_path / f"{name}.toml").write_text(SOUND)
    for words, told in (([], b"is not a name in UTF-8"), (["-o", "out"], b"")):
        done = subprocess.run(
            [COMMAND, "build", f"{name}.toml", *words], cwd=tmp_path, capture_output=True, timeout=60, check=False
        )
        assert done.returncode == (2 if told else 0)
        assert told in done.stderr
        assert b"Traceback" not in done.stderr
    assert (tmp_path / "out" / "report.json").is_file()
    assert not (tmp_path / "outputs").exists()
