"""Splices of neighbouring parallel plates stand apart where the plan asks for it."""

from __future__ import annotations

import dataclasses
import itertools

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plans import Spec

from platemodel.frame import Frame, decide
from platemodel.frame.runs import Run
from platemodel.frame.staggering import Staggering, clashes
from platemodel.frame.strip import Strip
from platemodel.plan import parse_plan
from platemodel.site.rules import judge

LONG = Spec(
    corners=((0, 0), (9000, 0), (9000, 3000), (0, 3000)),
    names=("front", "right", "back", "left"),
    stock=(4800.0, 6000.0),
)


def with_stagger(spec: Spec, stagger: float) -> Frame:
    plan = parse_plan(spec.text())
    return decide(dataclasses.replace(plan, lap=dataclasses.replace(plan.lap, stagger=stagger)))


def splices(frame: Frame) -> list[float]:
    """Middles of all splices along x, in the plan."""
    return [joint.at[0] + frame.origin[0] for joint in frame.joints if joint.lap.kind == "splice"]


def test_they_may_stand_opposite_where_nothing_is_asked() -> None:
    one, other = splices(with_stagger(LONG, 0.0))
    assert abs(one - other) < 600.0


@pytest.mark.parametrize("stagger", [300.0, 600.0, 1200.0])
def test_they_stand_apart_where_asked(stagger: float) -> None:
    frame = with_stagger(LONG, stagger)
    one, other = splices(frame)
    assert abs(one - other) >= stagger - 1e-6
    assert clashes(frame) == []


def test_what_cannot_be_had_is_told() -> None:
    frame = with_stagger(LONG, 8000.0)
    ((one, other, apart),) = clashes(frame)
    assert {one, other} == {joint.id for joint in frame.joints if joint.lap.kind == "splice"}
    here, there = splices(frame)
    assert apart == pytest.approx(abs(here - there))
    failed = [verdict for verdict in judge(frame) if "stand apart" in verdict.rule]
    assert [(verdict.level, verdict.passed) for verdict in failed] == [("advice", False)]


def _run(x: float, y: float, length: float, turned: bool) -> Run:
    run = Run(Strip((x, y), (1.0, 0.0), 100.0), (0.0, 0.0), (length, length), (0,), ((0.0, length),))
    return run.turned() if turned else run


def test_only_the_nearest_beside_each_other_are_neighbours() -> None:
    runs = [_run(0, 0, 8000, False), _run(0, 2000, 3000, True), _run(0, 4000, 8000, False), _run(9000, 2000, 500, True)]
    # the short one hides the far one from the first as far as it goes; the last is beside none
    assert Staggering.of(runs, 600.0).pairs == {(0, 1), (1, 2), (0, 2)}
    runs[1] = _run(-10, 2000, 8020, True)
    assert Staggering.of(runs, 600.0).pairs == {(0, 1), (1, 2)}
    assert Staggering.of(runs, 0.0).pairs == set()


@settings(max_examples=25)
@given(
    st.lists(st.tuples(st.integers(0, 5000), st.integers(2, 9), st.integers(500, 8000), st.booleans()), max_size=6),
    st.floats(1.0, 2000.0),
    st.lists(st.tuples(st.integers(0, 5), st.floats(0.0, 1.0)), max_size=6),
)
def test_clashes_are_those_nearer_than_wanted_along_x(
    made: list[tuple[int, int, int, bool]], wanted: float, places: list[tuple[int, float]]
) -> None:
    runs = [_run(x, 1000.0 * row, length, turned) for x, row, length, turned in made]
    staggering = Staggering.of(runs, wanted)
    some = []
    for which, part in places:
        if which < len(runs):
            low, high = runs[which].low[0], runs[which].high[0]
            some.append((which, low + part * (high - low)))

    def east(splice: tuple[int, float]) -> float:
        return runs[splice[0]].strip.point(splice[1], 50.0)[0]

    expected = {
        (a, b)
        for (a, one), (b, other) in itertools.combinations(enumerate(some), 2)
        if (min(one[0], other[0]), max(one[0], other[0])) in staggering.pairs and abs(east(one) - east(other)) < wanted
    }
    assert set(staggering.clashes(some)) == expected
