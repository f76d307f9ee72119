"""The least cost of a cutting and its proof: filled boards, all patterns where they are few, columns elsewhere."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame import patterns as pat
from platemodel.frame.columns import LISTED, PLAIN, SMALL, STEPS, Relaxed, clipped, dive, even, nearest, relax, whole
from platemodel.frame.covering import cover
from platemodel.frame.filling import Filler, choice
from platemodel.frame.patterns import EffortSpentError, Pattern, Task

FEW = 40
"""Most pieces that are searched before a program is asked."""
MANY = 200
"""Most pieces for which a program is asked for fewer boards, or for boards that are filled all but wholly."""
NEAR, FAR = 2e-3, 25
"""How near a bound must be to a linear program's value, as a part, and after how many rounds that is enough."""
CLOSE = 0.005
"""Part of the cost that may be left to the bound where only a program that proves nothing could still help."""
HUGE, ROUNDS = 500, 25
"""Pieces above which what is CLOSE is taken, and a linear program gets no more rounds than that."""
HEAVY = 3000
"""Most patterns that many pieces are cut by in an exact program."""
TIGHT = 4
"""Nodes per unit of effort for a cutting that leaves next to nothing over."""
SEARCHED = 100
"""Steps of that search per unit of effort."""
FILLED = 40
"""Pieces looked at per unit of effort, each time that boards are filled; and one more for every two pieces."""
FILLS = (4, 12, 36)
"""Trials for each choice of boards: a few of each first."""


@dataclass(frozen=True)
class Found:
    """Cuttings found as boards by pattern, which may hold more than is wanted; what is proved, and how."""

    trials: tuple[tuple[Pattern, ...], ...]
    bound: float
    method: str
    note: str
    infeasible: bool = False


def solve(task: Task, seeds: list[Pattern], unit: float, bound: float, effort: int) -> Found:
    """Cuttings at least cost and with the fewest boards, and a bound on the cost.

    ``seeds`` are the boards of a cutting that is known, if there is one; ``unit`` is what all costs are
    whole multiples of, 0 where there is no such amount; ``bound`` is a bound that is known.

    Raises:
        SolverError: where the solver is missing or fails.

    """
    scale = unit or max(task.costs) or 1.0
    known = [tuple(seeds)] if seeds else []
    sure = _Sure(task, unit, paid(task, seeds) if seeds else 1.2 * bound + max(task.costs), effort)
    bound = max(bound, sure.bound)
    if sum(task.wanted) > FEW:
        # where first fit or filled boards reach the bound no pattern need be looked for
        sure.fill(known, bound, bound + unit)
        cost, done = _least(task, known), sure.done(known, bound)
        if done or (cost is not None and _reached(cost, bound, unit) and sum(task.wanted) > MANY):
            note = "" if done else "fewest boards not proved"
            return Found(tuple(known), bound, "filling" if len(known) > bool(seeds) else "first fit", note)
        if sum(task.wanted) > HUGE and cost is not None and _close(task, cost, bound):
            note = f"within {100 * CLOSE:g} % of the bound, which for so many pieces is taken"
            return Found(tuple(known), bound, "filling" if len(known) > bool(seeds) else "first fit", note)
    plain = _listed(task, None, None, PLAIN, min(effort * STEPS, 20 * PLAIN))
    if plain is not None:
        return _decided(task, plain, known, unit, scale, bound, True, "patterns", effort, sure)
    near = NEAR if sum(task.wanted) > MANY else 0.0
    rounds = min(effort, ROUNDS) if sum(task.wanted) > HUGE else effort
    relaxed = relax(task, seeds, scale, rounds, effort * STEPS, near, FAR)
    bound = max(bound, relaxed.bound)
    cost = _least(task, known)
    if cost is None or not _reached(cost, bound, unit):
        sure.fill(known, bound, sure.highest)
        cost = _least(task, known)
    enough = sum(task.wanted) > HUGE and cost is not None and cost - bound <= 2 * CLOSE * cost
    if cost is None or not (_reached(cost, bound, unit) or enough):
        for small in SMALL:
            dived = dive(task, relaxed, scale, small, effort)
            if dived is not None:
                known.append(tuple(dived))
                cost = _least(task, known)
            if cost is not None and (_reached(cost, bound, unit) or _close(task, cost, bound)):
                break
    if cost is not None and unit and sum(task.wanted) <= MANY and not _reached(cost, bound, unit):
        bound = _tight(task, relaxed, known, unit, scale, bound, effort)
        cost = _least(task, known)
    columns = None
    if cost is not None:
        columns = _listed(task, relaxed, cost, LISTED, effort * STEPS)
    # a program over very many patterns of many pieces may take minutes before its first node
    if columns is not None and len(columns) > HEAVY and sum(task.wanted) > FEW:
        columns = None
    complete = columns is not None
    if columns is None:
        columns = nearest(relaxed, clipped(task, [*relaxed.columns, *seeds]))
    return _decided(task, columns, known, unit, scale, bound, complete, "columns", effort, sure)


class _Sure:
    """What length alone says of cost and boards, and cuttings that are as good as that."""

    def __init__(self, task: Task, unit: float, highest: float, effort: int) -> None:
        self.task, self.unit, self.highest = task, unit, highest
        self.choice, self.filler = choice(task, unit, highest), Filler(task)
        self.work = effort * (FILLED + sum(task.wanted) // 2)
        least = self.choice.least()
        self.bound = highest if least is None else min(highest, least)

    def least_boards(self, cost: float) -> int:
        """No cutting at that cost has fewer boards."""
        return self.choice.fewest(cost)

    def fill(self, known: list[tuple[Pattern, ...]], lowest: float, highest: float) -> None:
        """Add the first cuttings found that cost less than those known, or as much with fewer boards."""
        work = self.filler.work + self.work
        for turns in FILLS:
            best = min(((round(paid(self.task, taken), 6), len(taken)) for taken in known), default=None)
            cost, boards = best or (highest, sum(self.task.wanted) + 1)
            if cost < lowest or (cost - lowest < 1e-6 and boards <= self.least_boards(lowest)):
                break
            for chosen in self.choice.likely(lowest, min(cost, highest), boards if cost <= highest else 0, 3):
                taken = self.filler.fill(chosen, turns, work)
                if taken is not None:
                    known.append(tuple(taken))
                    break
                if self.filler.work > work:
                    return

    def done(self, known: Sequence[tuple[Pattern, ...]], bound: float) -> bool:
        """Whether the best that is known costs no more than the bound, on as few boards as can be."""
        cost = _least(self.task, known)
        if cost is None or not _reached(cost, bound, self.unit):
            return False
        return len(set(self.task.costs)) == 1 or any(
            len(taken) <= self.least_boards(cost) and paid(self.task, taken) <= cost + 1e-6 * max(1.0, cost)
            for taken in known
        )


def paid(task: Task, taken: list[Pattern] | tuple[Pattern, ...]) -> float:
    """Cost of boards."""
    return math.fsum(task.costs[offer] for offer, _ in taken)


def _close(task: Task, cost: float, bound: float) -> bool:
    """Whether many pieces cost so little more than the bound that a long program is not worth it."""
    return sum(task.wanted) > FEW and cost - bound <= CLOSE * cost


def _reached(cost: float, bound: float, unit: float) -> bool:
    """Whether no cost below ``cost`` can be had."""
    return cost - bound < (unit * (1.0 - 1e-6) if unit else 1e-6 * max(1.0, cost))


def _listed(task: Task, relaxed: Relaxed | None, cost: float | None, most: int, steps: int) -> list[Pattern] | None:
    """All patterns, or all that a cutting no dearer than ``cost`` may have; None where they are too many."""
    on = pat.grid(task)
    prices = relaxed.prices if relaxed else (0.0,) * len(task.sizes)
    least = [0.0] * len(task.rooms)
    if relaxed and cost is not None:
        # a pattern worth less than its charge costs that much more than the bound
        gap = cost - relaxed.bound + 1e-6 * max(1.0, cost)
        least = [charge - gap for charge in relaxed.charges]
    try:
        return pat.every(task, on, pat.table(task, on, prices), prices, least, most, steps)
    except EffortSpentError:
        return None


def _tight(
    task: Task,
    relaxed: Relaxed,
    known: list[tuple[Pattern, ...]],
    unit: float,
    scale: float,
    bound: float,
    effort: int,
) -> float:
    """Look for a cutting at the least cost that the bound leaves, by the few patterns that such a one may have.

    Where boards would have to be filled all but wholly these are far fewer than those of any better cutting. Adds
    what is found to ``known``; gives the bound, a step higher where there is none.
    """
    least = unit * math.ceil(bound / unit - 1e-6)
    # prices by length leave only boards that are filled, where all have to be; those of the program fewer elsewhere
    priced = (even(task), relaxed)
    columns = next((few for one in priced if (few := _listed(task, one, least, HEAVY, effort * STEPS))), None)
    if columns is None:
        return bound
    found = whole(task, columns, scale, TIGHT * effort, 0.999, most=least)
    if found.taken is not None:
        known.append(found.taken)
    return max(bound, least + unit) if found.infeasible else bound


def _decided(
    task: Task,
    columns: list[Pattern],
    known: Sequence[tuple[Pattern, ...]],
    unit: float,
    scale: float,
    bound: float,
    complete: bool,
    method: str,
    effort: int,
    sure: _Sure,
) -> Found:
    """Least cost over the columns, then with that cost the fewest boards; by search, or by program."""
    trials, note = list(known), ""
    cost = _least(task, trials)
    left = [effort * SEARCHED]
    try:
        while sum(task.wanted) <= FEW and complete and (cost is None or not _reached(cost, bound, unit)):
            # a step less than this cost is asked for, or any cost at all
            step = unit or 5e-7 * max(1.0, cost or 0.0)
            asked = sum(task.wanted) * max(task.costs) if cost is None else cost - step
            found = cover(task, columns, asked, sum(task.wanted), left, step)
            if found is None and cost is None:
                return Found((), bound, method, "", True)
            if found is None:
                bound = max(bound, cost - step + (unit or 0.0) if cost is not None else bound)
                break
            trials.append(tuple(found))
            cost = _least(task, trials)
    except EffortSpentError:
        pass
    if cost is None or not (_reached(cost, bound, unit) or (not complete and _close(task, cost, bound))):
        # where nothing is proved by it the program is not worth all nodes
        nodes = effort if complete else max(1, effort // 20)
        least = whole(task, columns, scale, nodes, 0.999 if unit else 1e-7)
        if least.infeasible and complete and cost is None:
            return Found((), bound, method, "", True)
        if least.taken is not None:
            trials.append(least.taken)
            cost = _least(task, trials)
        if complete and cost is not None:
            proved = cost - (0.0 if unit else 5e-7 * max(1.0, cost))
            bound = max(bound, proved if least.done else min(least.bound, cost))
    if cost is None or not _reached(cost, bound, unit):
        note = "effort spent before the least cost was proved"
    if cost is not None and len(set(task.costs)) > 1:
        done = _fewest(task, columns, trials, cost, scale, effort, complete, sure)
        if not done and not note:
            note = "fewest boards not proved"
    return Found(tuple(trials), bound, method, note)


def _least(task: Task, trials: Sequence[tuple[Pattern, ...]]) -> float | None:
    return min((paid(task, taken) for taken in trials), default=None)


def _fewest(
    task: Task,
    columns: list[Pattern],
    trials: list[tuple[Pattern, ...]],
    cost: float,
    scale: float,
    effort: int,
    complete: bool,
    sure: _Sure,
) -> bool:
    """Add cuttings of that cost with fewer boards; whether there are none with fewer than the last."""
    slack = 1e-6 * max(1.0, cost)
    boards = min(len(taken) for taken in trials if paid(task, taken) <= cost + slack)
    left = [effort * SEARCHED]
    if sum(task.wanted) <= FEW:
        try:
            while boards > sure.least_boards(cost):
                found = cover(task, columns, cost, boards - 1, left)
                if found is None:
                    break
                trials.append(tuple(found))
                boards = len(found)
        except EffortSpentError:
            pass
        else:
            return True
    else:
        sure.fill(trials, cost, cost)
        boards = min(len(taken) for taken in trials if paid(task, taken) <= cost + slack)
        if boards <= sure.least_boards(cost):
            return True
    if complete and whole(task, columns, scale, 0, 0.0, cost).bound > boards - 1 + 1e-6:
        return True
    if sum(task.wanted) > MANY or not complete:
        return False
    fewest = whole(task, columns, scale, max(1, effort // 4), 0.999, cost)
    if fewest.taken is not None:
        trials.append(fewest.taken)
    return fewest.done
