"""A few boards by plain search: patterns that cover all pieces within a cost and a number of boards.

The longest piece not yet covered is on some pattern, so that those which have it are tried one after the
other. What is left must still fit by length into the boards and the cost that are left. For a dozen pieces
that is quicker than a program, which is asked where the search takes too long.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from platemodel.frame.patterns import EffortSpentError, Pattern, Task


def cover(
    task: Task, columns: Sequence[Pattern], cost: float, boards: int, left: list[int], finest: float = math.inf
) -> list[Pattern] | None:
    """Patterns that cover all pieces with at most so many boards and at most this cost; None where there are none.

    ``finest`` is the least step between two costs that matters. ``left`` holds the steps that are left, and is counted
    down. Raises EffortSpentError where they are spent.
    """
    # costs that differ by the finest step are told apart, however high they are
    slack = min(1e-9 * max(1.0, cost), finest / 4)
    usable = [offer for offer in range(len(task.rooms)) if task.most[offer]]
    longest = max(task.rooms[offer] for offer in usable)
    rate = min(task.costs[offer] / task.rooms[offer] for offer in usable)
    having: list[list[tuple[float, Pattern]]] = [[] for _ in task.sizes]
    for pattern in columns:
        offer, counts = pattern
        waste = task.costs[offer] - rate * sum(task.sizes[kind] * count for kind, count in counts)
        for kind, _ in counts:
            having[kind].append((round(waste, 6), pattern))
    for patterns in having:
        patterns.sort()
    failed: dict[tuple[tuple[int, ...], tuple[int, ...]], list[tuple[float, int]]] = {}
    wanted, most = list(task.wanted), list(task.most)
    taken: list[Pattern] = []

    def deeper(money: float, number: int) -> bool:
        first = next((kind for kind, count in enumerate(wanted) if count), None)
        if first is None:
            return True
        need = math.fsum(size * count for size, count in zip(task.sizes, wanted, strict=True) if count)
        if number <= 0 or need > number * longest or need * rate > money + slack:
            return False
        key = (tuple(wanted), tuple(most) if any(task.limited) else ())
        if any(money <= before + slack and number <= count for before, count in failed.get(key, ())):
            return False
        for _, (offer, counts) in having[first]:
            left[0] -= 1
            if left[0] < 0:
                raise EffortSpentError
            if task.costs[offer] > money + slack or not most[offer]:
                continue
            gone = [(kind, min(count, wanted[kind])) for kind, count in counts]
            used = math.fsum(task.sizes[kind] * count for kind, count in gone)
            # looked at here too, which spares a call for most patterns
            if (need - used) * rate > money - task.costs[offer] + slack or need - used > (number - 1) * longest:
                continue
            for kind, count in gone:
                wanted[kind] -= count
            most[offer] -= 1
            taken.append((offer, counts))
            if deeper(money - task.costs[offer], number - 1):
                return True
            taken.pop()
            most[offer] += 1
            for kind, count in gone:
                wanted[kind] += count
        failed.setdefault(key, []).append((money, number))
        return False

    return taken if deeper(cost, boards) else None
