"""Splices: where a run longer than the longest board is lengthened.

Splices keep off other laps (with whole timber of ``apart`` between), off openings and from under
bearings. As few as will do are placed, each as far along as its board reaches, and no piece shorter
than a plate should be where that can be had.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.faults import Fault
from platemodel.frame.bands import wall_strip
from platemodel.frame.laps import Side, run_names
from platemodel.frame.runs import Run, on_run
from platemodel.plan.values import Plan

LEAST_PIECES = (3000.0, 2400.0, 1800.0, 1200.0, 600.0, 0.0)
"""Least plate lengths that are looked for, one after the other, mm: the first of NHBC Standards 2020, 7.2.6."""

MOST_WAYS = 400
"""Ways to lengthen one run that are looked at, fewer where there are many runs."""

DUST = 1e-6
"""Places on a run are told apart down to this (mm)."""

Interval = tuple[float, float]


@dataclass(frozen=True)
class Blocker:
    """A stretch of a run in which no splice's middle may lie, and why (mm along the run)."""

    low: float
    high: float
    why: str


@dataclass(frozen=True)
class Rules:
    """What a run's splices must keep to, mm: overlap, clearance, timber between laps, longest board.

    ``stagger`` is how far they are to stand from those of neighbouring runs where that can be had.
    """

    length: float
    clearance: float
    apart: float
    board: float
    stagger: float = 0.0

    @property
    def half(self) -> float:
        """Half of what a splice takes of the run, its clearance included."""
        return self.length / 2 + self.clearance

    @property
    def pitch(self) -> float:
        """Least distance of two splices' middles."""
        return 2 * self.half + self.apart


def splice_rules(plan: Plan, run: Run) -> Rules:
    """The splice rules for one run, with the defaults that depend on its width."""
    width = run.strip.width
    return Rules(
        length=width if plan.lap.splice is None else plan.lap.splice,
        clearance=plan.lap.clearance,
        apart=apart_wanted(plan, width),
        board=plan.stock.lengths[-1] - plan.stock.trim,
        stagger=plan.lap.stagger,
    )


def apart_wanted(plan: Plan, width: float) -> float:
    """Whole timber wanted between laps on a plate, mm."""
    return width if plan.lap.apart is None else plan.lap.apart


def blockers(plan: Plan, run: Run, sides: Sequence[Side], rules: Rules) -> list[Blocker]:
    """All that keeps splices off, in order along the run."""
    half, apart = rules.half, rules.apart
    found = [
        Blocker(-math.inf, max(run.low) + apart + half, "the plate's end"),
        Blocker(min(run.high) - apart - half, math.inf, "the plate's end"),
    ]
    for side in sides:
        low, high = min(side.void_low), max(side.void_high)
        why = f"the lap at {on_wall(plan, run, low, high)}"
        found.append(Blocker(low - apart - half, high + apart + half, why))
    for wall in dict.fromkeys(run.walls):
        for opening in plan.openings_on(wall):
            low, high = sorted(on_run(plan, run, opening.wall, at) for at in (opening.begin, opening.end))
            name = f"{opening.name} on '{plan.walls[opening.wall].name}' {opening.begin:g} to {opening.end:g}"
            found.append(Blocker(low - half, high + half, name))
        for bearing in plan.bearings_on(wall):
            at = on_run(plan, run, bearing.wall, bearing.at)
            name = f"'{bearing.name}' on '{plan.walls[bearing.wall].name}' at {bearing.at:g}"
            found.append(Blocker(at - bearing.width / 2 - half, at + bearing.width / 2 + half, name))
    reach = (min(run.low) - 1.0, max(run.high) + 1.0)
    return sorted(
        (item for item in found if item.high > reach[0] and item.low < reach[1]), key=lambda item: (item.low, item.high)
    )


def on_wall(plan: Plan, run: Run, low: float, high: float) -> str:
    """A stretch of a run as its wall is taped: from the wall's first corner, with the wall's name."""
    middle = (low + high) / 2
    spans = zip(run.walls, run.spans, strict=True)
    wall = plan.walls[min(spans, key=lambda item: max(item[1][0] - middle, middle - item[1][1]))[0]]
    taped = wall_strip(wall)
    first, last = sorted(round(taped.place(run.strip.point(s, run.strip.width / 2))[0]) for s in (low, high))
    return f"{first} to {last} on '{wall.name}'" if last > first else f"{first} on '{wall.name}'"


@dataclass(frozen=True)
class Stretch:
    """A part of a run between two splices that stand, or its ends, and the ways it can be lengthened.

    Each way is the middles of as few splices as will do (mm along the run), the first with every splice as far
    along as its board reaches. ``low`` and ``high`` are the middles it lies between; its pieces run half of
    ``overlap`` beyond each, and none is shorter than ``least`` where it is spliced.
    """

    low: float
    high: float
    overlap: float
    least: float
    ways: tuple[tuple[float, ...], ...]

    def lengths(self, way: int) -> list[float]:
        """The pieces' lengths for one of the ways, mm."""
        marks = [self.low, *self.ways[way], self.high]
        return [high - low + self.overlap for low, high in itertools.pairwise(marks)]


@dataclass(frozen=True)
class Ground:
    """A run as its splices find it: what they must keep to, what keeps them off, and those that are asked for.

    ``asked`` are the middles of the splices that the user wants (mm along the run); they keep others off too.
    """

    plan: Plan
    run: Run
    rules: Rules
    blocked: tuple[Blocker, ...]
    asked: tuple[float, ...]

    @staticmethod
    def of(
        plan: Plan, run: Run, sides: Sequence[Side], fixed: Sequence[tuple[float, tuple[str | int, ...]]]
    ) -> tuple[Ground, list[Fault]]:
        """Read a run; ``sides`` are the laps on it, ``fixed`` the splices asked for, each with its key path."""
        rules = splice_rules(plan, run)
        blocked = blockers(plan, run, sides, rules)
        asked, faults = _judge_fixed(plan, run, rules, blocked, fixed)
        for at in asked:
            why = f"the splice asked for at {on_wall(plan, run, at, at)}"
            blocked.append(Blocker(at - rules.pitch, at + rules.pitch, why))
        return Ground(plan, run, rules, tuple(blocked), tuple(asked)), faults

    def stretches(
        self, wished: Sequence[float] = (), alike: bool = False, most: int = 1
    ) -> tuple[list[Stretch], list[Fault]]:
        """The stretches of the run, with the ways to lengthen each.

        ``wished`` are lengths of pieces (mm) that would be of use; ``alike``: pieces of one length are of use too;
        at most ``most`` ways are looked at, of one only the first. Positions are taken from the run's low end in
        whole millimetres of the pieces where that can be.
        """
        rules, base = self.rules, min(self.run.low)
        # a piece runs half an overlap beyond its splice's middle, and not beyond the run's end
        marks = [base + rules.length / 2, *self.asked, max(self.run.high) - rules.length / 2]
        found: list[Stretch] = []
        stuck: list[tuple[list[Interval], float, float]] = []
        for low, high in itertools.pairwise(marks):
            # a stretch between two splices' middles: its pieces run half an overlap beyond each
            free = _free(self.blocked, low, high)
            ways: list[tuple[float, ...]] = []
            for least in LEAST_PIECES:
                ways = _fewest(free, low, high, rules, least, base, wished, alike, most)
                if ways:
                    break
            if ways:
                found.append(Stretch(low, high, rules.length, least, tuple(ways)))
            else:
                stuck.append((free, low, high))
        return (found, []) if not stuck else ([], [_no_room(self.plan, self.run, rules, self.blocked, stuck)])


def _judge_fixed(
    plan: Plan,
    run: Run,
    rules: Rules,
    blocked: Sequence[Blocker],
    fixed: Sequence[tuple[float, tuple[str | int, ...]]],
) -> tuple[list[float], list[Fault]]:
    faults = []
    ordered = sorted(fixed)
    for number, (at, path) in enumerate(ordered):
        against = [item.why for item in blocked if item.low + DUST < at < item.high - DUST]
        if number and at - ordered[number - 1][0] < rules.pitch - DUST:
            against.append("the splice before it")
        if against:
            found = f"a splice here comes too near {' and '.join(against)}"
            expected = f"expected {rules.half:g} mm from its middle clear, and {rules.apart:g} mm more to the next lap"
            faults.append(plan.fault(path, found, expected))
    return [at for at, _ in ordered], faults


def _free(blocked: Sequence[Blocker], low: float, high: float) -> list[Interval]:
    """What the blockers leave between two places."""
    found: list[Interval] = []
    reached = low
    for item in sorted(blocked, key=lambda item: item.low):
        if item.low > reached:
            found.append((reached, min(item.low, high)))
        reached = max(reached, item.high)
        if reached >= high:
            return [part for part in found if part[1] - part[0] >= 0]
    found.append((reached, high))
    return found


def _fewest(
    free: Sequence[Interval],
    low: float,
    high: float,
    rules: Rules,
    least: float,
    base: float,
    wished: Sequence[float] = (),
    alike: bool = False,
    most: int = 1,
) -> list[tuple[float, ...]]:
    """As few splices as will do between two middles, in the ways there are; none if none do.

    In the first way each splice is as far along as it can be.
    """
    overlap = rules.length
    if high - low + overlap <= rules.board + DUST:
        return [()]
    reach = rules.board - overlap
    step = max(rules.pitch, least - overlap)
    if reach < step:
        return []
    # backward: from which places can the rest be reached with 0, 1, 2 … more splices
    last = _clip(free, high - reach, high - max(least - overlap, 0.0))
    backward = [last]
    while not _clip(backward[-1], low + max(least - overlap, 0.0), low + reach):
        grown = _merge([(begin - reach, end - step) for begin, end in backward[-1]])
        following = _merge([part for begin, end in grown for part in _clip(free, begin, end)])
        # with one more splice no further back than before: there is no way through
        if not following or (backward[-1] and following[0][0] >= backward[-1][0][0] - DUST):
            return []
        backward.append(following)
    ways: list[tuple[float, ...]] = [()]
    for still, reachable in zip(range(len(backward), 0, -1), reversed(backward), strict=True):
        grown_ways: list[tuple[float, ...]] = []
        for way in ways:
            here, shortest = (way[-1], step) if way else (low, max(least - overlap, 0.0))
            choices = _clip(reachable, here + shortest, here + reach)
            # as long as those that are still to come
            asked = ((high - here) / (still + 1) + overlap, *wished) if alike else wished
            start = base - overlap / 2
            places = _places(choices, here, high, rules, start, asked) if most > 1 else [_whole(choices[-1], start)]
            grown_ways += [(*way, at) for at in places]
        # the first ways of a long run are many enough
        ways = grown_ways[:most]
    return ways


def _places(
    choices: Sequence[Interval], here: float, high: float, rules: Rules, base: float, wished: Sequence[float]
) -> list[float]:
    """Places to splice at, the farthest first; others where a piece comes to a length that is wished for.

    All so that the piece that ends there is of whole millimetres where that can be.
    """
    overlap = rules.length
    asked = [here + length - overlap for length in wished] + [high - length + overlap for length in wished]
    found = [_whole(choices[-1], base)]
    for begin, end in choices:
        found += [_whole((begin, end), base), _whole((begin, begin), base)]
        found += [_whole((begin, at), base) for at in asked if begin - DUST <= at <= end + DUST]
    if rules.stagger:
        # as many again that stand off where a neighbour may be spliced
        back = [at - times * rules.stagger for times in (1, 2) for at in found]
        found += [_whole((begin, at), base) for at in back for begin, end in choices if begin <= at <= end]
    return list(dict.fromkeys(found))


def _whole(choice: Interval, base: float) -> float:
    """The far end of an interval, on a whole millimetre from ``base`` where one lies in it."""
    begin, end = choice
    whole = base + math.floor(end - base + DUST)
    return whole if whole >= begin - DUST else end


def _clip(parts: Sequence[Interval], low: float, high: float) -> list[Interval]:
    found = []
    for begin, end in parts:
        begin, end = max(begin, low), min(end, high)
        if end - begin >= -DUST:
            found.append((begin, max(begin, end)))
    return found


def _merge(parts: Sequence[Interval]) -> list[Interval]:
    found: list[Interval] = []
    for begin, end in sorted(part for part in parts if part[1] - part[0] >= -DUST):
        if found and begin <= found[-1][1]:
            found[-1] = (found[-1][0], max(found[-1][1], end))
        else:
            found.append((begin, end))
    return found


def _no_room(
    plan: Plan,
    run: Run,
    rules: Rules,
    blocked: Sequence[Blocker],
    stuck: Sequence[tuple[Sequence[Interval], float, float]],
) -> Fault:
    """Say what leaves no room for a splice, where, and which stock length would do for every such stretch."""

    def need(free: Sequence[Interval], low: float, high: float) -> float:
        def fits(board: float) -> bool:
            wider = Rules(rules.length, rules.clearance, rules.apart, board)
            return bool(_fewest(free, low, high, wider, 0.0, min(run.low)))

        return _least(fits, rules.board, high - low + rules.length)

    enough = max(need(*stretch) for stretch in stuck)
    begin, end = sorted(_stuck(stuck[0][0], stuck[0][1], rules))
    reasons = [item.why for item in blocked if item.high > begin and item.low < end and item.why != "the plate's end"]
    names = run_names(plan, run)
    overall = max(run.high) - min(run.low)
    wall = plan.walls[run.walls[0]]
    found = (
        f"the plate of {names} is {overall:.0f} mm long and the longest board {plan.stock.lengths[-1]:g}, but there is "
        f"no room for a splice at {on_wall(plan, run, begin, end)}"
    )
    if reasons:
        shown = "; ".join(reasons[:8]) + (f"; and {len(reasons) - 8} more" if len(reasons) > 8 else "")
        found += f" for {shown}"
    wanted = math.ceil(enough + plan.stock.trim - 1e-6)
    expected = f"expected a stock length of at least {wanted} mm, or one of these elsewhere"
    return plan.fault(wall.path, found, expected)


def _stuck(free: Sequence[Interval], low: float, rules: Rules) -> Interval:
    """The stretch in which the next splice would have to lie when going as far as each board reaches."""
    here = low
    reach = rules.board - rules.length
    shortest = 0.0
    while choices := _clip(free, here + shortest, here + reach):
        if choices[-1][1] <= here + DUST:
            break
        here, shortest = choices[-1][1], rules.pitch
    return here + shortest, here + reach


def _least(fits: Callable[[float], bool], low: float, high: float) -> float:
    """The least board that fits, to 0.01 mm, known that ``high`` does."""
    while high - low > 0.01:
        middle = (low + high) / 2
        if fits(middle):
            high = middle
        else:
            low = middle
    return high
