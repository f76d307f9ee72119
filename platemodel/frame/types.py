"""Types: which pieces are the same solid after turning round or over, and how each is turned.

A type's solid does not depend on which way its runs were drawn: of the ways it can lie, the one
that fewest of its pieces must be turned over for is taken, then the least by its figures.
"""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.shape import TURNS, Shape, Turn, compare, same_turn, shape_key

PER_MM = 100
"""Pieces are looked up by length in steps of a hundredth of a millimetre."""


def types(shapes: Sequence[Shape]) -> tuple[list[Shape], list[int], list[Turn]]:
    """Group shapes as they lie, each starting at x = 0.

    Gives the types' solids, the longest first, and for each shape its type's index and the turn
    between it and that solid.
    """
    members = kinds(shapes)
    solids = [_standard(shapes, kind) for kind in members]
    order = sorted(range(len(solids)), key=lambda kind: shape_key(solids[kind]))
    of_shape = [0] * len(shapes)
    turns = [Turn()] * len(shapes)
    for number, kind in enumerate(order):
        for index in members[kind]:
            turn = same_turn(shapes[index], solids[kind])
            if turn is None:
                # the least figures were another member's by a hair more than pieces may differ
                turn = min(TURNS, key=lambda t: _distance(shapes[index].turned(t), solids[kind]))
            of_shape[index], turns[index] = number, turn
    return [solids[kind] for kind in order], of_shape, turns


def kinds(shapes: Sequence[Shape]) -> list[list[int]]:
    """Shapes that are the same solid after turning, by index."""
    members: list[list[int]] = []
    buckets: dict[tuple[int, int], list[int]] = {}
    for index, shape in enumerate(shapes):
        step = round(shape.length * PER_MM)
        near = [kind for around in (-1, 0, 1) for kind in buckets.get((len(shape.cuts), step + around), [])]
        kind = next((kind for kind in near if same_turn(shape, shapes[members[kind][0]]) is not None), None)
        if kind is None:
            kind = len(members)
            members.append([])
            buckets.setdefault((len(shape.cuts), step), []).append(kind)
        members[kind].append(index)
    return members


def _standard(shapes: Sequence[Shape], members: Sequence[int]) -> Shape:
    first = shapes[members[0]]
    over = sum(turn.over for index in members if (turn := same_turn(shapes[index], first)) is not None)
    ways = [turn for turn in TURNS if 2 * over == len(members) or turn.over == (2 * over > len(members))]
    best = first.turned(ways[0])
    for turn in ways[1:]:
        way = first.turned(turn)
        if compare(way, best) < 0:
            best = way
    return best


def _distance(one: Shape, other: Shape) -> float:
    return max(abs(a - b) for a, b in zip(one.figures(), other.figures(), strict=True))
