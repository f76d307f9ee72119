"""A plan that has been read: names resolved, walks walked, ends of cross walls found.

Lengths are millimetres, angles degrees anticlockwise, axes x east and y north. Every value keeps
the key path it came from, so that a fault found later still names its line.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from platemodel.faults import Fault, KeyPath, PlanError
from platemodel.plan.lines import line_of
from platemodel.plan.model import Job
from platemodel.plan.site_values import Site

Point = tuple[float, float]


@dataclass(frozen=True)
class Wall:
    """A straight wall: a leg of a shell, by its outer face, or a cross wall, by its centre line.

    ``start`` to ``end`` is that line and positions run along it. Offsets are measured from it, to
    the left, in mm: the leaf lies between ``leaf`` (right, left) and the plate between ``band``.
    ``shell`` is None for a cross wall; ``before`` and ``after`` are the indices of the neighbouring
    walls, None at an open end.
    """

    name: str
    path: KeyPath
    shell: int | None
    start: Point
    end: Point
    leaf: tuple[float, float]
    band: tuple[float, float]
    before: int | None = None
    after: int | None = None

    @property
    def length(self) -> float:
        """Length of the wall's line, mm."""
        return math.dist(self.start, self.end)

    @property
    def direction(self) -> Point:
        """Unit vector from start to end."""
        size = self.length
        return (self.end[0] - self.start[0]) / size, (self.end[1] - self.start[1]) / size

    @property
    def width(self) -> float:
        """Plate width, mm."""
        return self.band[1] - self.band[0]

    def at(self, along: float, offset: float = 0.0) -> Point:
        """The point at a distance along the wall's line and an offset to its left."""
        ux, uy = self.direction
        return (
            self.start[0] + along * ux - offset * uy,
            self.start[1] + along * uy + offset * ux,
        )

    @property
    def outer(self) -> float:
        """The offset of the plate's edge that is nearest to the wall's line: of a shell's wall the outer one."""
        return min(self.band, key=abs)

    def meeting(self, after: Wall) -> Point | None:
        """Where the outer edges of this wall's plate and another's meet; None where they are in line."""
        (ux, uy), (vx, vy) = self.direction, after.direction
        sine = ux * vy - uy * vx
        if abs(sine) < 1e-3:
            return None
        ax, ay = self.at(0.0, self.outer)
        bx, by = after.at(0.0, after.outer)
        along = ((bx - ax) * vy - (by - ay) * vx) / sine
        return ax + along * ux, ay + along * uy


@dataclass(frozen=True)
class Gap:
    """No plate from ``begin`` to ``end`` of a wall; ``face`` says where a neighbour ends."""

    wall: int
    begin: float
    end: float
    face: str
    path: KeyPath


@dataclass(frozen=True)
class FixedSplice:
    """A lengthening lap the user wants, its middle at ``at``."""

    wall: int
    at: float
    path: KeyPath


@dataclass(frozen=True)
class Opening:
    """A lintel under the plate; it stands ``stands_up`` mm above the wall's top. ``dpc``: a damp course lies there."""

    name: str
    wall: int
    begin: float
    end: float
    path: KeyPath
    stands_up: float = 0.0
    dpc: bool = False


@dataclass(frozen=True)
class Bearing:
    """One truss, beam or joist on the plate, ``width`` along the wall about ``at``."""

    name: str
    wall: int
    at: float
    width: float
    path: KeyPath


@dataclass(frozen=True)
class Laying:
    """The user's wishes for the laying order; walls by index.

    ``crew``: how many saw the laps; ``minutes`` to mark and saw one half, two being common practice.
    """

    start: int | None
    order: tuple[int, ...]
    method: str
    locked: str | None
    path: KeyPath = ("laying",)
    crew: int = 1
    minutes: float = 2.0


@dataclass(frozen=True)
class Section:
    """Section and grade of the plates: width and depth as bought in mm, EN 338 class.

    ``tolerance`` is the EN 336 class of the boards, ``moisture`` theirs in per cent, ``widest`` the widest board
    measured in mm; each None where it is not known.
    """

    width: float
    depth: float
    grade: str
    tolerance: str | None = None
    moisture: float | None = None
    widest: float | None = None


@dataclass(frozen=True)
class LapRule:
    """Clearance, splice length (None: the plate's width) and timber wanted between laps, mm.

    ``asked`` is the clearance that the plan asks for, ``excess`` what the widest board measured is over the plates'
    width. Excess is added to every lap alike, to those of plates with a width of their own too: boards of one
    delivery are taken to be over by as much. ``screws`` are ordered for each lap; two are common practice.
    Splices of neighbouring parallel plates are to stand ``stagger`` apart along them, mm; 0 where they may stand
    anywhere.
    """

    asked: float
    splice: float | None
    apart: float | None
    excess: float = 0.0
    screws: int = 2
    stagger: float = 0.0

    @property
    def clearance(self) -> float:
        """Extra length that every lap has, mm: as asked, beyond the widest board."""
        return self.asked + self.excess


@dataclass(frozen=True)
class YardBoards:
    """Boards that are there already: length and width in mm, and how many."""

    length: float
    width: float
    count: int


@dataclass(frozen=True)
class Stock:
    """Boards that can be had and what sawing takes; lengths in mm.

    ``lengths`` ascend, ``prices`` are those of a board of each, None where no price is known. ``trim`` squares
    a board's end; offcuts from ``keep`` on are kept; ``spare`` boards are bought beyond those needed, None: one
    of the length bought most. ``ready``: whole boards are used uncut where that can be. ``effort`` is what the
    solver may do, 0 for first fit.
    """

    lengths: tuple[float, ...]
    kerf: float
    trim: float = 0.0
    prices: tuple[float, ...] | None = None
    yard: tuple[YardBoards, ...] = ()
    keep: float = 600.0
    spare: int | None = None
    ready: bool = False
    effort: int = 2000

    @functools.cached_property
    def priced(self) -> tuple[tuple[float, float], ...]:
        """Each length with what a board of it costs: its price, or its length where there are none."""
        return tuple(zip(self.lengths, self.lengths if self.prices is None else self.prices, strict=True))

    def of_width(self, width: float) -> Stock:
        """The same with only those boards of the yard that are so wide (mm)."""
        return replace(self, yard=tuple(item for item in self.yard if item.width == width))


@dataclass(frozen=True)
class Export:
    """What files for other programs are like.

    ``step`` is the protocol of STEP files, AP242 or AP214; ``instances``: the frame's STEP file has each type once.
    """

    step: str = "AP242"
    instances: bool = False


@dataclass(frozen=True)
class LabelStock:
    """Labels on their paper: sizes of paper and label, pitch, the first label's corner, each (across, down) in mm.

    ``skip`` labels of the first sheet are used up; each piece gets ``each`` labels.
    """

    paper: tuple[float, float]
    columns: int
    rows: int
    label: tuple[float, float]
    pitch: tuple[float, float]
    first: tuple[float, float]
    skip: int
    each: int


@dataclass(frozen=True)
class Plan:
    """All that the user wants built."""

    job: Job
    plate: Section
    lap: LapRule
    stock: Stock
    walls: tuple[Wall, ...]
    shells: tuple[str, ...]
    gaps: tuple[Gap, ...]
    splices: tuple[FixedSplice, ...]
    openings: tuple[Opening, ...]
    bearings: tuple[Bearing, ...]
    laying: Laying
    file: str
    lines: Mapping[KeyPath, int]
    site: Site = field(default_factory=Site)
    export: Export = Export()
    labels: LabelStock | None = None

    @functools.cached_property
    def _by_wall(self) -> tuple[dict[int, list[Opening]], dict[int, list[Bearing]]]:
        openings: dict[int, list[Opening]] = {}
        bearings: dict[int, list[Bearing]] = {}
        for opening in self.openings:
            openings.setdefault(opening.wall, []).append(opening)
        for bearing in self.bearings:
            bearings.setdefault(bearing.wall, []).append(bearing)
        return openings, bearings

    def openings_on(self, wall: int) -> Sequence[Opening]:
        """The openings in a wall."""
        return self._by_wall[0].get(wall, ())

    def bearings_on(self, wall: int) -> Sequence[Bearing]:
        """The bearings on a wall."""
        return self._by_wall[1].get(wall, ())

    def fault(self, path: KeyPath, found: str, expected: str) -> Fault:
        """A fault of this plan, with its line."""
        return Fault(path, found, expected, line_of(path, self.lines))

    def error(self, *faults: Fault) -> PlanError:
        """The error that carries faults of this plan."""
        return PlanError(faults, self.file)
