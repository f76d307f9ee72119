"""Set the frame on the shell as built: moved and turned as one, so that its greatest setback error is least.

The frame keeps its shape. A setback is measured square to a wall's outer face as built, at both ends of each
stretch of plate on it. Lengths in mm, turns in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from platemodel.frame.values import Frame
from platemodel.site.best_fit import Fit, fit
from platemodel.site.faces import SHORTEST, XY, Line, along, inside_of, inward, leaf_of, past_inner, wanted_setback
from platemodel.site.stretches import stretches

AT_LIMIT = 1e-5
"""What is nearer to a limit than this is at it (mm)."""
UNMOVED = Fit((0.0, 0.0), (0.0, 0.0), 0.0, 0.0, {}, 0.0)
"""Where the frame is without any face as built: as designed."""


@dataclass(frozen=True)
class FitStation:
    """An end of a stretch of plate: ``along`` its wall as designed, the setback ``wanted`` and had, mm.

    ``inner`` is from the plate's inner edge to the inner face as built, below 0 where the plate stands past it.
    """

    run: int
    wall: int
    along: float
    wanted: float
    setback: float
    inner: float

    @property
    def error(self) -> float:
        """How much farther in than wanted the plate stands, mm; below 0: farther out."""
        return self.setback - self.wanted


@dataclass(frozen=True)
class Give:
    """A wall that must give ``by`` mm more past its ``face`` (outer or inner) than the plan allows."""

    wall: int
    face: str
    by: float


@dataclass(frozen=True)
class Bind:
    """What keeps the frame from sitting better: an ``error``, a ``held`` wall, or a limit past a face, and where."""

    what: str
    wall: int
    along: float


@dataclass(frozen=True)
class Placed:
    """Where the frame is set.

    It is turned about ``about`` by ``turn`` degrees, then shifted by ``shift``, all in the plan's coordinates.
    ``faces`` are the outer faces of all walls of shells, ``measured`` those of them that are as built; the others
    are as designed and moved with the frame. ``greatest`` is the greatest error of a setback on a measured wall,
    ``least`` the least that any place within the limits has, of which it is within a tenth of a millimetre,
    ``held_off`` how far a held wall is off exact because the frame's shape allows no better. Where it cannot keep
    within the limits, ``gives`` says by how much the walls exceed them. ``inside`` is 1 for a wall where the shell's
    inside is to the left of its face, -1 where to the right.
    """

    about: XY
    shift: XY
    turn: float
    stations: tuple[FitStation, ...]
    faces: Mapping[int, Line]
    measured: frozenset[int]
    greatest: float
    least: float
    held_off: float
    binds: tuple[Bind, ...]
    gives: tuple[Give, ...]
    inside: Mapping[int, float]

    @property
    def feasible(self) -> bool:
        """Whether the frame keeps within the limits."""
        return not self.gives

    def move(self, point: XY) -> XY:
        """Where a point of the frame, in the plan's coordinates as designed, is set."""
        cos, sin = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        x, y = point[0] - self.about[0], point[1] - self.about[1]
        return (
            self.about[0] + self.shift[0] + x * cos - y * sin,
            self.about[1] + self.shift[1] + x * sin + y * cos,
        )

    def off(self, wall: int, point: XY) -> float:
        """How far a point of the frame, set where it goes, is in from a wall's outer face, mm."""
        return inward(self.faces[wall], self.inside[wall], self.move(point))

    def along(self, wall: int, point: XY) -> float:
        """How far along a wall's outer face from its first corner a point of the frame, set where it goes, is, mm."""
        (ax, ay), (bx, by) = self.faces[wall]
        size = math.dist((ax, ay), (bx, by))
        x, y = self.move(point)
        return ((x - ax) * (bx - ax) + (y - ay) * (by - ay)) / size


def place(frame: Frame, walls: Mapping[int, Line] | None = None) -> Placed:
    """Set a frame on the outer faces as built, by the plan's ``site.placing``.

    ``walls`` gives them by index, in the plan's coordinates; without any the frame is set as designed.
    """
    plan = frame.plan
    given = {
        index: line
        for index, line in (walls or {}).items()
        if plan.walls[index].shell is not None and math.dist(*line) >= SHORTEST
    }
    pieces = [item for item in stretches(frame) if item.wall in given]
    if pieces:
        return _placed(frame, fit(frame, given, pieces), given, frozenset(given))
    designed = {index: (wall.start, wall.end) for index, wall in enumerate(plan.walls) if wall.shell is not None}
    return _placed(frame, UNMOVED, designed, frozenset())


def _placed(frame: Frame, fitted: Fit, given: Mapping[int, Line], measured: frozenset[int]) -> Placed:
    """The result at a place: every station's figures, and what binds."""
    plan = frame.plan
    wish = plan.site.placing
    inside = {index: inside_of(wall) for index, wall in enumerate(plan.walls) if wall.shell is not None}
    about, shift, turn, held_off = fitted.about, fitted.shift, fitted.turn, fitted.held_off
    bare = Placed(about, shift, turn, (), {}, measured, 0.0, fitted.least, held_off, (), (), inside)
    faces = {
        index: given.get(index) or (bare.move(plan.walls[index].start), bare.move(plan.walls[index].end))
        for index in inside
    }
    stations = []
    for item in stretches(frame):
        wall, strip = plan.walls[item.wall], frame.runs[item.run].strip
        for s in (item.begin, item.end):
            outer, inner = (bare.move(strip.point(s, t)) for t in (item.outer, item.inner))
            setback, far = (inward(faces[item.wall], inside[item.wall], point) for point in (outer, inner))
            where = along(wall, strip.point(s, item.outer))
            found = FitStation(item.run, item.wall, where, wanted_setback(wall), setback, leaf_of(wall) - far)
            stations.append(found)
    judged = [at for at in stations if at.wall in measured]
    greatest = max((abs(at.error) for at in judged), default=0.0)
    binds = []
    for at in judged:
        if greatest > AT_LIMIT and abs(at.error) > greatest - AT_LIMIT:
            binds.append(Bind("error", at.wall, at.along))
        if at.setback + wish.outer < AT_LIMIT:
            binds.append(Bind("outer", at.wall, at.along))
        if at.inner + past_inner(wish, plan.walls[at.wall]) < AT_LIMIT:
            binds.append(Bind("inner", at.wall, at.along))
    binds += [Bind("held", wall, plan.walls[wall].length / 2) for wall in wish.hold if wall in measured]
    must = tuple(Give(wall, face, by) for (wall, face), by in sorted(fitted.gives.items()))
    return replace(
        bare,
        stations=tuple(stations),
        faces=faces,
        greatest=greatest,
        binds=tuple(binds),
        gives=must,
    )
