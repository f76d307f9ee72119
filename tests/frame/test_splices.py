"""Splices keep off laps, openings and bearings, and say so where there is no room."""

from __future__ import annotations

import dataclasses
import re

import pytest
from plans import Spec

from platemodel.faults import PlanError
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan

LONG = Spec(
    corners=((0, 0), (9000, 0), (9000, 3000), (0, 3000)),
    names=("front", "right", "back", "left"),
    stock=(4800.0, 6000.0),
)


def middles(frame: Frame, wall: str) -> list[float]:
    """Middles of the splices on a wall, from its first corner (the wall lies along x)."""
    return sorted(
        joint.at[0] + frame.origin[0]
        for joint in frame.joints
        if joint.lap.kind == "splice" and wall in frame.pieces[joint.under].walls
    )


def test_a_run_longer_than_the_longest_board_is_spliced_once() -> None:
    frame = LONG.frame()
    for wall in ("front", "back"):
        lengths = sorted(piece.length for piece in frame.pieces if wall in piece.walls)
        assert len(lengths) == 2
        assert sum(lengths) == 9000.0 + 100.0
        assert max(lengths) <= 6000.0
        assert min(lengths) >= 3000.0


def test_no_shoulder_but_a_splice_s_both_ways() -> None:
    frame = LONG.frame()
    splice = next(joint for joint in frame.joints if joint.lap.kind == "splice")
    under, over = (frame.pieces[index] for index in (splice.under, splice.over))
    for piece in (under, over):
        half = next(half for half in piece.halves if half.kind == "splice")
        assert half.high[0] - half.low[0] == 101.0
        assert half.ends
    assert splice.gap_expected == 1.0 * 100 * 50


@pytest.mark.parametrize(("begin", "end"), [(5000.0, 7000.0), (2000.0, 5500.0)])
def test_a_splice_keeps_off_an_opening(begin: float, end: float) -> None:
    frame = dataclasses.replace(LONG, openings=(("front", begin, end),)).frame()
    for middle in middles(frame, "front"):
        assert middle + 51 <= begin + 1e-6 or middle - 51 >= end - 1e-6


def test_a_splice_keeps_from_under_bearings() -> None:
    rows = tuple(("front", float(at)) for at in range(400, 8800, 600))
    frame = dataclasses.replace(LONG, bearings=rows).frame()
    for middle in middles(frame, "front"):
        assert all(abs(middle - at) >= 51 + 30 - 1e-6 for _, at in rows)


def test_whole_timber_of_a_plate_width_between_laps() -> None:
    crosses = (("x1", (5900.0, 0.0), (5900.0, 3000.0)), ("x2", (3100.0, 0.0), (3100.0, 3000.0)))
    frame = dataclasses.replace(LONG, crosses=crosses).frame()
    for piece in frame.pieces:
        for one, other in zip(piece.halves, piece.halves[1:], strict=False):
            if "splice" in (one.kind, other.kind):
                assert other.low[0] - one.high[0] >= 100.0 - 1e-6


def test_a_splice_asked_for_is_where_it_was_asked_for() -> None:
    text = LONG.text() + '\n[[splice]]\nwall = "front"\nat = 4000\n'
    assert middles(decide(parse_plan(text)), "front") == [4000.0]


@pytest.mark.parametrize(
    ("spec", "at", "why"),
    [
        (dataclasses.replace(LONG, openings=(("front", 3500.0, 4500.0),)), 4000, "opening"),
        (dataclasses.replace(LONG, bearings=(("front", 4000.0),)), 4000, "bearing"),
        (dataclasses.replace(LONG, crosses=(("x", (4000.0, 0.0), (4000.0, 3000.0)),)), 4000, "the lap"),
        (LONG, 60, "the lap"),
    ],
)
def test_a_splice_asked_for_in_a_wrong_place_is_refused(spec: Spec, at: float, why: str) -> None:
    with pytest.raises(PlanError, match=f"a splice here comes too near .*{why}"):
        decide(parse_plan(spec.text() + f'\n[[splice]]\nwall = "front"\nat = {at}\n'))


def test_no_room_says_what_forbids_it_and_which_board_would_do() -> None:
    spec = dataclasses.replace(LONG, openings=(("front", 1500.0, 7700.0),), stock=(6000.0,))
    with pytest.raises(PlanError) as caught:
        spec.frame()
    message = str(caught.value)
    assert "'front'" in message
    assert "opening on 'front' 1500 to 7700" in message
    need = float(re.search(r"stock length of at least (\d+)", message)[1])
    dataclasses.replace(spec, stock=(need,)).frame()
    with pytest.raises(PlanError):
        dataclasses.replace(spec, stock=(need - 2.0,)).frame()


def test_a_long_run_takes_as_few_splices_as_will_do() -> None:
    spec = dataclasses.replace(LONG, corners=((0, 0), (29_000, 0), (29_000, 3000), (0, 3000)))
    # five boards of 6 m less four overlaps of 100 reach 29 600
    assert len(middles(spec.frame(), "front")) == 4


def test_the_splice_overlap_is_the_user_s() -> None:
    frame = dataclasses.replace(LONG, splice=300.0).frame()
    lengths = [piece.length for piece in frame.pieces if "front" in piece.walls]
    assert sum(lengths) == 9300.0


@pytest.mark.parametrize("length", [5999.0, 6000.0])
def test_a_plate_that_one_board_holds_is_not_spliced(length: float) -> None:
    spec = dataclasses.replace(LONG, corners=((0, 0), (length, 0), (length, 3000), (0, 3000)), splice=250.0)
    assert middles(spec.frame(), "front") == []


def test_a_plate_just_longer_than_a_board_is_spliced() -> None:
    spec = dataclasses.replace(LONG, corners=((0, 0), (6001, 0), (6001, 3000), (0, 3000)))
    lengths = sorted(piece.length for piece in spec.frame().pieces if "front" in piece.walls)
    assert len(lengths) == 2
    assert sum(lengths) == 6101.0
    assert lengths[0] >= 3000.0


def test_the_last_piece_may_use_the_whole_board() -> None:
    # two boards of 6 m and one overlap of 100 reach 11 900 and no further
    for length, pieces in ((11_900.0, 2), (11_901.0, 3)):
        spec = dataclasses.replace(LONG, corners=((0, 0), (length, 0), (length, 3000), (0, 3000)), stock=(6000.0,))
        assert sum("front" in piece.walls for piece in spec.frame().pieces) == pieces


def test_the_board_it_names_will_do_for_every_stretch_between_splices_asked_for() -> None:
    ask = '\n[[splice]]\nwall = "front"\nat = 1000\n'
    spec = dataclasses.replace(LONG, openings=(("front", 1500.0, 8700.0),), stock=(6000.0,))
    with pytest.raises(PlanError, match=r"the splice asked for at 1000 on 'front'|opening") as caught:
        decide(parse_plan(spec.text() + ask))
    need = float(re.search(r"stock length of at least (\d+)", str(caught.value))[1])
    decide(parse_plan(dataclasses.replace(spec, stock=(need,)).text() + ask))
