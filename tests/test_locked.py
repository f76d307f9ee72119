"""An earlier report locked: what would alter a piece, a half or a mark in it is found, and nothing else."""

from __future__ import annotations

import copy
import json
from typing import Any

import pytest
import tomli_w
from faulty import sound

from platemodel.export.report import report, report_text
from platemodel.faults import InputError
from platemodel.frame import decide
from platemodel.plan import parse_plan
from platemodel.site.locked import judge_locked, read_locked


def reported(data: Any) -> Any:
    return json.loads(report_text(report(decide(parse_plan(tomli_w.dumps(data))), [], None)))


def changes(data: Any, locked: Any = None) -> Any:
    verdicts = judge_locked(reported(data), reported(sound()) if locked is None else locked)
    assert all(verdict.level == "must" for verdict in verdicts)
    return [verdict.where for verdict in verdicts if not verdict.passed]


def shifted(data: Any, x: Any, y: Any) -> Any:
    shell = data["shell"][0]
    shell["corners"] = [[a + x, b + y] for a, b in shell["corners"]]
    return data


def test_unchanged_plan_passes() -> None:
    assert changes(sound()) == []


@pytest.mark.parametrize(("x", "y"), [(1000, -2000), (0.05, 0.05), (1e6, 1e6), (-5400, 0.004)])
def test_shifted_plan_passes(x: Any, y: Any) -> None:
    assert changes(shifted(sound(), x, y)) == []


def with_shed(data: Any) -> Any:
    corners = [[-9000, -9000], [-6000, -9000], [-6000, -7000], [-9000, -7000]]
    data["shell"].append({"name": "shed", "leaf": 100, "corners": corners})
    return data


def test_wall_added_elsewhere_passes() -> None:
    data = sound()
    data["cross"] = []
    locked = reported(data)
    assert changes(with_shed(data), locked) == []
    assert changes(shifted(data, 300, 300), locked) == []


def test_wall_added_before_another_changes_its_mark_and_is_told() -> None:
    found = changes(with_shed(sound()))
    assert "A1: its lap with F1 would be gone" in found
    assert "A1: a lap with K1 would be added" in found


def test_bearing_and_title_may_change() -> None:
    data = sound()
    data["bearing"] = []
    data["job"]["title"] = "Store, second issue"
    assert changes(data) == []


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        (lambda d: d["plate"].update(depth=47), "A1: depth 50.0 would become 47.0"),
        (lambda d: d["plate"].update(width=97), "A1: width 100.0 would become 97.0"),
        (lambda d: d["lap"].update(clearance=2), "A1: its lap with B1 would move"),
        (lambda d: d["cross"][0].update({"from": {"wall": "front", "at": 2500}}), "A1: its lap with F1 would move"),
        (lambda d: d["cross"].clear(), "F1: would be gone"),
        (lambda d: d["gap"][0].update({"to": 1600}), "length"),
        (lambda d: d["laying"].update(start="left"), "would turn from under to over"),
        (
            lambda d: d["cross"].append({"name": "new", "leaf": 100, "from": [4400, 0], "to": [4400, 3600]}),
            "A1: a lap with G1 would be added",
        ),
        (lambda d: d["shell"][0]["corners"].insert(0, d["shell"][0]["corners"].pop()), "would"),
    ],
)
def test_what_would_alter_a_piece_is_told(edit: Any, told: Any) -> None:
    data = sound()
    data["opening"], data["bearing"] = [], []
    locked = reported(data)
    edit(data)
    found = changes(data, locked)
    assert any(told in change for change in found), found


def test_wall_moved_alone_is_told() -> None:
    data = sound()
    data["cross"][0] |= {"from": {"wall": "front", "at": 2410}, "to": {"wall": "back", "at": 2990}}
    found = changes(data)
    assert "F1: would lie elsewhere" in found
    assert not any(change.startswith(("B1", "D1")) for change in found)


def test_splice_that_makes_two_of_one_is_told() -> None:
    data = sound()
    data["splice"] = [{"wall": "front", "at": 3500}]
    found = changes(data)
    assert any(change.startswith("A1: length 5400.0 would become") for change in found)


def spoiled() -> Any:
    good = reported(sound())
    for key in ("mark", "length", "width", "depth", "place", "laps"):
        for value in (None, "x", [], float("nan")):
            bad = copy.deepcopy(good)
            if value is None:
                del bad["pieces"][0][key]
            else:
                bad["pieces"][0][key] = value
            yield bad
    yield {"pieces": [1], "origin": [0, 0]}
    yield {"pieces": [{}], "origin": None}
    yield {"pieces": good["pieces"], "origin": "there"}
    yield {"pieces": good["pieces"], "origin": [1e400, 0]}


@pytest.mark.parametrize("bad", list(spoiled()))
def test_report_gone_wrong_never_passes(bad: Any) -> None:
    try:
        verdicts = judge_locked(reported(sound()), bad)
    except InputError as error:
        told = [str(error)]
    else:
        told = [verdict.where for verdict in verdicts if not verdict.passed]
    assert told
    assert all(told)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "7",
        '{"pieces": 5, "origin": 1}',
        '{"pieces": []}',
        '{"pieces": [NaN], "origin": [0, 0]}',
        "[" * 99999,
    ],
)
def test_file_that_is_no_report(tmp_path: Any, text: Any) -> None:
    path = tmp_path / "report.json"
    path.write_text(text)
    with pytest.raises(InputError, match=r"is not a report\.json of an earlier build"):
        read_locked(path)


def test_file_that_cannot_be_read(tmp_path: Any) -> None:
    with pytest.raises(InputError, match=r"cannot be read \(No such file"):
        read_locked(tmp_path / "none.json")
    with pytest.raises(InputError, match=r"cannot be read \(Is a directory"):
        read_locked(tmp_path)
    (tmp_path / "bytes").write_bytes(b"\xff\xfe")
    with pytest.raises(InputError, match="is not a report"):
        read_locked(tmp_path / "bytes")


def test_report_itself_is_read_back(tmp_path: Any) -> None:
    path = tmp_path / "report.json"
    path.write_text(report_text(report(decide(parse_plan(tomli_w.dumps(sound()))), [], None)))
    assert changes(sound(), read_locked(path)) == []
