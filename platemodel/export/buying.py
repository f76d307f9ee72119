"""What to buy: the one place where boards are counted, for the lists, the report and the sheets.

Lengths in mm, metres, volumes in m3 and masses in kg where a name says so, money in the plan's currency.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from platemodel.frame.timber import mass
from platemodel.frame.values import Board, Frame, Purchase
from platemodel.site.rule_set import RuleSet, rule_set


@dataclass(frozen=True)
class BoardLine:
    """All boards of one width and length.

    ``count`` are needed, ``spare`` bought beyond them; ``price`` is that of one, None where it is not known;
    ``cut`` are the pieces cut from each needed one, by index.
    """

    width: float
    depth: float
    grade: str
    length: float
    count: int
    spare: int
    price: float | None
    cut: tuple[tuple[int, ...], ...]

    @property
    def total(self) -> int:
        """Boards to order, spare ones too."""
        return self.count + self.spare

    @property
    def metres(self) -> float:
        """Length of all of them, spare ones too, m."""
        return self.total * self.length / 1000

    @property
    def volume(self) -> float:
        """Volume of all of them, m3."""
        return self.metres * self.width * self.depth * 1e-6

    @property
    def mass(self) -> float:
        """Mass of all of them, kg, at the mean density of the grade (EN 338:2016, see ``frame/timber.py``)."""
        return mass(self.volume * 1e9, self.grade)

    @property
    def price_total(self) -> float | None:
        """Price of all of them."""
        return None if self.price is None else self.total * self.price


@dataclass(frozen=True)
class Sums:
    """Several lines in one: boards to order, m, m3, kg and money (None where a price is not known)."""

    count: int
    spare: int
    metres: float
    volume: float
    mass: float
    price: float | None

    @property
    def total(self) -> int:
        """Boards to order, spare ones too."""
        return self.count + self.spare


@dataclass(frozen=True)
class Waste:
    """What of the timber of one width is not in the pieces; lengths in mm.

    ``used`` is the length of all boards that are cut, from the yard or bought, ``net`` that of the pieces.
    ``bound`` is the least that can be used, ``first_fit`` what first fit uses; None where they are not known: boards
    compared by price, or some from the yard. ``purchase`` compares what is paid.
    """

    width: float
    used: float
    net: float
    bound: float | None
    first_fit: float | None
    purchase: Purchase | None

    def percent(self, used: float) -> float:
        """The part that is wasted where so much is used, per cent of it."""
        return waste_percent(used, self.net)


@dataclass(frozen=True)
class Offcut:
    """Offcuts that are kept: width and length in mm, and how many are so long."""

    width: float
    length: float
    count: int


@dataclass(frozen=True)
class Buying:
    """What to buy for a frame: boards to order, those there already, what is wasted and what is kept."""

    lines: tuple[BoardLine, ...]
    yard: tuple[BoardLine, ...]
    wastes: tuple[Waste, ...]
    offcuts: tuple[Offcut, ...]

    @property
    def waste(self) -> float:
        """Waste over all widths, per cent of the timber used."""
        used = sum(waste.used * waste.width for waste in self.wastes)
        return waste_percent(used, sum(waste.net * waste.width for waste in self.wastes))


def waste_percent(used: float, net: float) -> float:
    """The part of what is used that is not in the pieces, per cent: sawdust, trimmings and offcuts."""
    return 100.0 * (used - net) / used if used > 0.0 else 0.0


def buying(frame: Frame, rules: RuleSet | None = None) -> Buying:
    """What to buy for a frame; lines by width and then by length; ``rules``: by themselves those of its plan.

    Raises :class:`~platemodel.faults.PlanError` where the plan's own rule set cannot be read.
    """
    rules = rule_set(frame.plan) if rules is None else rules
    spare = frame.plan.stock.spare
    bought = _lines(frame, [board for board in frame.boards if not board.yard])
    yard = _lines(frame, [board for board in frame.boards if board.yard])
    return Buying(
        _with_spare(bought, rules.count("spare_boards") if spare is None else spare),
        yard,
        _wastes(frame),
        _offcuts(frame),
    )


def sums(lines: Sequence[BoardLine]) -> Sums:
    """Lines added up."""
    prices = [line.price_total for line in lines]
    known = [price for price in prices if price is not None]
    return Sums(
        sum(line.count for line in lines),
        sum(line.spare for line in lines),
        sum(line.metres for line in lines),
        sum(line.volume for line in lines),
        sum(line.mass for line in lines),
        sum(known) if known and len(known) == len(prices) else None,
    )


def gap_percent(purchase: Purchase) -> float:
    """How far what is bought is above its bound, per cent of the bound; 0 where the bound is reached."""
    return 100.0 * (purchase.cost - purchase.bound) / purchase.bound if purchase.bound > 0.0 else 0.0


def money(value: float | None) -> str:
    """An amount of money in figures, nothing where none is known."""
    return "" if value is None else f"{value:.2f}"


def width_of(frame: Frame, board: Board) -> float:
    """The width of a board, mm: that of the pieces cut from it."""
    return frame.pieces[board.pieces[0]].laid.width


def _lines(frame: Frame, boards: Sequence[Board]) -> tuple[BoardLine, ...]:
    found: dict[tuple[float, float], list[Board]] = {}
    for board in boards:
        found.setdefault((width_of(frame, board), board.length), []).append(board)
    plate = frame.plan.plate
    return tuple(
        BoardLine(
            width,
            plate.depth,
            plate.grade,
            length,
            len(alike),
            0,
            None if alike[0].yard else alike[0].price,
            tuple(board.pieces for board in alike),
        )
        for (width, length), alike in sorted(found.items(), key=lambda item: item[0])
    )


def _with_spare(lines: Sequence[BoardLine], spare: int) -> tuple[BoardLine, ...]:
    """Lines with spare boards: of each width, of the length bought most, of several such the longest."""
    most: dict[float, BoardLine] = {}
    for line in lines:
        other = most.get(line.width)
        if other is None or (line.count, line.length) > (other.count, other.length):
            most[line.width] = line
    return tuple(replace(line, spare=spare) if most[line.width] is line else line for line in lines)


def _wastes(frame: Frame) -> tuple[Waste, ...]:
    used: dict[float, float] = {}
    net: dict[float, float] = {}
    for board in frame.boards:
        width = width_of(frame, board)
        used[width] = used.get(width, 0.0) + board.length
        net[width] = net.get(width, 0.0) + sum(frame.pieces[index].length for index in board.pieces)
    purchases = {purchase.width: purchase for purchase in frame.purchases}
    yards = {yard.width for yard in frame.plan.stock.yard}
    found = []
    for width in sorted(used):
        purchase = purchases.get(width)
        # what is bought is what is used where nothing comes from the yard, and is a length where it has no price
        alike = purchase if purchase is not None and not purchase.priced and width not in yards else None
        bound, first_fit = (None, None) if alike is None else (alike.bound, alike.first_fit)
        found.append(Waste(width, used[width], net[width], bound, first_fit, purchase))
    return tuple(found)


def _offcuts(frame: Frame) -> tuple[Offcut, ...]:
    """Offcuts that are long enough to be kept, the longest first, alike to a millimetre."""
    keep = frame.plan.stock.keep
    counts = Counter(
        (width_of(frame, board), float(int(board.offcut))) for board in frame.boards if board.offcut >= max(keep, 1.0)
    )
    return tuple(Offcut(width, length, count) for (width, length), count in sorted(counts.items(), reverse=True))
