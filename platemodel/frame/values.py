"""A decided frame: pieces, joints, types and boards, as plain frozen values (mm, degrees, kg)."""

from __future__ import annotations

import functools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import ClassVar

from platemodel.frame.laps import Lap
from platemodel.frame.runs import Run
from platemodel.frame.shape import Shape, Turn, Vertex
from platemodel.frame.strip import Pair, Point
from platemodel.plan.values import Plan


@dataclass(frozen=True)
class Half:
    """One piece's side of a joint.

    ``under``: the lower half stays, as laid. ``low`` and ``high`` bound the cut along the piece
    frame's x, each at y = 0 and at y = width; ``joint`` and ``mate`` are indices.
    """

    joint: int
    kind: str
    under: bool
    mate: int
    low: Pair
    high: Pair
    ends: bool


@dataclass(frozen=True)
class Place:
    """Where a piece frame stands in the building.

    If ``turned_over``, first a half-turn about the long axis inside the bounding box; then
    ``angle`` about z through the origin (degrees, from 0 to 360); then the shift by x, y, z.
    """

    x: float
    y: float
    z: float
    angle: float
    turned_over: bool


@dataclass(frozen=True)
class Piece:
    """One timber of the finished frame.

    ``low`` and ``high`` bound it on its run's strip; ``shape`` is its type's solid, in the piece
    frame; ``laid`` the same solid as it lies, x along the run; ``order`` its laying number from 1.
    """

    mark: str
    run: int
    walls: tuple[str, ...]
    low: Pair
    high: Pair
    type: int
    turn: Turn
    shape: Shape
    laid: Shape
    halves: tuple[Half, ...]
    order: int
    place: Place
    mass: float
    vertices: tuple[Vertex, ...] = field(repr=False)
    faces: tuple[tuple[int, ...], ...] = field(repr=False)

    @property
    def length(self) -> float:
        """Length of the bounding box, mm."""
        return self.shape.length

    @property
    def role(self) -> str:
        """What halves it has: under, over, both or none."""
        halves = {half.under for half in self.halves}
        if len(halves) == 2:
            return "both"
        return "none" if not halves else "under" if halves == {True} else "over"


@dataclass(frozen=True)
class Joint:
    """A lap of two pieces, the under one first; ``at`` and ``outline`` are in the frame's axes."""

    id: str
    lap: Lap
    under: int
    over: int
    at: Point
    outline: tuple[Point, ...]
    gap_expected: float


@dataclass(frozen=True)
class Type:
    """Pieces that are the same solid after turning round or over: its shape and their indices."""

    name: str
    shape: Shape
    pieces: tuple[int, ...]


@dataclass(frozen=True)
class Board:
    """A board, the pieces cut from it in order, and what is left after the last cut, mm.

    ``yard``: it is there already and need not be bought; ``price`` is None where none is known.
    """

    length: float
    pieces: tuple[int, ...]
    offcut: float
    yard: bool = False
    price: float | None = None


@dataclass(frozen=True)
class Purchase:
    """How good the boards of one plate width (mm) are.

    ``cost`` is what is bought, ``bound`` the least that any cutting of these pieces can come to, ``anywhere`` the
    least wherever as many splices are put, and
    ``first_fit`` what first-fit decreasing would buy (None where it finds no way): in the plan's prices,
    or in mm of length where it gives none (``priced``). ``proved``: the bound is reached. ``method`` is how
    the boards were found, ``note`` why not otherwise.
    """

    width: float
    cost: float
    bound: float
    first_fit: float | None
    priced: bool
    proved: bool
    method: str
    note: str
    anywhere: float = 0.0


@dataclass(frozen=True, repr=False)
class Frame:
    """A decided frame of plates, about its own least corner; ``origin`` is what was taken off.

    ``fewest``: of the places for splices that were tried and the ways to lay the pieces, every one that costs no
    more by first fit was looked at, and none has fewer types. Other places than those that fill boards are not tried.
    """

    plan: Plan
    runs: tuple[Run, ...]
    letters: tuple[str, ...]
    pieces: tuple[Piece, ...]
    joints: tuple[Joint, ...]
    types: tuple[Type, ...]
    boards: tuple[Board, ...]
    purchases: tuple[Purchase, ...]
    touching: tuple[tuple[int, int], ...]
    origin: Point
    fewest: bool = False
    shown_by: ClassVar[Callable[[Frame], str] | None] = None
    """What draws a frame as SVG for a notebook; the library puts it here, for a frame knows no drawings."""

    def __repr__(self) -> str:
        return (
            f"<Frame '{self.plan.job.title}': {len(self.pieces)} pieces of {len(self.types)} types, "
            f"{len(self.joints)} laps, {len(self.boards)} boards>"
        )

    def _repr_svg_(self) -> str | None:
        """The frame in plan, for a notebook."""
        return None if Frame.shown_by is None else Frame.shown_by(self)

    @functools.cached_property
    def laying(self) -> Sequence[Piece]:
        """The pieces in laying order."""
        return tuple(sorted(self.pieces, key=lambda piece: piece.order))

    @functools.cached_property
    def size(self) -> tuple[float, float]:
        """Extent of the frame east and north, mm."""
        xs = [vertex[0] for piece in self.pieces for vertex in piece.vertices]
        ys = [vertex[1] for piece in self.pieces for vertex in piece.vertices]
        return max(xs), max(ys)
