"""Faults of shapes: outlines, walks, angles, laps that cannot be, splices without room."""

from __future__ import annotations

import math
import re
import tomllib
from typing import Any

import pytest
import tomli_w
from faulty import changed, fault, faults, shell_plan

from platemodel.faults import PlanError
from platemodel.frame import decide
from platemodel.plan import parse_plan

BOX = [[0, 0], [5400, 0], [5400, 3600], [0, 3600]]


def walked(walk: Any, **keys: Any) -> Any:
    data = tomllib.loads(shell_plan([]))
    shell = data["shell"][0]
    del shell["corners"]
    shell |= {"walk": walk} | keys
    return tomli_w.dumps(data)


@pytest.mark.parametrize(
    ("corners", "found"),
    [
        ([[0, 0], [5000, 4000], [5000, 0], [0, 4000]], "crosses or touches itself: 's1' and 's3' at (2500, 2000)"),
        ([[0, 0], [5000, 0], [5000, 3000], [2500, 0], [0, 3000]], "crosses or touches itself"),
        ([[0, 0], [5000, 0], [2000, 0], [5000, 3000]], "crosses or touches itself"),
        ([[0, 0], [5000, 0], [2500, 0.001]], "has collapsed"),
        ([[0, 0], [5000, 0]], "found 2 corners"),
        ([[0, 0], [5000, 0], [5000, 0.2], [5000, 3000]], "begins and ends at the same point"),
        ([[0, 0], [0, 0], [0, 0]], "begins and ends at the same point"),
    ],
)
def test_outlines_that_are_none(corners: Any, found: Any) -> None:
    told = faults(shell_plan(corners))
    assert found in told[0].found
    assert told[0].path == ("shell", 0, "corners")


def test_repeated_last_corner_is_taken() -> None:
    assert len(parse_plan(shell_plan([*BOX, [0, 0]])).walls) == 4


def test_open_shell_that_crosses_itself() -> None:
    told = fault(shell_plan([[0, 0], [4000, 0], [4000, 3000], [2000, -3000]], closed=False))
    assert "'s1' and 's3' at (3000, 0)" in told.found


@pytest.mark.parametrize(
    ("walk", "found"),
    [
        ([5000, "L", 3000, "L", 5000, "L", 2000], "the walk ends 1000.0 mm from its start (+0.0 east, -1000.0 north"),
        ([5000, 3000, "L"], "found 3000"),
        (["L", 5000], "found 'L'"),
        ([5000, "L", -3000], "found -3000"),
        ([5000, "left", 3000], 'found "left"'),
        ([5000, 180, 3000], "found 180"),
        ([], "found []"),
    ],
)
def test_walks_that_are_none(walk: Any, found: Any) -> None:
    told = faults(walked(walk))[0]
    assert found in told.found
    assert told.path[:3] == ("shell", 0, "walk")


def test_walk_and_corners_exclude_each_other() -> None:
    assert "both corners and walk" in fault(walked([5000, "L", 3000], corners=BOX)).found
    data = tomllib.loads(shell_plan(BOX))
    del data["shell"][0]["corners"]
    assert "neither corners nor walk" in fault(tomli_w.dumps(data)).found
    assert "found beside corners" in fault(shell_plan(BOX, start=[1, 1])).found
    assert "ends with a turn" in fault(walked([5000, "L"], closed=False)).found


@pytest.mark.parametrize("angle", [1, 10, 29, 29.9, 150.1, 170, 179, 179.9])
def test_corner_outside_the_range_of_angles(angle: Any) -> None:
    x, y = 4000 * math.cos(math.radians(angle)), 4000 * math.sin(math.radians(angle))
    told = fault(shell_plan([[4000, 0], [0, 0], [x, y]], closed=False, inside="right"))
    assert f"'s1' and 's2' meet at {angle:g}° at (0, 0)" in told.found
    assert "expected 30° to 150°" in told.expected


@pytest.mark.parametrize("angle", [30, 31, 90, 149, 150])
def test_corner_within_the_range_of_angles(angle: Any) -> None:
    x, y = 4000 * math.cos(math.radians(angle)), 4000 * math.sin(math.radians(angle))
    for inside in ("left", "right"):
        frame = decide(parse_plan(shell_plan([[4000, 0], [0, 0], [x, y]], closed=False, inside=inside)))
        assert len(frame.joints) == 1


@pytest.mark.parametrize(
    "corners",
    [
        [[0, 0], [5000, 0], [5000, 150], [0, 150]],
        [[0, 0], [180, 0], [180, 5000], [0, 5000]],
        [[0, 0], [5000, 0], [5000, 3000], [4900, 3000], [4900, 2900], [0, 2900]],
    ],
)
def test_legs_shorter_than_the_laps_at_their_ends(corners: Any) -> None:
    told = faults(shell_plan(corners))
    assert all("at (" in item.found for item in told)
    assert all("s" in item.found for item in told)


def cross(*walls: Any) -> Any:
    return changed((("gap",), []), (("cross",), [{"leaf": 100} | wall for wall in walls]))


@pytest.mark.parametrize(
    ("walls", "found", "expected"),
    [
        (
            [{"name": "a", "from": [2400, 0], "to": [2400, 2000]}],
            "'a' ends in the air at (2400, 2000)",
            "the nearest, 'back', is 1500 mm away",
        ),
        (
            [
                {"name": "a", "from": [2400, 0], "to": [2400, 3600]},
                {"name": "b", "from": [2450, 0], "to": [2450, 3600]},
            ],
            "plates lie side by side: 'a' and 'b'",
            "keep apart",
        ),
        (
            [{"name": "a", "from": [0, 140], "to": [5400, 140]}],
            "plates lie side by side",
            "keep apart",
        ),
        (
            [
                {"name": "a", "from": [2400, 0], "to": [2400, 3600]},
                {"name": "b", "from": [0, 1800], "to": [5400, 1800]},
                {"name": "c", "from": [600, 0], "to": [4200, 3600]},
            ],
            "three plates at one place",
            "two plates each",
        ),
        (
            [{"name": "a", "from": [1000, 0], "to": [5400, 1500]}],
            "'a' and 'front' meet at 18",
            "30° to 150°",
        ),
        (
            [
                {"name": "a", "from": [2400, 0], "to": [2400, 3600]},
                {"name": "b", "from": [2580, 0], "to": [2580, 3600]},
            ],
            None,
            None,
        ),
    ],
)
def test_cross_walls_that_cannot_be(walls: Any, found: Any, expected: Any) -> None:
    if found is None:
        assert len(decide(parse_plan(cross(*walls))).joints) == 8
        return
    told = faults(cross(*walls))
    assert any(found in item.found and expected in item.expected for item in told)


def test_all_that_ends_in_the_air_is_told_at_once() -> None:
    walls = [{"name": f"w{n}", "from": [1000 + 500 * n, 0], "to": [1000 + 500 * n, 2000]} for n in range(3)]
    assert len(faults(cross(*walls))) == 3


@pytest.mark.parametrize(
    ("low", "found"),
    [
        (300, "plates of two shells, 'right' and 'annexe4', meet at (5400, 1150)"),
        (0, "meet in line: 'front' + 'annexe1'"),
    ],
)
def test_two_shells_that_touch(low: Any, found: Any) -> None:
    corners = [[5400, low], [8000, low], [8000, 2000], [5400, 2000]]
    told = faults(changed((("shell", 1), {"name": "annexe", "leaf": 100, "corners": corners})))
    assert any(found in item.found for item in told)
    assert all("keep apart" in item.expected for item in told)


def test_gaps_that_leave_nothing() -> None:
    gaps = [{"wall": name, "whole": True} for name in ("front", "right", "back", "left")]
    told = faults(changed((("cross",), []), (("gap",), gaps), (("bearing",), [])))
    assert "no plate anywhere" in told[0].found


def test_pairs_with_an_order_it_cannot_honour() -> None:
    laying = {"method": "pairs", "order": ["front", "right", "back", "left"]}
    told = fault(changed((("laying",), laying)))
    assert told.path == ("laying", "order")
    assert "all unders are laid before any over" in told.found


def spliced(splice: Any, **more: Any) -> Any:
    return changed((("splice",), [splice]), *((tuple(key.split("_")), value) for key, value in more.items()))


@pytest.mark.parametrize(
    ("at", "why"),
    [(2400, "the lap at"), (1000, "window on 'front'"), (60, "the plate's end"), (5390, "the plate's end")],
)
def test_splice_where_none_can_be(at: Any, why: Any) -> None:
    told = fault(spliced({"wall": "front", "at": at}))
    assert told.path == ("splice", 0)
    assert why in told.found


def test_splice_under_a_bearing_in_a_gap_and_beside_another() -> None:
    assert "'beam' on 'back'" in fault(spliced({"wall": "back", "at": 1010})).found
    assert "no plate lies at 1200 of 'left'" in fault(spliced({"wall": "left", "at": 1200})).found
    both = [{"wall": "front", "at": 3500}, {"wall": "front", "at": 3600}]
    assert "splice before it" in faults(changed((("splice",), both)))[0].found


def test_splice_longer_than_the_plate() -> None:
    told = faults(changed((("stock", "lengths"), [900]), (("lap", "splice"), 1000)))
    assert any("no room for a splice" in item.found for item in told)


def test_no_room_for_a_splice_names_what_forbids_it_and_a_board_that_will_do() -> None:
    openings = [{"name": "glass front", "wall": "front", "from": 300, "to": 2200}]
    trusses = [{"name": "truss", "wall": "front", "every": 300, "from": 2600, "to": 5300, "width": 150}]
    data = tomllib.loads(changed((("stock", "lengths"), [3000]), (("opening",), openings), (("bearing",), trusses)))
    for _ in range(10):
        try:
            frame = decide(parse_plan(tomli_w.dumps(data)))
            break
        except PlanError:
            told = [item for item in faults(tomli_w.dumps(data)) if "no room for a splice" in item.found]
            assert told
            named = re.search(r"stock length of at least (\d+) mm", told[0].expected)
            assert named is not None
            plate = told[0].found.split(",")[0].split(" and the longest")[0]
            assert "for a splice from" in told[0].found
            data["stock"]["lengths"] = [int(named[1])]
            try:
                decide(parse_plan(tomli_w.dumps(data)))
            except PlanError:
                again = [item.found for item in faults(tomli_w.dumps(data))]
                assert not any(found.startswith(plate) for found in again)
    assert all(piece.length <= data["stock"]["lengths"][0] + 1e-6 for piece in frame.pieces)
