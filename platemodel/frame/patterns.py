"""Patterns: which sets of pieces one board holds, and which of them are worth most at given prices.

A pattern is an offer and how many pieces of each kind are cut from one board of it. Every piece brings
one kerf, and a board's room is longer by one: the last piece may end flush, its cut not needed.

Prices come from a linear program (Gilmore and Gomory, 1961: column generation). The best pattern for
them is a bounded knapsack: a table of values over a grid of rooms, sizes rounded down to the grid, says
how much what is left of a board can be worth at most; the search below it is exact in the true lengths.
Where all lengths are whole steps of the grid the table itself is exact.
"""

from __future__ import annotations

import bisect
import itertools
import math
import operator
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

DUST = 1e-4
"""Pieces this much longer than their board still fit (mm)."""
SAME = 1e-6
"""Lengths no further apart than this are of one kind (mm): far below DUST, so that no fit turns on it."""
FINE, COARSE = 20000, 8000
"""Most steps of an exact grid, and steps of one that rounds."""

Pattern = tuple[int, tuple[tuple[int, int], ...]]
"""An offer, and pairs of a kind and how many of it; kinds rising."""


class EffortSpentError(Exception):
    """More patterns or steps than allowed."""


@dataclass(frozen=True)
class Task:
    """Pieces by kind, longest first, and the offers' rooms.

    ``sizes`` are lengths with a kerf each (mm), ``wanted`` how many of each, ``members`` which; ``rooms``
    are the offers' lengths less the trim and with one kerf (mm), ``costs`` what one costs, ``most`` how
    many there are (never more than there are pieces); ``limited`` says where that is a limit.
    """

    sizes: tuple[float, ...]
    wanted: tuple[int, ...]
    members: tuple[tuple[int, ...], ...]
    rooms: tuple[float, ...]
    costs: tuple[float, ...]
    most: tuple[int, ...]
    limited: tuple[bool, ...]

    def passed(self, offer: int) -> float:
        """Most that a pattern of an offer may take up and be as cheap or cheaper elsewhere (mm)."""
        return max(
            (
                room
                for other, room in enumerate(self.rooms)
                if not self.limited[other] and (self.costs[other], room) < (self.costs[offer], self.rooms[offer])
            ),
            default=-1.0,
        )


def kinds(lengths: Sequence[float]) -> tuple[tuple[int, ...], ...]:
    """Indices of equal lengths together, longest first."""
    found: list[list[int]] = []
    for index in sorted(range(len(lengths)), key=lambda index: (-lengths[index], index)):
        if found and lengths[found[-1][0]] - lengths[index] <= SAME:
            found[-1].append(index)
        else:
            found.append([index])
    return tuple(tuple(sorted(group)) for group in found)


@dataclass(frozen=True)
class Grid:
    """Sizes and rooms in whole steps, rounded down: what fits in truth fits here."""

    sizes: tuple[int, ...]
    rooms: tuple[int, ...]
    step: float
    exact: bool

    def steps(self, room: float) -> int:
        """A room in whole steps."""
        return math.floor(room / self.step + 1e-6)


def grid(task: Task) -> Grid:
    """Grid of a task: exact where lengths are whole thousandths of a millimetre and the steps are few."""
    longest = max(task.rooms)
    thousandths = [round(size * 1000) for size in task.sizes]
    step, exact = longest / COARSE, False
    if all(abs(size * 1000 - whole) < 1e-3 for size, whole in zip(task.sizes, thousandths, strict=True)):
        common = math.gcd(*thousandths) / 1000
        if longest / common <= FINE:
            step, exact = common, True
    empty = Grid((), (), step, exact)
    return Grid(tuple(map(empty.steps, task.sizes)), tuple(map(empty.steps, task.rooms)), step, exact)


def table(task: Task, on: Grid, prices: Sequence[float]) -> Any:
    """Most that pieces of kind k and later are worth in each room, as an array of kinds by steps."""
    width = max(on.rooms) + 1
    worth = np.zeros((len(task.sizes) + 1, width))
    for kind in range(len(task.sizes) - 1, -1, -1):
        size, price, after, row = on.sizes[kind], prices[kind], worth[kind + 1], worth[kind]
        row[:] = after
        if price <= 0.0:
            continue
        for count in range(1, min(task.wanted[kind], (width - 1) // size if size else task.wanted[kind]) + 1):
            taken = count * size
            np.maximum(row[taken:], after[: width - taken] + count * price, out=row[taken:])
    return worth


def every(
    task: Task, on: Grid, worth: Any, prices: Sequence[float], least: Sequence[float], most: int, steps: int
) -> list[Pattern]:
    """All full patterns worth at least ``least`` of their offer, but those as cheap on another offer.

    A full pattern has no room for another wanted piece; others are parts of full ones.

    Raises:
        EffortSpentError: for more than ``most`` patterns or ``steps`` steps.

    """
    found: list[Pattern] = []
    left = [steps]
    for offer in range(len(task.rooms)):
        if task.most[offer] == 0:
            continue
        passed = task.rooms[offer] - task.passed(offer)
        for counts, room in _search(task, on, worth, prices, least[offer], offer, left):
            # what it takes up is more than any cheaper offer holds
            if room < passed and _full(task, counts, room):
                found.append((offer, counts))
                if len(found) > most:
                    raise EffortSpentError
    return found


def _full(task: Task, counts: tuple[tuple[int, int], ...], room: float) -> bool:
    used = dict(counts)
    for kind in range(len(task.sizes) - 1, -1, -1):
        if task.sizes[kind] > room:
            return True
        if used.get(kind, 0) < task.wanted[kind]:
            return False
    return True


def _search(
    task: Task, on: Grid, worth: Any, prices: Sequence[float], least: float, offer: int, left: list[int]
) -> Iterator[tuple[tuple[tuple[int, int], ...], float]]:
    """Patterns of an offer worth ``least`` and the room each leaves; each a choice of kinds that never get longer."""
    counts: dict[int, int] = {}

    def deeper(first: int, room: float, value: float) -> Iterator[tuple[tuple[tuple[int, int], ...], float]]:
        rest = worth[:, on.steps(room)].tolist() if counts or not first else []
        for kind in range(bisect.bisect_left(task.sizes, -room, lo=first, key=operator.neg), len(task.sizes)):
            if value + rest[kind] < least:
                break
            left[0] -= 1
            if left[0] < 0:
                raise EffortSpentError
            if counts.get(kind, 0) < task.wanted[kind]:
                counts[kind] = counts.get(kind, 0) + 1
                yield from deeper(kind, room - task.sizes[kind], value + prices[kind])
                counts[kind] -= 1
                if not counts[kind]:
                    del counts[kind]
        if counts and value >= least:
            yield tuple(counts.items()), room

    yield from deeper(0, task.rooms[offer], 0.0)


def some(
    task: Task, on: Grid, worth: Any, prices: Sequence[float], charges: Sequence[float], most: int, steps: int
) -> list[Pattern]:
    """The first patterns found that are worth more than their offers' charges: none means there is none.

    Raises:
        EffortSpentError: for more than ``steps`` steps.

    """
    found: list[Pattern] = []
    left = [steps]
    for offer, charge in enumerate(charges):
        if task.most[offer]:
            least = charge + slack(charge)
            taken = itertools.islice(_search(task, on, worth, prices, least, offer, left), most - len(found))
            found += [(offer, counts) for counts, _ in taken]
    return found


def slack(charge: float) -> float:
    """How much more than its charge a pattern must be worth to count as worth more."""
    return 1e-7 * max(1.0, abs(charge))


def dear(
    task: Task, on: Grid, worth: Any, prices: Sequence[float], charges: Sequence[float], most: int
) -> list[Pattern]:
    """Patterns worth more than their offers' charges: for every kind the best that begins with it.

    At most ``most``, the most worthwhile first. Read off the table, so that they are the best there are
    on an exact grid; on one that rounds, a piece that does not fit after all is left out.
    """
    found: list[tuple[float, int, int]] = []
    for offer, steps in enumerate(on.rooms):
        if task.most[offer] == 0:
            continue
        for kind, size in enumerate(on.sizes):
            if prices[kind] > 0.0 and task.wanted[kind] and task.sizes[kind] <= task.rooms[offer]:
                gain = prices[kind] + float(worth[kind + 1, steps - size]) - charges[offer]
                if task.wanted[kind] > 1:
                    gain = max(gain, float(worth[kind, steps]) - charges[offer])
                if gain > slack(charges[offer]):
                    found.append((-gain, kind, offer))
    patterns: dict[Pattern, None] = {}
    for _, kind, offer in sorted(found):
        counts = _read(task, on, worth, prices, kind, offer)
        if sum(prices[k] * count for k, count in counts) > charges[offer] + slack(charges[offer]):
            patterns[(offer, counts)] = None
        if len(patterns) >= most:
            break
    return list(patterns)


def _read(
    task: Task, on: Grid, worth: Any, prices: Sequence[float], first: int, offer: int
) -> tuple[tuple[int, int], ...]:
    """The best pattern of an offer whose longest piece is of kind ``first``, as the table has it."""
    room, counts, kind = task.rooms[offer], {}, first
    while kind < len(task.sizes):
        size = task.sizes[kind]
        top = min(task.wanted[kind], math.floor(room / size))
        if top and prices[kind] > 0.0:
            values = [
                (n * prices[kind] + float(worth[kind + 1, on.steps(room - n * size)]), n)
                for n in range(1 if kind == first else 0, top + 1)
            ]
            count = max(values)[1]
            if count:
                counts[kind] = count
                room -= count * size
        # on to the next kind that the table takes at this room
        later = worth[kind + 1 :, on.steps(room)]
        falls = np.flatnonzero(later[:-1] > later[1:])
        if not len(falls):
            break
        kind += 1 + int(falls[0])
    return tuple(counts.items())
