"""Set the frame on the shell as built: moved and turned as one, so that its greatest setback error is least.

The frame keeps its shape. A setback is measured square to a wall's outer face as built, at both ends of each
stretch of plate on it. Walls that are held come first, then the limits past the outer and the inner face, then the
greatest error, then (within a tenth of a millimetre of it) the sum of errors. Each is a linear programme in the
shift and a small turn; they are solved again from where the last one led until the turn no longer changes. Lengths
in mm, turns in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from platemodel.frame.runs import Run
from platemodel.frame.values import Frame
from platemodel.plan.values import Plan, Wall
from platemodel.site.aims import Program

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]

XY = tuple[float, float]
Line = tuple[XY, XY]
"""The outer face of a wall, from its start to its end."""

SETTLED = 1e-12
"""A turn that changes by less than this is found (radians)."""
MOST_TURNS = 40
MOST_STEP = 0.2
"""The turn of one step is no larger, so that taking it for small does no harm (radians)."""
TELL = 0.1
"""The greatest error may be more than the least possible by this, which no tape can tell, where that makes the sum of
errors less (mm): else a frame would slide a centimetre along its walls to gain a hair."""
LEAST_GIVE = 0.01
"""A wall that would have to give less need not (mm)."""
AT_LIMIT = 1e-5
"""What is nearer to a limit than this is at it (mm)."""
SHORTEST = 1.0
"""A face as built that is shorter than this is none (mm)."""


@dataclass(frozen=True)
class Stretch:
    """The stretch of a run on a wall of a shell, from ``begin`` to ``end`` along the run's strip at its outer edge.

    ``outer`` and ``inner`` are the edges' places across the strip.
    """

    run: int
    wall: int
    begin: float
    end: float
    outer: float
    inner: float


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


def inside_of(wall: Wall) -> float:
    """1 where the shell's inside is to the left of a wall, -1 where to the right."""
    return 1.0 if sum(wall.band) > 0.0 else -1.0


def inward(face: Line, inside: float, point: XY) -> float:
    """How far a point is in from a face, mm."""
    (ax, ay), (bx, by) = face
    size = math.dist((ax, ay), (bx, by))
    return inside * ((bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)) / size


def wanted_setback(wall: Wall) -> float:
    """The setback that a shell's wall shall have, mm."""
    return min(abs(edge) for edge in wall.band)


def leaf_of(wall: Wall) -> float:
    """The thickness of a wall's leaf, mm."""
    return wall.leaf[1] - wall.leaf[0]


def stretches(frame: Frame) -> Iterator[Stretch]:
    """Every stretch of a run on a wall of a shell, run by run; no farther than the wall is long."""
    plan = frame.plan
    for number, run in enumerate(frame.runs):
        for place, index in enumerate(run.walls):
            wall = plan.walls[index]
            if wall.shell is not None:
                found = _stretch(run, number, place, wall)
                if found is not None:
                    yield found


def _stretch(run: Run, number: int, place: int, wall: Wall) -> Stretch | None:
    strip = run.strip
    begin, end = run.spans[place]
    off = [
        inward((wall.start, wall.end), inside_of(wall), strip.point((begin + end) / 2, t)) for t in (0.0, strip.width)
    ]
    edge = 0 if off[0] < off[1] else 1
    # at a run's end the outer edge may be longer or shorter than the middle
    begin = run.low[edge] if place == 0 else begin
    end = run.high[edge] if place == len(run.walls) - 1 else end
    ends = sorted(strip.place(point)[0] for point in (wall.start, wall.end))
    begin, end = max(begin, ends[0]), min(end, ends[1])
    if end - begin < SHORTEST:
        return None
    return Stretch(number, run.walls[place], begin, end, (0.0, strip.width)[edge], (strip.width, 0.0)[edge])


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
    if not pieces:
        designed = {index: (wall.start, wall.end) for index, wall in enumerate(plan.walls) if wall.shell is not None}
        return _placed(frame, (0.0, 0.0), (0.0, 0.0), 0.0, designed, frozenset(), 0.0, {})
    return _Fit(frame, given, pieces).placed()


def best_turn(plan: Plan, walls: Mapping[int, Line]) -> tuple[XY, XY, float]:
    """The move of the design that lies nearest to faces as built in the least squares of their ends.

    Gives what it turns about, the shift, and the turn in radians.
    """
    pairs = [
        (one, other)
        for index, line in walls.items()
        for one, other in zip((plan.walls[index].start, plan.walls[index].end), line, strict=True)
    ]
    count = len(pairs)
    (ax, ay), (bx, by) = (
        (sum(pair[side][0] for pair in pairs) / count, sum(pair[side][1] for pair in pairs) / count) for side in (0, 1)
    )
    dot = sum((p[0] - ax) * (q[0] - bx) + (p[1] - ay) * (q[1] - by) for p, q in pairs)
    cross = sum((p[0] - ax) * (q[1] - by) - (p[1] - ay) * (q[0] - bx) for p, q in pairs)
    return (ax, ay), (bx - ax, by - ay), math.atan2(cross, dot)


class _Fit:
    """The programmes about one start: unknowns are a shift in the frame's own axes, and a turn in mm at its rim."""

    def __init__(self, frame: Frame, given: Mapping[int, Line], pieces: Sequence[Stretch]) -> None:
        import numpy as np

        self.frame, self.given, plan = frame, given, frame.plan
        wish = plan.site.placing
        self.about, self.shift, self.turn = best_turn(plan, given)
        outer, inner, walls, along = [], [], [], []
        for item in pieces:
            strip = frame.runs[item.run].strip
            for s in (item.begin, item.end):
                outer.append(strip.point(s, item.outer))
                inner.append(strip.point(s, item.inner))
                walls.append(item.wall)
                along.append(_along(plan.walls[item.wall], outer[-1]))
        self.points = [np.array(points) - np.array(self.about) for points in (outer, inner)]
        self.radius = max(1.0, float(np.abs(self.points[0]).max()))
        self.walls, self.places = walls, along
        self.starts = np.array([given[wall][0] for wall in walls])
        self.normals = np.array([_normal(given[wall], inside_of(plan.walls[wall])) for wall in walls])
        self.wanted = np.array([wanted_setback(plan.walls[wall]) for wall in walls])
        self.leaf = np.array([leaf_of(plan.walls[wall]) for wall in walls])
        self.outer = wish.outer
        # a plate that overhangs its leaf by design may do so as built
        self.inner = np.array([max(wish.inner, _overhang(plan.walls[wall])) for wall in walls])
        self.least = 0.0
        self.held = self._held_rows([wall for wall in wish.hold if wall in given])

    def _held_rows(self, hold: Sequence[int]) -> Matrix:
        """What of the errors is held at nothing: the ends of one wall, the middle of each of several."""
        import numpy as np

        rows = []
        there = [wall for wall in dict.fromkeys(hold) if wall in self.walls]
        for wall in there:
            mine = [number for number, of in enumerate(self.walls) if of == wall]
            first, last = (pick(mine, key=lambda number: self.places[number]) for pick in (min, max))
            for share in ((1.0, 0.0), (0.0, 1.0)) if len(there) == 1 else ((0.5, 0.5),):
                row = np.zeros(len(self.walls))
                row[first], row[last] = share
                rows.append(row)
        return np.array(rows).reshape(len(rows), len(self.walls))

    def _now(self) -> tuple[Matrix, Matrix, Matrix, Matrix]:
        """Errors of setback and places past the inner face where the frame is now, and how the unknowns change both."""
        import numpy as np

        cos, sin = math.cos(self.turn), math.sin(self.turn)
        turned = np.array([[cos, -sin], [sin, cos]])
        centre = np.array(self.about) + np.array(self.shift)
        found: list[Matrix] = []
        for points in self.points:
            places = points @ turned.T
            found.append(np.einsum("ij,ij->i", self.normals, places + centre - self.starts))
            quarter = np.stack([-places[:, 1], places[:, 0]], axis=1)
            turning = np.einsum("ij,ij->i", self.normals, quarter) / self.radius
            found.append(np.column_stack([self.normals @ turned, turning]))
        return found[0] - self.wanted, found[1], found[2] - self.leaf, found[3]

    def placed(self) -> Placed:
        """First the least greatest error, then of all places that are as good the one of the least sum."""
        self._settled(None)
        least = max(0.0, self.least)
        gives = self._settled(least + TELL)
        held_off = float(abs(self.held @ self._now()[0]).max()) if len(self.held) else 0.0
        turn = math.degrees(math.remainder(self.turn, 2 * math.pi))
        return _placed(
            self.frame, self.about, self.shift, turn, self.given, frozenset(self.given), held_off, gives, least
        )

    def _settled(self, most: float | None) -> dict[tuple[int, str], float]:
        """Solve from where the last one led until the turn settles; gives what walls must give."""
        gives: dict[tuple[int, str], float] = {}
        for _ in range(MOST_TURNS):
            (east, north, turning), gives = self._solved(most)
            cos, sin = math.cos(self.turn), math.sin(self.turn)
            self.shift = self.shift[0] + east * cos - north * sin, self.shift[1] + east * sin + north * cos
            self.turn += turning / self.radius
            if abs(turning) / self.radius < SETTLED:
                break
        return gives

    def _solved(self, allowed: float | None) -> tuple[tuple[float, float, float], dict[tuple[int, str], float]]:
        """One aim after the other; gives the step in shift and turn, and what walls must give.

        ``allowed`` is the greatest error that there may be; None where that is what is to be found.
        """
        import numpy as np

        errors, by, past, past_by = self._now()
        count = len(errors)
        names = list(dict.fromkeys(self.walls))
        of_wall = np.array([[wall == name for name in names] for wall in self.walls], dtype=float)
        # unknowns: east, north, turn | held off | what each wall gives at its outer and inner face | the greatest
        # error | each error's size | each part of the step's size
        give, most, size = 4, 4 + 2 * len(names), 5 + 2 * len(names)
        step = size + count
        program = Program(step + 3, 3)
        for sign in (1.0, -1.0):
            program.rows({0: sign * self.held @ by, 3: -np.ones((len(self.held), 1))}, -sign * self.held @ errors)
            program.rows({0: sign * by, most: -np.ones((count, 1))}, -sign * errors)
            program.rows({0: sign * by, size: -np.eye(count)}, -sign * errors)
            program.rows({0: sign * np.eye(3), step: -np.eye(3)}, np.zeros(3))
        program.rows({0: -by, give: -of_wall}, errors + self.wanted + self.outer)
        program.rows({0: past_by, give + len(names): -of_wall}, self.inner - past)
        program.bound(2, MOST_STEP * self.radius)
        if len(self.held):
            program.least([3])
        program.least(range(give, most))
        if allowed is None:
            self.least = float(program.least([most])[most])
        else:
            program.bound(most, allowed)
            program.least(range(size, step))
        # a wall or two leave the frame free to slide: of all places as good, the one nearest to where it is
        x = program.least(range(step, step + 3))
        sides = [(name, face) for face in ("outer", "inner") for name in names]
        gives = {side: float(by) for side, by in zip(sides, x[give:most], strict=True) if by > LEAST_GIVE}
        return (float(x[0]), float(x[1]), float(x[2])), gives


def _normal(face: Line, inside: float) -> XY:
    (ax, ay), (bx, by) = face
    size = math.dist((ax, ay), (bx, by))
    return -inside * (by - ay) / size, inside * (bx - ax) / size


def _along(wall: Wall, point: XY) -> float:
    ux, uy = wall.direction
    return (point[0] - wall.start[0]) * ux + (point[1] - wall.start[1]) * uy


def _overhang(wall: Wall) -> float:
    """How far a plate stands past its leaf's inner face by design, mm."""
    return max(0.0, max(abs(edge) for edge in wall.band) - leaf_of(wall))


def _placed(
    frame: Frame,
    about: XY,
    shift: XY,
    turn: float,
    given: Mapping[int, Line],
    measured: frozenset[int],
    held_off: float,
    gives: Mapping[tuple[int, str], float],
    least: float | None = None,
) -> Placed:
    """The result at a place: every station's figures, and what binds."""
    plan = frame.plan
    wish = plan.site.placing
    inside = {index: inside_of(wall) for index, wall in enumerate(plan.walls) if wall.shell is not None}
    bare = Placed(about, shift, turn, (), {}, measured, 0.0, 0.0, held_off, (), (), inside)
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
            along = _along(wall, strip.point(s, item.outer))
            found = FitStation(item.run, item.wall, along, wanted_setback(wall), setback, leaf_of(wall) - far)
            stations.append(found)
    judged = [at for at in stations if at.wall in measured]
    greatest = max((abs(at.error) for at in judged), default=0.0)
    binds = []
    for at in judged:
        if greatest > AT_LIMIT and abs(at.error) > greatest - AT_LIMIT:
            binds.append(Bind("error", at.wall, at.along))
        if at.setback + wish.outer < AT_LIMIT:
            binds.append(Bind("outer", at.wall, at.along))
        if at.inner + max(wish.inner, _overhang(plan.walls[at.wall])) < AT_LIMIT:
            binds.append(Bind("inner", at.wall, at.along))
    binds += [Bind("held", wall, plan.walls[wall].length / 2) for wall in wish.hold if wall in measured]
    must = tuple(Give(wall, face, by) for (wall, face), by in sorted(gives.items()))
    return replace(
        bare,
        stations=tuple(stations),
        faces=faces,
        greatest=greatest,
        least=greatest if least is None else least,
        binds=tuple(binds),
        gives=must,
    )


def fit_words(plan: Plan, placed: Placed) -> list[str]:
    """How the frame is set, in sentences: what is held, what must give and the way out."""
    wish = plan.site.placing
    found = []
    if not placed.measured:
        return ["No survey is given: the figures are of the shell as designed. Tape the shell before you trust them."]
    missing = sorted(set(placed.faces) - placed.measured)
    if missing:
        names = ", ".join(f"'{plan.walls[wall].name}'" for wall in missing[:6]) + (" …" if len(missing) > 6 else "")
        found.append(f"Not measured, so taken as designed: {names}.")
    loose = [plan.walls[wall].name for wall in wish.hold if wall not in placed.measured]
    if loose:
        names = ", ".join(f"'{name}'" for name in loose)
        found.append(f"Cannot be held, as no outer face of it was measured: {names}.")
    if placed.held_off > 0.5:
        found.append(
            "The walls that are held cannot all be exact: the frame keeps its shape, and is "
            f"{placed.held_off:.0f} mm off on them. Hold fewer, or fit the frame to the shell."
        )
    for give in placed.gives:
        limit = wish.outer if give.face == "outer" else max(wish.inner, _overhang(plan.walls[give.wall]))
        found.append(
            f"'{plan.walls[give.wall].name}' must give {give.by:.1f} mm: the plate would stand "
            f"{limit + give.by:.1f} past its {give.face} face, where {limit:g} is allowed (site.placing.{give.face})."
        )
    if placed.gives:
        found.append(
            'Build the wall out or cut it back, ask the engineer for more, or set site.placing.fit = "shell": plates '
            "that follow the walls, with a cutting list of their own. Cut nothing until it is settled."
        )
    return found
