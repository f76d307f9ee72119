"""From runs, laps and splices to pieces: what each timber is, how it lies and where."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame.laps import Lap, Side
from platemodel.frame.runs import Run
from platemodel.frame.shape import Cut, Shape, Turn, Vertex
from platemodel.frame.strip import Pair, Point
from platemodel.frame.values import Place

ON = 1.0
"""A piece serves a wall when it lies on at least this much of it (mm)."""


@dataclass(frozen=True)
class Timber:
    """A piece before its halves are known: where it lies on its run and the laps it has.

    ``sides`` are (lap index, side number) in order along it.
    """

    run: int
    number: int
    low: Pair
    high: Pair
    sides: tuple[tuple[int, int], ...]


def divide(run: int, runs: Sequence[Run], laps: Sequence[Lap], of_run: Sequence[tuple[int, int]]) -> list[Timber]:
    """Divide a run at its splices; ``of_run`` are (lap index, side number) of all laps on it."""

    def side(item: tuple[int, int]) -> Side:
        return laps[item[0]].sides[item[1]]

    splices = sorted({index for index, _ in of_run if laps[index].kind == "splice"}, key=lambda i: laps[i].sides[0].low)
    fixed = [item for item in of_run if laps[item[0]].kind != "splice"]
    low = runs[run].low
    found = []
    for number, splice in enumerate([*splices, None]):
        high = runs[run].high if splice is None else laps[splice].sides[0].high
        mine = [
            item
            for item in fixed
            if sum(low) <= sum(side(item).low) + 1e-9 and sum(side(item).high) <= sum(high) + 1e-9
        ]
        if number > 0:
            mine.append((splices[number - 1], 1))
        if splice is not None:
            mine.append((splice, 0))
        mine.sort(key=lambda item: sum(side(item).low))
        found.append(Timber(run, number + 1, low, high, tuple(mine)))
        if splice is not None:
            low = laps[splice].sides[1].low
    return found


def laid_shape(timber: Timber, run: Run, laps: Sequence[Lap], unders: Sequence[bool], depth: float) -> Shape:
    """The shape of a timber as it lies; ``unders`` says of each of its sides whether it is the under half."""
    cuts = []
    for (index, number), under in zip(timber.sides, unders, strict=True):
        side = laps[index].sides[number]
        cuts.append(Cut(side.void_low, side.void_high, upper=under))
    return Shape(run.strip.width, depth, timber.low, timber.high, tuple(cuts)).at_origin()


def in_building(shape: Shape, timber: Timber, run: Run, origin: Point) -> tuple[list[Vertex], list[tuple[int, ...]]]:
    """Corners of a laid shape in the frame's axes, and its faces."""
    vertices, faces = shape.polyhedron()
    base = min(timber.low)
    placed = []
    for x, y, z in vertices:
        east, north = run.strip.point(base + x, y)
        placed.append((east - origin[0], north - origin[1], z))
    return placed, faces


def place(shape: Shape, timber: Timber, run: Run, turn: Turn, origin: Point) -> Place:
    """Where the piece frame of a timber's type stands; ``turn`` leads from it to the timber as laid."""
    ux, uy = run.strip.direction
    base = min(timber.low)
    if turn.round:
        # the piece frame's origin is the far corner of the box, its x back along the run
        ux, uy = -ux, -uy
        east, north = run.strip.point(base + shape.length, run.strip.width)
    else:
        east, north = run.strip.point(base, 0.0)
    angle = math.degrees(math.atan2(uy, ux)) % 360.0
    # the remainder of a tiny negative angle rounds up to a full turn
    angle = 0.0 if angle >= 360.0 else angle
    return Place(east - origin[0], north - origin[1], 0.0, angle, turn.over)


def walls_of(timber: Timber, run: Run) -> list[int]:
    """Indices of the walls on which a timber lies, in order along it."""
    low, high = min(timber.low), max(timber.high)
    found = [
        wall for wall, (begin, end) in zip(run.walls, run.spans, strict=True) if min(high, end) - max(low, begin) >= ON
    ]
    return list(dict.fromkeys(found))
