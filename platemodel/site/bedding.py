"""The plate level and the bed: from the levels of the walls' tops, for every place that is set out.

Levels are mm, above the datum of a levelling book or above a laser's line. The plates' underside is the least bed
above the highest place under a plate, lintels counted, unless the plan wishes a level.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.runs import on_run
from platemodel.frame.values import Frame, Piece
from platemodel.site.booking import Book, written
from platemodel.site.dry_laps import lies_on
from platemodel.site.ground import STEP, Stretch, Tops, ground, tops
from platemodel.site.mortar import Mortar, mortar, slices

DUST = 1e-6
"""A bed that is out by less is not (mm)."""
SAME = 1.0
"""Places no farther apart are one (mm)."""
EVERY = 1000.0
"""From one place set out along a wall to the next (mm)."""
JOINT = (6.0, 15.0)
"""Bed joints of general-purpose mortar, mm: EN 1996-1-1:2005, 8.1.5 (from memory)."""
STAFF = 5000.0


@dataclass(frozen=True)
class Place:
    """A place where the bed is measured: the piece's mark, the wall, how far along it (mm), and what is there.

    ``top`` is the level of the wall or lintel, ``bed`` its thickness, ``reading`` what a staff on the wall must
    show, or how far the wall is below the laser's line, mm. ``lintel`` and ``dpc`` tell what it lies on.
    ``lies_on`` is the mate's mark where the half there lies on its mate, and no mortar goes: then ``bed`` is that
    under the mate.
    """

    mark: str
    wall: str
    at: float
    what: tuple[str, ...]
    top: float
    bed: float
    reading: float
    lintel: str
    dpc: bool
    lies_on: str = ""


@dataclass(frozen=True)
class Spot:
    """A place of the ground: the wall, how far along it, the level (mm), and the lintel there or an empty text."""

    wall: str
    at: float
    level: float
    lintel: str


@dataclass(frozen=True)
class Misfit:
    """Where the bed would be out: from ``begin`` to ``end`` of a wall, at most ``by`` mm, and what can be done."""

    wall: str
    begin: float
    end: float
    by: float
    lintel: str
    remedy: str


@dataclass(frozen=True)
class Bedding:
    """The bed of a frame, all in mm.

    ``underside`` and ``top`` are the levels of the plates; ``line`` that of the instrument as it stands last, and
    ``must`` what a staff on the plates must show then, or how far they are below the laser's line. ``least`` and
    ``most`` are the beds found, ``wished`` those of the plan. ``thick``: where the bed is more than the most;
    ``high``: what stands too high for the rest. ``places`` are in the order of bedding; ``odd`` is what to look
    at again.
    """

    laser: bool
    book: Book | None
    walls: tuple[tuple[str, tuple[tuple[float, float], ...]], ...]
    highest: Spot
    lowest: Spot
    underside: float
    top: float
    depth: float
    line: float
    must: float
    least: float
    most: float
    wished: tuple[float, float]
    thick: tuple[Misfit, ...]
    high: tuple[Misfit, ...]
    places: tuple[Place, ...]
    mortar: Mortar
    odd: tuple[str, ...]

    @property
    def bedded(self) -> tuple[Place, ...]:
        """The places where mortar goes, in the order of bedding."""
        return tuple(it for it in self.places if not it.lies_on)


def bed(reading: float, must: float, depth: float) -> float:
    """The bed at a place, mm: from a reading on the wall's top there.

    ``reading`` is the staff's on the wall, ``must`` the staff's on the plates as they shall lie, both from one
    set-up (or both down from one laser's line), ``depth`` the plates' depth, all in mm. Two lines of sight that are
    level differ by the same figure in both readings, so the instrument may stand anywhere.

    >>> bed(1512.0, 1447.0, 50.0)
    15.0
    """
    return reading - must - depth


def clean(at: float) -> float:
    """A place along a wall, mm, without the dust of going to a strip and back."""
    return round(at, 6) + 0.0


def bedding(frame: Frame) -> Bedding | None:
    """The bed of a frame, or None where its plan has no levels.

    Raises :class:`~platemodel.faults.PlanError` where a wall was not read, or the bed cannot be.
    """
    plan, wish, levels = frame.plan, frame.plan.site.bed, frame.plan.site.levels
    if levels is None:
        return None
    if not levels.book and not levels.laser:
        fault = plan.fault(levels.path, "no readings", "expected [[site.levels.book]] or [[site.levels.laser]]")
        raise plan.error(fault)
    found = tops(plan, levels, sorted({wall for run in frame.runs for wall in run.walls}))
    grounds = [ground(plan, run, found) for run in frame.runs]
    every = [it for stretches in grounds for it in stretches]
    low, high = _lowest(frame, every), _highest(frame, every)
    above = wish.least if wish.level is None else wish.level
    if above < 0.0:
        path = (*wish.path, "level")
        what = f"{above:g} mm: {_spot_words(high)} would stand {-above:g} mm up into the plate"
        raise plan.error(plan.fault(path, what, f"expected at least the least bed, {wish.least:g}"))
    if above > STEP:
        what = f"{above:g} mm of bed even at the highest place"
        raise plan.error(plan.fault((*wish.path, "level"), what, f"expected at most {STEP:g}: above its top, in mm"))
    underside = high.level + above
    top = underside + plan.plate.depth
    ways = {piece.mark: _backward(piece, grounds[piece.run]) for piece in frame.pieces}
    places = tuple(
        it
        for piece in frame.laying
        for it in _places(frame, piece, grounds[piece.run], ways[piece.mark], found, underside)
    )
    beds = [it for piece in frame.laying for it in slices(piece, grounds[piece.run], underside, ways[piece.mark])]
    return Bedding(
        laser=not levels.book,
        book=found.book,
        walls=tuple((plan.walls[wall].name, top_of) for wall, top_of in found.by_wall.items() if top_of),
        highest=high,
        lowest=low,
        underside=underside,
        top=top,
        depth=plan.plate.depth,
        line=found.line,
        must=found.line - top,
        least=above,
        most=underside - low.level,
        wished=(wish.least, wish.most),
        thick=tuple(_thick(frame, every, underside, wish.most)),
        high=tuple(_high(frame, every, low, high, underside)),
        places=places,
        mortar=mortar(frame, beds),
        odd=tuple(_odd(found, found.line - top)),
    )


def _spot(frame: Frame, level: float, it: Stretch, s: float) -> Spot:
    at = clean(min(max(it.at(s), 0.0), frame.plan.walls[it.wall].length))
    return Spot(frame.plan.walls[it.wall].name, at, level, it.opening.name if it.opening else "")


def _ends(every: Iterable[Stretch]) -> Iterator[tuple[float, int, Stretch, float]]:
    for number, it in enumerate(every):
        yield it.level_low, number, it, it.low
        yield it.level_high, number, it, it.high


def _highest(frame: Frame, every: Sequence[Stretch]) -> Spot:
    level, _, it, s = max(_ends(every), key=lambda end: (end[0], -end[1]))
    return _spot(frame, level, it, s)


def _lowest(frame: Frame, every: Sequence[Stretch]) -> Spot:
    level, _, it, s = min(_ends(every), key=lambda end: end[:2])
    return _spot(frame, level, it, s)


def _spot_words(spot: Spot) -> str:
    on = f", on '{spot.lintel}'" if spot.lintel else ""
    return f"'{spot.wall}' at {spot.at:.0f}{on}"


def _backward(piece: Piece, stretches: Sequence[Stretch]) -> bool:
    """Whether a piece is bedded against its run's sense: along its first wall from the wall's first corner."""
    low, high = min(piece.low), max(piece.high)
    under = [it for it in stretches if it.high > low + SAME and it.low < high - SAME]
    first = next((it for it in under if it.wall == min(one.wall for one in under)), stretches[0])
    return first.at_high < first.at_low


def _places(
    frame: Frame, piece: Piece, stretches: Sequence[Stretch], backward: bool, found: Tops, underside: float
) -> Iterator[Place]:
    low, high = sum(piece.low) / 2, sum(piece.high) / 2
    marks = [(low, "end"), (high, "end"), *_laps(frame, piece)]
    for it in stretches:
        marks += [(s, "") for s in _whole(it)]
    marks += _things(frame, piece, found)
    inside = sorted((s, what) for s, what in marks if low - DUST <= s <= high + DUST)
    groups: list[tuple[float, list[str]]] = []
    for s, what in inside:
        if not groups or s - groups[-1][0] > SAME:
            groups.append((s, []))
        if what and what not in groups[-1][1]:
            groups[-1][1].append(what)
    for s, words in reversed(groups) if backward else groups:
        it = _under(stretches, s)
        top = it.level(s)
        yield Place(
            piece.mark,
            frame.plan.walls[it.wall].name,
            clean(it.at(s)),
            tuple(words),
            top,
            underside - top,
            found.line - top,
            it.opening.name if it.opening and it.opening.stands_up else "",
            it.opening is not None and it.opening.dpc,
            lies_on(frame, piece, s),
        )


def _laps(frame: Frame, piece: Piece) -> Iterator[tuple[float, str]]:
    """The laps of a piece: their middles along its strip, and which."""
    for half in piece.halves:
        joint = frame.joints[half.joint]
        mate = frame.pieces[half.mate].mark
        sides = [side for side in joint.lap.sides if side.run == piece.run]
        yield sum(sides[0].low + sides[0].high) / 4, f"lap, {'under' if half.under else 'on'} {mate}"


def _whole(it: Stretch) -> Iterator[float]:
    """Every whole metre along a wall, as places on the strip."""
    least, most = sorted((it.at_low, it.at_high))
    for count in range(math.ceil(least / EVERY), math.floor(most / EVERY) + 1):
        yield it.low + (count * EVERY - it.at_low) / (it.at_high - it.at_low) * (it.high - it.low)


def _things(frame: Frame, piece: Piece, found: Tops) -> Iterator[tuple[float, str]]:
    """Places that were read, and lintels and damp courses that matter: begin, middle and end."""
    run = frame.runs[piece.run]
    for it in found.readings:
        if it.wall in run.walls:
            yield on_run(frame.plan, run, it.wall, it.at), f"read as {it.station}" if it.station else "read"
    for wall in dict.fromkeys(run.walls):
        for opening in frame.plan.openings_on(wall):
            words = [f"lintel '{opening.name}'"] if opening.stands_up else []
            words += ["damp course"] if opening.dpc else []
            for at in (opening.begin, (opening.begin + opening.end) / 2, opening.end) if words else ():
                yield on_run(frame.plan, run, wall, at), ", ".join(words)


def _under(stretches: Sequence[Stretch], s: float) -> Stretch:
    """The stretch at a place; where two meet, the higher, for there the bed is least."""
    near = [it for it in stretches if it.low - SAME / 2 <= s <= it.high + SAME / 2]
    return max(near, key=lambda it: (it.level(s), it.opening is not None)) if near else stretches[-1]


def _out(
    frame: Frame, every: Sequence[Stretch], limit: float, above: bool
) -> Iterator[tuple[str, float, float, float, str]]:
    """Stretches of walls whose tops are beyond a level: wall, from, to, by at most, lintel."""
    sign = 1.0 if above else -1.0
    parts: list[tuple[int, float, float, float, str]] = []
    for it in every:
        one, two = sign * (it.level_low - limit), sign * (it.level_high - limit)
        if max(one, two) <= DUST:
            continue
        cut = it.low + (it.high - it.low) * one / (one - two) if (one > 0.0) != (two > 0.0) else None
        low = cut if cut is not None and one <= 0.0 else it.low
        high = cut if cut is not None and one > 0.0 else it.high
        begin, end = sorted((it.at(low), it.at(high)))
        lintel = it.opening.name if it.opening and it.opening.stands_up else ""
        parts.append((it.wall, begin, end, max(one, two), lintel))
    parts.sort()
    merged: list[tuple[int, float, float, float, str]] = []
    for wall, begin, end, by, lintel in parts:
        if merged and (merged[-1][0], merged[-1][4]) == (wall, lintel) and begin - merged[-1][2] <= SAME:
            _, first, last, most, _ = merged[-1]
            merged[-1] = (wall, first, max(last, end), max(most, by), lintel)
        else:
            merged.append((wall, begin, end, by, lintel))
    for wall, begin, end, by, lintel in merged:
        line = frame.plan.walls[wall]
        yield line.name, clean(max(begin, 0.0)), clean(min(end, line.length)), by, lintel


def _thick(frame: Frame, every: Sequence[Stretch], underside: float, most: float) -> Iterator[Misfit]:
    for wall, begin, end, by, lintel in _out(frame, every, underside - most, above=False):
        remedy = "pack with slate in the mortar" if by <= most else "lay a course cut to fit first, then bed on it"
        yield Misfit(wall, begin, end, by, lintel, remedy)


def _high(frame: Frame, every: Sequence[Stretch], low: Spot, high: Spot, underside: float) -> Iterator[Misfit]:
    """What would have to come down: for the level wished, or so that one level serves from the least to the most."""
    wish = frame.plan.site.bed
    limit = underside - wish.least
    if wish.level is None or wish.level >= wish.least:
        # the level could be lower, were these places lower
        limit = low.level + wish.most - wish.least
        if high.level <= limit + DUST:
            return
    for wall, begin, end, by, lintel in _out(frame, every, limit, above=True):
        remedy = "a lintel is not cut: ask the engineer" if lintel else "take the wall down so far"
        if wish.level is not None and wish.level < wish.least:
            remedy += ", or wish a higher level"
        yield Misfit(wall, begin, end, by, lintel, remedy)


def _odd(found: Tops, must: float) -> Iterator[str]:
    yield from found.odd
    if found.book is not None and not found.book.closes and found.book.misclosure is not None:
        by = f"{written(found.book.misclosure * 1000, 1)} mm"
        yield f"the book misses its closing level by {by}, {found.book.allowed * 1000:.1f} allowed: read it again"
    if abs(must) > STAFF:
        yield "from its last set-up the instrument cannot read the plates: set it up again by a wall that was read"
