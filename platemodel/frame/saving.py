"""Which way to lengthen each run, so that the boards come to the least.

The ways are chosen one stretch after the other, again and again until none is better: what is bought by
first-fit decreasing decides, then how many boards, how many of them leave nothing to square their ends, and
how many lengths of piece there are. The boards themselves are found exactly afterwards. No choice of places can
come to less than :func:`least_cost`.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterable, Sequence

from platemodel.frame.splices import Stretch
from platemodel.plan.values import Stock

MANY = 150
"""Of more pieces each is judged by the board that it would need alone."""
ROUNDS = 6
PLACINGS = 20
"""Pieces that may be put on boards in trying places, for each unit of the plan's effort."""
MOST_WISHED = 80
SQUARING = 10.0
"""A board with less left (mm) may be too short once its end is squared; common practice."""
MOST_TOGETHER = 6
FIT = 1e-4


def wished_lengths(stock: Stock, lengths: Iterable[float]) -> tuple[float, ...]:
    """Lengths of pieces that fill boards: alone, by halves, or beside pieces that are there already, mm.

    None where places are not to be chosen, and those alone where there are very many.
    """
    if stock.ready or stock.effort == 0:
        return ()
    usable = [length - stock.trim for length in stock.lengths]
    usable += [item.length - stock.trim for item in stock.yard]
    there = sorted({round(length, 3) for length in lengths})
    spare = max(0.0, SQUARING - stock.trim)
    usable += [length - spare for length in usable]
    found = {*usable, *((length - stock.kerf) / 2 for length in usable), *there}
    beside = {board - stock.kerf - length for board, length in itertools.product(usable, there)}
    if len(found) + len(beside) <= MOST_WISHED:
        found |= beside
    elif len(found) > MOST_WISHED:
        found = set(usable)
    return tuple(sorted(length for length in found if length > 0))


def choose(fixed: Sequence[float], some: Sequence[Stretch], stock: Stock) -> list[int]:
    """The way to take for each stretch; ``fixed`` are the lengths of pieces of that width that stand, mm."""
    taken = [0] * len(some)
    # in an order that does not depend on how the walls were drawn
    free = sorted((number for number, stretch in enumerate(some) if len(stretch.ways) > 1), key=lambda n: _key(some[n]))
    if not free:
        return taken
    count = len(fixed) + sum(len(stretch.lengths(0)) for stretch in some)
    if count > MANY:
        return _additive(some, stock)

    def judged(choice: Sequence[int]) -> tuple[float, int, int, int]:
        ways = zip(some, choice, strict=True)
        return _cost([*fixed, *(length for stretch, way in ways for length in stretch.lengths(way))], stock)

    budget = stock.effort * PLACINGS
    reached = judged(taken)
    for _ in range(ROUNDS):
        before = reached
        for number in free:
            for way in range(len(some[number].ways)):
                if budget < count:
                    return taken
                budget -= count
                tried = [*taken[:number], way, *taken[number + 1 :]]
                found = judged(tried)
                if found < reached:
                    taken, reached = tried, found
        if reached == before:
            break
    return taken


def _key(stretch: Stretch) -> tuple[float, ...]:
    """A stretch by its length, then its ways, all from its own beginning and to a hundredth of a millimetre."""
    places = (at - stretch.low for way in stretch.ways for at in way)
    return (round(stretch.high - stretch.low, 2), *(round(place, 2) for place in places))


def _additive(some: Sequence[Stretch], stock: Stock) -> list[int]:
    """The way of each stretch by the boards that its pieces would need alone."""

    def needed(stretch: Stretch, way: int) -> float:
        return sum(_alone(length, stock) for length in stretch.lengths(way))

    return [min(range(len(one.ways)), key=lambda way: (round(needed(one, way), 3), way)) for one in some]


def _alone(length: float, stock: Stock) -> float:
    return next(board for board in stock.lengths if board - stock.trim >= length - FIT)


def _cost(lengths: Sequence[float], stock: Stock) -> tuple[float, int, int, int]:
    """What first-fit decreasing comes to, how many boards, how many of them tight, how many lengths of piece."""
    order = sorted((round(length, 3) for length in lengths), reverse=True)
    kinds = len(set(order))
    boards = [length for length in stock.lengths if length - stock.trim >= order[0] - FIT]
    return min((*_first_fit(order, board, stock), kinds) for board in boards)


def _first_fit(order: Sequence[float], board: float, stock: Stock) -> tuple[float, int, int]:
    room = board - stock.trim + stock.kerf + FIT
    left: list[float] = []
    for length in order:
        wanted = length + stock.kerf
        place = next((number for number, rest in enumerate(left) if rest >= wanted), None)
        if place is None:
            left.append(room - wanted)
        else:
            left[place] -= wanted
    # the yard's boards cost nothing: each is taken for the most that it holds
    yard = sorted(itertools.chain.from_iterable([item.length] * item.count for item in stock.yard))
    cost, tight = 0.0, 0
    for need in sorted((board - rest for rest in left), reverse=True):
        place = next((number for number, length in enumerate(yard) if length >= need - FIT), None)
        if place is not None:
            length = yard.pop(place)
        else:
            price, length = min((price, length) for length, price in stock.priced if length >= need - FIT)
            cost += price
        tight += length - need + stock.trim < SQUARING
    return round(cost, 6), len(left), tight


def least_cost(fixed: Sequence[float], some: Sequence[Stretch], stock: Stock) -> float:
    """What boards come to at least, wherever runs are spliced: in the plan's prices, or in mm of length.

    As many splices as there are take the same timber wherever they are, so what is bought is no shorter in all
    than the pieces. And where no board can hold two pieces, each needs its own, and those of a stretch are as long
    together as it is.
    """
    totals = [(sum(stretch.lengths(0)), len(stretch.ways[0]) + 1) for stretch in some]
    wanted = sum(fixed) + sum(total for total, _ in totals)
    wanted -= sum(item.length * item.count for item in stock.yard)
    if wanted <= 0:
        return 0.0
    rate = min(price / length for length, price in stock.priced)
    by_length = wanted * rate
    if stock.prices is None:
        step = functools.reduce(math.gcd, (round(length) for length in stock.lengths))
        whole = all(length == round(length) for length in stock.lengths)
        by_length = math.ceil(wanted / step - FIT) * step if whole else by_length
    pieces = sorted(
        [*fixed, *(stretch.least for stretch, (_, count) in zip(some, totals, strict=True) for _ in range(count))]
    )
    apart = len(pieces) < 2 or pieces[0] + pieces[1] + stock.kerf > stock.lengths[-1] - stock.trim + FIT
    if not apart or stock.yard or any(count > MOST_TOGETHER for _, count in totals):
        return by_length
    alone = sum(_together(length, 1, stock) for length in fixed)
    return max(by_length, alone + sum(_together(total, count, stock) for total, count in totals))


def _together(total: float, count: int, stock: Stock) -> float:
    """The least that ``count`` boards cost which are together as long as some pieces."""
    found = itertools.combinations_with_replacement(stock.priced, count)
    usable = (some for some in found if sum(length - stock.trim for length, _ in some) >= total - FIT)
    return min((sum(price for _, price in some) for some in usable), default=math.inf)
