"""Boards: which stock lengths to buy and which pieces to cut from each.

First-fit decreasing is tried on every stock length that holds the longest piece; then every board
is shortened to the least stock length that holds its pieces, and the best result is kept: least
timber, then fewest boards.
"""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.values import Board
from platemodel.plan.values import Stock

DUST = 1e-4
"""A piece this much longer than its board still fits: more than places of splices may be off (mm)."""


def boards(lengths: Sequence[float], stock: Stock) -> tuple[Board, ...]:
    """Boards for pieces of the given lengths, which the longest board holds; pieces by index."""
    if not lengths:
        return ()
    longest = max(lengths)
    trials = [_first_fit(lengths, stock, board) for board in stock.lengths if board >= longest - DUST]
    return min(trials, key=lambda trial: (round(sum(board.length for board in trial), 3), len(trial)))


def _first_fit(lengths: Sequence[float], stock: Stock, board: float) -> tuple[Board, ...]:
    order = sorted(range(len(lengths)), key=lambda index: (-round(lengths[index], 3), index))
    bins: list[list[int]] = []
    used: list[float] = []
    for index in order:
        length = lengths[index]
        place = next((b for b, taken in enumerate(used) if taken + length <= board + DUST), None)
        if place is None:
            bins.append([index])
            used.append(length + stock.kerf)
        else:
            bins[place].append(index)
            used[place] += length + stock.kerf
    found = []
    for pieces, taken in zip(bins, used, strict=True):
        # the last piece may end flush with the board, its cut not needed
        need = taken - stock.kerf
        length = next(length for length in stock.lengths if length >= need - DUST)
        found.append(Board(length, tuple(pieces), max(0.0, length - taken)))
    return tuple(sorted(found, key=lambda item: (-item.length, item.pieces)))
