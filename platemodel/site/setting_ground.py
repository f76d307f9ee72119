"""What the figures to set plates out by are worked out from: the frame, its stretches and its corners."""

from __future__ import annotations

import math

from shapely import Point, Polygon, STRtree

from platemodel.frame.runs import Run
from platemodel.frame.values import Frame
from platemodel.plan.values import Wall
from platemodel.site.setting_out_values import Corner
from platemodel.site.stretches import Stretch, stretches

XY = tuple[float, float]

NEAR = 1.0
"""A place within this of a plate's edge is on it (mm)."""


class Ground:
    """What the figures of a frame are worked out from."""

    def __init__(self, frame: Frame) -> None:
        self.frame, self.walls = frame, frame.plan.walls
        self.stretches: dict[int, list[Stretch]] = {}
        for item in stretches(frame):
            self.stretches.setdefault(item.run, []).append(item)
        self.outlines = [Polygon(frame.runs[p.run].strip.corners(p.low, p.high)) for p in frame.pieces]
        self.tree = STRtree(self.outlines)
        self.on_run: dict[int, list[int]] = {}
        for index, piece in enumerate(frame.pieces):
            self.on_run.setdefault(piece.run, []).append(index)

    def corner_at(self, point: XY) -> Corner:
        """A corner, named by the pieces there, at most one of each of two plates."""
        near = self.tree.query(Point(point), predicate="dwithin", distance=NEAR).tolist()
        names: dict[int, str] = {}
        for index in sorted(near):
            names.setdefault(self.frame.pieces[index].run, self.frame.pieces[index].mark)
        return Corner(point, "/".join(sorted(names.values())[:2]))

    def legs(self, at: XY, before: XY, after: XY) -> tuple[str, str]:
        """The letters of the plates that lead from a corner towards two places."""
        near = self.tree.query(Point(at), predicate="dwithin", distance=NEAR).tolist()
        runs = sorted({self.frame.pieces[index].run for index in near})
        found = []
        for x, y in (before, after):
            size = math.dist(at, (x, y))

            def off(run: int, way: XY = ((x - at[0]) / size, (y - at[1]) / size)) -> float:
                ux, uy = self.frame.runs[run].strip.direction
                return abs(ux * way[1] - uy * way[0])

            found.append(self.frame.letters[min(runs, key=off)])
        return found[0], found[1]

    def backward(self, index: int) -> bool:
        """Whether the tape runs against a run's sense: along its first wall in the plan from that wall's first corner.

        A piece is bedded the same way, so that figures along a wall run one way on every sheet.
        """
        run = self.frame.runs[index]
        return not along_run(self.walls[min(run.walls)], run)


def run_length(run: Run) -> float:
    """The length of a plate line along its middle, mm."""
    return sum(run.high) / 2 - sum(run.low) / 2


def along_run(wall: Wall, run: Run) -> bool:
    """Whether a wall runs the way its run does."""
    (ux, uy), (vx, vy) = wall.direction, run.strip.direction
    return ux * vx + uy * vy > 0.0


def project(begin: XY, end: XY, point: XY) -> float:
    """How far along a line a point lies."""
    size = math.dist(begin, end)
    return ((point[0] - begin[0]) * (end[0] - begin[0]) + (point[1] - begin[1]) * (end[1] - begin[1])) / size


def compass(way: XY) -> str:
    """The side of the plan a direction leads to."""
    return ("E", "NE", "N", "NW", "W", "SW", "S", "SE")[round(math.degrees(math.atan2(way[1], way[0])) / 45.0) % 8]
