"""Where the points of a net of lengths are, roughly: one after the other, each from those placed before it."""

from __future__ import annotations

import heapq
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from platemodel.site.readings import XY, Distance

FLAT = 0.05
"""Circles that do not meet are taken to meet this part of the base off it, so that a start is never in line."""
PLAIN = 0.02
"""Of the two places where circles meet, one is plainly right where the other misses a third length by this part."""


@dataclass(frozen=True)
class Starts:
    """Starting places; ``unplaced`` are points with too few lengths to others, ``guessed`` those whose side was open.

    A guessed point may as well lie on the other side of the line through two others, which it names.
    """

    places: Mapping[str, XY]
    unplaced: tuple[str, ...]
    guessed: Mapping[str, tuple[str, str]]


def starting_places(lengths: Sequence[Distance], known: Mapping[str, XY], base: tuple[str, str] | None) -> Starts:
    """Place all points that lengths reach.

    ``known`` places stay as they are; where fewer than two are known, the ``base``'s first point is put at 0, 0
    and its second on the x axis. Where two places are open, the one to the left of the base (or of the first two
    known points) is taken.
    """
    ties: dict[str, dict[str, float]] = {}
    for item in lengths:
        ties.setdefault(item.begin, {})[item.end] = item.value
        ties.setdefault(item.end, {})[item.begin] = item.value
    if base is not None and not set(base) <= set(known):
        return _from_base(ties, known, base)
    return _grown(ties, dict(known))


def _from_base(ties: dict[str, dict[str, float]], known: Mapping[str, XY], base: tuple[str, str]) -> Starts:
    hold, along = base
    if hold not in ties or along not in ties:
        return Starts({}, tuple(name for name in base if name not in ties), {})
    if along in ties[hold]:
        return _grown(ties, {hold: (0.0, 0.0), along: (ties[hold][along], 0.0)})
    # the base itself was not taped: build on another length from its first point, and turn the whole
    best = Starts({}, (along,), {})
    for other, size in ties[hold].items():
        found = _grown(ties, {hold: (0.0, 0.0), other: (size, 0.0)})
        if along in found.places and len(found.places) > len(best.places):
            best = found
    if not best.places:
        return best
    x, y = best.places[along]
    size = math.hypot(x, y) or 1.0
    cos, sin = x / size, -y / size
    turned = {name: (cos * a - sin * b, sin * a + cos * b) for name, (a, b) in best.places.items()}
    if sum(b for _, b in turned.values()) < 0.0:
        turned = {name: (a, -b) for name, (a, b) in turned.items()}
    return Starts(turned, best.unplaced, best.guessed)


def _grown(ties: dict[str, dict[str, float]], places: dict[str, XY]) -> Starts:
    first = list(places.values())[:2]
    guessed: dict[str, tuple[str, str]] = {}
    heap: list[tuple[float, str]] = []

    def offer(name: str) -> None:
        if name not in places:
            near = [places[other] for other in ties[name] if other in places]
            if len(near) >= 2:
                # those with most ties and widest bases first
                heapq.heappush(heap, (-len(near) - min(0.9, _width(near, ties[name], places)), name))

    for name in ties:
        offer(name)
    while heap:
        _, name = heapq.heappop(heap)
        if name in places:
            continue
        places[name], pair = _place(name, ties[name], places, first)
        if pair is not None:
            guessed[name] = pair
        for other in ties[name]:
            offer(other)
    _turn_over(ties, places, guessed)
    return Starts(places, tuple(name for name in ties if name not in places), guessed)


def _width(near: Sequence[XY], own: Mapping[str, float], places: Mapping[str, XY]) -> float:
    """How square the widest two lengths to a point meet, from 0 to 1."""
    ends = [(places[other], size) for other, size in own.items() if other in places][:8]
    best = 0.0
    for number, (one, a) in enumerate(ends):
        for other, b in ends[:number]:
            best = max(best, _squareness(math.dist(one, other), a, b))
    return best


def _squareness(base: float, a: float, b: float) -> float:
    cos = (a * a + b * b - base * base) / (2.0 * a * b)
    return math.sqrt(max(0.0, 1.0 - cos * cos))


def _place(
    name: str, own: Mapping[str, float], places: Mapping[str, XY], first: Sequence[XY]
) -> tuple[XY, tuple[str, str] | None]:
    """A point's place, and the two points from which it was found where its side was open."""
    ends = [other for other in own if other in places]
    pairs = [(one, other) for number, one in enumerate(ends[:12]) for other in ends[:number]]
    pair = max(pairs, key=lambda two: _squareness(math.dist(places[two[0]], places[two[1]]), own[two[0]], own[two[1]]))
    left, right = _meet(places[pair[0]], own[pair[0]], places[pair[1]], own[pair[1]])
    misses = [sum((math.dist(spot, places[other]) - own[other]) ** 2 for other in ends) for spot in (left, right)]
    apart = math.dist(left, right)
    if abs(math.sqrt(misses[0]) - math.sqrt(misses[1])) > PLAIN * apart:
        return (left, right)[misses[1] < misses[0]], None
    (ax, ay), (bx, by) = first
    sides = [(bx - ax) * (y - ay) - (by - ay) * (x - ax) for x, y in (left, right)]
    if (sides[0] > 0.0) != (sides[1] > 0.0):
        one_side = {pair[0], pair[1]} <= {spot for spot, place in places.items() if place in first}
        return (left, right)[sides[1] > sides[0]], None if one_side else pair
    # both on one side: away from what is placed already
    crowd = [min(math.dist(spot, place) for place in places.values()) for spot in (left, right)]
    return (left, right)[crowd[1] > crowd[0]], pair


def _meet(one: XY, a: float, other: XY, b: float) -> tuple[XY, XY]:
    """Where two circles meet: to the left and to the right of the line from the first centre to the second."""
    base = math.dist(one, other) or 1e-300
    ux, uy = (other[0] - one[0]) / base, (other[1] - one[1]) / base
    along = (a * a - b * b + base * base) / (2.0 * base)
    square = a * a - along * along
    if square <= 0.0:
        # they miss each other, by an error of reading
        along = min(max(along, -a), a)
    off = max(math.sqrt(max(0.0, square)), FLAT * min(a, b))
    x, y = one[0] + along * ux, one[1] + along * uy
    return (x - off * uy, y + off * ux), (x + off * uy, y - off * ux)


def _turn_over(ties: dict[str, dict[str, float]], places: dict[str, XY], guessed: dict[str, tuple[str, str]]) -> None:
    """Points whose side was open may be told by lengths to points that were placed after them."""
    for name, (one, other) in list(guessed.items()):
        (ax, ay), (bx, by), (x, y) = places[one], places[other], places[name]
        size = math.hypot(bx - ax, by - ay) or 1.0
        ux, uy = (bx - ax) / size, (by - ay) / size
        off = -(x - ax) * uy + (y - ay) * ux
        mirrored = (x + 2.0 * off * uy, y - 2.0 * off * ux)
        costs = [
            math.sqrt(
                sum((math.dist(spot, places[end]) - value) ** 2 for end, value in ties[name].items() if end in places)
            )
            for spot in ((x, y), mirrored)
        ]
        if abs(costs[0] - costs[1]) > PLAIN * 2.0 * abs(off):
            if costs[1] < costs[0]:
                places[name] = mirrored
            del guessed[name]
