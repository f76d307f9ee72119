"""The text of a plan that outlines make: shells, cross walls and openings, and as remarks what was done to them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from platemodel.faults import plain
from platemodel.outlines.mending import Healings
from platemodel.outlines.values import Drawn, Loop, Segment, Single
from platemodel.plan.starter import number, quoted, with_shells
from platemodel.plan.values import Point

EXACT = 6
"""Decimals of a millimetre that a plan's places are written with."""

NARROWEST = 200.0
"""An opening over less of a wall than this (mm) is none that a plate has to span: common practice."""


@dataclass(frozen=True)
class Hole:
    """An opening in a wall, by the wall's name in the plan; ``begin`` and ``end`` in whole mm along it."""

    wall: str
    begin: float
    end: float
    name: str


@dataclass(frozen=True)
class Draft:
    """What a plan is written from: outer faces and single lines in mm about an origin, and openings.

    ``origin`` is where the plan has that.
    """

    file: str
    source: str
    faces: tuple[Loop, ...]
    crosses: tuple[Single, ...]
    leaf: float
    origin: Point
    openings: tuple[Hole, ...] = ()


def shell_name(index: int, count: int) -> str:
    """The name of one of so many shells: its walls add numbers to it, so it ends with a letter."""
    if count == 1:
        return "house"
    letters = ""
    index += 1
    while index:
        index, letter = divmod(index - 1, 26)
        letters = chr(ord("A") + letter) + letters
    return f"house {letters}"


def cross_name(index: int) -> str:
    """The name of a cross wall."""
    return f"inside {index + 1}"


def placed(holes: Sequence[Drawn], faces: Sequence[Loop], crosses: Sequence[Single], leaf: float) -> tuple[Hole, ...]:
    """Openings, as areas from above, on the walls that hold the most of them; those of no wall are dropped."""
    from shapely import LineString, Polygon, STRtree

    walls: list[tuple[str, Segment]] = []
    strips: list[Any] = []
    for index, face in enumerate(faces):
        shell = Polygon(face)
        for leg, ends in enumerate(zip(face, (*face[1:], face[0]), strict=True), start=1):
            walls.append((f"{shell_name(index, len(faces))}{leg}", ends))
            strips.append(LineString(ends).buffer(leaf, cap_style="flat").intersection(shell))
    for index, (line, own) in enumerate(crosses):
        walls.append((cross_name(index), line))
        strips.append(LineString(line).buffer(own / 2, cap_style="flat"))
    tree = STRtree(strips)
    found = []
    for hole in holes:
        area = Polygon(hole.points).buffer(0)
        near = sorted(tree.query(area, predicate="intersects").tolist())
        over = [(strips[wall].intersection(area), wall) for wall in near]
        most, wall = max(over, key=lambda pair: pair[0].area, default=(None, 0))
        if most is None or most.area == 0.0:
            continue
        name, (start, end) = walls[wall]
        low, high = _along(most, start, end)
        if high - low >= NARROWEST:
            found.append((wall, Hole(name, low, high, hole.where)))
    return tuple(hole for _, hole in sorted(found, key=lambda pair: (pair[0], pair[1].begin, pair[1].end)))


def _along(area: Any, start: Point, end: Point) -> tuple[float, float]:
    """From where to where an area reaches along a wall, to a whole mm, and not beyond its ends."""
    length = math.dist(start, end)
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    places = [(x - start[0]) * ux + (y - start[1]) * uy for x, y in area.convex_hull.exterior.coords]
    return float(max(0, round(min(places)))), float(min(math.floor(length), round(max(places))))


def plan_text(draft: Draft, healings: Healings, left_out: Sequence[str]) -> str:
    """The plan: outlines as shells, single lines as cross walls, and as remarks what was done to them."""
    lines = [f"# Drawn by others, taken from {plain(Path(draft.source).name)}."]
    lines += [f"# Healed within {healings.tolerance:g} mm: {plain(told)}" for told in healings.told]
    lines += [f"# Left out: {plain(words)}" for words in left_out]
    for index, face in enumerate(draft.faces):
        corners = ", ".join(_point(corner, draft.origin) for corner in face)
        lines += ["[[shell]]", f"name = {quoted(shell_name(index, len(draft.faces)))}", f"leaf = {number(draft.leaf)}"]
        lines += ["setback = 0                       # from the outer face of the leaf to the plate"]
        lines += [f"corners = [{corners}]   # on the outer face of the leaf", ""]
    for index, ((start, end), own) in enumerate(draft.crosses):
        lines += ["[[cross]]", f"name = {quoted(cross_name(index))}", f"leaf = {number(own)}"]
        lines += [f"from = {_point(start, draft.origin)}", f"to = {_point(end, draft.origin)}", ""]
    for hole in draft.openings:
        lines += ["[[opening]]                       # its lintel is taken to lie under the plate: no splice here"]
        lines += [f"name = {quoted(hole.name)}", f"wall = {quoted(hole.wall)}"]
        lines += [f"from = {number(hole.begin)}", f"to = {number(hole.end)}", ""]
    title = Path(draft.source).stem[:60].strip() or "A new plan"
    return with_shells(draft.file, title, "\n".join(lines))


def _point(point: Point, origin: Point) -> str:
    x, y = (number(round(part + origin[axis], EXACT) + 0.0) for axis, part in enumerate(point))
    return f"[{x}, {y}]"
