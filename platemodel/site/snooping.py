"""Which readings of an adjusted net to take again: blunders by their standardised residuals.

Data snooping after Baarda (1968): a standardised residual beyond 3.29 comes about by chance once in a thousand
readings (from memory). Where the standard errors of the readings are only weights, Pope's tau of the same
significance stands in its place (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from platemodel.site.adjusting import Datum, Net, NotDeterminedError, NotSettledError, adjust
from platemodel.site.readings import XY, misfit

CRITICAL = 3.29
"""Two-sided limit of the standard normal distribution at 0.1 %."""
CHANCE = 0.001
ALIKE = 0.8
"""Readings whose standardised residuals are this part of the largest or more may be the wrong one instead."""
RIVALS = 7
"""Readings that are tried in place of the worst, at most."""


@dataclass(frozen=True)
class Blunder:
    """A reading to take again, by its number; or several, one of which is wrong, where they cannot be told apart.

    ``excess`` is how much it is above what the others make it, None where several are named; ``standardised``
    is the residual that tells it.
    """

    readings: tuple[int, ...]
    standardised: float
    excess: float | None


def critical(freedom: int, known: bool) -> float:
    """The least standardised residual that tells a blunder; infinite where too few readings check one another.

    >>> critical(1, False)
    inf
    >>> critical(5, True)
    3.29
    """
    if known:
        return CRITICAL
    if freedom < 2:
        return math.inf
    from scipy.special import stdtrit

    student = float(stdtrit(freedom - 1, 1.0 - CHANCE / 2.0))
    return student * math.sqrt(freedom / (freedom - 1.0 + student * student))


def find_blunders(net: Net, starts: Mapping[str, XY], datum: Datum, most: int = 20) -> tuple[Blunder, ...]:
    """The blunders of an adjusted net, the plainest first.

    For judging only, each that is found is left out and the others are adjusted again.
    """
    left = list(range(len(net.readings)))
    now, found = net, list[Blunder]()
    while len(found) < most:
        worst = _worst(now)
        if worst is None:
            break
        number, size = worst
        without = _without(now, [number, *_rivals(now, number)], starts, datum)
        if not without:
            break
        if len(without) > 1:
            found.append(Blunder(tuple(left[place] for place in sorted(without)), size, None))
            break
        ((number, then),) = without.items()
        reading = now.readings[number].reading
        places = {name: then.points[name].xy for name in reading.points}
        size = abs(now.readings[number].standardised or 0.0)
        found.append(Blunder((left.pop(number),), size, misfit(reading, places)))
        now = then
    return tuple(found)


def _worst(net: Net) -> tuple[int, float] | None:
    """The reading of the largest standardised residual, and that, where it tells a blunder."""
    # of two, whatever misfit there is may fall on the check of one length taped twice, and the rest seem out
    limit = critical(net.freedom, net.known) if net.known or net.freedom > 2 else math.inf
    sizes = [abs(item.standardised or 0.0) for item in net.readings]
    if not sizes or max(sizes) <= limit:
        return None
    number = max(range(len(sizes)), key=sizes.__getitem__)
    return number, sizes[number]


def _rivals(net: Net, number: int) -> list[int]:
    """Other readings that may be the wrong one instead, those of the largest standardised residuals first."""
    sizes = {place: abs(item.standardised or 0.0) for place, item in enumerate(net.readings)}
    near = [place for place, size in sizes.items() if place != number and size >= sizes[number] * ALIKE]
    return sorted(near, key=lambda place: -sizes[place])[:RIVALS]


def _without(net: Net, suspects: Sequence[int], starts: Mapping[str, XY], datum: Datum) -> dict[int, Net]:
    """Of readings that may be wrong those without which the others agree best, each with the net without it.

    Several where it makes no odds which is left out: they cannot be told apart. None is left out where that
    leaves a net that cannot be adjusted.
    """
    nets = {}
    for number in suspects:
        others = [item.reading for place, item in enumerate(net.readings) if place != number]
        try:
            nets[number] = adjust(others, starts, datum, net.known)
        except (NotDeterminedError, NotSettledError):
            continue
    if not nets:
        return {}
    squares = {number: _squares(then) for number, then in nets.items()}
    best = min(squares, key=squares.__getitem__)
    unit = 1.0 if net.known else squares[best] / max(1, nets[best].freedom)
    # rounding counts for nothing, where the others agree to the last digit
    limit = squares[best] + CRITICAL**2 * unit + 1e-6 * _squares(net)
    return {number: then for number, then in nets.items() if squares[number] <= limit}


def _squares(net: Net) -> float:
    return sum((item.residual / item.reading.sd) ** 2 for item in net.readings)
