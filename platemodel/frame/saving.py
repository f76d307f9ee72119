"""Which way to lengthen each run, so that the boards come to the least.

The ways are chosen one stretch after the other, again and again until none is better: first how many splices stand
too near those of neighbouring runs, where the plan minds; then what is bought by first-fit decreasing, how many
boards, how many of them leave nothing to square their ends, and how many lengths of piece there are. The boards
themselves are found exactly afterwards. No choice of places for as
many splices can come to less than :func:`least_cost`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterable, Sequence

from platemodel.frame.cutting import granularity, raised
from platemodel.frame.patterns import DUST
from platemodel.frame.splices import Stretch
from platemodel.plan.values import Stock

Choice = Sequence[int]
"""For each stretch the way to lengthen it, by index."""

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
MOST_COUNTED = 3000
"""Pieces that may be counted by kind in looking for fewer kinds."""
MOST_LOOKED = 4000
"""Choices of ways that are few enough to look at each."""


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


def choose(
    fixed: Sequence[float], some: Sequence[Stretch], stock: Stock, clashing: Callable[[Choice], int] | None = None
) -> Choice:
    """The way to take for each stretch; ``fixed`` are the lengths of pieces of that width that stand, mm.

    ``stock`` holds the yard's boards of that width alone; ``clashing`` counts splices too near those of neighbours.
    """
    taken = [0] * len(some)
    free = _free(some)
    if not free:
        return taken
    count = len(fixed) + sum(len(stretch.lengths(0)) for stretch in some)
    if count > MANY:
        return _additive(some, free, stock, clashing)
    judged = _judge(fixed, some, stock, clashing)
    budget = max(stock.effort, 1) * PLACINGS
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


def fewer(
    fixed: Sequence[float],
    some: Sequence[Stretch],
    stock: Stock,
    taken: Choice,
    kinds: Callable[[Choice], int],
    clashing: Callable[[Choice], int] | None = None,
) -> tuple[Choice, bool]:
    """Of the ways that come to no more than those taken, ones with the fewest kinds of piece.

    ``kinds`` counts them. Where all choices are few every one is looked at, which the second value says; elsewhere
    one stretch is changed after the other as long as that gives fewer. What costs the same by first fit counts as
    costing the same.
    """
    free = _free(some)
    if not free:
        return taken, True
    judged = _judge(fixed, some, stock, clashing)
    limit = judged(taken)[:-1]
    count = len(fixed) + sum(len(stretch.lengths(0)) for stretch in some)
    best, reached, left = taken, kinds(taken), MOST_COUNTED // count
    budget = max(stock.effort, 1) * PLACINGS // count
    if math.prod(len(some[number].ways) for number in free) <= MOST_LOOKED:
        for ways in itertools.product(*(range(len(some[number].ways)) for number in free)):
            tried = list(taken)
            for number, way in zip(free, ways, strict=True):
                tried[number] = way
            if judged(tried)[:-1] <= limit:
                left -= 1
                if left < 0:
                    return best, False
                if (found := kinds(tried)) < reached:
                    best, reached = tried, found
        return best, True
    again = True
    while again:
        again = False
        for number in free:
            for way in range(len(some[number].ways)):
                tried = [*best[:number], way, *best[number + 1 :]]
                budget -= 1
                if budget < 0:
                    return best, False
                if way == best[number] or judged(tried)[:-1] > limit:
                    continue
                left -= 1
                if left < 0:
                    return best, False
                if (found := kinds(tried)) < reached:
                    best, reached, again = tried, found, True
    return best, False


def _free(some: Sequence[Stretch]) -> list[int]:
    """Stretches with more than one way, in an order that does not depend on how the walls were drawn."""
    return sorted((number for number, stretch in enumerate(some) if len(stretch.ways) > 1), key=lambda n: _key(some[n]))


Rank = tuple[int, float, int, int, int]


def _judge(
    fixed: Sequence[float], some: Sequence[Stretch], stock: Stock, clashing: Callable[[Choice], int] | None
) -> Callable[[Choice], Rank]:
    """How good a choice is: clashes, cost, boards, tight boards and lengths of piece; less is better."""

    def judged(choice: Choice) -> Rank:
        ways = zip(some, choice, strict=True)
        lengths = [*fixed, *(length for stretch, way in ways for length in stretch.lengths(way))]
        return (0 if clashing is None else clashing(choice), *_cost(lengths, stock))

    return judged


def _key(stretch: Stretch) -> tuple[float, ...]:
    """A stretch by its length, then its ways, all from its own beginning and to a hundredth of a millimetre."""
    places = (at - stretch.low for way in stretch.ways for at in way)
    return (round(stretch.high - stretch.low, 2), *(round(place, 2) for place in places))


def _additive(
    some: Sequence[Stretch], free: Sequence[int], stock: Stock, clashing: Callable[[Choice], int] | None
) -> Choice:
    """The way of each stretch by the boards that its pieces would need alone, one stretch after the other."""

    def needed(stretch: Stretch, way: int) -> float:
        return round(sum(_together(length, 1, stock) for length in stretch.lengths(way)), 3)

    taken = [min(range(len(one.ways)), key=lambda way: (needed(one, way), way)) for one in some]
    if clashing is not None:
        for number in free:
            ways = (
                (clashing([*taken[:number], way, *taken[number + 1 :]]), needed(some[number], way), way)
                for way in range(len(some[number].ways))
            )
            taken[number] = min(ways)[2]
    return taken


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
    yard = sorted(itertools.chain.from_iterable([item.length] * min(item.count, len(left)) for item in stock.yard))
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
    """What boards come to at least, wherever as many splices are put: in the plan's prices, or in mm of length.

    As many splices as there are take the same timber and as many saw cuts wherever they are, so what is bought
    holds in all no less than the pieces and their kerfs. And where no board can hold two pieces, each needs its
    own, and those of a stretch are as long together as it is.
    """
    totals = [(sum(stretch.lengths(0)), len(stretch.ways[0]) + 1) for stretch in some]
    # the last piece of a board may end flush with it, its cut not needed
    spared = stock.kerf - stock.trim + DUST
    wanted = sum(fixed) + sum(total for total, _ in totals)
    wanted += stock.kerf * (len(fixed) + sum(count for _, count in totals))
    wanted -= sum(max(0.0, item.length + spared) * item.count for item in stock.yard)
    if wanted <= 0:
        return 0.0
    rate = min(price / (length + spared) for length, price in stock.priced)
    by_length = raised(wanted * rate, granularity([price for _, price in stock.priced]))
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
