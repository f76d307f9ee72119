"""Cutting keeps its promises: for any pieces and offers, with and without the solver."""

from __future__ import annotations

import itertools
import math
import random
import sys
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from platemodel.frame import columns, exact
from platemodel.frame.cutting import Cutting, Offer, _task, cut
from platemodel.frame.filling import choice

LENGTHS = (2400.0, 3600.0, 4200.0, 4800.0, 6000.0)
OFFERS = tuple(Offer(length, length) for length in LENGTHS)
MANY = [2050.0 + 7.0 * number for number in range(45)]
"""More pieces than are cut without the solver, and none that fill their boards."""
SHORT = [float(length) for length in random.Random(1).choices(range(300, 1501), k=100)]

items_ = st.lists(
    st.one_of(
        st.integers(300, 2390).map(float), st.sampled_from((600.0, 1200.0, 1197.0, 797.3)), st.floats(300.0, 2390.0)
    ),
    min_size=1,
    max_size=14,
)
offers_ = st.lists(st.sampled_from(LENGTHS), min_size=1, max_size=4, unique=True).flatmap(
    lambda lengths: st.tuples(
        *(
            st.builds(Offer, st.just(length), st.sampled_from((length, length / 1200, 5.0, 7.35, math.pi)))
            for length in lengths
        )
    )
)
kerfs = st.sampled_from((0.0, 3.0, 4.2))
trims = st.sampled_from((0.0, 10.0))


def check(found: Cutting, items: list[float], offers: tuple[Offer, ...], kerf: float, trim: float) -> None:
    assert sorted(item for _, group in found.boards for item in group) == list(range(len(items)))
    for offer, group in found.boards:
        taken = math.fsum(items[i] for i in group) + kerf * (len(group) - 1) + trim
        assert taken <= offers[offer].length + 1.01e-4
    for index, offer in enumerate(offers):
        used = sum(1 for board, _ in found.boards if board == index)
        assert offer.most is None or used <= offer.most
    assert found.cost == pytest.approx(sum(offers[offer].cost for offer, _ in found.boards))
    assert found.bound <= found.cost
    assert found.proved == (found.cost - found.bound <= 1e-6 * max(1.0, found.cost))


def first_fit_decreasing(items: list[float], offer: Offer, kerf: float, trim: float) -> float:
    """Cost of first-fit decreasing on one offer alone, written again in the plainest way."""
    boards: list[list[float]] = []
    for item in sorted(items, reverse=True):
        for board in boards:
            if sum(board) + item + kerf * len(board) + trim <= offer.length:
                board.append(item)
                break
        else:
            boards.append([item])
    return offer.cost * len(boards)


@settings(max_examples=60, deadline=None)
@given(items_, offers_, kerfs, trims)
def test_every_item_is_cut_once_and_fits(
    items: list[float], offers: tuple[Offer, ...], kerf: float, trim: float
) -> None:
    offers = tuple(replace(offer, length=offer.length + trim) for offer in offers)
    found = cut(items, offers, kerf, trim)
    check(found, items, offers, kerf, trim)
    assert found.first_fit is not None
    assert found.cost <= found.first_fit + 1e-9
    for offer in offers:
        assert found.cost <= first_fit_decreasing(items, offer, kerf, trim) + 1e-9
    again = cut(items, offers, kerf, trim)
    assert again == found
    plain = cut(items, offers, kerf, trim, effort=0)
    check(plain, items, offers, kerf, trim)
    assert plain.method == "first fit"
    # longer offcuts may leave a board shorter than first fit had it
    assert plain.first_fit == found.first_fit
    assert found.cost - 1e-6 <= plain.cost <= found.first_fit
    assert plain.bound <= found.bound + 1e-9


@settings(max_examples=40, deadline=None)
@given(items_, st.lists(st.tuples(st.sampled_from(LENGTHS), st.integers(0, 3)), min_size=1, max_size=3), kerfs)
def test_limited_boards_are_never_used_more_than_there_are(
    items: list[float], yard: list[tuple[float, int]], kerf: float
) -> None:
    offers = (*(Offer(length, 0.0, most) for length, most in yard), Offer(4800.0, 4800.0))
    found = cut(items, offers, kerf)
    check(found, items, offers, kerf, 0.0)
    alone = cut(items, offers[-1:], kerf)
    if found.proved:
        assert found.cost <= alone.cost


@settings(max_examples=30, deadline=None)
@given(items_, offers_, st.sampled_from(OFFERS), kerfs)
def test_another_offer_never_makes_it_dearer(
    items: list[float], offers: tuple[Offer, ...], more: Offer, kerf: float
) -> None:
    before, after = cut(items, offers, kerf), cut(items, (*offers, more), kerf)
    if before.proved and after.proved:
        assert after.cost <= before.cost + 1e-6 * max(1.0, before.cost)


@settings(max_examples=40, deadline=None)
@given(items_, kerfs, st.randoms(use_true_random=False))
def test_columns_find_the_cost_that_all_patterns_give(items: list[float], kerf: float, chance: object) -> None:
    plain = cut(items, OFFERS, kerf)
    # of very many short pieces there are too many patterns to list
    assume(plain.method == "patterns")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("platemodel.frame.exact.PLAIN", 0)
        found = cut(items, OFFERS, kerf)
    check(found, items, OFFERS, kerf, 0.0)
    assert found.method == "columns"
    assert plain.proved
    assert found.cost == plain.cost
    assert len(found.boards) == len(plain.boards)
    assert found.bound <= plain.cost


def test_last_piece_may_end_flush_and_the_kerf_counts() -> None:
    offers = (Offer(3000.0, 3000.0), Offer(6000.0, 6000.0))
    assert cut([1998.0, 1998.0, 1998.0], offers, 3.0).cost == 6000.0
    assert cut([1998.0, 1998.0, 1998.1], offers, 3.0).cost == 9000.0
    assert cut([1998.0, 1998.0, 1998.00005], offers, 3.0).cost == 6000.0
    assert cut([1998.0, 1998.0, 1998.0], offers, 3.0, trim=1.0).cost == 9000.0


def test_shorter_boards_are_taken_where_they_do() -> None:
    found = cut([2300.0, 3500.0], OFFERS, 3.0)
    # one board of 6000 costs what 2400 and 3600 cost, and is one board fewer
    assert found.boards == ((4, (1, 0)),)
    assert (found.cost, found.proved) == (6000.0, True)


def test_offcuts_are_gathered_on_one_board() -> None:
    found = cut([1000.0] * 4 + [400.0], (Offer(3000.0, 1.0),), 0.0)
    assert [sorted(group) for _, group in found.boards] in ([[0, 1, 2], [3, 4]], [[3, 4], [0, 1, 2]])


def test_first_fit_is_beaten_where_it_can_be() -> None:
    # first fit saws 700 and 600 from one board, and the last 300 needs a third
    items = [700.0, 600.0, 400.0, 400.0, 300.0, 300.0, 300.0]
    best = cut(items, (Offer(1500.0, 1.0),), 0.0)
    assert best.proved
    assert best.first_fit == 3.0
    assert best.cost == brute(items, 1500.0) == 2.0


def brute(items: list[float], length: float) -> int:
    """Fewest bins by trying every assignment in turn."""
    for number in itertools.count(1):
        if packed(sorted(items, reverse=True), [length] * number):
            return number
    raise AssertionError


def packed(items: list[float], rooms: list[float]) -> bool:
    if not items:
        return True
    return any(
        room >= items[0] and packed(items[1:], [*rooms[:index], room - items[0], *rooms[index + 1 :]])
        for index, room in enumerate(rooms)
        if room not in rooms[:index]
    )


def test_what_cannot_be_cut_is_said() -> None:
    with pytest.raises(ValueError, match="an item of 6001 mm fits no board on offer: the longest is 6000 mm"):
        cut([6001.0], OFFERS, 3.0)
    with pytest.raises(ValueError, match="fits no board"):
        cut([5995.0], OFFERS, 3.0, trim=6.0)
    with pytest.raises(ValueError, match="fits no board"):
        cut([3000.0], (Offer(6000.0, 1.0, 0), Offer(2400.0, 1.0)), 3.0)
    with pytest.raises(ValueError, match="together shorter than the items"):
        cut([2000.0] * 4, (Offer(3000.0, 1.0, 2),), 3.0)
    with pytest.raises(ValueError, match="cannot hold all items"):
        cut([1600.0] * 3, (Offer(3000.0, 1.0, 2),), 3.0)
    with pytest.raises(ValueError, match="more than 0"):
        cut([0.0], OFFERS, 3.0)
    with pytest.raises(ValueError, match="no length, kerf, trim or cost less than 0"):
        cut([100.0], OFFERS, -3.0)
    with pytest.raises(ValueError, match="fewer than no boards"):
        cut([100.0], (Offer(200.0, 1.0, -1),), 3.0)


def test_nothing_to_cut_costs_nothing() -> None:
    assert cut([], OFFERS, 3.0) == Cutting((), 0.0, 0.0, True, 0.0, "first fit", "")


def test_without_the_solver_first_fit_is_taken_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "highspy", None)
    found = cut(MANY, OFFERS, 3.0)
    check(found, MANY, OFFERS, 3.0, 0.0)
    assert (found.method, found.note) == ("first fit", "cut by first fit: the solver is not installed")
    assert found.bound <= found.cost <= found.first_fit


def test_where_the_solver_fails_first_fit_is_taken_and_said(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(self: columns.Master) -> None:
        raise columns.SolverError("the solver failed")

    monkeypatch.setattr(columns.Master, "run", fail)
    found = cut(MANY, OFFERS, 3.0)
    check(found, MANY, OFFERS, 3.0, 0.0)
    assert (found.method, found.note) == ("first fit", "cut by first fit: the solver failed")


def test_short_pieces_fill_boards_to_the_bound() -> None:
    priced = tuple(Offer(length, price) for length, price in zip(LENGTHS, (12.9, 18.5, 21.2, 25.9, 31.5), strict=True))
    for offers in (OFFERS, OFFERS[-1:], priced, (Offer(2700.0, 0.0, 6), Offer(4100.0, 0.0, 3), *OFFERS)):
        found = cut(SHORT, offers, 3.0)
        check(found, SHORT, offers, 3.0, 0.0)
        assert found.proved
        assert found.note in ("", "fewest boards not proved")
        assert cut(SHORT, offers, 3.0) == found


def test_lengths_bound_holds_for_every_choice_of_boards() -> None:
    items = [900.0, 800.0, 700.0, 600.0, 500.0]
    offers = (Offer(1000.0, 7.0, 2), Offer(1500.0, 9.0), Offer(2200.0, 13.5))
    task = _task(items, offers, 3.0, 0.0)
    found = choice(task, 0.5, 40.0)
    held = [
        (sum(count * offer.cost for count, offer in zip(counts, offers, strict=True)), sum(counts))
        for counts in itertools.product(range(3), range(6), range(6))
        if sum(count * room for count, room in zip(counts, task.rooms, strict=True)) >= sum(items) + 15.0
    ]
    assert found.least() == min(held)[0]
    for cost in (22.5, 24.0, 27.0, 30.5):
        assert found.fewest(cost) == min((number for money, number in held if money <= cost), default=0)


def test_high_prices_a_thousandth_apart_are_told_apart_in_no_time() -> None:
    found = cut([2000.0, 2000.0, 2000.0], [Offer(2400.0, 999_999.999), Offer(3000.0, 1e6)], 3.0)
    assert (found.proved, len(found.boards)) == (True, 3)
    assert found.cost == pytest.approx(2_999_999.997, abs=1e-6)


def test_a_spare_longer_than_a_board_is_no_fault(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(exact, "FEW", 0)
    monkeypatch.setattr(exact, "PLAIN", 0)
    items = [600.0, 797.3, 399.5, 797.3, 1200.0, 399.5]
    found = cut(items, [Offer(0.0, 0.0, 1), Offer(1010.0, 1010 / 1200), Offer(4800.0, 7.35)], 4.2)
    assert found.cost == pytest.approx(7.35)
