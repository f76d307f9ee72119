"""Where straps go along one stretch of plate: the fewest that the rules let, and of all ways with so few an even one.

The fewest are had by going as far on each time as the rules let, which no other choice betters.
"""

from __future__ import annotations

import bisect
import math
from collections.abc import Sequence
from dataclasses import dataclass

Span = tuple[float, float]

STEP = 100.0
"""Places for a strap are tried so far apart (mm)."""
SLACK = 1e-6
"""Straps are no further apart than asked where it is by less than this (mm)."""


@dataclass(frozen=True)
class Keep:
    """A stretch of a plate that a strap keeps out of (mm along the plate), and what is there."""

    begin: float
    end: float
    why: str


@dataclass(frozen=True)
class Need:
    """A stretch in which there must be a strap (mm along the plate), and what for."""

    begin: float
    end: float
    why: str


@dataclass(frozen=True)
class Lack:
    """Where the rules cannot be kept: from ``begin`` to ``end``, what is asked there and what stands in the way."""

    begin: float
    end: float
    asked: str
    why: str


@dataclass(frozen=True)
class Spread:
    """Where straps go along a stretch: ``new`` ones and those ``built`` in already (mm), and where none can be."""

    new: tuple[float, ...]
    built: tuple[float, ...]
    lacks: tuple[Lack, ...]

    @property
    def places(self) -> list[float]:
        """All straps in order."""
        return sorted((*self.new, *self.built))


def allowed(span: Span, keeps: Sequence[Keep]) -> list[Span]:
    """What is left of a stretch where nothing is kept out of, in order; a strap may stand on its edges."""
    found: list[Span] = []
    at = span[0]
    for keep in sorted(keeps, key=lambda keep: (keep.begin, keep.end)):
        if keep.end <= at or keep.begin >= span[1]:
            continue
        if keep.begin >= at:
            found.append((at, keep.begin))
        at = keep.end
    if at <= span[1]:
        found.append((at, span[1]))
    return found


def spread(span: Span, keeps: Sequence[Keep], needs: Sequence[Need], every: float, built: Sequence[float]) -> Spread:
    """Straps along a stretch: no two further apart than ``every``, one in each need, none where it is kept out.

    As few new ones as can be, evenly. What cannot be kept is told, and kept as nearly as can be.
    """
    # in thousandths, so that a plan drawn the other way round gives the same figures
    span = round(span[0], 3), round(span[1], 3)
    every = math.floor(every * 1000 + 1e-6) / 1000
    free = allowed(span, keeps)
    built = sorted(round(place, 3) for place in built)
    needs, lacks = _meetable(free, keeps, needs, built)
    _, gaps = fewest(free, needs, every, built)
    lacks += [Lack(begin, end, f"straps {every:g} apart", _in_the_way(keeps, begin, end)) for begin, end in gaps]
    edges = [span[0], *(edge for gap in gaps for edge in gap), span[1]]
    new: list[float] = []
    for begin, end in zip(edges[::2], edges[1::2], strict=True):
        part = [(max(low, begin), min(high, end)) for low, high in free if low <= end and high >= begin]
        there = [place for place in built if begin <= place <= end]
        within = [Need(max(n.begin, begin), min(n.end, end), n.why) for n in needs if n.begin <= end and n.end >= begin]
        within = [need for need in within if _met(need, part, there)]
        # either side of where they are too far apart, a strap as near as it can stand
        within += [Need(edge, edge, "") for edge in (begin, end) if edge in edges[1:-1]]
        new += _fewest_evenly((begin, end), part, within, every, there)
    return Spread(tuple(new), tuple(built), tuple(lacks))


def spread_from_end(
    span: Span, keeps: Sequence[Keep], needs: Sequence[Need], every: float, built: Sequence[float]
) -> Spread:
    """Straps as :func:`spread` gives them, but of two ways as good that which it would take from the other end."""
    turned = [Keep(-keep.end, -keep.begin, keep.why) for keep in keeps]
    found = spread((-span[1], -span[0]), turned, _turned(needs), every, [-place for place in built])
    return Spread(
        tuple(_negated(found.new)),
        tuple(_negated(found.built)),
        tuple(Lack(-lack.end, -lack.begin, lack.asked, lack.why) for lack in found.lacks),
    )


def _fewest_evenly(
    span: Span, free: Sequence[Span], needs: Sequence[Need], every: float, built: Sequence[float]
) -> list[float]:
    ahead, _ = fewest(free, needs, every, built)
    if not ahead:
        return []
    back, _ = fewest([(-end, -begin) for begin, end in reversed(free)], _turned(needs), every, _negated(built))
    return _evenly(span, free, needs, every, built, ahead, _negated(back))


def _met(need: Need, free: Sequence[Span], built: Sequence[float]) -> bool:
    """Whether a strap of a need can stand somewhere, or does."""
    return _stands(need, built) or any(max(begin, need.begin) <= min(end, need.end) for begin, end in free)


def _stands(need: Need, built: Sequence[float]) -> bool:
    """Whether a strap that is built in meets a need."""
    return any(need.begin <= place <= need.end for place in built)


def _turned(needs: Sequence[Need]) -> list[Need]:
    return [Need(-need.end, -need.begin, need.why) for need in needs]


def _negated(places: Sequence[float]) -> list[float]:
    return [-place for place in reversed(places)]


def fewest(
    free: Sequence[Span], needs: Sequence[Need], every: float, built: Sequence[float]
) -> tuple[list[float], list[Span]]:
    """The fewest new straps, each as far on as it may be, and the stretches where two are too far apart.

    Each need must have room in ``free`` or a strap of ``built``. Going further on never asks for more straps
    later: those needs that are left open are some of those that a nearer strap leaves open, and the rest of any
    other choice does for this one too.
    """
    openings = [need for need in needs if not _stands(need, built)]
    last = max((need.begin for need in needs), default=-math.inf)
    chain: list[float] = []
    gaps: list[Span] = []
    at = -math.inf
    while at < last or any(place > at for place in built):
        bound = min([need.end for need in openings if need.begin > at], default=math.inf)
        bound = min(bound, at + every) if at > -math.inf else bound
        place = next((place for place in built if at < place <= bound), None)
        if place is None:
            place = _furthest(free, at, bound)
        if place is None:
            # nothing is free within reach: on to the next place there is
            place = min([spot for spot in (*built, *(begin for begin, _ in free)) if spot > at], default=None)
            if place is None:
                break
            if at > -math.inf:
                gaps.append((at, place))
        if place not in built:
            chain.append(place)
        at = place
    return chain, gaps


def _furthest(free: Sequence[Span], after: float, bound: float) -> float | None:
    """The furthest free place after one and no further than a bound."""
    for begin, end in reversed(free):
        if begin <= bound:
            place = min(end, bound)
            return place if place > after else None
    return None


def _meetable(
    free: Sequence[Span], keeps: Sequence[Keep], needs: Sequence[Need], built: Sequence[float]
) -> tuple[list[Need], list[Lack]]:
    """The needs, those that no free place meets moved to the nearest that is free, and told."""
    found: list[Need] = []
    lacks: list[Lack] = []
    for need in needs:
        if _met(need, free, built):
            found.append(need)
            continue
        lacks.append(Lack(need.begin, need.end, need.why, _in_the_way(keeps, need.begin, need.end)))
        spots = [spot for part in free for spot in part]
        if spots:
            nearest = min(spots, key=lambda spot: (round(max(need.begin - spot, spot - need.end), 3), spot))
            found.append(Need(nearest, nearest, need.why))
    return found, lacks


def _in_the_way(keeps: Sequence[Keep], begin: float, end: float) -> str:
    there = sorted((keep for keep in keeps if keep.begin < end and keep.end > begin), key=lambda keep: keep.begin)
    names = list(dict.fromkeys(keep.why for keep in there))
    if not names:
        return "no whole plate"
    return ", ".join(names[:4]) + (f" and {len(names) - 4} more" if len(names) > 4 else "")


def _evenly(
    span: Span,
    free: Sequence[Span],
    needs: Sequence[Need],
    every: float,
    built: Sequence[float],
    ahead: Sequence[float],
    back: Sequence[float],
) -> list[float]:
    """Of all ways with as few new straps, one whose spacings' squares come to least, over tried places."""
    fixed = {round(place, 3) for place in built}
    places = sorted(_tried(free, (*ahead, *back)) | fixed)
    unmet = [need for need in needs if not _stands(need, built)]
    # the nearest end of the needs that begin after a place bounds the next one: none is passed over
    least_end = [min((need.end for need in unmet if need.begin > place), default=math.inf) for place in places]
    first = min((*(need.end for need in unmet), *fixed), default=math.inf)
    last = max((*(need.begin for need in needs), *fixed), default=-math.inf)
    # best[count][index]: with so many new straps, the last strap at that place, the least sum, and the index and
    # the count of the strap before
    size = len(ahead)
    best: list[dict[int, tuple[float, int, int]]] = [{} for _ in range(size + 1)]
    for index, place in enumerate(places):
        if place > first:
            break
        new = place not in fixed
        if new <= size:
            best[new][index] = (round((place - span[0]) ** 2, 1), -1, 0)
    for index, place in enumerate(places):
        stop = bisect.bisect_right(places, min(place + every, least_end[index]) + SLACK)
        for count in range(size + 1):
            state = best[count].get(index)
            if state is None:
                continue
            for further in range(index + 1, stop):
                spot = places[further]
                new = spot not in fixed
                if count + new <= size:
                    total = round(state[0] + (spot - place) ** 2, 1)
                    known = best[count + new].get(further)
                    if known is None or total < known[0]:
                        best[count + new][further] = (total, index, count)
                if not new:
                    break
    ends = [
        (round(state[0] + (span[1] - places[index]) ** 2, 1), index)
        for index, state in best[size].items()
        if places[index] >= last
    ]
    if not ends:
        return list(ahead)
    _, at = min(ends)
    count = size
    found = []
    while at >= 0:
        if places[at] not in fixed:
            found.append(places[at])
        _, at, count = best[count][at]
    return found[::-1]


def _tried(free: Sequence[Span], more: Sequence[float]) -> set[float]:
    """Places that are tried for a strap: step by step along what is free, the middles of it, and some more."""
    spots = {round(place, 3) for place in more}
    for begin, end in free:
        count = max(1, math.ceil((end - begin) / STEP))
        spots |= {round(begin + (end - begin) * number / count, 3) for number in range(count + 1)}
        spots.add(round((begin + end) / 2, 3))
    return spots
