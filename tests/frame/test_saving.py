"""Where runs are spliced so that the boards come to the least: against dense search, bounds, and the rules."""

from __future__ import annotations

import dataclasses
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from platemodel.frame import Frame, decide
from platemodel.frame.saving import SQUARING, least_cost, wished_lengths
from platemodel.frame.splices import Stretch
from platemodel.plan import parse_plan, read_plan
from platemodel.plan.values import Plan, Stock, YardBoards

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
ONE_WALL = """
[job]
title = "One wall, made by a test"
[plate]
width = 100
depth = 50
[stock]
lengths = [{stock}]
kerf = 3
[[shell]]
leaf = 100
closed = false
corners = [[0, 0], [{length}, 0]]
"""


def with_stock(plan: Plan, **changes: Any) -> Plan:
    return dataclasses.replace(plan, stock=dataclasses.replace(plan.stock, **changes))


def bought(frame: Frame) -> float:
    return sum(board.length for board in frame.boards if not board.yard)


def test_the_bungalow_takes_three_metres_less_and_that_is_proved_the_least() -> None:
    plan = read_plan(EXAMPLES[0])
    assert EXAMPLES[0].stem == "bungalow"
    frame, ready = decide(plan), decide(with_stock(plan, ready=True))
    assert (bought(frame), bought(ready)) == (55_200.0, 58_200.0)
    (how,) = frame.purchases
    assert how.cost == how.anywhere == how.bound == 55_200.0
    assert how.proved
    # by hand: pieces of 3 m and more stand alone on boards of at most 6 m, and stretch by stretch, two or three
    # boards together as long as it and its overlaps are 11.7 of 11.55, 7.8 of 7.55 (twice), 9.0 of 8.75 (twice) m
    assert len(frame.pieces) == len(frame.boards) == 13


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_free_places_never_take_more_and_never_less_than_the_bound(example: Path) -> None:
    plan = read_plan(example)
    frame, ready = decide(plan), decide(with_stock(plan, ready=True))
    assert len(frame.pieces) == len(ready.pieces)
    assert bought(frame) <= bought(ready)
    for how in frame.purchases:
        assert how.anywhere <= how.bound + 1e-6 <= how.cost + 2e-6


@given(st.integers(4001, 7600), st.sets(st.sampled_from([2400, 3000, 3300, 3600, 3900, 4000]), min_size=1))
def test_one_wall_is_spliced_as_well_as_by_dense_search(length: int, some: set[int]) -> None:
    stock = sorted(some | {4000})
    frame = decide(parse_plan(ONE_WALL.format(stock=", ".join(map(str, stock)), length=length)))
    assert len(frame.pieces) == 2
    least = min(piece.length for piece in frame.pieces)
    # the rule that holds for short plates as well: none shorter than the list of least lengths gave
    floor = max((one for one in (3000.0, 2400.0, 1800.0, 1200.0, 600.0, 0.0) if one <= least), default=0.0)
    best = min(
        min(a for a in stock if a >= first) + min(b for b in stock if b >= length + 100 - first)
        for first in range(200, length - 100)
        if first <= 4000 and floor <= length + 100 - first <= 4000 and first >= floor
    )
    assert bought(frame) <= best
    assert frame.purchases[0].anywhere <= best


def test_a_splice_that_is_asked_for_stands() -> None:
    text = ONE_WALL.format(stock="3000, 4000", length=7000) + '[[splice]]\nwall = "shell-1"\nat = 3456\n'
    text = text.replace("[[shell]]", '[[shell]]\nwalls = ["shell-1"]')
    frame = decide(parse_plan(text))
    assert sorted(round(piece.length, 6) for piece in frame.pieces) == [3506.0, 3594.0]


def test_boards_keep_something_to_square_their_ends_where_that_costs_nothing() -> None:
    frame = decide(parse_plan(ONE_WALL.format(stock="3600, 4200", length=7000)))
    # two of 3600 hold 7000 and the overlap, but leave 100 in all: enough for both ends
    assert bought(frame) == 7200.0
    assert all(board.length - sum(frame.pieces[i].length for i in board.pieces) >= SQUARING for board in frame.boards)


def test_effort_0_takes_the_first_way() -> None:
    plan = read_plan(EXAMPLES[0])
    assert bought(decide(with_stock(plan, effort=0))) == 58_200.0


def test_the_bound_knows_prices_yard_and_boards_that_hold_two() -> None:
    stretch = Stretch(50.0, 7050.0, 100.0, 3000.0, ((4000.0,),))
    assert least_cost([], [stretch], Stock((3600.0, 4200.0), 3.0)) == 7200.0
    assert least_cost([], [stretch], Stock((3600.0, 4200.0), 3.0, prices=(9.0, 10.0))) == 18.0
    # of 9 m boards one holds two pieces: no more than the timber is sure
    assert least_cost([], [stretch], Stock((9000.0,), 3.0)) == 9000.0
    assert least_cost([4000.0], [], Stock((9000.0,), 3.0, yard=(YardBoards(4000.0, 100.0, 1),))) == 0.0


def test_wished_lengths_fill_boards() -> None:
    wished = wished_lengths(Stock((4800.0,), 3.0, trim=20.0), [2000.0])
    assert {4780.0, 2388.5, 2000.0, 2777.0} <= set(wished)
