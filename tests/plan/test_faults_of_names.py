"""Faults of names: misspelt, used twice, in a circle; and of places that are not on their wall."""

from __future__ import annotations

from typing import Any

import pytest
from faulty import changed, fault, faults

SPLICE = (("splice",), [{"wall": "front", "at": 3300}])


@pytest.mark.parametrize(
    ("place", "word", "near"),
    [
        (("gap", 0, "wall"), "lft", "left"),
        (("opening", 0, "wall"), "frnt", "front"),
        (("bearing", 0, "wall"), "bakc", "back"),
        (("splice", 0, "wall"), "fronnt", "front"),
        (("cross", 0, "from", "wall"), "fron", "front"),
        (("laying", "start"), "fromt", "front"),
        (("laying", "order"), ["fromt"], "front"),
    ],
)
def test_misspelt_wall_gets_the_nearest_name(place: Any, word: Any, near: Any) -> None:
    told = fault(changed(SPLICE, (("laying",), {}), (place, word)))
    assert told.path[: len(place)] == place
    assert told.expected == f"did you mean '{near}'?"
    assert told.line is not None


def test_name_like_no_other_gets_the_list() -> None:
    told = fault(changed((("gap", 0, "wall"), "zzz")))
    assert told.found == "there is no wall 'zzz'"
    assert told.expected == "one of 'front', 'right', 'back', 'left', 'spine'"


def test_names_used_twice() -> None:
    told = fault(changed((("shell", 0, "walls", 2), "front"), (("cross", 0, "to"), [3000, 3600]), (("bearing",), [])))
    assert told.path == ("shell", 0, "walls", 2)
    assert told.found == "the name 'front' is used twice"
    assert "used twice" in fault(changed((("cross", 0, "name"), "left"))).found
    second = {"name": "store", "leaf": 100, "corners": [[9000, 0], [12000, 0], [12000, 3000]], "walls": ["a", "b", "c"]}
    told = fault(changed((("shell", 1), second)))
    assert told.path == ("shell", 1, "name")


def test_wrong_count_of_names() -> None:
    told = faults(changed((("shell", 0, "walls"), ["front", "right", "back"])))
    assert (("shell", 0, "walls"), "found 3 names for 4 walls") in [(item.path, item.found) for item in told]


def test_cross_walls_in_a_circle() -> None:
    other = {"name": "b", "leaf": 100, "from": {"wall": "spine", "at": 5}, "to": [0, 0]}
    told = faults(changed((("cross", 0, "from", "wall"), "b"), (("cross", 1), other)))
    assert {item.path for item in told} == {("cross", 0, "from", "wall"), ("cross", 1, "from", "wall")}
    assert all("placed on it in turn" in item.found for item in told)
    assert fault(changed((("cross", 0, "from", "wall"), "spine"))).found == "'spine' is placed on itself"


def test_a_wall_that_hangs_on_a_circle_is_not_blamed() -> None:
    other = {"name": "b", "leaf": 100, "from": {"wall": "spine", "at": 5}, "to": [0, 0]}
    told = fault(changed((("cross", 0, "from", "wall"), "spine"), (("cross", 1), other)))
    assert told.path == ("cross", 0, "from", "wall")


def test_cross_wall_on_a_later_one_is_taken_in_the_order_of_need() -> None:
    from platemodel.plan import parse_plan

    walls = [
        {"name": "a", "leaf": 100, "from": {"wall": "b", "at": 1000}, "to": [0, 1000]},
        {"name": "b", "leaf": 100, "from": [2400, 0], "to": [2400, 3600]},
    ]
    plan = parse_plan(changed((("cross",), walls)))
    assert [wall.name for wall in plan.walls[4:]] == ["a", "b"]
    assert plan.walls[4].start == (2400, 1000)


@pytest.mark.parametrize(
    ("changes", "path", "found"),
    [
        ([(("gap", 0, "to"), 4000)], ("gap", 0, "to"), "4000 is beyond the end of 'left'"),
        ([(("gap", 0, "to"), 900)], ("gap", 0, "to"), "runs backward or nowhere"),
        ([(("gap", 0, "to"), 1000.5)], ("gap", 0, "to"), "is only 0.5 mm long"),
        ([(("gap", 0, "whole"), True)], ("gap", 0), "whole = true beside from or to"),
        ([(("gap", 0), {"wall": "left"})], ("gap", 0), "neither whole = true nor both from and to"),
        ([(("opening", 0, "to"), 5401)], ("opening", 0, "to"), "5401 is beyond the end of 'front'"),
        ([(("opening", 0, "to"), 500)], ("opening", 0, "to"), "runs backward or nowhere"),
        ([(("bearing", 0, "at"), 6000)], ("bearing", 0, "at"), "6000 is beyond the end of 'back'"),
        ([(("bearing", 0, "wall"), "left"), (("bearing", 0, "at"), 1200)], ("bearing", 0, "at"), "lands on the gap"),
        ([(("bearing", 0, "every"), 600)], ("bearing", 0), "neither at alone nor every, from and to"),
        ([(("bearing", 0), {"wall": "back", "width": 35, "every": 600})], ("bearing", 0), "neither at alone nor"),
        (
            [(("bearing", 0), {"wall": "back", "width": 35, "every": 1e-9, "from": 0, "to": 5000})],
            ("bearing", 0, "every"),
            "a row of",
        ),
        ([(("cross", 0, "from", "at"), 7000)], ("cross", 0, "from", "at"), "7000 is beyond the end of 'front'"),
        ([(("cross", 0, "from"), [2400, 0]), (("cross", 0, "to"), [2400, 0.5])], ("cross", 0), "at the same point"),
        ([(("laying",), {"order": ["front", "front"]})], ("laying", "order", 1), "'front' stands twice"),
        ([(("laying", "order"), ["back"])], ("laying", "start"), "start is 'front' but order begins with 'back'"),
        ([(("stock", "lengths"), [3600, 3600])], ("stock", "lengths", 1), "3600 stands twice"),
        ([(("stock", "lengths"), [2]), (("stock", "kerf"), 3)], ("stock", "kerf"), "is longer than a board"),
        ([(("shell", 0, "setback"), 100)], ("shell", 0, "setback"), "puts the plate off its leaf"),
        ([(("shell", 0, "inside"), "left")], ("shell", 0, "inside"), "found on a closed shell"),
    ],
)
def test_places_that_are_none(changes: Any, path: Any, found: Any) -> None:
    told = [item for item in faults(changed(*changes)) if item.path == path]
    assert len(told) == 1
    assert found in told[0].found
    assert told[0].line is not None


def test_places_are_judged_beside_a_shell_that_is_not_sound() -> None:
    second = {"name": "bad", "leaf": -1, "corners": [[0, 0], [1, 1]]}
    told = faults(changed((("shell", 1), second), (("gap", 0, "to"), 4000), (("bearing", 0, "wall"), "bax")))
    assert {item.path for item in told} == {("shell", 1, "leaf"), ("gap", 0, "to"), ("bearing", 0, "wall")}
