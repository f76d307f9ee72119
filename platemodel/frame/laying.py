"""The laying order of runs and pieces, and with it which half each piece has of a lap.

Of two mates the one laid first has the under half, so that every piece can be lowered straight
down onto what lies already.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

from platemodel.faults import Fault
from platemodel.plan.values import Plan

MOST_PARTS = 5
"""Parts of a frame of which every choice of unders is looked at; the rest stay as they come."""

Links = Sequence[Sequence[int]]
"""For each run or piece, those it is lapped to."""


def wall_ranks(plan: Plan) -> list[int]:
    """A rank for each wall: its place in the user's order, then its place in the plan."""
    first = plan.laying.order or ((plan.laying.start,) if plan.laying.start is not None else ())
    ranks = {wall: rank for rank, wall in enumerate(first) if wall is not None}
    return [ranks.get(wall, len(first) + wall) for wall in range(len(plan.walls))]


def run_order(plan: Plan, walls: Sequence[Sequence[int]], links: Links) -> list[int]:
    """Runs in laying order; ``walls`` are the walls that each run serves.

    First the user's, in the user's order. Then one after the other: a run that meets the one laid
    last, else one that meets what was laid before it, else the next in the plan.
    """
    ranks = wall_ranks(plan)
    wished = len(plan.laying.order or ()) or (1 if plan.laying.start is not None else 0)
    rank = [min(ranks[wall] for wall in serves) for serves in walls]
    order = sorted((run for run in range(len(walls)) if rank[run] < wished), key=lambda run: (rank[run], run))
    placed = set(order)
    waiting = sorted(set(range(len(walls))) - placed, key=lambda run: (rank[run], run))
    position = {run: number for number, run in enumerate(waiting)}
    # laid runs that may still have neighbours to be laid, the latest last
    open_runs = list(order)
    unplaced = iter(waiting)
    while len(order) < len(walls):
        following = None
        while open_runs and following is None:
            choices = [run for run in links[open_runs[-1]] if run not in placed]
            if choices:
                following = min(choices, key=lambda run: position[run])
            else:
                open_runs.pop()
        if following is None:
            following = next(run for run in unplaced if run not in placed)
        placed.add(following)
        order.append(following)
        open_runs.append(following)
    return order


def piece_order(runs: Iterable[Sequence[int]], links: Links) -> list[int]:
    """Pieces in laying order: run by run; in a run first a piece that meets what lies, then its neighbours."""
    order: list[int] = []
    placed: set[int] = set()
    for pieces in runs:
        waiting = list(pieces)
        while waiting:
            piece = next((p for p in waiting if any(mate in placed for mate in links[p])), waiting[0])
            waiting.remove(piece)
            placed.add(piece)
            order.append(piece)
    return order


def pairs_orders(order: Sequence[int], links: Links) -> tuple[list[list[int]], bool]:
    """The same pieces, unders first and overs after, as far as the frame can be parted in two.

    In the first way the first piece of each connected part is an under; in the others some parts are the
    other way about, every choice of them where there are few, which the second value says.
    """
    under: dict[int, bool] = {}
    part: dict[int, int] = {}
    parts = 0
    for first in order:
        if first in under:
            continue
        under[first], part[first] = True, parts
        queue = [first]
        for piece in queue:
            for mate in links[piece]:
                if mate not in under:
                    under[mate], part[mate] = not under[piece], parts
                    queue.append(mate)
        parts += 1
    free = min(parts, MOST_PARTS)
    found = []
    for turned in itertools.product((False, True), repeat=free):
        low = [piece for piece in order if under[piece] != (part[piece] < free and turned[part[piece]])]
        lies = set(low)
        found.append(low + [piece for piece in order if piece not in lies])
    return found, parts <= MOST_PARTS


def judge_pairs(plan: Plan, order: Sequence[int], walls: Sequence[Sequence[int]]) -> list[Fault]:
    """Faults where ``pairs`` cannot honour the order the user gave; ``walls`` are those of each piece."""
    wished = {wall: rank for rank, wall in enumerate(plan.laying.order)}
    latest = -1
    for piece in order:
        ranks = [wished[wall] for wall in walls[piece] if wall in wished]
        if not ranks:
            continue
        rank = min(ranks)
        if rank < latest:
            before, after = plan.walls[plan.laying.order[rank]].name, plan.walls[plan.laying.order[latest]].name
            found = f"with method = \"pairs\" all unders are laid before any over, so '{after}' comes before '{before}'"
            expected = 'expected an order that lays unders first, or method = "round"'
            return [plan.fault(("laying", "order"), found, expected)]
        latest = rank
    return []
