"""Cutting: which boards to take of those on offer, and which pieces to cut from each.

The aims, one after the other: least cost; fewest boards; longest offcuts, that is the greatest sum of
squares of what is left of each board. Cost is proved by a bound where it can be; of as few boards the
program is asked with the cost fixed; offcuts are only improved, by moving and changing pieces between
two boards as long as that helps. Effort is counted in rounds, steps and nodes, never by a clock: the
same pieces and offers give the same cutting on every machine.

Where the solver is missing or fails, the cutting is by first-fit decreasing, and says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame import columns, exact
from platemodel.frame.patterns import DUST, Pattern, Task, kinds

Groups = list[list[int]]
"""Items of each board."""
CHECKS = 400_000
"""Most pairs of pieces looked at to make offcuts longer."""


@dataclass(frozen=True)
class Offer:
    """A length of board on offer (mm), what one costs (any one unit, or its length), how many there are."""

    length: float
    cost: float
    most: int | None = None


@dataclass(frozen=True)
class Cutting:
    """Boards as an offer's index and its items in the order of cutting, and what is known about the cost.

    ``bound`` is a proved lower bound on the cost of every cutting and ``proved`` says that the cost reaches
    it; ``first_fit`` is the cost of first-fit decreasing, None where it finds no cutting. ``method`` is
    'patterns' (all of them listed), 'columns' (found by prices), 'filling' (boards filled, cost proved by
    length) or 'first fit'; ``note`` says what was not done of what was asked, or is empty.
    """

    boards: tuple[tuple[int, tuple[int, ...]], ...]
    cost: float
    bound: float
    proved: bool
    first_fit: float | None
    method: str
    note: str


def cut(items: Sequence[float], offers: Sequence[Offer], kerf: float, trim: float = 0.0, effort: int = 2000) -> Cutting:
    """Boards for items of the given lengths (mm), with a kerf between two items and a trim off each board (mm).

    Items fit a board when they, the kerfs between them and the trim are no longer than it by more than
    DUST. With no effort the cutting is by first-fit decreasing and the bound by length alone.

    Raises:
        ValueError: where a length or cost is no usable number, an item fits no offer, the limited offers
            cannot hold all items, or no cutting was found with the effort given.

    """
    _check(items, offers, kerf, trim)
    if not items:
        return Cutting((), 0.0, 0.0, True, 0.0, "first fit", "")
    task = _task(items, offers, kerf, trim)
    held = sum(min(most, len(items)) * max(0.0, room) for most, room in zip(task.most, task.rooms, strict=True))
    if held < sum(size * len(group) for size, group in zip(task.sizes, task.members, strict=True)):
        raise ValueError("the boards on offer are together shorter than the items")
    sizes = [length + kerf for length in items]
    fitted = _first_fit(task, sizes)
    unit = granularity(task.costs)
    bound, method, note = _by_length(task), "first fit", ""
    trials = [fitted] if fitted else []
    if effort > 0:
        seeds = [_counted(task, group, offer) for offer, group in fitted] if fitted else []
        try:
            found = exact.solve(task, seeds, unit, bound, effort)
        except columns.SolverError as error:
            note = f"cut by first fit: {error}"
        else:
            if found.infeasible:
                raise ValueError("the boards on offer cannot hold all items")
            bound, method, note = max(bound, found.bound), found.method, found.note
            trials += [
                assigned
                for taken in found.trials
                if (assigned := _assigned(task, sizes, _dealt(task, [counts for _, counts in taken])))
            ]
    if not trials:
        raise ValueError(f"no cutting was found that the limited boards hold{': ' * bool(note)}{note}")
    best = min(trials, key=lambda trial: (round(_cost(task, trial), 6), len(trial)))
    best = _with_longer_offcuts(task, sizes, best)
    cost = _cost(task, best)
    bound = min(cost, raised(bound, unit))
    boards = sorted(
        ((offer, tuple(sorted(group, key=lambda item: (-round(items[item], 6), item)))) for offer, group in best),
        key=lambda board: (-offers[board[0]].length, board[1], board[0]),
    )
    return Cutting(
        tuple(boards),
        cost,
        bound,
        cost - bound <= 1e-6 * max(1.0, cost),
        _cost(task, fitted) if fitted else None,
        method,
        note,
    )


def granularity(costs: Sequence[float]) -> float:
    """Greatest amount that all costs are whole multiples of, down to a thousandth; 0 where there is none."""
    whole = [round(cost * 1000) for cost in costs]
    if any(abs(cost * 1000 - number) > 1e-6 for cost, number in zip(costs, whole, strict=True)):
        return 0.0
    return math.gcd(*whole) / 1000


def raised(bound: float, unit: float) -> float:
    """A bound raised to the next cost that boards can come to."""
    return math.ceil(bound / unit - 1e-6) * unit if unit else bound


def _check(items: Sequence[float], offers: Sequence[Offer], kerf: float, trim: float) -> None:
    numbers = [*items, kerf, trim, *(offer.length for offer in offers), *(offer.cost for offer in offers)]
    if not all(math.isfinite(number) and number >= 0.0 for number in numbers) or not all(items):
        raise ValueError("lengths of items must be more than 0, and no length, kerf, trim or cost less than 0")
    if any(offer.most is not None and offer.most < 0 for offer in offers):
        raise ValueError("of an offer there cannot be fewer than no boards")
    longest = max((offer.length for offer in offers if offer.most != 0), default=0.0)
    for length in items:
        if length + trim > longest + DUST:
            raise ValueError(f"an item of {length:g} mm fits no board on offer: the longest is {longest:g} mm")


def _task(items: Sequence[float], offers: Sequence[Offer], kerf: float, trim: float) -> Task:
    groups = kinds(items)
    total = len(items)
    return Task(
        tuple(max(items[index] for index in group) + kerf for group in groups),
        tuple(len(group) for group in groups),
        groups,
        tuple(offer.length + kerf - trim + DUST for offer in offers),
        tuple(offer.cost for offer in offers),
        # a board too short for its trim holds nothing
        tuple(
            0 if offer.length < trim else total if offer.most is None else min(offer.most, total) for offer in offers
        ),
        tuple(offer.most is not None and offer.most < total for offer in offers),
    )


Boards = list[tuple[int, list[int]]]
"""Boards as an offer and its items."""


def _cost(task: Task, boards: Boards) -> float:
    return math.fsum(task.costs[offer] for offer, _ in boards)


def _first_fit(task: Task, sizes: Sequence[float]) -> Boards | None:
    """Least of first-fit decreasing on every offer, each board then shortened to the cheapest that holds it.

    Where an offer is limited or too short the next by cost for its length is opened, with and without
    using the limited boards first.
    """
    offers = [offer for offer in range(len(task.rooms)) if task.most[offer]]
    rated = sorted(offers, key=lambda o: (task.costs[o] / max(task.rooms[o], 1.0), -task.rooms[o], o))
    limited = sorted((o for o in offers if task.limited[o]), key=lambda o: (-task.rooms[o], o))
    orders = [[first, *rated] for first in offers]
    if limited:
        orders += [[*limited, first, *rated] for first in offers] + [limited[::-1] + rated]
    trials = []
    for order in dict.fromkeys(tuple(dict.fromkeys(order)) for order in orders):
        groups = _packed(task, sizes, order)
        if groups is not None and (boards := _assigned(task, sizes, groups)):
            trials.append(boards)
    return min(trials, key=lambda trial: (round(_cost(task, trial), 6), len(trial)), default=None)


def _packed(task: Task, sizes: Sequence[float], order: Sequence[int]) -> Groups | None:
    left = list(task.most)
    groups: Groups = []
    rooms: list[float] = []
    for kind, members in enumerate(task.members):
        size, place = task.sizes[kind], 0
        for item in members:
            # equal pieces never fit an earlier board than the one before
            while place < len(rooms) and rooms[place] < size:
                place += 1
            if place == len(rooms):
                offer = next((offer for offer in order if left[offer] and task.rooms[offer] >= size), None)
                if offer is None:
                    return None
                left[offer] -= 1
                groups.append([])
                rooms.append(task.rooms[offer])
            groups[place].append(item)
            rooms[place] -= size
    return groups


def _assigned(task: Task, sizes: Sequence[float], groups: Groups) -> Boards | None:
    """Groups on offers at least cost: the longest first, each on the cheapest that is left and holds it.

    What holds a longer group holds a shorter one, so that this is the least; of equal costs the shortest
    is taken, and longer boards stay whole.
    """
    left = list(task.most)
    boards: Boards = []
    order = sorted(range(len(task.rooms)), key=lambda o: (task.costs[o], task.rooms[o], o))
    for need, group in sorted(((math.fsum(sizes[item] for item in group), group) for group in groups), reverse=True):
        offer = next((offer for offer in order if left[offer] and task.rooms[offer] >= need), None)
        if offer is None:
            return None
        left[offer] -= 1
        boards.append((offer, group))
    return boards


def _counted(task: Task, group: Sequence[int], offer: int) -> Pattern:
    """A board's items as a pattern."""
    inside = set(group)
    counts = ((kind, len(inside.intersection(members))) for kind, members in enumerate(task.members))
    return offer, tuple((kind, count) for kind, count in counts if count)


def _dealt(task: Task, taken: Sequence[tuple[tuple[int, int], ...]]) -> Groups:
    """Items dealt to patterns, kind by kind; patterns may hold more than there are."""
    left = [list(reversed(members)) for members in task.members]
    groups: Groups = []
    for counts in sorted(taken):
        group = [left[kind].pop() for kind, count in counts for _ in range(min(count, len(left[kind])))]
        if group:
            groups.append(group)
    return groups


def _by_length(task: Task) -> float:
    """Cost of the cheapest length of board that all pieces take up: a bound on the cost."""
    need = math.fsum(size * wanted for size, wanted in zip(task.sizes, task.wanted, strict=True))
    total = 0.0
    usable = [offer for offer, room in enumerate(task.rooms) if room > 0.0]
    for offer in sorted(usable, key=lambda o: task.costs[o] / task.rooms[o]):
        room = min(need, task.rooms[offer] * task.most[offer] if task.limited[offer] else need)
        total += task.costs[offer] * room / task.rooms[offer]
        need -= room
    return total


def _with_longer_offcuts(task: Task, sizes: Sequence[float], boards: Boards) -> Boards:
    """The boards with pieces moved from one to a fuller one, or changed for shorter ones there, while that helps.

    What is moved makes the fuller board fuller: the sum of squares of what is left grows each time, so
    that it ends; after CHECKS pairs it ends in any case. A board emptied on the way is left away.
    """
    groups = [sorted(group) for _, group in boards]
    left = [task.rooms[offer] - math.fsum(sizes[item] for item in group) for offer, group in boards]
    checks, again = CHECKS, True
    while again:
        again = False
        for a in range(len(groups)):
            for b in range(len(groups)):
                if a == b or left[b] < 1e-3:
                    continue
                checks -= len(groups[a]) * (len(groups[b]) + 1)
                if checks < 0:
                    again = False
                    break
                move = _move(sizes, groups[a], groups[b], left[a], left[b])
                if move:
                    item, other = move
                    gone = sizes[item] - (sizes[other] if other is not None else 0.0)
                    groups[a] = [i for i in groups[a] if i != item] + ([] if other is None else [other])
                    groups[b] = [i for i in groups[b] if i != other] + [item]
                    left[a] += gone
                    left[b] -= gone
                    again = True
            if checks < 0:
                break
    return _assigned(task, sizes, [group for group in groups if group]) or boards


def _move(
    sizes: Sequence[float], a: Sequence[int], b: Sequence[int], left_a: float, left_b: float
) -> tuple[int, int | None] | None:
    """The longest net move from board a to board b that makes the sum of squares greater, if there is one."""
    best: tuple[float, int, int | None] | None = None
    for item in a:
        for other in (None, *b):
            gone = sizes[item] - (sizes[other] if other is not None else 0.0)
            if 1e-3 < gone <= left_b and left_a + gone > left_b + 1e-3 and (best is None or gone > best[0] + 1e-6):
                best = (gone, item, other)
    return best and best[1:]
