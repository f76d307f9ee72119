"""What a plan says of the shell as built, resolved: named points, readings, the bed, straps.

Millimetres and degrees; a levelling book in metres. Everything keeps the key path it came from.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from platemodel.faults import KeyPath

XY = tuple[float, float]


@dataclass(frozen=True)
class PointOnWall:
    """A named point of a wall's outer face: where it is by design (x, y), on which wall and how far along (mm)."""

    name: str
    wall: int
    at: float
    design: XY


@dataclass(frozen=True)
class TapeReading:
    """A length between two points by name, and its standard error, mm."""

    begin: str
    end: str
    length: float
    sd: float
    path: KeyPath


@dataclass(frozen=True)
class AngleReading:
    """The angle at a point, anticlockwise from one point to another, and its standard error, degrees."""

    at: str
    begin: str
    end: str
    degrees: float
    sd: float
    path: KeyPath


@dataclass(frozen=True)
class OffsetReading:
    """How far a point is to the left of the line from one point to another, and its standard error, mm."""

    point: str
    begin: str
    end: str
    distance: float
    sd: float
    path: KeyPath


@dataclass(frozen=True)
class Survey:
    """What was measured of the shell as built; ``points`` are those that a reading names, by name."""

    points: Mapping[str, PointOnWall]
    tapes: tuple[TapeReading, ...]
    angles: tuple[AngleReading, ...]
    offsets: tuple[OffsetReading, ...]


@dataclass(frozen=True)
class BookedReading:
    """A line of a levelling book, m; ``wall`` and ``at`` (mm along it) where it is a station on a wall's top."""

    station: str
    backsight: float | None
    intermediate: float | None
    foresight: float | None
    wall: int | None
    at: float | None
    path: KeyPath


@dataclass(frozen=True)
class LaserReading:
    """From a laser's line down to the top of a wall at a place along it, mm."""

    wall: int
    at: float
    down: float
    path: KeyPath


@dataclass(frozen=True)
class Levels:
    """Levels of the walls' tops: a book from ``start`` to the known level ``close`` (m, or None), or laser readings."""

    start: float
    close: float | None
    book: tuple[BookedReading, ...]
    laser: tuple[LaserReading, ...]
    path: KeyPath = ("site", "levels")


@dataclass(frozen=True)
class Bed:
    """The mortar bed: least and most thickness, mm; the plate level that is wished, mm above the highest wall top.

    ``mix`` is cement to sand by volume, ``waste`` per cent, ``bag`` kg, ``batch`` litres, ``minutes`` a batch's
    working time, ``wall`` what the leaf is built of.
    """

    least: float = 10.0
    most: float = 20.0
    level: float | None = None
    mix: str = "1:4"
    waste: float = 10.0
    bag: float = 25.0
    batch: float = 25.0
    minutes: float = 90.0
    wall: str = "dense block"
    path: KeyPath = ("site", "bed")


@dataclass(frozen=True)
class PlacingWish:
    """How the frame is to be set on the shell: walls held exactly, most past outer and inner face (mm), which fit."""

    hold: tuple[int, ...] = ()
    outer: float = 15.0
    inner: float = 15.0
    fit: str = "design"
    path: KeyPath = ("site", "placing")


@dataclass(frozen=True)
class StrapWish:
    """Holding-down straps: spacing and first from an end (mm, None: by the rule set), what they keep clear, gables."""

    every: float | None
    end: float | None
    clear: float
    length: float
    gables: tuple[int, ...]
    path: KeyPath = ("site", "straps")


@dataclass(frozen=True)
class BuiltStrap:
    """A strap that is built in already: its middle along a wall, mm."""

    wall: int
    at: float
    path: KeyPath


@dataclass(frozen=True)
class Site:
    """The shell as built and what is done on the wall; None where the plan does not ask for it.

    ``rules`` is the rule set's file as the plan names it, None for the set that comes with the program.
    """

    survey: Survey | None = None
    levels: Levels | None = None
    bed: Bed = field(default_factory=Bed)
    placing: PlacingWish = field(default_factory=PlacingWish)
    straps: StrapWish | None = None
    built: tuple[BuiltStrap, ...] = ()
    rules: str | None = None
