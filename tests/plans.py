"""One strategy that makes any valid plan, used by all property tests.

A plan is made as a :class:`Spec`, plain values in the shell's own axes, which can be turned, shifted
or drawn the other way round before it is written as the text of a plan file.
"""

from __future__ import annotations

import dataclasses
import functools
import math
from dataclasses import dataclass

import tomli_w
from hypothesis import assume
from hypothesis import strategies as st

from platemodel.faults import PlanError
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan

XY = tuple[float, float]


@dataclass(frozen=True)
class Spec:
    """A plan in plain values: one shell, cross walls by points, and what lies on the walls."""

    corners: tuple[XY, ...]
    names: tuple[str, ...]
    closed: bool = True
    left: bool = True
    width: float = 100.0
    depth: float = 50.0
    leaf: float = 140.0
    setback: float = 0.0
    clearance: float = 1.0
    widest: float | None = None
    splice: float | None = None
    apart: float | None = None
    stock: tuple[float, ...] = (3600.0, 4800.0, 6000.0)
    crosses: tuple[tuple[str, XY, XY], ...] = ()
    gaps: tuple[tuple[str, float, float], ...] = ()
    openings: tuple[tuple[str, float, float], ...] = ()
    bearings: tuple[tuple[str, float], ...] = ()
    order: tuple[str, ...] = ()
    method: str = "round"

    def wall_length(self, name: str) -> float:
        """Length of a leg by its name."""
        number = self.names.index(name)
        return math.dist(self.corners[number], self.corners[(number + 1) % len(self.corners)])

    def text(self) -> str:
        """The plan file."""
        shell = {
            "name": "shell",
            "leaf": self.leaf,
            "setback": self.setback,
            "closed": self.closed,
            "corners": [list(corner) for corner in self.corners],
            "walls": list(self.names),
        }
        if not self.closed:
            shell["inside"] = "left" if self.left else "right"
        plate = {"width": self.width, "depth": self.depth}
        if self.widest is not None:
            plate["widest"] = self.widest
        lap = {"clearance": self.clearance}
        if self.splice is not None:
            lap["splice"] = self.splice
        if self.apart is not None:
            lap["apart"] = self.apart
        laying = {"method": self.method}
        if self.order and self.method == "round":
            laying["order"] = list(self.order)
        return tomli_w.dumps(
            {
                "job": {"title": "Made by a test"},
                "plate": plate,
                "lap": lap,
                # little effort: what is tested is the geometry, and many plans
                "stock": {"lengths": list(self.stock), "effort": 40},
                "shell": [shell],
                "cross": [
                    {"name": name, "leaf": self.leaf, "from": list(start), "to": list(end)}
                    for name, start, end in self.crosses
                ],
                "gap": [{"wall": wall, "from": begin, "to": end} for wall, begin, end in self.gaps],
                "opening": [{"wall": wall, "from": begin, "to": end} for wall, begin, end in self.openings],
                "bearing": [{"wall": wall, "at": at, "width": 60.0} for wall, at in self.bearings],
                "laying": laying,
            }
        )

    def frame(self) -> Frame:
        """The decided frame."""
        return decided(self.text())

    def moved(self, degrees: float, by: XY) -> Spec:
        """The same plan turned about the origin and then shifted."""
        cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

        def move(point: XY) -> XY:
            return point[0] * cos - point[1] * sin + by[0], point[0] * sin + point[1] * cos + by[1]

        return dataclasses.replace(
            self,
            corners=tuple(move(corner) for corner in self.corners),
            crosses=tuple((name, move(start), move(end)) for name, start, end in self.crosses),
        )

    def drawn_back(self) -> Spec:
        """The same plan with its outline drawn the other way round."""
        length = {name: self.wall_length(name) for name in self.names}

        def back(wall: str, at: float) -> float:
            return max(0.0, length[wall] - at) if wall in length else at

        return dataclasses.replace(
            self,
            corners=(self.corners[0], *self.corners[:0:-1]) if self.closed else self.corners[::-1],
            names=self.names[::-1],
            left=not self.left,
            gaps=tuple((wall, back(wall, end), back(wall, begin)) for wall, begin, end in self.gaps),
            openings=tuple((wall, back(wall, end), back(wall, begin)) for wall, begin, end in self.openings),
            bearings=tuple((wall, back(wall, at)) for wall, at in self.bearings),
        )


@functools.lru_cache(maxsize=64)
def decided(text: str) -> Frame:
    """The frame of a plan's text: what a plan is tried by is asked for again at once by the test itself."""
    return decide(parse_plan(text))


def _rectangle(draw: st.DrawFn) -> list[XY]:
    a, b = draw(_legs), draw(_legs)
    return [(0, 0), (a, 0), (a, b), (0, b)]


def _ell(draw: st.DrawFn) -> list[XY]:
    a, b, c, d = (draw(_legs) for _ in range(4))
    return [(0, 0), (a + c, 0), (a + c, b), (a, b), (a, b + d), (0, b + d)]


def _tee(draw: st.DrawFn) -> list[XY]:
    a, b, c, d, e = (draw(_legs) for _ in range(5))
    return [(0, 0), (a + b + c, 0), (a + b + c, d), (a + b, d), (a + b, d + e), (a, d + e), (a, d), (0, d)]


def _yard(draw: st.DrawFn) -> list[XY]:
    a, b, c, d, e, f = (draw(_legs) for _ in range(6))
    return [(0, 0), (a + b + c, 0), (a + b + c, d + e), (a + b, d + e), (a + b, d), (a, d), (a, d + f), (0, d + f)]


def _bay(draw: st.DrawFn) -> list[XY]:
    """A rectangle with a bay on its front, its cheeks at any angle that may be lapped."""
    a, b, c, depth = (draw(_legs) for _ in range(4))
    cheek = draw(st.floats(500, 2500))
    turn = math.radians(draw(st.floats(31, 89)))
    out, along = cheek * math.sin(turn), cheek * math.cos(turn)
    x = a
    points = [(0.0, 0.0), (x, 0.0), (x + along, -out), (x + along + b, -out), (x + 2 * along + b, 0.0)]
    return [*points, (x + 2 * along + b + c, 0.0), (x + 2 * along + b + c, depth), (0.0, depth)]


def _convex(draw: st.DrawFn) -> list[XY]:
    """A convex outline with corners between 31 and 149 degrees."""
    count = draw(st.integers(3, 7))
    turns = [draw(st.floats(31, 149)) for _ in range(count)]
    scale = 360.0 / sum(turns)
    turns = [turn * scale for turn in turns]
    assume(all(30.5 <= turn <= 149.5 for turn in turns))
    headings = [0.0]
    for turn in turns[:-1]:
        headings.append(headings[-1] + turn)
    lengths = [draw(_legs) for _ in range(count - 2)]
    x = sum(length * math.cos(math.radians(h)) for length, h in zip(lengths, headings, strict=False))
    y = sum(length * math.sin(math.radians(h)) for length, h in zip(lengths, headings, strict=False))
    (ax, ay), (bx, by) = (
        (math.cos(math.radians(heading)), math.sin(math.radians(heading))) for heading in headings[-2:]
    )
    det = ax * by - ay * bx
    one, other = (-x * by + y * bx) / det, (-ax * y + ay * x) / det
    assume(min(one, other) > 900 and max(one, other) < 40_000)
    points = [(0.0, 0.0)]
    for length, heading in zip([*lengths, one], headings, strict=False):
        px, py = points[-1]
        points.append((px + length * math.cos(math.radians(heading)), py + length * math.sin(math.radians(heading))))
    return points


def _chain(draw: st.DrawFn) -> list[XY]:
    """An open line of walls that turns either way."""
    points = [(0.0, 0.0)]
    heading = 0.0
    for _ in range(draw(st.integers(1, 4))):
        length = draw(_legs)
        x, y = points[-1]
        points.append((x + length * math.cos(math.radians(heading)), y + length * math.sin(math.radians(heading))))
        heading += draw(st.floats(31, 149)) * draw(st.sampled_from([-1, 1]))
    return points


_legs = st.floats(900, 9000).map(lambda length: round(length, 1))
_SHAPES = (_rectangle, _ell, _tee, _yard, _bay, _convex, _chain)


@st.composite
def specs(draw: st.DrawFn) -> Spec:
    """Any valid plan: every shape, angle, clearance and section, with cross walls and things on the walls."""
    make = draw(st.sampled_from(_SHAPES))
    corners = make(draw)
    closed = make is not _chain
    count = len(corners) if closed else len(corners) - 1
    width = draw(st.sampled_from([75.0, 97.0, 100.0, 150.0]))
    spec = Spec(
        corners=tuple((float(x), float(y)) for x, y in corners),
        names=tuple(f"w{number}" for number in range(1, count + 1)),
        closed=closed,
        left=closed or draw(st.booleans()),
        width=width,
        depth=draw(st.sampled_from([38.0, 47.0, 50.0, 75.3])),
        leaf=width + 40.0,
        setback=draw(st.sampled_from([0.0, 3.0, 20.0])),
        clearance=draw(st.sampled_from([0.0, 0.5, 1.0, 3.0])),
        splice=draw(st.sampled_from([None, 200.0])),
        stock=draw(st.sampled_from([(3600.0, 4800.0, 6000.0), (2400.0, 3000.0), (7200.0,)])),
        method=draw(st.sampled_from(["round", "round", "pairs"])),
    )
    spec = _with_crosses(draw, spec)
    spec = _with_things(draw, spec)
    walls = [*spec.names, *(name for name, _, _ in spec.crosses)]
    spec = dataclasses.replace(spec, order=tuple(draw(st.permutations(walls))))
    if draw(st.booleans()):
        spec = spec.moved(draw(st.floats(-180, 180)), (draw(st.floats(-1e5, 1e5)), draw(st.floats(-1e5, 1e5))))
    if draw(st.booleans()):
        spec = spec.drawn_back()
    assume(_can_be_built(spec))
    return spec


def _with_crosses(draw: st.DrawFn, spec: Spec) -> Spec:
    """Cross walls between two legs, as far as each can be built with those before it."""
    for number in range(draw(st.integers(0, 3)) if len(spec.names) > 1 else 0):
        one, other = draw(st.permutations(range(len(spec.names))))[:2]
        ends = []
        for leg in (one, other):
            part = draw(st.floats(0.15, 0.85))
            (ax, ay), (bx, by) = spec.corners[leg], spec.corners[(leg + 1) % len(spec.corners)]
            ends.append((ax + part * (bx - ax), ay + part * (by - ay)))
        more = dataclasses.replace(spec, crosses=(*spec.crosses, (f"x{number + 1}", ends[0], ends[1])))
        if _can_be_built(more):
            spec = more
    return spec


def _with_things(draw: st.DrawFn, spec: Spec) -> Spec:
    for _ in range(draw(st.integers(0, 2))):
        wall = draw(st.sampled_from(spec.names))
        length = spec.wall_length(wall)
        begin = draw(st.floats(0, length - 300))
        end = min(length, begin + draw(st.floats(100, 1500)))
        key = draw(st.sampled_from(["gaps", "openings"]))
        more = dataclasses.replace(spec, **{key: (*getattr(spec, key), (wall, begin, end))})
        if _can_be_built(more):
            spec = more
    for _ in range(draw(st.integers(0, 2))):
        wall = draw(st.sampled_from(spec.names))
        more = dataclasses.replace(spec, bearings=(*spec.bearings, (wall, draw(st.floats(0, spec.wall_length(wall))))))
        if _can_be_built(more):
            spec = more
    return spec


def _can_be_built(spec: Spec) -> bool:
    """Whether the plan is one that the program should build; what it refuses is tested elsewhere."""
    try:
        spec.frame()
    except PlanError:
        return False
    return True
