"""Placing splices: all runs of a frame together, the ways to lengthen them, and which of these are taken.

What boards come to decides first, where splices of neighbouring runs need not stand apart; then how many boards
are taken, how many of them leave nothing to square their ends, and how many kinds of piece there are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.faults import Fault
from platemodel.frame.laps import Lap, sides_by_run, splice_lap
from platemodel.frame.runs import Run, on_run, run_at
from platemodel.frame.saving import Choice, choose, fewer, least_cost, wished_lengths
from platemodel.frame.splices import MOST_WAYS, Ground, Stretch
from platemodel.frame.staggering import Splice, Staggering
from platemodel.plan.values import Plan, Stock

ALL_WAYS = 12_000
"""Ways to lengthen runs that are looked at in all."""


@dataclass(frozen=True)
class Group:
    """The runs of one plate width (mm): the lengths of pieces that stand as they are, and the stretches that are free.

    ``stock`` holds the yard's boards of that width alone; ``loose`` are stretches with their runs.
    """

    width: float
    stock: Stock
    standing: tuple[float, ...]
    loose: tuple[tuple[int, Stretch], ...]

    def splices(self, taken: Choice) -> list[Splice]:
        """The splices of the ways that are taken, in the order of the stretches."""
        return [(run, at) for (run, stretch), way in zip(self.loose, taken, strict=True) for at in stretch.ways[way]]


@dataclass(frozen=True)
class Placing:
    """The runs of a frame as their splices find them; ``bounds`` say what the boards of each width come to at least."""

    plan: Plan
    lines: Sequence[Run]
    fixed: Sequence[Lap]
    grounds: tuple[Ground, ...]
    groups: tuple[Group, ...]
    staggering: Staggering
    bounds: dict[float, float]

    @staticmethod
    def of(plan: Plan, lines: Sequence[Run], fixed: Sequence[Lap]) -> tuple[Placing, list[Fault]]:
        """Read the runs; ``fixed`` are the laps that are no splices. With faults nothing may be placed."""
        asked, faults = _asked(plan, lines)
        sides = [[side for side, _ in some] for some in sides_by_run(fixed, len(lines))]
        grounds: list[Ground] = []
        plain: list[list[Stretch]] = []
        for index, run in enumerate(lines):
            ground, more = Ground.of(plan, run, sides[index], asked.get(index, []))
            some, stuck = ground.stretches() if not more else ([], [])
            grounds.append(ground)
            plain.append(some)
            faults += more + stuck
        groups = [] if faults else _groups(plan, lines, plain)
        staggering = Staggering.of(lines, plan.lap.stagger)
        bounds = {
            group.width: least_cost(group.standing, [one for _, one in group.loose], group.stock) for group in groups
        }
        return Placing(plan, lines, fixed, tuple(grounds), tuple(groups), staggering, bounds), faults

    @property
    def free(self) -> bool:
        """Whether any splice may be placed one way or another."""
        stock = self.plan.stock
        chosen = bool(stock.effort) and not stock.ready
        return any(group.loose for group in self.groups) and (chosen or bool(self.plan.lap.stagger))

    def options(self, alike: bool) -> tuple[Group, ...]:
        """The same groups with every way to lengthen that is looked at.

        ``alike``: pieces of one run that are as long as each other are looked at too.
        """
        return tuple(self._options(group, alike) for group in self.groups)

    def _options(self, group: Group, alike: bool) -> Group:
        wished = wished_lengths(group.stock, group.standing)
        if not group.loose or not (wished or self.plan.lap.stagger):
            return group
        runs = list(dict.fromkeys(run for run, _ in group.loose))
        most = max(8, min(MOST_WAYS, ALL_WAYS // len(runs)))
        loose = [
            (run, stretch)
            for run in runs
            for stretch in self.grounds[run].stretches(wished, alike, most)[0]
            if stretch.ways != ((),)
        ]
        return Group(group.width, group.stock, group.standing, tuple(loose))

    def chosen(self, groups: Sequence[Group]) -> list[Choice]:
        """For each group the ways to take."""
        placed = self._asked_for()
        found = []
        for group in groups:
            taken = choose(group.standing, [one for _, one in group.loose], group.stock, self._clashing(group, placed))
            found.append(taken)
            placed += group.splices(taken)
        return found

    @staticmethod
    def among(
        many: Sequence[Group], groups: Sequence[Group], taken: Sequence[Choice]
    ) -> tuple[Sequence[Group], Sequence[Choice], bool]:
        """The ways that are taken as ways of groups with more to choose from, and whether they are all there.

        Where one is not, they stay as they are.
        """
        found = []
        for more, group, choice in zip(many, groups, taken, strict=True):
            ways = [stretch.ways[way] for (_, stretch), way in zip(group.loose, choice, strict=True)]
            there = [stretch.ways for _, stretch in more.loose]
            if any(way not in some for way, some in zip(ways, there, strict=True)):
                return groups, taken, False
            found.append([some.index(way) for way, some in zip(ways, there, strict=True)])
        return many, found, True

    def fewer(
        self, groups: Sequence[Group], taken: Sequence[Choice], kinds: Callable[[Sequence[Choice]], int]
    ) -> tuple[list[Choice], bool]:
        """Ways that cost no more and give the fewest kinds of piece, and whether every such way was looked at.

        ``kinds`` counts the kinds of piece that ways give.
        """
        found, every = list(taken), True
        for number, group in enumerate(groups):
            placed = self._asked_for()
            for other, way in zip(groups, found, strict=True):
                placed += other.splices(way) if other is not group else []

            def counted(choice: Choice, number: int = number) -> int:
                return kinds([*found[:number], choice, *found[number + 1 :]])

            some = [one for _, one in group.loose]
            clashing = self._clashing(group, placed)
            found[number], looked = fewer(group.standing, some, group.stock, found[number], counted, clashing)
            every = every and looked
        # widths were looked at one after the other
        return found, every and sum(bool(group.loose) for group in groups) <= 1

    def laps(self, groups: Sequence[Group], taken: Sequence[Choice]) -> list[Lap]:
        """The fixed laps and, after them, the splices run by run."""
        middles: list[list[float]] = [list(ground.asked) for ground in self.grounds]
        for group, choice in zip(groups, taken, strict=True):
            for run, at in group.splices(choice):
                middles[run].append(at)
        found = list(self.fixed)
        for index, (line, ground) in enumerate(zip(self.lines, self.grounds, strict=True)):
            rules = ground.rules
            found += [splice_lap(index, line, at, rules.length, rules.clearance) for at in sorted(middles[index])]
        return found

    def _asked_for(self) -> list[Splice]:
        return [(run, at) for run, ground in enumerate(self.grounds) for at in ground.asked]

    def _clashing(self, group: Group, placed: Sequence[Splice]) -> Callable[[Choice], int] | None:
        """Counts how many splices stand too near, for the ways that are taken in a group; None where they may."""
        if not self.staggering.pairs:
            return None
        return lambda taken: len(self.staggering.clashes([*placed, *group.splices(taken)]))


def _asked(
    plan: Plan, lines: Sequence[Run]
) -> tuple[dict[int, list[tuple[float, tuple[str | int, ...]]]], list[Fault]]:
    """For each run the splices that the user wants, each with its key path."""
    found: dict[int, list[tuple[float, tuple[str | int, ...]]]] = {}
    faults = []
    for splice in plan.splices:
        index = run_at(plan, lines, splice.wall, splice.at)
        if index is None:
            name = plan.walls[splice.wall].name
            faults.append(
                plan.fault(splice.path, f"no plate lies at {splice.at:g} of '{name}'", "expected a place with one")
            )
        else:
            found.setdefault(index, []).append((on_run(plan, lines[index], splice.wall, splice.at), splice.path))
    return found, faults


def _groups(plan: Plan, lines: Sequence[Run], plain: Sequence[Sequence[Stretch]]) -> list[Group]:
    """Runs by width; each stretch with its first way."""
    found = []
    for width in sorted({run.strip.width for run in lines}):
        here = [
            (index, stretch) for index, run in enumerate(lines) if run.strip.width == width for stretch in plain[index]
        ]
        standing = [length for _, stretch in here if stretch.ways == ((),) for length in stretch.lengths(0)]
        loose = [(index, stretch) for index, stretch in here if stretch.ways != ((),)]
        found.append(Group(width, plan.stock.of_width(width), tuple(standing), tuple(loose)))
    return found
