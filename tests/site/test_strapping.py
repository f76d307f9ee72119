"""Holding-down straps: never too far apart where there is room, never where they may not stand, as few as can be."""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Sequence

import pytest
from houses import house
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plans import Spec, specs

from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan
from platemodel.site.rule_set import default_set
from platemodel.site.screws import screw_length, screws_in
from platemodel.site.spreading import Keep, Need, allowed, fewest, spread
from platemodel.site.strapped_plates import keeps_of
from platemodel.site.strapping import Strapping, strapping

some = settings(
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)

HOUSE = house(stock="[9000]") + "[site.straps]\n"


def frame_of(*more: str) -> Frame:
    return decide(parse_plan(HOUSE + "\n".join(more)))


def strapped(*more: str) -> Strapping:
    found = strapping(frame_of(*more))
    assert found is not None
    return found


def strapped_spec(spec: Spec, more: str = "") -> tuple[Frame, Strapping]:
    frame = decide(parse_plan(spec.text() + "\n[site.straps]\n" + more))
    found = strapping(frame)
    assert found is not None
    return frame, found


def places(found: Strapping, wall: int) -> list[float]:
    return [strap.at for strap in found.of_wall(wall)]


# --- along one stretch, in whole numbers

LENGTH = 24
numbers = st.integers(0, LENGTH)
spans = st.tuples(numbers, numbers).map(sorted)


def least(free: set[int], needs: list[Need], every: int, built: list[int]) -> int | None:
    """The fewest whole places by trying all: spacings and needs have whole bounds, so whole places do."""

    def holds(some: Sequence[int]) -> bool:
        straps = sorted((*some, *built))
        apart = all(other - one <= every for one, other in itertools.pairwise(straps))
        return apart and all(any(need.begin <= place <= need.end for place in straps) for need in needs)

    choice = sorted(free - set(built))
    # one more strap between two never hurts: where all from one place to another never hold, none do
    ends = itertools.combinations(range(len(choice) + 1), 2)
    counts = range(len(choice) + 1) if holds(()) or any(holds(choice[one:end]) for one, end in ends) else ()
    return next((n for n in counts if any(map(holds, itertools.combinations(choice, n)))), None)


@settings(some, max_examples=100)
@given(
    st.lists(spans, max_size=4),
    st.lists(spans, max_size=3),
    st.integers(4, 12),
    st.integers(2, 8),
    st.lists(numbers, max_size=3, unique=True),
)
def test_as_few_as_any_choice_or_told_why_not(
    kept: list[list[int]], wanted: list[list[int]], every: int, end: int, built: list[int]
) -> None:
    keeps = [Keep(begin, stop, "there") for begin, stop in kept if begin < stop]
    needs = [Need(0, end, "end"), Need(LENGTH - end, LENGTH, "end")]
    needs += [Need(begin, stop, "beside") for begin, stop in wanted]
    free = {n for n in range(LENGTH + 1) if not any(keep.begin < n < keep.end for keep in keeps)}
    # a keep at an end leaves its edge free: both say so
    span = (0.0, float(LENGTH))
    assert {n for n in range(LENGTH + 1) if any(a <= n <= b for a, b in allowed(span, keeps))} <= free
    free = {n for n in range(LENGTH + 1) if any(a <= n <= b for a, b in allowed(span, keeps))}
    best = least(free, needs, every, sorted(built))
    found = spread(span, keeps, needs, every, built)
    assert (best is None) == bool(found.lacks)
    for place in found.new:
        assert any(a - 1e-9 <= place <= b + 1e-9 for a, b in allowed(span, keeps))
    if best is not None:
        assert len(found.new) == best
        straps = found.places
        assert all(other - one <= every + 1e-9 for one, other in itertools.pairwise(straps))
        assert all(any(need.begin - 1e-9 <= place <= need.end + 1e-9 for place in straps) for need in needs)
    else:
        told = {(lack.asked) for lack in found.lacks}
        assert told <= {"end", "beside", f"straps {every} apart"}


def test_the_search_can_see_one_strap_too_many() -> None:
    free = [(0.0, 24.0)]
    needs = [Need(0, 4, ""), Need(20, 24, "")]
    chain, gaps = fewest(free, needs, 8, [])
    assert (chain, gaps) == ([4, 12, 20], [])
    assert least(set(range(25)), needs, 8, []) == 3
    assert least(set(range(25)), needs, 7, []) == 4


def test_what_is_too_far_apart_keeps_a_strap_on_either_side() -> None:
    found = spread(
        (0, 10_000), [Keep(3000, 6000, "the garage door")], [Need(0, 450, "e"), Need(9550, 10_000, "e")], 2000, []
    )
    assert {3000, 6000} < set(found.new)
    (lack,) = found.lacks
    assert (lack.begin, lack.end, lack.asked, lack.why) == (3000, 6000, "straps 2000 apart", "the garage door")


# --- on a house


def test_no_straps_where_none_are_asked() -> None:
    assert strapping(decide(parse_plan(HOUSE.replace("[site.straps]", "")))) is None


def test_a_plain_house_by_hand() -> None:
    found = strapped()
    # from 450 to 5550 are 5100, in three of at most 2000: four straps; from 450 to 3550 are 3100, in two: three
    assert [len(plate.straps) for plate in found.plates] == [4, 3, 4, 3]
    assert found.new == 14
    for wall, length in enumerate((6000, 4000, 6000, 4000)):
        on = places(found, wall)
        assert on[0] <= 450
        assert length - on[-1] <= 450
        # clear of the corner laps, 101 long, by 50 and half a strap
        assert on[0] >= 101 + 50 + 15
        assert on == pytest.approx([length - at for at in reversed(on)], abs=110)
    assert not any(plate.shortfalls for plate in found.plates)


def test_the_plan_s_own_figures_go_before_the_rule_set_s() -> None:
    found = strapped("every = 1000", "end = 200", "clear = 20")
    on = places(found, 0)
    assert on[0] <= 200
    assert max(other - one for one, other in itertools.pairwise(on)) <= 1000
    # 5600 and more between the two at the ends: six spacings, seven straps
    assert len(on) == 7


def test_a_strap_stands_on_each_side_of_an_opening() -> None:
    found = strapped('[[opening]]\nname = "door"\nwall = "front"\nfrom = 2500\nto = 3400')
    on = places(found, 0)
    assert any(2050 <= at <= 2435 for at in on)
    assert any(3465 <= at <= 3850 for at in on)


def test_an_opening_wider_than_the_spacing_is_told() -> None:
    found = strapped('[[opening]]\nname = "garage"\nwall = "front"\nfrom = 1500\nto = 4500')
    (lack,) = found.plates[0].shortfalls
    assert (lack.begin, lack.end) == pytest.approx((1435, 4565))
    assert lack.asked == "straps 2000 apart"
    assert lack.why == "the opening 'garage'"


def test_no_room_near_an_end_is_told_and_the_nearest_place_taken() -> None:
    found = strapped('[[bearing]]\nname = "beam"\nwall = "front"\nat = 300\nwidth = 500')
    (lack,) = found.plates[0].shortfalls
    assert lack.asked == "a strap within 450 of the plate's end"
    assert "'beam' at 300" in lack.why
    # half the beam, 50 clear, half a strap
    assert places(found, 0)[0] == pytest.approx(300 + 250 + 65)


def test_straps_that_are_built_in_count_and_are_judged() -> None:
    found = strapped(
        '[[strap]]\nwall = "front"\nat = 400\n[[strap]]\nwall = "front"\nat = 2390\n[[strap]]\nwall = "front"\nat = 50',
        '[[bearing]]\nname = "truss"\nwall = "front"\nat = 2400\nwidth = 40',
    )
    straps = found.of_wall(0)
    assert [(strap.at, strap.built) for strap in straps][:3] == [(50, True), (400, True), (2390, True)]
    # from 2390 to 5550 are 3160: two more
    assert len(straps) == 5
    assert [len(strap.faults) for strap in straps] == [1, 0, 1, 0, 0]
    assert "corner lap" in straps[0].faults[0]
    assert straps[2].faults == ("under 'truss' at 2400",)


def test_gables() -> None:
    trusses = '[[bearing]]\nname = "truss"\nwall = "front"\nevery = 600\nfrom = 400\nto = 5800\nwidth = 40'
    (gable,) = strapped('gables = ["left"]', trusses).gables
    # 4000 in two of at most 2000, half of one in from each end
    assert (gable.places, gable.spacing) == ((1000.0, 3000.0), 2000.0)
    # to beyond the third truss from the outer face: 400, 1000, 1600
    assert gable.reach == pytest.approx(1620.0)
    (bare,) = strapped('gables = ["left"]').gables
    assert (bare.reach, bare.trusses) == (None, 0)


@pytest.mark.parametrize(("depth", "screw"), [(50.0, 45), (38.0, 30), (75.0, 70), (8.0, None)])
def test_screws_stop_short(depth: float, screw: int | None) -> None:
    found = screw_length(depth, 5.0)
    assert found == screw
    assert found is None or found <= depth - 5.0


@settings(some, max_examples=6)
@given(specs(), st.integers(0, 7), st.floats(5, 60))
def test_screws_lie_in_their_laps_off_the_edges(spec: Spec, count: int, edge: float) -> None:
    for joint in spec.frame().joints:
        found, kept = screws_in(joint, count, edge)
        assert len(found) == count
        assert kept <= edge + 1e-9 or count <= 1
        for x, y in found:
            for (ax, ay), (bx, by) in itertools.pairwise((*joint.outline, joint.outline[0])):
                off = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / math.hypot(bx - ax, by - ay)
                assert off >= kept - 1e-6
        assert all(math.dist(one, other) > 1.0 for one, other in itertools.combinations(found, 2))


# --- on any plan


@settings(some, max_examples=8)
@given(specs())
def test_straps_of_any_plan_keep_off_and_near_enough(spec: Spec) -> None:
    frame, found = strapped_spec(spec)
    on_shell = {wall for run in frame.runs for wall in run.walls if frame.plan.walls[wall].shell is not None}
    assert {wall for plate in found.plates for wall in plate.walls} == on_shell
    for plate in found.plates:
        index = next(
            n
            for n, run in enumerate(frame.runs)
            if set(plate.walls) <= set(run.walls)
            and all(abs(run.strip.place(end)[1] - run.strip.width / 2) < 1e-3 for end in plate.ends)
            and min(run.low) - 1 <= run.strip.place(plate.ends[0])[0] <= max(run.high) + 1
        )
        strip = frame.runs[index].strip
        straps = [strip.place(strap.place)[0] for strap in plate.straps]
        assert straps == sorted(straps)
        for keep in keeps_of(frame, default_set(), index, 50.0):
            assert not any(keep.begin + 2e-3 < s < keep.end - 2e-3 for s in straps)
        for strap in plate.straps:
            assert strap.piece in {piece.mark for piece in frame.pieces if piece.run == index}
            wall = frame.plan.walls[strap.wall]
            assert math.dist(wall.at(strap.at, sum(wall.band) / 2), strap.place) < 1.01
        if not plate.shortfalls:
            assert plate.ends_to is not None
            assert max(plate.ends_to) <= 450.0 + 2e-3
            assert max(plate.spacings, default=0.0) <= 2000.0 + 2e-3


@settings(some, max_examples=6)
@given(specs())
def test_straps_stand_where_they_stood_however_the_walls_are_drawn(spec: Spec) -> None:
    # boards so long that there are no splices: of two ways to splice that are as good, either may be taken
    spec = dataclasses.replace(spec, stock=(60_000.0,))
    (_, one), (_, other) = strapped_spec(spec), strapped_spec(spec.drawn_back())
    ours = sorted(strap.place for plate in one.plates for strap in plate.straps)
    theirs = sorted(strap.place for plate in other.plates for strap in plate.straps)
    assert len(ours) == len(theirs)
    for place in ours:
        assert min(math.dist(place, there) for there in theirs) < 0.05


def test_a_long_wall_is_quick_and_even() -> None:
    trusses = [Keep(at - 82.5, at + 82.5, f"truss {at}") for at in range(600, 60_000, 600)]
    found = spread((0, 60_000), trusses, [Need(0, 450, ""), Need(59_550, 60_000, "")], 2000, [])
    chain, _ = fewest(allowed((0, 60_000), trusses), [Need(0, 450, ""), Need(59_550, 60_000, "")], 2000, [])
    assert len(found.new) == len(chain)
    apart = [other - one for one, other in itertools.pairwise(found.new)]
    assert max(apart) - min(apart) <= 500
