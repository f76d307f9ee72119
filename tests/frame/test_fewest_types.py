"""The fewest types: against all choices of splice places that are looked at and all choices of halves, one by one."""

from __future__ import annotations

import dataclasses
import itertools
import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from plans import Spec

from platemodel.faults import PlanError
from platemodel.frame import Frame, decide, relaid
from platemodel.frame.framing import _assemble
from platemodel.frame.laps import laps
from platemodel.frame.placing import Placing
from platemodel.frame.shape import Shape
from platemodel.plan import parse_plan
from platemodel.plan.values import Plan


def same_solid(one: Frame, a: int, b: int) -> bool:
    """Whether two pieces are the same solid after half-turns, by their laid outlines alone."""
    pa, pb = one.pieces[a].laid, one.pieces[b].laid

    def key(shape: Shape, round_: bool, over: bool) -> tuple[object, ...]:
        cuts = []
        for cut in shape.cuts:
            corners = [(cut.low[0], 0.0), (cut.low[1], 1.0), (cut.high[0], 0.0), (cut.high[1], 1.0)]
            if round_:
                corners = [(shape.length - x, 1.0 - y) for x, y in corners]
            if over:
                corners = [(x, 1.0 - y) for x, y in corners]
            cuts.append((tuple(sorted((round(x, 4), y) for x, y in corners)), cut.upper != over))
        return round(shape.length, 4), shape.width, *sorted(cuts)

    return any(key(pb, *turn) == key(pa, False, False) for turn in itertools.product((False, True), repeat=2))


def kinds_of(frame: Frame) -> int:
    """How many kinds of piece there are, counted piece against piece."""
    found: list[int] = []
    for index in range(len(frame.pieces)):
        if not any(same_solid(frame, known, index) for known in found):
            found.append(index)
    return len(found)


def all_frames(plan: Plan, frame: Frame) -> list[Frame]:
    """A frame for every choice of places among those that are looked at, in the set that was taken."""
    fixed = [joint.lap for joint in frame.joints if joint.lap.kind != "splice"]
    lines, fixed, touching, _ = laps(plan, frame.runs)
    placing, faults = Placing.of(plan, lines, fixed)
    assert not faults
    made = []
    for alike in (False, True):
        groups = placing.options(alike)
        ways = [[range(len(stretch.ways)) for _, stretch in group.loose] for group in groups]
        assume(math.prod(len(way) for group in ways for way in group) <= 60)
        for some in itertools.product(*(itertools.product(*group) for group in ways)):
            made.append(_assemble(plan, lines, placing.laps(groups, some), touching, placing.bounds))
    return made


@settings(max_examples=12, deadline=None)
@given(
    st.integers(2000, 7000),
    st.integers(1500, 4000),
    st.sampled_from([(3600.0,), (3600.0, 4200.0), (4800.0,)]),
    st.sampled_from(["round", "pairs"]),
)
def test_no_choice_that_costs_no_more_has_fewer(long: int, deep: int, stock: tuple[float, ...], method: str) -> None:
    spec = Spec(
        corners=((0, 0), (long, 0), (long, deep), (0, deep)),
        names=("front", "right", "back", "left"),
        stock=stock,
        method=method,
    )
    try:
        plan = parse_plan(spec.text())
        frame = decide(plan)
    except PlanError:
        assume(False)
    assume(len(frame.pieces) <= 10 and frame.fewest)
    assert len(frame.types) == kinds_of(frame)
    cost = sum(how.cost for how in frame.purchases)
    for other in all_frames(plan, frame):
        # what leaves a board's end unsquared is not taken for fewer types
        as_good = len(other.boards) <= len(frame.boards) and tight(other) <= tight(frame)
        if as_good and sum(how.cost for how in other.purchases) <= cost:
            assert len(other.types) >= len(frame.types)


def tight(frame: Frame) -> int:
    return sum(board.offcut < 10.0 for board in frame.boards)


@pytest.mark.parametrize("long", [4000, 7000, 9000])
def test_halves_of_pairs_are_the_best_of_all_choices(long: int) -> None:
    spec = Spec(
        corners=((0, 0), (long, 0), (long, 3000), (0, 3000)),
        names=("front", "right", "back", "left"),
        crosses=(("spine", (2000.0, 0.0), (2000.0, 3000.0)),),
        method="pairs",
    )
    frame = spec.frame()
    links: dict[int, set[int]] = {index: set() for index in range(len(frame.pieces))}
    for joint in frame.joints:
        links[joint.under].add(joint.over)
        links[joint.over].add(joint.under)
    # a frame that can be parted in two is parted in one way or the other, part by part
    unders = [piece.role != "over" for piece in frame.pieces]
    assert all(unders[a] != unders[b] for a, some in links.items() for b in some)
    assert frame.fewest


def test_pairs_are_told_beside_round() -> None:
    spec = Spec(corners=((0, 0), (4000, 0), (4000, 3000), (0, 3000)), names=("a", "b", "c", "d"))
    frame = spec.frame()
    other = relaid(frame, "pairs")
    assert other is not None
    assert [piece.length for piece in other.pieces] == [piece.length for piece in frame.pieces]
    assert other.boards == frame.boards
    assert len(decide(parse_plan(dataclasses.replace(spec, method="pairs").text())).types) == len(other.types) == 2
    assert len(frame.types) > 2
    assert relaid(frame, "round") is frame
