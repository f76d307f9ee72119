"""What is kept of each house of an estate, as plain frozen values (mm, kg), and how it is written as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from typing import Any

from platemodel.export.buying import buying
from platemodel.frame.shape import Cut, Shape
from platemodel.frame.strip import Pair
from platemodel.frame.values import Frame
from platemodel.plan.values import Stock, YardBoards
from platemodel.site.rules import Verdict


@dataclass(frozen=True)
class Kind:
    """A type of one house: its name there, how many pieces are of it, and its solid in the piece frame."""

    name: str
    count: int
    shape: Shape


@dataclass(frozen=True)
class Timber:
    """A piece as it is cut from a board: its mark, its length and width."""

    mark: str
    length: float
    width: float


@dataclass(frozen=True)
class House:
    """What a built house comes to.

    ``boards`` are those bought for it alone to be cut, and ``metres`` their length in m; ``spare`` ones are bought
    beyond them. ``waste`` is in per cent of the timber used, ``advice`` the number of rules that advise otherwise.
    """

    title: str
    depth: float
    grade: str
    laps: int
    boards: int
    spare: int
    metres: float
    waste: float
    mass: float
    advice: int
    stock: Stock
    kinds: tuple[Kind, ...]
    timbers: tuple[Timber, ...]

    @staticmethod
    def of(frame: Frame, verdicts: Sequence[Verdict]) -> House:
        """A house by its frame and what its rules say."""
        bought = [board for board in frame.boards if not board.yard]
        order = buying(frame)
        return House(
            title=frame.plan.job.title,
            depth=frame.plan.plate.depth,
            grade=frame.plan.plate.grade,
            laps=len(frame.joints),
            boards=len(bought),
            spare=sum(line.spare for line in order.lines),
            metres=sum(board.length for board in bought) / 1000,
            waste=order.waste,
            mass=sum(piece.mass for piece in frame.pieces),
            advice=sum(verdict.level == "advice" and not verdict.passed for verdict in verdicts),
            stock=frame.plan.stock,
            kinds=tuple(Kind(kind.name, len(kind.pieces), kind.shape) for kind in frame.types),
            timbers=tuple(Timber(piece.mark, piece.length, piece.laid.width) for piece in frame.pieces),
        )

    def plain(self) -> dict[str, Any]:
        """The same as JSON has it."""
        return asdict(self)

    @staticmethod
    def from_plain(data: Mapping[str, Any]) -> House:
        """A house as it was written; :class:`KeyError` or :class:`TypeError` where it was not."""
        rest = {name: value for name, value in data.items() if name not in ("stock", "kinds", "timbers")}
        return House(
            **rest,
            stock=_stock(data["stock"]),
            kinds=tuple(Kind(kind["name"], kind["count"], _shape(kind["shape"])) for kind in data["kinds"]),
            timbers=tuple(Timber(**timber) for timber in data["timbers"]),
        )


def _stock(data: Mapping[str, Any]) -> Stock:
    prices = data["prices"]
    return Stock(
        **{
            **data,
            "lengths": tuple(data["lengths"]),
            "prices": None if prices is None else tuple(prices),
            "yard": tuple(YardBoards(**item) for item in data["yard"]),
        }
    )


def _shape(data: Mapping[str, Any]) -> Shape:
    cuts = tuple(Cut(_pair(cut["low"]), _pair(cut["high"]), cut["upper"]) for cut in data["cuts"])
    return Shape(data["width"], data["depth"], _pair(data["low"]), _pair(data["high"]), cuts)


def _pair(data: Sequence[float]) -> Pair:
    first, second = data
    return first, second
