"""Filling: which boards could be the cheapest by length alone, and pieces packed into just these.

Short pieces fill boards almost without waste, so that length decides: no cutting costs less than the
cheapest whole boards that are together as long as all pieces. Those boards are found over all numbers
of boards and all costs (a knapsack), and the pieces packed into them board by board, each filled as far
as it goes with the longest pieces that do it (sums of subsets). Where that ends well the cost is proved,
and often how few boards do; otherwise nothing is lost but a little work.
"""

from __future__ import annotations

import math
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from platemodel.frame.patterns import Pattern, Task

CELLS = 400_000
"""Most pairs of a number of boards (or charge) and a cost that are looked at."""
LOOKED = 400
"""Pieces that could be looked at in the time that a choice of boards takes."""
CHARGES = (0.0, 0.002, 0.05, 0.3, 1.0)
"""What a board is charged with, as parts of the longest, where there are more pairs than that."""
STEPS = 24_000
"""Most steps of a grid of lengths that rounds, and most of one that is exact are ten times as many."""


@dataclass(frozen=True)
class Choice:
    """Longest boards there are for every cost, by rows that weigh length against the number of boards.

    ``lengths`` and ``numbers`` of the boards chosen are arrays of rows by costs in steps. Where every number
    of boards has its row (``each``) they are the longest of at most that number; elsewhere a row charges
    every board with a length (``charges``, none in the first row) and ``lengths`` less the charges is greatest.
    ``bundles`` are an offer, how many boards of it, and where they were taken.
    """

    step: float
    need: float
    each: bool
    costs: tuple[int, ...]
    charges: Any
    lengths: Any
    numbers: Any
    bundles: tuple[tuple[int, int, Any], ...]

    def least(self) -> float | None:
        """Least cost of boards as long as all pieces; None where it is above all that were looked at."""
        enough = np.flatnonzero(self.lengths[-1 if self.each else 0] >= self.need)
        return float(enough[0]) * self.step if len(enough) else None

    def fewest(self, cost: float) -> int:
        """No boards as long as all pieces and at no more than a cost are fewer than this."""
        steps = min(self.lengths.shape[1] - 1, math.floor(cost / self.step + 1e-6))
        if self.each:
            enough = np.flatnonzero(self.lengths[:, steps] >= self.need)
            return int(enough[0]) if len(enough) else 0
        worth = self.lengths[1:, steps] - self.charges[1:] * self.numbers[1:, steps]
        return max(0, math.ceil(float(((self.need - worth) / self.charges[1:]).max()) - 1e-6))

    def boards(self, row: int, steps: int) -> list[int]:
        """How many boards of each offer a row has at a cost."""
        taken = [0] * len(self.costs)
        for offer, count, where in reversed(self.bundles):
            if where[row, steps]:
                taken[offer] += count
                row -= count if self.each else 0
                steps -= count * self.costs[offer]
        return taken

    def likely(self, lowest: float, highest: float, boards: int, more: int) -> Iterator[list[int]]:
        """Boards long enough, by cost from ``lowest`` to ``highest`` and then by number, for every cost so many.

        At ``highest`` there are fewer than ``boards`` of them, unless that is 0.
        """
        last = min(self.lengths.shape[1] - 1, math.floor(highest / self.step + 1e-6))
        seen: set[tuple[int, ...]] = set()
        for steps in range(max(0, math.ceil(lowest / self.step - 1e-6)), last + 1):
            enough = np.flatnonzero(self.lengths[:, steps] >= self.need).tolist()
            for row in sorted(enough, key=lambda row: (int(self.numbers[row, steps]), row))[:more]:
                if steps == last and 0 < boards <= self.numbers[row, steps]:
                    break
                taken = self.boards(row, steps)
                if tuple(taken) not in seen:
                    seen.add(tuple(taken))
                    yield taken


def choice(task: Task, unit: float, highest: float) -> Choice:
    """The longest boards for every cost up to ``highest``; ``unit`` is what costs are whole multiples of, or 0."""
    need = math.fsum(size * wanted for size, wanted in zip(task.sizes, task.wanted, strict=True))
    usable = [offer for offer, most in enumerate(task.most) if most and task.rooms[offer] > 0.0]
    shortest = min(task.rooms[offer] for offer in usable)
    most = min(sum(task.wanted), math.ceil(need / shortest) + 1)
    # costs rounded down to a step: what comes of it is a bound still
    step = unit or max(highest, 1e-9) / 20_000
    step *= max(1, math.ceil((highest / step + 1) * len(CHARGES) / CELLS))
    costs = tuple(math.floor(cost / step + 1e-6) for cost in task.costs)
    width = math.floor(highest / step + 1e-6) + 1
    each = width * (most + 1) <= CELLS
    charges = np.zeros(most + 1) if each else np.array(CHARGES) * max(task.rooms)
    lengths = np.zeros((len(charges), width))
    numbers = np.zeros(lengths.shape, dtype=np.int32)
    bundles: list[tuple[int, int, Any]] = []
    for offer in usable:
        left, count = min(task.most[offer], most), 1
        while left:
            count = min(count, left)
            money, down = count * costs[offer], count if each else 0
            if money < width:
                taken = lengths[: len(charges) - down, : width - money] + count * task.rooms[offer]
                number = numbers[: len(charges) - down, : width - money] + count
                there, before = lengths[down:, money:], numbers[down:, money:]
                charge = charges[down:, None]
                better = taken - charge * number > there - charge * before + 1e-9
                where = np.zeros(lengths.shape, dtype=bool)
                where[down:, money:] = better
                there[...], before[...] = np.where(better, taken, there), np.where(better, number, before)
                bundles.append((offer, count, where))
            left -= count
            count *= 2
    return Choice(step, need - 1e-6, each, costs, charges, lengths, numbers, tuple(bundles))


class Filler:
    """Packs all pieces of a task into given boards, or does not manage."""

    def __init__(self, task: Task) -> None:
        self.task = task
        thousandths = [round(size * 1000) for size in task.sizes]
        common = math.gcd(*thousandths) / 1000
        exact = all(abs(size * 1000 - whole) < 1e-3 for size, whole in zip(task.sizes, thousandths, strict=True))
        exact = exact and max(task.rooms) / common <= 10 * STEPS
        self.step = common if exact else max(task.rooms) / STEPS
        # sizes rounded up: what fits here fits in truth
        self.sizes = [math.ceil(size / self.step - (1e-4 if exact else 0.0)) for size in task.sizes]
        self.rooms = [math.floor(room / self.step + (1e-6 if exact else 0.0)) for room in task.rooms]
        self.need = sum(size * wanted for size, wanted in zip(self.sizes, task.wanted, strict=True))
        self.work = 0

    def fill(self, boards: Sequence[int], tries: int, work: int) -> list[Pattern] | None:
        """Patterns that cover all pieces with so many boards of each offer; None where none were found.

        ``work`` is how many pieces are looked at in the end, in all that this object does.
        """
        self.work += LOOKED
        spare = sum(self.rooms[offer] * count for offer, count in enumerate(boards)) - self.need
        if spare < 0:
            return None
        offers = [offer for offer, count in enumerate(boards) for _ in range(count)]
        for turn in range(tries):
            if self.work > work:
                break
            taken = self._once(offers, spare, random.Random(turn), turn)
            if taken is not None:
                return taken
        return None

    def _once(self, offers: list[int], spare: int, chance: random.Random, turn: int) -> list[Pattern] | None:
        left = list(self.task.wanted)
        self.work += len(left) + len(offers)
        # shorter boards first every other time; a piece's place in the order changes a little each time
        offers = sorted(offers, key=lambda offer: (self.rooms[offer] * (-1 if turn % 2 == 0 else 1), offer))
        blur = 0.0 if turn < 4 else 0.1 + 0.3 * (turn % 5)
        order = sorted(range(len(left)), key=lambda kind: (-self.sizes[kind] * (1.0 + blur * chance.random()), kind))
        share = turn % 4 < 2
        taken: list[Pattern] = []
        for place, offer in enumerate(offers):
            near = spare // (len(offers) - place) if share else 0
            counts, waste = self._board(left, order, self.rooms[offer], near)
            if counts:
                taken.append((offer, tuple(sorted(counts.items()))))
            for kind, count in counts.items():
                left[kind] -= count
            spare -= waste
            if not any(left):
                return taken
            if spare < 0:
                return None
        return None

    def _board(self, left: Sequence[int], order: Sequence[int], room: int, near: int) -> tuple[dict[int, int], int]:
        """Pieces for one board, the first that fits and those that fill the rest, and what is wasted."""
        mask = (1 << (room + 1)) - 1
        sums = [1]
        pieces: list[int] = []
        top = max(0, room - near)
        for kind in order:
            size = self.sizes[kind]
            for _ in range(left[kind] if size <= room else 0):
                self.work += 1
                reached = (sums[-1] << size) & mask
                # the first piece that fits is on the board in any case
                sums.append(reached if not pieces else sums[-1] | reached)
                pieces.append(kind)
                if sums[-1] >> top:
                    break
            if sums[-1] >> top:
                break
        total = sums[-1].bit_length() - 1
        waste = room - total
        counts: dict[int, int] = {}
        for place in range(len(pieces) - 1, -1, -1):
            if place and sums[place] >> total & 1:
                continue
            counts[pieces[place]] = counts.get(pieces[place], 0) + 1
            total -= self.sizes[pieces[place]]
        return counts, waste
