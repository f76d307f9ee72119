"""Several plans at once: one that fails, a disk that fills, a worker that dies, two runs, nothing to do."""

from __future__ import annotations

import csv
import dataclasses
import os
import resource
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest
from faulty import SOUND, left
from houses import house

from platemodel.cli import many
from platemodel.cli.jobs import Job, Outcome, carry_out
from platemodel.cli.running import LOST, run
from platemodel.estate.records import begin, kept, plan_key
from platemodel.export.folder import locked
from platemodel.solid import proving
from platemodel.solid.values import Check
from platemodel.solid.workers import crew

PARTS = ("--only", "solids,lists")
ROOM = 130_000
"""Bytes a file may have: a house of four plates keeps below, one of many does not."""

PLANS = {
    "a": house(),
    "b": house().replace("Made by a test", "The same again"),
    "bad": house().replace("width", "widht"),
    "big": house("[[0, 0], [30000, 0], [30000, 15000], [0, 15000]]"),
    "c": SOUND.replace("clearance = 1", "clearance = 2"),
}


def tree(place: Path) -> dict[str, bytes]:
    return {path.relative_to(place).as_posix(): path.read_bytes() for path in place.rglob("*") if path.is_file()}


def rows(table: Path) -> dict[str, dict[str, str]]:
    with open(table, newline="", encoding="utf-8") as stream:
        return {row["name"]: row for row in csv.DictReader(stream)}


def command(*words: str) -> list[str]:
    return [sys.executable, "-m", "platemodel", "build", *words]


@pytest.fixture(scope="module")
def first(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Any]:
    """A run in which one plan is bad and the disk has no room for another."""
    place = tmp_path_factory.mktemp("many")
    for name, text in PLANS.items():
        (place / f"{name}.toml").write_text(text)
    done = subprocess.run(
        command(*(f"{name}.toml" for name in PLANS), "-o", "out", *PARTS),
        cwd=place,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (ROOM, ROOM)),
    )
    return place, done


@pytest.fixture
def place(first: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    shutil.copytree(first[0], tmp_path / "site")
    monkeypatch.chdir(tmp_path / "site")
    return tmp_path / "site"


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[Job]:
    """The jobs that a run asks for; they are not carried out."""
    seen: list[Job] = []

    def noted(jobs: Sequence[Job], work: Any, hire: Any, width: int) -> Any:
        seen.extend(jobs)
        return (Outcome(job.name, 2, ("not built",)) for job in jobs)

    monkeypatch.setattr(many, "run", noted)
    return seen


def test_a_bad_plan_and_a_full_disk_stop_no_other(first: Any) -> None:
    place, done = first
    assert done.returncode == 2
    assert done.stdout.startswith("5 plans: 3 built, 0 unchanged, 2 failed; ")
    assert done.stdout.count("\n") == 1
    assert "\r" not in done.stderr
    said = done.stderr.splitlines()
    assert all(line.startswith(("platemodel: bad: bad.toml:", "platemodel: big: ")) for line in said), said
    assert {line.split(": ")[1] for line in said} == {"bad", "big"}
    assert "Traceback" not in done.stderr
    assert sorted(path.name for path in (place / "out").iterdir()) == [
        *(".built", "a", "b", "c", "index.html", "summary.csv", "types.csv"),
    ]
    found = rows(place / "out" / "summary.csv")
    assert list(found) == list(PLANS)
    assert {name: row["result"] for name, row in found.items()} == {
        **{"a": "proved", "b": "proved", "bad": "failed", "big": "failed", "c": "proved"}
    }
    assert (found["a"]["pieces"], found["a"]["folder"]) == ("4", "a")
    assert found["bad"]["folder"] == ""


def test_a_house_is_the_same_as_built_alone(place: Path, capsys: Any) -> None:
    code, _, _ = left(["build", "c.toml", "-o", "alone", *PARTS], capsys)
    assert code == 0
    assert tree(place / "alone") == tree(place / "out" / "c")


def test_only_what_has_changed_is_built(place: Path, capsys: Any, asked: list[Job]) -> None:
    good = ["a.toml", "b.toml", "c.toml", "-o", "out", *PARTS]

    def jobs(*more: str) -> list[str]:
        asked.clear()
        left(["build", *good, *more], capsys)
        return [job.name for job in asked]

    houses = tree(place / "out")
    assert jobs() == []
    summary = tree(place / "out")
    assert {name for name in houses if houses[name] != summary[name]} == {"index.html", "summary.csv"}
    assert jobs() == []
    assert tree(place / "out") == summary
    assert jobs("--force") == ["a", "b", "c"]
    (place / "b.toml").write_text(PLANS["b"] + "\n# a remark\n")
    assert jobs() == ["b"]
    solid = place / "out" / "c" / "frame.stl"
    sound = solid.read_bytes()
    solid.write_bytes(sound[:-3] + bytes([sound[-3] ^ 1]) + sound[-2:])
    assert jobs() == ["b", "c"]
    solid.write_bytes(sound)
    assert jobs() == ["b"]
    solid.write_bytes(b"cut short")
    assert jobs() == ["b", "c"]
    shutil.rmtree(place / "out" / "a" / "pieces")
    assert jobs() == ["a", "b", "c"]


def test_another_version_other_parts_and_a_changed_locked_report_build_anew(
    place: Path, capsys: Any, asked: list[Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    from platemodel.estate import records

    key = records.plan_key(place / "a.toml", ["solids"])
    assert key == records.plan_key(place / "a.toml", ["solids"])
    assert key != records.plan_key(place / "a.toml", ["solids", "lists"])
    (place / "d.toml").write_text(house() + '[laying]\nlocked = "lock.json"\n')
    assert records.plan_key(place / "d.toml", ["solids"]) is None
    (place / "lock.json").write_text("{}")
    before = records.plan_key(place / "d.toml", ["solids"])
    (place / "lock.json").write_text("{ }")
    assert before != records.plan_key(place / "d.toml", ["solids"])
    monkeypatch.setattr(records, "__version__", "0.0.0")
    left(["build", "a.toml", "b.toml", "-o", "out", *PARTS], capsys)
    assert [job.name for job in asked] == ["a", "b"]


def test_a_plan_that_goes_bad_is_told_and_its_old_results_are_kept(place: Path, capsys: Any) -> None:
    before = tree(place / "out" / "a")
    (place / "a.toml").write_text(PLANS["bad"])
    code, out, err = left(["build", "a.toml", "c.toml", "-o", "out", *PARTS, "--pool"], capsys)
    assert code == 2
    assert "1 built" not in out
    assert "boards for the one good house without spare ones (by boards.csv, not the houses' own lists)" in out
    assert "out/b is of an earlier run" in err
    assert tree(place / "out" / "a") == before
    assert "still holds results of an earlier plan" in (place / "out" / "index.html").read_text()
    assert (place / "out" / "boards.csv").read_text().count("\n") > 1


def test_two_runs_into_one_folder(place: Path, capsys: Any) -> None:
    before = tree(place)
    with locked(Path("out")):
        code, out, err = left(["build", "a.toml", "b.toml", "-o", "out"], capsys)
    assert (code, out) == (2, "")
    assert err == "platemodel: out: another build is writing into it; wait until it has ended\n"
    assert tree(place) == before


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["a.toml", "b.toml"], "-o: several plans need a folder for their results; expected -o DIR"),
        (["a.toml", "sub/a.toml", "-o", "x"], "sub/a.toml: its folder would be that of a.toml; expected plans of"),
        (["a.toml", "a.failed.toml", "-o", "x"], "a.failed.toml: its folder would be that of a.toml; expected"),
        (["a.toml", "index.html.toml", "-o", "x"], "index.html.toml: its folder would be that of the page and"),
        (["a.toml", "..toml", "-o", "x"], "..toml: has no name for a folder; expected one such as house.toml"),
        (["a.toml", "b.toml", "-o", "theirs"], "theirs: holds files but no .built/format of an earlier build; exp"),
        (["a.toml", "b.toml", "-o", "a.toml"], "a.toml: is a file; expected a folder, or no such name yet"),
        (["a.toml", "b.toml", "-o", "x", "--cluster", "nowhere://1"], "--cluster: no scheduler answers at 'nowhere"),
    ],
)
def test_what_cannot_be_begun_is_said_and_writes_nothing(place: Path, capsys: Any, words: list[str], said: str) -> None:
    (place / "theirs").mkdir()
    (place / "theirs" / "mine.txt").write_text("mine")
    before = tree(place)
    code, out, err = left(["build", *words], capsys)
    assert (code, out) == (2, "")
    assert err.startswith(f"platemodel: {said}")
    assert err.count("\n") == 1
    assert {name for name in tree(place) if name not in before} <= {"x/.built/format"}


def jobs(*names: str) -> list[Job]:
    return [Job(name, "", "", frozenset()) for name in names]


def deadly(kills: Callable[[str], bool]) -> Callable[[Job], Outcome]:
    """Work that ends its own process where it is told to."""

    def work(job: Job) -> Outcome:
        if kills(job.name):
            os.kill(os.getpid(), signal.SIGKILL)
        return Outcome(job.name, 0)

    return work


def kills_always(job: Job) -> Outcome:
    return deadly(lambda name: name == "killer")(job)


def kills_once(job: Job) -> Outcome:
    def first(name: str) -> bool:
        flag = Path(os.environ["FLAG"]) / name
        if flag.exists() or name not in ("c", "e"):
            return False
        flag.touch()
        return True

    return deadly(first)(job)


def test_a_job_that_always_ends_its_worker_is_told_and_takes_no_other_with_it() -> None:
    found = {outcome.name: outcome for outcome in run(jobs("a", "b", "killer", "c", "d", "e"), kills_always, crew, 2)}
    assert sorted(found) == ["a", "b", "c", "d", "e", "killer"]
    assert {name for name, outcome in found.items() if outcome.code} == {"killer"}
    assert found["killer"].said == (LOST,)


def test_workers_that_die_once_lose_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FLAG", str(tmp_path))
    found = list(run(jobs("a", "b", "c", "d", "e"), kills_once, crew, 2))
    assert sorted(outcome.name for outcome in found) == ["a", "b", "c", "d", "e"]
    assert all(outcome.code == 0 for outcome in found)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["c", "e"]


def test_a_fault_of_the_program_and_another_version_are_outcomes_too(
    place: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = Job("a", "a.toml", "x/a", frozenset(("lists",)))
    assert "expected 9.9" in carry_out(Job("a", "a.toml", "x/a", frozenset(), "9.9")).said[0]
    monkeypatch.setattr("platemodel.cli.building.build_into", lambda *_: 1 / 0)
    outcome = carry_out(job)
    assert outcome.code == 70
    assert outcome.said[-1].startswith("this is a fault of the program")


def test_a_house_that_is_not_proved_goes_beside_and_names_that_are_no_text_are_told(
    place: Path, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = proving.prove

    def spoiled(*arguments: Any) -> Any:
        proof = real(*arguments)
        bad = (*proof.exact.checks, Check("a check made to fail", 2.0, 1.0))
        return dataclasses.replace(proof, exact=dataclasses.replace(proof.exact, checks=bad))

    monkeypatch.setattr(proving, "prove", spoiled)
    before = tree(place / "out" / "a")
    (place / "a.toml").write_text(PLANS["b"])
    odd = os.fsdecode(b"odd\xff.toml")
    (place / odd).write_text(PLANS["a"])
    code, out, err = left(["build", "a.toml", odd, "-o", "out", "--only", "lists"], capsys)
    assert code == 2
    assert out.startswith("2 plans: 0 built, 0 unchanged, 2 failed; ")
    assert "platemodel: a: NOT PROVED\nplatemodel: a: a check made to fail: 2, at most 1\n" in err
    assert "is not a name in UTF-8" in err
    assert tree(place / "out" / "a") == before
    assert (place / "out" / "a.failed" / "cutting-list.csv").is_file()
    assert 'href="a.failed/"' in (place / "out" / "index.html").read_text("utf-8")
    assert rows(place / "out" / "summary.csv")["a"]["folder"] == "a.failed"


def test_results_elsewhere_and_of_a_plan_that_was_changed_meanwhile_are_not_remembered(tmp_path: Path) -> None:
    plan, out = tmp_path / "a.toml", tmp_path / "out"
    plan.write_text(PLANS["a"])
    begin(out)
    outcome = carry_out(Job("a", str(plan), str(out / "a"), frozenset({"lists"})))
    key = plan_key(plan, {"lists"})
    assert outcome.key == key
    elsewhere = many._remembered(dataclasses.replace(outcome, files="0" * 64), out, key)
    assert (elsewhere.code, elsewhere.house) == (2, None)
    assert "expected a folder that it shares with this machine" in elsewhere.said[0]
    for changed in (None, "another"):
        assert many._remembered(dataclasses.replace(outcome, key=changed), out, key).code == 0
        assert kept(out, "a", key) is None
    assert many._remembered(outcome, out, key).code == 0
    assert kept(out, "a", key) == outcome.house
