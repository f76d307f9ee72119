"""Boards for all houses together: pieces of one section, grade and stock are cut from the same boards."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from platemodel.estate.values import House
from platemodel.export.buying import waste_percent
from platemodel.frame.boards import boards
from platemodel.frame.values import Board, Purchase
from platemodel.plan.values import Stock, YardBoards


@dataclass(frozen=True)
class Lot:
    """The boards of one section and grade, bought from one stock for all houses that have it.

    ``of`` names each piece: its house, its mark, its length in mm; boards give pieces by their index in it.
    """

    width: float
    depth: float
    grade: str
    of: tuple[tuple[str, str, float], ...]
    boards: tuple[Board, ...]
    purchase: Purchase

    @property
    def metres(self) -> float:
        """Length of the boards that are bought, m; those in the yard are there already."""
        return sum(board.length for board in self.boards if not board.yard) / 1000

    @property
    def bought(self) -> int:
        """How many boards are bought."""
        return sum(not board.yard for board in self.boards)

    @property
    def waste(self) -> float:
        """The part of the boards used that is not in the pieces, per cent."""
        return waste_percent(sum(board.length for board in self.boards), sum(length for _, _, length in self.of))

    def plain(self) -> dict[str, Any]:
        """The same as JSON has it."""
        return asdict(self)

    @staticmethod
    def from_plain(data: Mapping[str, Any]) -> Lot:
        """A lot as it was written; :class:`KeyError` or :class:`TypeError` where it was not."""
        boards_of = tuple(Board(**{**board, "pieces": tuple(board["pieces"])}) for board in data["boards"])
        pieces = tuple((house, mark, length) for house, mark, length in data["of"])
        return Lot(**{**data, "of": pieces, "boards": boards_of, "purchase": Purchase(**data["purchase"])})


Section = tuple[float, float, str, Stock]
"""What pieces have in common that may be cut from one board: width, depth, grade, and the stock."""


def pooled(houses: Iterable[tuple[str, House]]) -> list[Lot]:
    """Boards for the pieces of all houses, a lot a section.

    Houses whose plans list the same boards in the yard have that yard in common, so its boards are there once.
    """
    pieces: dict[Section, list[tuple[str, str, float]]] = {}
    for name, house in houses:
        for timber in house.timbers:
            # how many spare boards are bought changes no cut
            stock = replace(house.stock.of_width(timber.width), spare=None)
            section = timber.width, house.depth, house.grade, stock
            pieces.setdefault(section, []).append((name, timber.mark, timber.length))
    lots = []
    taken: Counter[tuple[tuple[YardBoards, ...], int]] = Counter()
    for (width, depth, grade, stock), group in pieces.items():
        # what another section or another way of buying has cut from the same yard is there no more
        left = [item.count - taken[stock.yard, number] for number, item in enumerate(stock.yard)]
        yard = tuple(replace(item, count=count) for item, count in zip(stock.yard, left, strict=True) if count)
        made, purchase = boards([length for _, _, length in group], width, replace(stock, yard=yard))
        for board in made:
            if board.yard:
                number = next(n for n, item in enumerate(stock.yard) if item.length == board.length and left[n])
                left[number] -= 1
                taken[stock.yard, number] += 1
        lots.append(Lot(width, depth, grade, tuple(group), made, purchase))
    return sorted(lots, key=lambda lot: (lot.width, lot.depth, lot.grade))


def together(good: int, houses: int) -> str:
    """For how many of so many houses boards are cut together, in words: a house that failed is not among them."""
    if good == houses:
        return f"all {houses} houses together"
    return f"the {good} good houses together" if good != 1 else "the one good house"
