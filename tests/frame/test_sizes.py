"""Boards wider than bought: longer laps, advice, what the sheets say, and what a plan may not say of them."""

from __future__ import annotations

from typing import Any

import pytest
from faulty import changed, fault, faults, left

from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan
from platemodel.sheets import drawn, finished
from platemodel.sheets.page import Page, Text
from platemodel.site.rules import Verdict, judge


def frame_of(**plate: Any) -> Frame:
    return decide(parse_plan(changed(*((("plate", key), value) for key, value in plate.items()))))


def judged(frame: Frame) -> list[Verdict]:
    return [verdict for verdict in judge(frame) if verdict.source == "EN 336"]


def said(page: Page) -> str:
    return " ".join(mark.text for mark in page.marks if isinstance(mark, Text))


def test_the_widest_board_makes_every_lap_longer_and_no_piece() -> None:
    plain, wide = frame_of(), frame_of(widest=103)
    assert [piece.length for piece in wide.pieces] == [piece.length for piece in plain.pieces]
    assert wide.plan.lap.clearance == 4.0
    for joint, before in zip(wide.joints, plain.joints, strict=True):
        assert joint.gap_expected == pytest.approx(4 * before.gap_expected)


def test_a_widest_board_as_wide_as_bought_changes_no_lap() -> None:
    assert frame_of(widest=100).types == frame_of().types


def test_sawn_boards_jam_in_a_clearance_of_one() -> None:
    (verdict,) = judged(frame_of(tolerance="T1"))
    assert not verdict.passed
    assert verdict.level == "advice"
    assert verdict.where == (
        "boards of 100 of class T1 may be 103 wide: they jam in laps cut for 101; measure the widest and put it in "
        "plate.widest, or raise lap.clearance"
    )


@pytest.mark.parametrize(
    "plate",
    [{"tolerance": "T2"}, {"tolerance": "T1", "widest": 101}, {"moisture": 24}, {"tolerance": "T1", "width": 60}],
)
def test_boards_that_go_in(plate: dict[str, Any]) -> None:
    # planed boards of 100 are at most 101, and so are boards of just 100 at 24 %; 60 sawn may be 63
    passed = [verdict.passed for verdict in judged(frame_of(**plate))]
    assert passed == [plate.get("width") != 60]


def test_moisture_alone_can_make_boards_jam() -> None:
    (verdict,) = judged(frame_of(moisture=28))
    assert "boards of 100 at 28 % moisture may be 102 wide" in verdict.where


def test_nothing_is_judged_where_nothing_is_known() -> None:
    assert judged(frame_of()) == []
    assert judged(frame_of(widest=103)) == []


def test_the_sheets_say_the_widest_and_the_moisture() -> None:
    frame = frame_of(tolerance="T1", moisture=24, widest=103)
    pages = finished(frame, drawn(frame), None, judge(frame), passed=True)
    assert "Wider than 103? STOP" in said(pages["T1"])
    assert "At 24 % moisture expect 101 wide; it shrinks as it dries in use." in said(pages["T1"])
    assert "cut for boards up to 103 wide" in said(pages["gauge"])
    cover = said(pages["cover"])
    assert "Widest board measured: 103. Laps and gauges are cut for it, and 1 clearance beyond." in cover
    assert "Boards of class T1 may be 99 to 103 wide and 49 to 53 deep at 20 % moisture (EN 336)" in cover
    assert "At 24 % moisture expect 101 × 50.5 of a board of 100 × 50; it shrinks" in cover


def test_sheets_of_dry_boards_do_not_say_that_they_shrink() -> None:
    frame = frame_of(moisture=12)
    pages = finished(frame, drawn(frame), None, judge(frame), passed=True)
    assert "expect 98 wide." in said(pages["T1"])
    assert "shrinks" not in said(pages["T1"]) + said(pages["cover"])
    assert "Width not 100 (within 1 mm)? STOP" in said(pages["T1"])


@pytest.mark.parametrize(
    ("key", "value", "expected"),
    [
        ("tolerance", "T3", "found \"T3\"; expected 'T1' or 'T2'"),
        ("moisture", 200, "found 200; expected a number of at most 100"),
        ("moisture", 0, "found 0; expected a number of at least 5"),
        ("widest", 95, "a widest board of 95 with plate.width = 100; expected at least plate.width"),
        (
            "widest",
            121,
            "a widest board of 121 with plate.width = 100; expected at most 120: boards that are wider are to be "
            "planed, or are another size",
        ),
    ],
)
def test_sizes_that_cannot_be(key: str, value: Any, expected: str, tmp_path: Any, capsys: Any) -> None:
    text = changed((("plate", key), value))
    line = next(number for number, line in enumerate(text.splitlines(), start=1) if line.startswith(f"{key} ="))
    assert fault(text).text("p.toml") == f"p.toml:{line}: plate.{key}: {expected}"
    plan = tmp_path / "p.toml"
    plan.write_text(text)
    code, out, err = left(["build", str(plan), "-o", str(tmp_path / "out")], capsys)
    assert (code, out) == (2, "")
    assert err == f"platemodel: {plan}:{line}: plate.{key}: {expected}\n"
    assert not (tmp_path / "out").exists()


def test_a_widest_board_is_judged_beside_other_faults() -> None:
    told = faults(changed((("plate", "widest"), 95), (("gap", 0, "wall"), "lft")))
    assert {item.path for item in told} == {("plate", "widest"), ("gap", 0, "wall")}


def test_the_most_that_a_board_may_be_over() -> None:
    assert frame_of(widest=120).plan.lap.clearance == 21.0
