"""The installed command, from outside: its faults, its exit codes, and that it is quiet and quick to refuse."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from faulty import SOUND, changed, left

import platemodel
from platemodel.cli import cli
from platemodel.frame import decide
from platemodel.plan import read_plan

COMMAND = Path(sys.executable).with_name("platemodel")
SLOW = ("OCP", "cadquery", "trimesh", "manifold3d")


def run(*arguments: Any, cwd: Any = None) -> Any:
    return subprocess.run(
        [COMMAND, *arguments],
        capture_output=True,
        text=True,
        cwd=cwd,
        stdin=subprocess.DEVNULL,
        timeout=60,
        check=False,
    )


def test_faults_by_the_installed_command(tmp_path: Any) -> None:
    plan = tmp_path / "house.toml"
    plan.write_text(changed((("gap", 0, "wall"), "lft"), (("plate", "depth"), -1), (("opening", 0, "to"), 9999)))
    done = run("build", "house.toml", "-o", "out", cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    lines = done.stderr.splitlines()
    assert len(lines) == 3
    assert all(line.startswith("platemodel: house.toml:") for line in lines)
    assert any("gap[0].wall: there is no wall 'lft'; did you mean 'left'?" in line for line in lines)
    assert [path.name for path in tmp_path.iterdir()] == ["house.toml"]


AIR = [{"name": "a", "leaf": 100, "from": [2400, 0], "to": [2400, 2000]}]


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["--help"], 0),
        (["build", "--help"], 0),
        (["--version"], 0),
        (["schema"], 0),
        (["new", "fresh.toml"], 0),
        (["build", "none.toml"], 2),
        (["build", "keys.toml"], 2),
        (["check", "shape.toml"], 2),
        (["build", "shape.toml", "-o", "out"], 2),
        (["build", "sound.toml", "-o", "keys.toml"], 2),
        (["nonsense"], 2),
        ([], 2),
    ],
)
def test_help_and_faults_load_no_kernel(tmp_path: Any, arguments: Any, code: Any) -> None:
    (tmp_path / "keys.toml").write_text("plate = 1\n")
    (tmp_path / "sound.toml").write_text(SOUND)
    (tmp_path / "shape.toml").write_text(changed((("gap",), []), (("cross",), AIR)))
    program = (
        "import sys\nfrom platemodel.cli import main\n"
        f"try:\n    main({arguments!r})\n"
        f"finally:\n    print([name for name in {SLOW!r} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, cwd=tmp_path, timeout=60, check=False
    )
    assert done.returncode == code
    assert done.stderr.splitlines()[-1] == "[]"
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()
    assert bool(done.stdout) == (code == 0)


def test_version(capsys: Any) -> None:
    assert left(["--version"], capsys) == (0, f"platemodel, version {platemodel.__version__}\n", "")


def test_schema_is_one_and_knows_the_keys(capsys: Any) -> None:
    import jsonschema

    code, out, _ = left(["schema"], capsys)
    schema = json.loads(out)
    assert code == 0
    jsonschema.Draft202012Validator.check_schema(schema)
    assert set(schema["properties"]) >= {"job", "plate", "lap", "stock", "shell", "cross", "gap", "bearing", "laying"}


def test_files_in_the_way(tmp_path: Any, capsys: Any, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    Path("plan.toml").write_text(SOUND)
    Path("file").write_text("mine")
    Path("full").mkdir()
    Path("full/mine.txt").write_text("mine")
    Path("link").symlink_to("nowhere")
    Path("hostile").mkdir()
    Path("hostile/files.csv").write_text("file,bytes,sha256,what\n../plan.toml,1,x,x\n")
    Path("failing.failed").mkdir()
    Path("failing.failed/mine.txt").write_text("mine")
    for target, told in {
        "file": "file: is a file",
        "file/out": "is not a folder",
        "full": "full: holds files but no files.csv",
        "link": "link: is a link to nothing",
        "hostile": "hostile: holds files but no files.csv",
        "failing": "failing.failed: holds files but no files.csv",
        ".": "is the folder you are in",
        "": "is the folder you are in",
        "/": "is the folder you are in",
    }.items():
        code, out, err = left(["build", "plan.toml", "-o", target], capsys)
        assert (code, out) == (2, "")
        assert told in err
        assert err.count("\n") == 1
    assert Path("plan.toml").read_text() == SOUND
    assert sorted(path.name for path in tmp_path.iterdir()) == sorted(
        ["plan.toml", "file", "full", "link", "hostile", "failing.failed"]
    )


def test_new_writes_a_plan_that_can_be_built(tmp_path: Any, capsys: Any, monkeypatch: Any) -> None:
    monkeypatch.chdir(tmp_path)
    assert left(["new", "house.toml"], capsys)[0] == 0
    assert len(decide(read_plan("house.toml")).joints) == 4
    code, _, err = left(["new", "house.toml"], capsys)
    assert (code, err) == (2, "platemodel: house.toml: is there already; expected a name that is not\n")
    assert "no such folder" in left(["new", "none/house.toml"], capsys)[2]
    assert "is there already" in left(["new", "."], capsys)[2] + left(["new", str(tmp_path)], capsys)[2]
    assert left(["new", ""], capsys)[0] == 2
    for name in ('odd"\n[name].toml', "caf\udce9.toml"):
        assert left(["new", name], capsys)[0] == 0
        assert len(read_plan(name).walls) == 4


def test_new_that_finds_no_room_leaves_no_file(tmp_path: Any, capsys: Any, monkeypatch: Any) -> Any:
    def full(*_: Any, **__: Any) -> None:
        raise OSError(28, "No space left on device")

    class Full:
        def __enter__(self) -> Any:
            (tmp_path / "plan.toml").write_text("half")
            return self

        def __exit__(self, *_: Any) -> Any:
            return None

        write = full

    monkeypatch.setattr("builtins.open", lambda *_, **__: Full())
    code, _, err = left(["new", str(tmp_path / "plan.toml")], capsys)
    assert code == 2
    assert "No space left on device" in err
    assert not (tmp_path / "plan.toml").exists()


def asked(path: Any, *answers: Any) -> Any:
    return CliRunner().invoke(cli, ["new", str(path), "--ask"], input="".join(f"{answer}\n" for answer in answers))


def test_ask_walks_round_the_walls(tmp_path: Any) -> None:
    plan = tmp_path / "shed.toml"
    # title; name, length, turn of each wall; empty answers take what is offered
    done = asked(plan, 'The "old" shed', "front", "4000.5", "", "", "3000", "L", "back", "4000.5", "l", "left", "3000")
    assert done.exit_code == 0, done.output
    walls = read_plan(plan).walls
    assert [wall.name for wall in walls] == ["front", "wall 2", "back", "left"]
    assert [wall.length for wall in walls] == [4000.5, 3000, 4000.5, 3000]
    assert read_plan(plan).job.title == 'The "old" shed'
    assert len(decide(read_plan(plan)).joints) == 4


def test_ask_closes_with_a_last_wall_straight_back(tmp_path: Any) -> None:
    plan = tmp_path / "bay.toml"
    done = asked(plan, "", "a", "6000", "L", "b", "4000", "60", "c", "3000", "c", "d")
    assert done.exit_code == 0, done.output
    assert "length of 'd':" in done.output
    assert len(decide(read_plan(plan)).runs) == 4


def test_ask_asks_again_for_what_cannot_be(tmp_path: Any) -> None:
    plan = tmp_path / "shed.toml"
    answers = ["x" * 300, "Shed", "front", "long", "-5", "nan", "inf", "4000", "C", "left", "nan", "200", "90"]
    answers += ["front", "b\x07", "right", "3000", "L", "back", "4000", "-90.5", "wall 4"]
    done = asked(plan, *answers)
    # the input ends before the walk does: nothing is written
    assert done.exit_code == 1
    assert not plan.exists()
    for told in (
        "a text of 1 to 200 characters",
        "a length in mm, such as 5400",
        "a length from 1 to 1000000 mm",
        "L, R or a number of degrees",
        "a turn between -180 and 180",
        "'front' is taken",
        "a text of 1 to 60 characters",
    ):
        assert f"Error: {told}" in done.output


def test_ask_with_no_answers_says_that_it_stopped(tmp_path: Any) -> None:
    done = run("new", "shed.toml", "--ask", cwd=tmp_path)
    assert done.returncode == 130
    assert done.stderr.splitlines()[-1] == "platemodel: stopped; no half-made results are left"
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("closed", ["2", "1 2"])
def test_closed_streams(tmp_path: Any, closed: Any) -> None:
    (tmp_path / "bad.toml").write_text("plate = 1\n")
    shut = " ".join(f"{number}>&-" for number in closed.split())
    for words, code in (("schema", 0), ("build bad.toml", 2)):
        done = subprocess.run(
            ["sh", "-c", f'"$0" {words} {shut}', COMMAND], cwd=tmp_path, capture_output=True, timeout=60, check=False
        )
        assert done.returncode == code
        assert b"Traceback" not in done.stderr


def test_reader_that_goes_away(tmp_path: Any) -> None:
    done = subprocess.run(
        ["sh", "-c", '{ "$0" schema; echo $? >code; } | true', COMMAND],
        cwd=tmp_path,
        capture_output=True,
        timeout=60,
        check=False,
    )
    assert done.stderr == b""
    assert (tmp_path / "code").read_text().strip() in ("0", "141")
