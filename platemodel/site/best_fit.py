"""The place of the frame on faces as built at which its greatest setback error is least.

Walls that are held come first, then the limits past the outer and the inner face, then the greatest error, then
(within a tenth of a millimetre of it) the sum of errors. Each is a linear programme in the shift and a small turn;
they are solved again from where the last one led until the turn no longer changes. Lengths in mm, turns in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from platemodel.frame.values import Frame
from platemodel.plan.values import Plan
from platemodel.site.aims import SLACK, SLACKS, Program
from platemodel.site.faces import XY, Line, along, best_turn, inside_of, leaf_of, normal, past_inner, wanted_setback
from platemodel.site.stretches import Stretch

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]

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


@dataclass(frozen=True)
class Fit:
    """How the frame is moved: turned about ``about`` by ``turn`` degrees, then shifted by ``shift``.

    ``least`` is the least that the greatest error can be, ``held_off`` how far a held wall is off exact, ``gives``
    what walls must give at their outer or inner face.
    """

    about: XY
    shift: XY
    turn: float
    held_off: float
    gives: Mapping[tuple[int, str], float]
    least: float


def fit(frame: Frame, given: Mapping[int, Line], pieces: Sequence[Stretch]) -> Fit:
    """The best place of a frame whose stretches of plate lie on given faces."""
    return _Programs(frame, given, pieces).solved()


def _bearing(line: Line) -> float:
    (ax, ay), (bx, by) = line
    return math.atan2(by - ay, bx - ax)


class _Programs:
    """The programmes about one start: unknowns are a shift in the frame's own axes, and a turn in mm at its rim."""

    def __init__(self, frame: Frame, given: Mapping[int, Line], pieces: Sequence[Stretch]) -> None:
        import numpy as np

        plan = frame.plan
        wish = plan.site.placing
        self.about, self.shift, self.turn = best_turn(plan, given)
        outer, inner, walls, places = [], [], [], []
        for item in pieces:
            strip = frame.runs[item.run].strip
            for s in (item.begin, item.end):
                outer.append(strip.point(s, item.outer))
                inner.append(strip.point(s, item.inner))
                walls.append(item.wall)
                places.append(along(plan.walls[item.wall], outer[-1]))
        self.points = [np.array(points) - np.array(self.about) for points in (outer, inner)]
        self.radius = max(1.0, float(np.abs(self.points[0]).max()))
        self.walls, self.places = walls, places
        self.starts = np.array([given[wall][0] for wall in walls])
        self.normals = np.array([normal(given[wall], inside_of(plan.walls[wall])) for wall in walls])
        self.wanted = np.array([wanted_setback(plan.walls[wall]) for wall in walls])
        self.leaf = np.array([leaf_of(plan.walls[wall]) for wall in walls])
        self.outer = wish.outer
        # a plate that overhangs its leaf by design may do so as built
        self.inner = np.array([past_inner(wish, plan.walls[wall]) for wall in walls])
        self.least = 0.0
        hold = dict.fromkeys(wall for wall in wish.hold if wall in walls)
        self.held = self._held_rows(list(hold))
        # turned far enough, a frame comes to any two walls that are too near: of several that are held only
        # what the walls' own turns allow
        turns = [self.turn + part for part in self._turns(plan, given)] if len(hold) > 1 else []
        self.turns = (min(turns), max(turns)) if turns else (-math.inf, math.inf)

    def _held_rows(self, hold: Sequence[int]) -> Matrix:
        """What of the errors is held at nothing: the ends of one wall, the middle of each of several."""
        import numpy as np

        rows = []
        for wall in hold:
            mine = [number for number, of in enumerate(self.walls) if of == wall]
            first, last = (pick(mine, key=lambda number: self.places[number]) for pick in (min, max))
            for share in ((1.0, 0.0), (0.0, 1.0)) if len(hold) == 1 else ((0.5, 0.5),):
                row = np.zeros(len(self.walls))
                row[first], row[last] = share
                rows.append(row)
        return np.array(rows).reshape(len(rows), len(self.walls))

    def _turns(self, plan: Plan, given: Mapping[int, Line]) -> list[float]:
        """How much more than the frame at its start each wall as built is turned from its design, radians."""
        return [
            math.remainder(
                _bearing(line) - _bearing((plan.walls[wall].start, plan.walls[wall].end)) - self.turn, math.tau
            )
            for wall, line in given.items()
            if wall in self.walls
        ]

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

    def solved(self) -> Fit:
        """First the least greatest error, then of all places that are as good the one of the least sum."""
        self._settled(None)
        least = max(0.0, self.least)
        # what rounding lets pass a limit comes off it beforehand
        gives = self._settled(least + TELL - SLACKS[-1])
        turn = math.degrees(math.remainder(self.turn, 2 * math.pi))
        return Fit(self.about, self.shift, turn, self._held_off(self._now()[0]), gives, least)

    def _held_off(self, errors: Matrix) -> float:
        """How far a held wall is off by these errors, at the most, mm."""
        return float(abs(self.held @ errors).max()) if len(self.held) else 0.0

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
        for sign, most_turn in zip((1.0, -1.0), reversed(self.turns), strict=True):
            if math.isfinite(most_turn):
                program.rows({2: np.full((1, 1), sign)}, np.array([sign * (most_turn - self.turn) * self.radius]))
        if allowed is None:
            if len(self.held):
                off = float(program.least([3], lose=TELL)[3])
                if off < LEAST_GIVE:
                    program.keep([3], off + SLACK)
            program.least(range(give, most))
            self.least = float(program.least([most])[most])
        else:
            # all that was reached is kept as it is
            program.keep([3], self._held_off(errors))
            over = [np.maximum(0.0, part) for part in (-errors - self.wanted - self.outer, past - self.inner)]
            program.keep(range(give, most), sum(float((of_wall.T * part).max(axis=1).sum()) for part in over))
            program.keep([most], allowed)
            program.least(range(size, step))
        # a wall or two leave the frame free to slide: of all places as good, the one nearest to where it is
        x = program.least(range(step, step + 3))
        sides = [(name, face) for face in ("outer", "inner") for name in names]
        gives = {side: float(by) for side, by in zip(sides, x[give:most], strict=True) if by > LEAST_GIVE}
        return (float(x[0]), float(x[1]), float(x[2])), gives
