"""Columns: the linear and whole-number programs over patterns, solved by the open-source library HiGHS.

The linear program asks how many boards to cut by each pattern, parts of boards allowed; its prices
find further patterns until none is worth its board (Gilmore and Gomory, 1961). Its value is a bound on
every cutting; stopped early, prices scaled until no pattern is worth more than its board still give one
(Farley, 1990). Patterns that cost so much at those prices that no better cutting has one are left out,
and the whole-number program over the rest is exact (reduced-cost fixing).
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from platemodel.frame import patterns as pat
from platemodel.frame.patterns import EffortSpentError, Pattern, Task

PLAIN = 2000
"""Most patterns that are simply all listed."""
LISTED = 6000
"""Most patterns that are listed by what they cost too much."""
GIVEN = 1500
"""Most patterns that a whole-number program is given where it cannot prove anything."""
STEPS = 400
"""Steps of a search for patterns per unit of effort."""
EACH_ROUND = 400
"""Most columns added in a round."""
SMALL = (24, 32)
"""Pieces left over by rounding that a program of their own cuts; the next where the first falls short."""


BIG = 200
"""Pieces above which a rounding takes more boards at once, and its programs fewer rounds."""
SMOOTH = 0.7
"""Part of the best prices so far in those that patterns are sought with."""


class SolverError(Exception):
    """The solver is missing, or fails."""


@dataclass(frozen=True)
class Relaxed:
    """Linear program solved: prices of kinds, charges of offers, bound on the cost, columns and their parts."""

    prices: tuple[float, ...]
    charges: tuple[float, ...]
    bound: float
    columns: tuple[Pattern, ...]
    parts: tuple[float, ...]


def _solver() -> tuple[Any, Any]:
    try:
        import highspy
    except ImportError as error:
        raise SolverError("the solver is not installed") from error

    # the library brings no types, so its class is Any to the checker
    class Quiet(highspy.Highs):  # type: ignore[misc]
        """The solver, told to be quiet before its first words."""

        def enableCallbacks(self) -> None:  # noqa: N802
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()

    model = Quiet()
    # one thread, one seed and no clock: the same cutting on every machine
    for name, value in (
        ("output_flag", False),
        ("threads", 1),
        ("parallel", "off"),
        ("random_seed", 1),
        ("mip_rel_gap", 0.0),
    ):
        model.setOptionValue(name, value)
    return highspy, model


class Master:
    """Linear or whole-number program over patterns, to which columns are added."""

    def __init__(self, task: Task, unit: float) -> None:
        self.library, self.model = _solver()
        self.task, self.unit = task, unit
        self.limits = [offer for offer in range(len(task.rooms)) if task.limited[offer]]
        infinite = self.library.kHighsInf
        for wanted in task.wanted:
            self.model.addRow(float(wanted), infinite, 0, [], [])
        for offer in self.limits:
            self.model.addRow(-infinite, float(task.most[offer]), 0, [], [])
        self.columns: list[Pattern] = []
        self.known: set[Pattern] = set()
        self.spare = 0

    def stand_in(self) -> None:
        """Columns at a forbidding price, so that the linear program always has an answer."""
        dearest = 1.0 + 3.0 * max(self.task.costs) / self.unit
        # added columns leave a primal answer as it is
        self.model.setOptionValue("simplex_strategy", 4)
        for kind in range(len(self.task.sizes)):
            self.model.addCol(dearest, 0.0, self.library.kHighsInf, 1, [kind], [1.0])
        self.spare = len(self.task.sizes)

    def add(self, found: Iterable[Pattern], whole: bool = False) -> int:
        """Add the patterns that are new, and say how many."""
        before = len(self.columns)
        for offer, counts in found:
            if (offer, counts) in self.known or not self.task.most[offer]:
                continue
            self.known.add((offer, counts))
            self.columns.append((offer, counts))
            rows = [kind for kind, _ in counts]
            values = [float(count) for _, count in counts]
            if offer in self.limits:
                rows.append(len(self.task.sizes) + self.limits.index(offer))
                values.append(1.0)
            most = float(self.task.most[offer]) if whole else self.library.kHighsInf
            self.model.addCol(self.task.costs[offer] / self.unit, 0.0, most, len(rows), rows, values)
        if whole:
            number = len(self.columns)
            kind = self.library.HighsVarType.kInteger
            self.model.changeColsIntegrality(number, list(range(number)), [kind] * number)
        return len(self.columns) - before

    def run(self) -> Any:
        """Solve, and give the model's status; SolverError where the solver fails."""
        if self.model.run() == self.library.HighsStatus.kError:
            raise SolverError("the solver failed")
        return self.model.getModelStatus()

    def value(self) -> float:
        """Value of the program solved last, in its own units."""
        return float(self.model.getInfo().objective_function_value)

    def prices(self) -> tuple[list[float], list[float], list[float]]:
        """Prices of kinds, charges of offers and parts of columns."""
        if self.run() != self.library.HighsModelStatus.kOptimal:
            raise SolverError("the solver found no optimum of a linear program")
        solution = self.model.getSolution()
        duals = [dual * self.unit for dual in solution.row_dual]
        kinds = len(self.task.sizes)
        charges = list(self.task.costs)
        for offer, dual in zip(self.limits, duals[kinds:], strict=True):
            charges[offer] -= min(0.0, dual)
        return [max(0.0, dual) for dual in duals[:kinds]], charges, list(solution.col_value)[self.spare :]


def relax(
    task: Task, seeds: Iterable[Pattern], unit: float, rounds: int, steps: int, near: float = 0.0, far: int = 0
) -> Relaxed:
    """The linear program, columns added until none prices out or the rounds are spent.

    They are also enough where the bound is as near to the program's value as ``near``, a part of it, after
    ``far`` rounds.
    """
    on = pat.grid(task)
    master = Master(task, unit)
    master.stand_in()
    master.add(seeds)
    best = even(task)
    for turn in itertools.count(1):
        prices, charges, parts = master.prices()
        found: list[Pattern] = []
        if max(task.most) and best.bound > 0.0:
            # prices between the best so far and the newest swing less, and fewer rounds do
            between = [SMOOTH * old + (1.0 - SMOOTH) * new for old, new in zip(best.prices, prices, strict=True)]
            charged = [SMOOTH * old + (1.0 - SMOOTH) * new for old, new in zip(best.charges, charges, strict=True)]
            worth = pat.table(task, on, between)
            found = pat.dear(task, on, worth, between, charged, EACH_ROUND)
            best = _better(best, _bounded(task, between, charged, [float(worth[0, room]) for room in on.rooms]))
        if not found:
            worth = pat.table(task, on, prices)
            found = pat.dear(task, on, worth, prices, charges, EACH_ROUND)
            worths = [float(worth[0, room]) for room in on.rooms]
            if not found and not on.exact:
                try:
                    found = pat.some(task, on, worth, prices, charges, EACH_ROUND, steps)
                    if not found:
                        worths = [charge + pat.slack(charge) for charge in charges]
                except EffortSpentError:
                    pass
            best = _better(best, _bounded(task, prices, charges, worths))
        columns = tuple(master.columns)
        value = master.value() * unit
        enough = near and turn >= far and value - best.bound <= near * value
        if enough or not master.add(found) or turn >= rounds:
            return dataclasses.replace(best, columns=columns, parts=tuple(parts))
    raise AssertionError


def even(task: Task) -> Relaxed:
    """Prices by length, as cheap as the cheapest length of board."""
    usable = [offer for offer, most in enumerate(task.most) if most and task.rooms[offer] > 0.0]
    rate = min((task.costs[offer] / task.rooms[offer] for offer in usable), default=0.0)
    return _bounded(task, [rate * size for size in task.sizes], task.costs, [rate * room for room in task.rooms])


def _better(old: Relaxed, new: Relaxed) -> Relaxed:
    """The one with the greater bound, the newer of two as good."""
    return new if new.bound >= old.bound else old


def _bounded(task: Task, prices: Sequence[float], charges: Sequence[float], worths: Sequence[float]) -> Relaxed:
    """Prices at which no pattern is worth more than its offer's charge, and the bound they give.

    ``worths`` says what a pattern of each offer is worth at most. Prices are scaled down until unlimited
    offers are worth their boards; a limited offer's board may be worth more than it costs, and so much
    is saved at most with each there is.
    """
    scale = 1.0
    for offer, worth in enumerate(worths):
        if not task.limited[offer] and task.most[offer] and worth > charges[offer]:
            scale = min(scale, charges[offer] / worth)
    saved = [
        max(0.0, scale * worth - cost) if limit else 0.0
        for worth, cost, limit in zip(worths, task.costs, task.limited, strict=True)
    ]
    scaled = tuple(scale * price for price in prices)
    total = math.fsum(price * wanted for price, wanted in zip(scaled, task.wanted, strict=True))
    total -= math.fsum(most * gain for most, gain in zip(task.most, saved, strict=True))
    return Relaxed(scaled, tuple(cost + gain for cost, gain in zip(task.costs, saved, strict=True)), total, (), ())


@dataclass(frozen=True)
class Whole:
    """Whole-number program: boards by pattern (None where none was found), proved bound in its own units, done."""

    taken: tuple[Pattern, ...] | None
    bound: float
    done: bool
    infeasible: bool


def whole(
    task: Task,
    columns: Sequence[Pattern],
    unit: float,
    nodes: int,
    gap: float,
    cost: float | None = None,
    most: float | None = None,
) -> Whole:
    """Least cost over patterns, or with the cost fixed the fewest boards; the bound is in money or boards.

    ``most`` is what the cutting may cost where its cost is not fixed.

    With no nodes parts of boards are allowed: only the bound is of use then.
    """
    master = Master(task, unit)
    master.add(columns, whole=nodes > 0)
    model, library = master.model, master.library
    number = len(columns)
    ceiling = most if cost is None else cost
    if ceiling is not None:
        money = [task.costs[offer] / unit for offer, _ in columns]
        some = [index for index in range(number) if money[index]]
        model.addRow(-library.kHighsInf, ceiling / unit + 1e-6, len(some), some, [money[index] for index in some])
    if cost is not None:
        model.changeColsCost(number, list(range(number)), [1.0] * number)
        unit = 1.0
    model.setOptionValue("mip_max_nodes", nodes)
    model.setOptionValue("mip_max_stall_nodes", nodes)
    model.setOptionValue("mip_abs_gap", gap)
    status = master.run()
    if not nodes:
        value = model.getInfo().objective_function_value if status == library.HighsModelStatus.kOptimal else 0.0
        return Whole(None, value * unit, False, False)
    infeasible = status == library.HighsModelStatus.kInfeasible
    info = model.getInfo()
    done = status == library.HighsModelStatus.kOptimal
    bound = info.mip_dual_bound * unit
    if infeasible or info.primal_solution_status != library.SolutionStatus.kSolutionStatusFeasible:
        return Whole(None, bound, infeasible, infeasible)
    values = model.getSolution().col_value
    taken: list[Pattern] = []
    for pattern, value in zip(columns, values, strict=True):
        taken += [pattern] * round(value)
    return Whole(tuple(taken), bound, done, False)


def dive(task: Task, first: Relaxed, unit: float, small: int, effort: int) -> list[Pattern] | None:
    """A cutting by rounding: whole boards of the linear program are cut, and the rest is solved anew."""
    taken: list[Pattern] = []
    left, relaxed = task, first
    while sum(left.wanted) > small:
        order = sorted(
            range(len(relaxed.parts)),
            key=lambda index: (-round(relaxed.parts[index], 6), -_used(left, relaxed.columns[index][1]), index),
        )
        before, pieces = len(taken), sum(left.wanted)
        big = pieces > BIG
        for index in order:
            pattern, part = relaxed.columns[index], relaxed.parts[index]
            if part < 1e-6 or (sum(left.wanted) < (0.6 if big else 0.85) * pieces and part < 0.999):
                break
            while part > 0.3 and _within(left, pattern):
                left, part = _less(left, pattern), part - 1.0
                taken.append(pattern)
        if len(taken) == before:
            usable = [index for index in order if _within(left, relaxed.columns[index])]
            if not usable or relaxed.parts[usable[0]] < 1e-6:
                break
            pattern = relaxed.columns[usable[0]]
            left = _less(left, pattern)
            taken.append(pattern)
        seeds = list(clipped(left, relaxed.columns))
        relaxed = relax(left, seeds, unit, max(1, min(5 if big else 15, effort // 20)), effort)
    if sum(left.wanted):
        rest = whole(left, nearest(relaxed, clipped(left, relaxed.columns)), unit, max(1, effort // 20), 0.999)
        if rest.taken is None:
            return None
        taken += rest.taken
    return taken


def _used(task: Task, counts: Iterable[tuple[int, int]]) -> float:
    return sum(task.sizes[kind] * count for kind, count in counts)


def _within(task: Task, pattern: Pattern) -> bool:
    return task.most[pattern[0]] > 0 and all(count <= task.wanted[kind] for kind, count in pattern[1])


def _less(task: Task, pattern: Pattern) -> Task:
    wanted, most = list(task.wanted), list(task.most)
    for kind, count in pattern[1]:
        wanted[kind] -= count
    most[pattern[0]] -= 1
    return dataclasses.replace(task, wanted=tuple(wanted), most=tuple(most))


def clipped(task: Task, columns: Iterable[Pattern]) -> Iterable[Pattern]:
    """Patterns without pieces that are no longer wanted, on the cheapest offer that is left and holds them."""
    found: dict[Pattern, None] = {}
    for offer, counts in columns:
        fewer = tuple((kind, min(count, task.wanted[kind])) for kind, count in counts if task.wanted[kind])
        if not fewer:
            continue
        used = _used(task, fewer)
        for other in range(len(task.rooms)):
            if (
                task.most[other]
                and used <= task.rooms[other]
                and (other == offer or task.costs[other] < task.costs[offer])
            ):
                found[(other, fewer)] = None
    return found


def nearest(relaxed: Relaxed, columns: Iterable[Pattern]) -> list[Pattern]:
    """The columns that cost least too much at the prices, as many as a whole-number program is given."""

    def over(pattern: Pattern) -> float:
        return relaxed.charges[pattern[0]] - sum(relaxed.prices[kind] * count for kind, count in pattern[1])

    return sorted(sorted(columns, key=lambda pattern: (round(over(pattern), 6), pattern))[:GIVEN])
