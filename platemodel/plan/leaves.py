"""The outline of the leaf of each wall in plan, mitred with its neighbours: context for models and drawings."""

from __future__ import annotations

from platemodel.plan.values import Plan, Point, Wall

IN_LINE = 1e-3
"""Sine of the angle below which neighbouring walls are taken to be in line, and end square."""


def leaf_outline(plan: Plan, index: int) -> tuple[Point, ...]:
    """Four corners of a wall's leaf, anticlockwise, in the plan's axes, mm.

    The first two lie on its right edge, from its start on; the others come back along its left edge.
    """
    wall = plan.walls[index]
    before = None if wall.before is None else plan.walls[wall.before]
    after = None if wall.after is None else plan.walls[wall.after]
    right, left = (
        (_end(wall, offset, side, before, 0.0), _end(wall, offset, side, after, wall.length))
        for side, offset in enumerate(wall.leaf)
    )
    return (right[0], right[1], left[1], left[0])


def _end(wall: Wall, offset: float, side: int, neighbour: Wall | None, along: float) -> Point:
    """Where one edge of a leaf meets the same edge of a neighbour's; square at ``along`` where it does not."""
    if neighbour is None:
        return wall.at(along, offset)
    (ux, uy), (vx, vy) = wall.direction, neighbour.direction
    sine = ux * vy - uy * vx
    if abs(sine) < IN_LINE:
        return wall.at(along, offset)
    ax, ay = wall.at(0.0, offset)
    bx, by = neighbour.at(0.0, neighbour.leaf[side])
    reach = ((bx - ax) * vy - (by - ay) * vx) / sine
    return ax + reach * ux, ay + reach * uy
