"""The least cost of a cutting and its proof: all patterns listed where they are few, columns elsewhere."""

from __future__ import annotations

import math
from dataclasses import dataclass

from platemodel.frame import patterns as pat
from platemodel.frame.columns import LISTED, PLAIN, STEPS, Relaxed, clipped, dive, relax, whole
from platemodel.frame.patterns import EffortSpentError, Pattern, Task


@dataclass(frozen=True)
class Found:
    """Cuttings found as boards by pattern, which may hold more than is wanted; what is proved, and how."""

    trials: tuple[tuple[Pattern, ...], ...]
    bound: float
    method: str
    note: str
    infeasible: bool = False


def solve(task: Task, seeds: list[Pattern], cost: float | None, unit: float, bound: float, effort: int) -> Found:
    """Cuttings cheaper than ``cost``, or as cheap with fewer boards, and a bound on the cost.

    ``unit`` is what all costs are whole multiples of, 0 where there is no such amount; ``bound`` a bound
    that is known.

    Raises:
        SolverError: where the solver is missing or fails.

    """
    scale = unit or max(task.costs) or 1.0
    plain = _listed(task, None, None, PLAIN, effort)
    if plain is not None:
        return _decided(task, plain, [], cost, unit, scale, bound, True, "patterns", effort)
    relaxed = relax(task, seeds, scale, effort, effort * STEPS)
    bound = max(bound, relaxed.bound)
    trials = []
    if cost is None or not _reached(cost, bound, unit):
        dived = dive(task, relaxed, scale, effort)
        if dived is not None:
            trials.append(tuple(dived))
            dived_cost = paid(task, dived)
            cost = dived_cost if cost is None else min(cost, dived_cost)
    columns = None
    if cost is not None:
        columns = _listed(task, relaxed, cost, LISTED, effort)
    complete = columns is not None
    if columns is None:
        columns = sorted(clipped(task, [*relaxed.columns, *seeds]))
    if len(columns) > LISTED:
        columns = _nearest(relaxed, columns)
    return _decided(task, columns, trials, cost, unit, scale, bound, complete, "columns", effort)


def paid(task: Task, taken: list[Pattern] | tuple[Pattern, ...]) -> float:
    """Cost of boards."""
    return math.fsum(task.costs[offer] for offer, _ in taken)


def _reached(cost: float, bound: float, unit: float) -> bool:
    """Whether no cost below ``cost`` can be had."""
    return cost - bound < (unit * (1.0 - 1e-6) if unit else 1e-6 * max(1.0, cost))


def _listed(task: Task, relaxed: Relaxed | None, cost: float | None, most: int, effort: int) -> list[Pattern] | None:
    """All patterns, or all that a cutting no dearer than ``cost`` may have; None where they are too many."""
    on = pat.grid(task)
    prices = relaxed.prices if relaxed else (0.0,) * len(task.sizes)
    least = [0.0] * len(task.rooms)
    if relaxed and cost is not None:
        # a pattern worth less than its charge costs that much more than the bound
        gap = cost - relaxed.bound + 1e-6 * max(1.0, cost)
        least = [charge - gap for charge in relaxed.charges]
    try:
        return pat.every(task, on, pat.table(task, on, prices), prices, least, most, effort * STEPS)
    except EffortSpentError:
        return None


def _nearest(relaxed: Relaxed, columns: list[Pattern]) -> list[Pattern]:
    """As many columns as a whole-number program is given, the least overpriced first."""

    def over(pattern: Pattern) -> float:
        return relaxed.charges[pattern[0]] - sum(relaxed.prices[kind] * count for kind, count in pattern[1])

    return sorted(sorted(columns, key=lambda pattern: (round(over(pattern), 6), pattern))[:LISTED])


def _decided(
    task: Task,
    columns: list[Pattern],
    trials: list[tuple[Pattern, ...]],
    cost: float | None,
    unit: float,
    scale: float,
    bound: float,
    complete: bool,
    method: str,
    effort: int,
) -> Found:
    """Whole-number programs over the columns: least cost, then with that cost the fewest boards."""
    note = ""
    if cost is None or not _reached(cost, bound, unit):
        gap = 0.999 if unit else 1e-7
        least = whole(task, columns, scale, effort, gap)
        if least.infeasible and complete and cost is None:
            return Found((), bound, method, "", True)
        if least.taken is not None:
            trials.append(least.taken)
            paid_now = paid(task, least.taken)
            cost = paid_now if cost is None else min(cost, paid_now)
        if complete:
            bound = max(bound, min(least.bound, cost if cost is not None else least.bound))
            if least.done and cost is not None:
                bound = max(bound, cost - (0.0 if unit else 1e-6 * max(1.0, cost)))
        if cost is None or not _reached(cost, bound, unit):
            note = "effort spent before the least cost was proved"
    if cost is not None and len(set(task.costs)) > 1 and len(columns) <= LISTED:
        fewest = whole(task, columns, scale, effort, 0.999, cost)
        if fewest.taken is not None:
            trials.append(fewest.taken)
        if not fewest.done and not note:
            note = "effort spent before the fewest boards were proved"
    return Found(tuple(trials), bound, method, note)
