"""Near-misses of drawn outlines: healed within the tolerance and never beyond it, each told."""

from __future__ import annotations

import itertools
import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LinearRing, Polygon, hausdorff_distance, points

from platemodel.outlines.crossing import cross_walls, outer_face
from platemodel.outlines.mending import Healings, straightened
from platemodel.outlines.tracing import Traced, trace
from platemodel.outlines.values import Drawn

TOLERANCE = 5.0
NUDGE = 1.2
"""Ends are moved so far in x and in y at most: two that belong together come apart by less than the tolerance."""


def lines(*parts: Any, closed: bool = False) -> list[Drawn]:
    return [
        Drawn(tuple((float(x), float(y)) for x, y in part), closed, "0", f"line {number}")
        for number, part in enumerate(parts, start=1)
    ]


def traced(*parts: Any, closed: bool = False, tolerance: float = TOLERANCE) -> tuple[Traced, list[str]]:
    healings = Healings(tolerance)
    return trace(lines(*parts, closed=closed), healings), healings.told


@st.composite
def broken(draw: Any) -> tuple[list[tuple[float, float]], list[tuple[Any, Any]], bool]:
    """An outline of a house, rectangle or L, turned; its legs broken, shifted, turned about and mixed."""
    length = st.integers(3000, 12000)
    wide, deep = draw(length), draw(length)
    cut_x, cut_y = draw(st.integers(1000, wide - 1000)), draw(st.integers(1000, deep - 1000))
    corners = [(0, 0), (wide, 0), (wide, deep), (0, deep)]
    if draw(st.booleans()):
        corners = [(0, 0), (wide, 0), (wide, cut_y), (cut_x, cut_y), (cut_x, deep), (0, deep)]
    turn = math.radians(draw(st.integers(0, 359)))
    turned = [(x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn)) for x, y in corners]
    most = draw(st.sampled_from([0.0, NUDGE]))
    nudge = st.floats(-most, most)
    parts = []
    for (ax, ay), (bx, by) in zip(turned, [*turned[1:], turned[0]], strict=True):
        cuts = [0.0, *sorted(draw(st.lists(st.sampled_from([0.25, 0.5, 0.75]), max_size=2, unique=True))), 1.0]
        for low, high in itertools.pairwise(cuts):
            ends = [(ax + (bx - ax) * at + draw(nudge), ay + (by - ay) * at + draw(nudge)) for at in (low, high)]
            parts.append((ends[1], ends[0]) if draw(st.booleans()) else (ends[0], ends[1]))
            if draw(st.integers(0, 5)) == 0:
                # drawn once more
                parts.append(parts[-1])
    return turned, draw(st.permutations(parts)), most > 0


@given(broken())
@settings(max_examples=60)
def test_a_broken_outline_is_whole_again(case: Any) -> None:
    wanted, parts, nudged = case
    found, told = traced(*parts)
    assert found.faults == ()
    assert found.rest == ()
    (loop,) = found.loops
    assert len(loop) == len(wanted)
    assert hausdorff_distance(LinearRing(loop), LinearRing(wanted)) <= (TOLERANCE if nudged else 1e-6)
    # nothing that was drawn is farther off than the tolerance
    drawn = points([end for part in parts for end in part])
    assert LinearRing(loop).distance(drawn).max() <= TOLERANCE
    if nudged:
        assert told
    else:
        assert len(told) == len(parts) - len(set(parts))


@given(st.lists(st.tuples(st.floats(-1.5, 1.5), st.floats(-1.5, 1.5)), min_size=12, max_size=12))
@settings(max_examples=40)
def test_corners_left_out_lie_within_the_tolerance(moved: list[tuple[float, float]]) -> None:
    """Points along a rectangle's sides, each moved a little: a few corners are left, none dropped is far off."""
    around = [(0, 0), (1000, 0), (2000, 0), (3000, 0), (3000, 800), (3000, 1600), (3000, 2400), (2000, 2400)]
    around += [(1000, 2400), (0, 2400), (0, 1600), (0, 800)]
    drawn = tuple((x + dx, y + dy) for (x, y), (dx, dy) in zip(around, moved, strict=True))
    healings = Healings(TOLERANCE)
    loop = straightened(drawn, healings)
    assert len(loop) == 4
    assert LinearRing(loop).distance(points(drawn)).max() <= TOLERANCE
    assert set(loop) <= set(drawn)


SQUARE = [(0, 0), (4000, 0), (4000, 3000), (0, 3000)]


def test_a_gap_is_closed_where_the_legs_meet_and_told() -> None:
    found, told = traced([(0, 4), *SQUARE[1:], (0, 3)])
    assert len(found.loops[0]) == 4
    assert told == ["gap closed at (0.0, 4.0), 1 mm"]
    assert Polygon(found.loops[0]).area == pytest.approx(12e6, rel=2e-3)


def test_a_gap_beyond_the_tolerance_stays_and_is_named() -> None:
    found, told = traced([(0, 0), (4000, 0)], [(4000, 0), (4000, 3000)], [(4000, 3000), (0, 3000)], [(0, 3000), (0, 8)])
    assert (found.loops, told) == ((), [])
    assert found.gap is not None
    assert found.gap[2] == pytest.approx(8.0)
    assert traced(*itertools.pairwise(SQUARE), tolerance=100.0)[0].loops == ()


def test_ends_that_run_past_one_another_are_drawn_back() -> None:
    sides = [[(-3, 0), (4003, 0)], [(4000, -3), (4000, 3003)], [(4003, 3000), (-3, 3000)], [(0, 3003), (0, -3)]]
    found, told = traced(*sides)
    assert sorted(found.loops[0]) == sorted((float(x), float(y)) for x, y in SQUARE)
    assert len(told) == 4


def test_doubles_are_left_out_once() -> None:
    found, told = traced(SQUARE, SQUARE[::-1], [(x + 2, y) for x, y in SQUARE], closed=True)
    assert len(found.loops) == 1
    assert len(told) == 2
    assert all("left out" in words for words in told)


def test_an_inner_face_is_left_out_and_two_houses_are_two() -> None:
    inner = [(100, 100), (3900, 100), (3900, 2900), (100, 2900)]
    beside = [(x + 9000, y) for x, y in SQUARE]
    found, _ = traced(inner, SQUARE, beside, closed=True)
    assert [Polygon(loop).area for loop in found.loops] == [12e6, 12e6]
    assert len(found.left_out) == 1
    assert "inside another" in found.left_out[0]


def test_walls_inside_are_single_lines_whole_across_one_another() -> None:
    sides = [*zip(SQUARE, [*SQUARE[1:], SQUARE[0]], strict=True)]
    found, _ = traced(*sides, [(2000, 0), (2000, 1500)], [(2000, 1500), (2000, 3000)], [(0, 1500), (4000, 1500)])
    assert len(found.loops) == 1
    assert len(found.loops[0]) == 4
    lengths = sorted(math.dist(*line) for line in found.rest)
    assert lengths == pytest.approx([3000, 4000], abs=1e-3)


@pytest.mark.parametrize(
    ("shape", "told"),
    [
        ([(0, 0), (4000, 3000), (4000, 0), (0, 3000)], "crosses or touches itself at (2000.0, 1500.0)"),
        ([(0, 0), (4000, 0), (8000, 0.1)], "encloses nothing"),
        ([(math.cos(t / 400) * 9e3, math.sin(t / 400) * 9e3) for t in range(2500)], "has 2500 corners"),
    ],
)
def test_outlines_that_are_none(shape: Any, told: str) -> None:
    found, _ = traced(shape, closed=True)
    assert found.loops == ()
    assert told in found.faults[0].found


@pytest.mark.parametrize("bow", [3.0, 300.0])
def test_a_curve_is_straight_within_the_tolerance_or_refused(bow: float) -> None:
    healings = Healings(TOLERANCE)
    curved = Drawn(tuple((float(x), float(y)) for x, y in SQUARE), True, "0", "LWPOLYLINE 2A", bow)
    found = trace([curved], healings)
    if bow < TOLERANCE:
        assert len(found.loops) == 1
        assert healings.told == ["LWPOLYLINE 2A: curve taken straight at (0.0, 0.0), 3 mm"]
    else:
        assert "LWPOLYLINE 2A on '0' is curved, by 300 mm" in found.faults[0].found


@given(st.lists(st.floats(20, 160), min_size=3, max_size=3), st.integers(0, 359))
@settings(max_examples=30)
def test_outer_face_of_centre_lines_is_half_a_leaf_outside(turns: list[float], heading: int) -> None:
    """A triangle of any angles, by shapely's own offset with sharp corners."""
    whole = sum(turns)
    around = [sum(turns[: n + 1]) / whole * 360 + heading for n in range(3)]
    loop = tuple((5000 * math.cos(math.radians(t)), 5000 * math.sin(math.radians(t))) for t in around)
    wanted = Polygon(loop).buffer(70, join_style="mitre", mitre_limit=1000)
    assert Polygon(outer_face(loop, 140)).symmetric_difference(wanted).area < 1e-3 * wanted.area / 1000


def test_of_a_chain_of_walls_inside_all_go_with_the_last() -> None:
    """Each ends on the next, the last nowhere; one that ends on the outline alone stays."""
    face = ((0.0, 0.0), (20000.0, 0.0), (20000.0, 9000.0), (0.0, 9000.0))
    across = [((1000.0 * n, 50.0), (1000.0 * n, 4000.0 + 100 * n)) for n in range(1, 9)]
    along = [((1000.0 * n, 3000.0 + 100 * n), (1000.0 * n + 1000, 3000.0 + 100 * n)) for n in range(1, 8)]
    whole = ((15000.0, 50.0), (15000.0, 8952.0))
    rest = [(line, 100.0) for line in [*across, *along, whole]]
    healings = Healings(TOLERANCE)
    found, faults, left_out = cross_walls(rest, [face], 100.0, healings, all_wanted=False)
    assert (found, faults) == ([(whole, 100.0)], [])
    assert len(left_out) == len(rest) - 1
    assert healings.told == []
