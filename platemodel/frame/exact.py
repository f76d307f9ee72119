"""The least cost of a cutting and its proof: all patterns listed where they are few, columns elsewhere."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame import patterns as pat
from platemodel.frame.columns import LISTED, PLAIN, SMALL, STEPS, Relaxed, clipped, dive, nearest, relax, whole
from platemodel.frame.covering import cover
from platemodel.frame.patterns import EffortSpentError, Pattern, Task

FEW = 40
"""Most pieces that are searched before a program is asked."""
MANY = 200
"""Most pieces for which a program is asked for fewer boards."""
HEAVY = 3000
"""Most patterns that many pieces are cut by in an exact program."""
SEARCHED = 100
"""Steps of that search per unit of effort."""


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
    plain = _listed(task, None, None, PLAIN, min(effort * STEPS, 20 * PLAIN))
    if plain is not None:
        return _decided(task, plain, known, unit, scale, bound, True, "patterns", effort)
    relaxed = relax(task, seeds, scale, effort, effort * STEPS)
    bound = max(bound, relaxed.bound)
    cost = _least(task, known)
    if cost is None or not _reached(cost, bound, unit):
        for small in SMALL:
            dived = dive(task, relaxed, scale, small, effort)
            if dived is not None:
                known.append(tuple(dived))
                cost = _least(task, known)
            if cost is not None and _reached(cost, bound, unit):
                break
    columns = None
    if cost is not None:
        columns = _listed(task, relaxed, cost, LISTED, effort * STEPS)
    # a program over very many patterns of many pieces may take minutes before its first node
    if columns is not None and len(columns) > HEAVY and sum(task.wanted) > FEW:
        columns = None
    complete = columns is not None
    if columns is None:
        columns = nearest(relaxed, clipped(task, [*relaxed.columns, *seeds]))
    return _decided(task, columns, known, unit, scale, bound, complete, "columns", effort)


def paid(task: Task, taken: list[Pattern] | tuple[Pattern, ...]) -> float:
    """Cost of boards."""
    return math.fsum(task.costs[offer] for offer, _ in taken)


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
            found = cover(task, columns, asked, sum(task.wanted), left)
            if found is None and cost is None:
                return Found((), bound, method, "", True)
            if found is None:
                bound = max(bound, cost - step + (unit or 0.0) if cost is not None else bound)
                break
            trials.append(tuple(found))
            cost = _least(task, trials)
    except EffortSpentError:
        pass
    if cost is None or not _reached(cost, bound, unit):
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
        done = _fewest(task, columns, trials, cost, scale, effort, complete)
        if not done and not note:
            note = "effort spent before the fewest boards were proved"
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
) -> bool:
    """Add cuttings of that cost with fewer boards; whether there are none with fewer than the last."""
    slack = 1e-6 * max(1.0, cost)
    boards = min(len(taken) for taken in trials if paid(task, taken) <= cost + slack)
    need = math.fsum(size * wanted for size, wanted in zip(task.sizes, task.wanted, strict=True))
    usable = max(room for room, most in zip(task.rooms, task.most, strict=True) if most)
    left = [effort * SEARCHED]
    if sum(task.wanted) <= FEW:
        try:
            while (boards - 1) * usable >= need:
                found = cover(task, columns, cost, boards - 1, left)
                if found is None:
                    break
                trials.append(tuple(found))
                boards = len(found)
        except EffortSpentError:
            pass
        else:
            return True
    elif (boards - 1) * usable < need:
        return True
    if complete and whole(task, columns, scale, 0, 0.0, cost).bound > boards - 1 + 1e-6:
        return True
    if sum(task.wanted) > MANY or not complete:
        return False
    fewest = whole(task, columns, scale, max(1, effort // 4), 0.999, cost)
    if fewest.taken is not None:
        trials.append(fewest.taken)
    return fewest.done
