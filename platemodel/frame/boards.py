"""Boards: which stock lengths to buy, which pieces to cut from each, and how good that is."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.cutting import Offer, cut
from platemodel.frame.values import Board, Purchase
from platemodel.plan.values import Stock


def boards(lengths: Sequence[float], width: float, stock: Stock) -> tuple[tuple[Board, ...], Purchase]:
    """Boards for pieces of the given lengths and of one width, which the longest board holds; pieces by index.

    Boards of the yard of that width come first, for they cost nothing; of the others the least length is
    bought, or where the plan gives prices the least is paid.
    """
    bought = [Offer(length, cost) for length, cost in stock.priced]
    yard = [Offer(item.length, 0.0, item.count) for item in stock.of_width(width).yard]
    offers = [*bought, *yard]
    found = cut(lengths, offers, stock.kerf, stock.trim, stock.effort)
    made = []
    for index, pieces in found.boards:
        length, from_yard = offers[index].length, index >= len(bought)
        # the last piece may end flush with the board, its cut not needed
        left = length - stock.trim - sum(lengths[piece] for piece in pieces) - stock.kerf * len(pieces)
        price = None if stock.prices is None else 0.0 if from_yard else stock.prices[index]
        made.append(Board(length, pieces, max(0.0, left), from_yard, price))
    priced = stock.prices is not None
    how = Purchase(width, found.cost, found.bound, found.first_fit, priced, found.proved, found.method, found.note)
    return tuple(made), how
