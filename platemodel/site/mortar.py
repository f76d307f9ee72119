"""Mortar for the bed: its volume, cement and sand by the mix, and batch by batch along the order of bedding."""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.strip import Pair, shifted
from platemodel.frame.values import Frame, Piece
from platemodel.site.ground import Stretch

CEMENT = 1440.0
"""Bulk density of cement (kg/m3), by which all the rules below turn volumes into bags."""
SAND = 1600.0
"""Bulk density of dry sand (kg/m3); pages give 1600 to 1920, so sand is ordered by volume (common practice)."""
DRY = 1.33
"""Dry parts that a volume of wet mortar takes, times that volume: the usual rule (common practice)."""
DRY_MORE = 1.6
"""The same by a more cautious rule, http://theconstructor.org/practical-guide/quantity-of-cement-sand-calculation-in-mortar/6925/."""
YIELD = {6: 0.178}
"""Wet mortar of a 50 kg bag by absolute volumes, m3, by parts of sand: http://www.allinterview.com/showanswers/143338.html."""
YIELD_BAG, YIELD_WATER = 50.0, 30.0
"""The bag of that rule, kg, and the water for it, litres."""
WEIGHT = (1.9, 2.3)
"""Mass of cement mortar, kg/l: 19 to 23 kN/m3, EN 1991-1-1 Table A.1 (from memory)."""
CLASSES = {3: "M12", 4: "M6", 5: "M4", 6: "M4"}
"""Mortar classes by parts of sand: Building Construction Handbook, 8th edition (1:3 to 1:4 is M6 there too)."""

HEAT, FROST = 30.0, 3.0
"""Degrees Celsius above and below which more is to be done (common practice)."""
MOST_BATCHES = 500
LEAST_BATCH = 0.1
"""The part of a batch below which none is mixed for what is left: the others take it (common practice)."""

SUCTION = {
    "dense block": "Dense block: moderate suction. Brush the top clean; wet it lightly only in dry heat, never soak.",
    "aerated block": "Aerated block: high suction. Brush off all dust and wet the blocks' tops lightly just before.",
    "lightweight block": "Lightweight block: high suction. Brush clean and wet the blocks' tops lightly just before.",
    "clay brick": "Clay brick: high suction when dry. Wet the bricks' tops, let the water go in, then bed.",
    "engineering brick": "Engineering brick: hardly any suction. Do not wet; mix stiffer, the plate floats longer.",
}
WEATHER = (
    f"Above {HEAT:g} °C, in sun or dry wind: wet the tops again, mix half batches, cover mortar and bed (EN 1996-2, "
    "from memory).",
    f"Below {FROST:g} °C, or with frost to come: do not bed; nothing frozen, no ice; cover what is laid (EN 1996-2, "
    "from memory).",
    "The maker's word on blocks and mortar comes before these.",
)


@dataclass(frozen=True)
class Quantities:
    """Cement and sand for a volume of wet mortar: loose m3, and kg."""

    cement: float
    cement_kg: float
    sand: float
    sand_kg: float

    def bags(self, bag: float) -> float:
        """Bags of cement of a mass in kg, not rounded."""
        return self.cement_kg / bag


@dataclass(frozen=True)
class Span:
    """A stretch of a piece along a wall, mm, from ``begin`` on to ``end`` as it is bedded."""

    mark: str
    wall: str
    begin: float
    end: float


@dataclass(frozen=True)
class Batch:
    """A batch of mortar: which stretches it beds, the mortar in their bed in litres, metres of plate.

    ``dpc``: some of it lies on a damp course.
    """

    number: int
    spans: tuple[Span, ...]
    litres: float
    metres: float
    dpc: bool


@dataclass(frozen=True)
class Mortar:
    """Mortar for a frame: litres in the bed, and with waste; what to buy; the batches in the order of bedding.

    ``bags`` are whole ones; ``batch`` is a full batch in litres: as is wished, or a little more, where less than a
    tenth of one would be left over; ``each`` is what it takes; ``rules`` cement in kg by each rule that there is
    for the mix; ``advice`` words on suction, heat and frost.
    """

    bed: float
    litres: float
    total: Quantities
    bags: int
    batch: float
    each: Quantities
    rules: tuple[tuple[str, float], ...]
    kind: str
    batches: tuple[Batch, ...]
    advice: tuple[str, ...]


def quantities(wet: float, parts: float, dry: float = DRY, sand: float = SAND) -> Quantities:
    """Cement and sand for wet mortar in m3 of one part cement to ``parts`` of sand by volume.

    ``dry`` times the wet volume is what dry parts take; ``sand`` is the sand's density in kg/m3.
    """
    cement = dry * wet / (1.0 + parts)
    return Quantities(cement, cement * CEMENT, cement * parts, cement * parts * sand)


def by_yield(wet: float, parts: int) -> tuple[Quantities, float] | None:
    """The same by the yield of a bag, and its water in litres; None for mixes whose yield is not published."""
    if parts not in YIELD:
        return None
    bags = wet / YIELD[parts]
    cement = bags * YIELD_BAG / CEMENT
    return Quantities(cement, bags * YIELD_BAG, cement * parts, cement * parts * SAND), bags * YIELD_WATER


def rules(wet: float, parts: int) -> tuple[tuple[str, float], ...]:
    """Cement in kg for wet mortar in m3 by each rule: their spread is the margin."""
    found = [(f"dry parts {dry:g} x wet", quantities(wet, parts, dry).cement_kg) for dry in (DRY, DRY_MORE)]
    other = by_yield(wet, parts)
    return (*found, *([] if other is None else [("absolute volumes", other[0].cement_kg)]))


def parts_of(mix: str) -> int:
    """Parts of sand to one of cement.

    >>> parts_of("1:4")
    4
    """
    return int(mix.partition(":")[2])


@dataclass(frozen=True)
class _Slice:
    """A stretch of a bed whose width and thickness run straight, s in mm; ``backward``: bedded from high to low."""

    ground: Stretch
    low: float
    high: float
    mark: str
    backward: bool
    underside: float
    edges: tuple[tuple[Pair, float], ...]
    width: float

    def volume(self, low: float, high: float) -> float:
        """Mortar between two places, mm3: two points of Gauss are exact for what is of third degree at most."""
        middle, half = (low + high) / 2, (high - low) / 2
        offset = half / math.sqrt(3.0)
        return half * sum(
            self.across(s) * (self.underside - self.ground.level(s)) for s in (middle - offset, middle + offset)
        )

    def across(self, s: float) -> float:
        """Width of the plate's underside across the strip at s, mm."""
        return sum(sign * self.width * _passed(pair, s) for pair, sign in self.edges)

    def span(self, low: float, high: float) -> tuple[float, float]:
        """Places along the wall as they are bedded."""
        one, two = (high, low) if self.backward else (low, high)
        return self.ground.at(one), self.ground.at(two)


def _passed(pair: Pair, s: float) -> float:
    """The part of a line across a strip that lies at s or before it."""
    low, high = min(pair), max(pair)
    if s >= high:
        return 1.0
    return 0.0 if s <= low else (s - low) / (high - low)


def slices(piece: Piece, ground: Sequence[Stretch], underside: float, backward: bool) -> list[_Slice]:
    """The bed under a piece in the order of bedding: not where its lower half is cut away to lie on another."""
    base = min(piece.low)
    edges: list[tuple[Pair, float]] = [(piece.low, 1.0), (piece.high, -1.0)]
    for cut in piece.laid.cuts:
        if not cut.upper:
            edges += [(shifted(cut.low, base), -1.0), (shifted(cut.high, base), 1.0)]
    low, high = min(piece.low), max(piece.high)
    breaks = {s for pair, _ in edges for s in pair} | {s for it in ground for s in (it.low, it.high)}
    places: list[float] = [low, *sorted(s for s in breaks if low < s < high), high]
    begins = [it.low for it in ground]
    found = []
    for one, two in itertools.pairwise(places):
        here = ground[max(bisect.bisect_right(begins, (one + two) / 2) - 1, 0)]
        found.append(_Slice(here, one, two, piece.mark, backward, underside, tuple(edges), piece.laid.width))
    return found[::-1] if backward else found


def mortar(frame: Frame, beds: Sequence[_Slice]) -> Mortar:
    """Mortar for beds in the order of bedding.

    Raises :class:`~platemodel.faults.PlanError` where a batch is so small that no one would count them.
    """
    wish = frame.plan.site.bed
    parts = parts_of(wish.mix)
    bed = sum(it.volume(it.low, it.high) for it in beds) / 1e6
    litres = bed * (1.0 + wish.waste / 100.0)
    if litres > wish.batch * MOST_BATCHES:
        what = f"batches of {wish.batch:g} l for {litres:.0f} l of mortar"
        expected = f"expected at least {litres / MOST_BATCHES:.1f} l"
        raise frame.plan.error(frame.plan.fault((*wish.path, "batch"), what, expected))
    total = quantities(litres / 1000.0, parts)
    full = _full(litres, wish.batch)
    return Mortar(
        bed,
        litres,
        total,
        math.ceil(total.bags(wish.bag) - 1e-9),
        full,
        quantities(full / 1000.0, parts),
        rules(litres / 1000.0, parts),
        CLASSES[parts],
        tuple(_batches(frame, beds, full / (1.0 + wish.waste / 100.0) * 1e6)),
        (SUCTION[wish.wall], *WEATHER),
    )


def _full(litres: float, batch: float) -> float:
    """A full batch, litres: the one wished, or what is left over of so many spread evenly over them."""
    count = math.floor(litres / batch)
    left = litres - count * batch
    return litres / count if count and 0.0 < left < LEAST_BATCH * batch else batch


def _batches(frame: Frame, beds: Sequence[_Slice], full: float) -> Iterator[Batch]:
    """Fill batch after batch, each with ``full`` mm3 in the bed, along the beds."""
    names = [wall.name for wall in frame.plan.walls]
    parts: list[tuple[_Slice, float, float]] = []
    left, number = full, 1
    # a last batch that is full to the last bit is not begun anew
    dust = full * 1e-9
    for it in beds:
        low, high = it.low, it.high
        while (volume := it.volume(low, high)) > left + dust:
            cut = _cut(it, low, high, left)
            one, two = (cut, high) if it.backward else (low, cut)
            yield _batch(number, [*parts, (it, one, two)], names)
            parts, left, number = [], full, number + 1
            low, high = (low, cut) if it.backward else (cut, high)
        parts.append((it, low, high))
        left -= volume
    if sum(it.volume(low, high) for it, low, high in parts) > 0.0:
        yield _batch(number, parts, names)


def _cut(it: _Slice, low: float, high: float, volume: float) -> float:
    """Where a stretch that is bedded on from its end has taken a volume, mm3: its mortar only grows."""
    near, far = (high, low) if it.backward else (low, high)
    begin = near
    for _ in range(60):
        middle = (near + far) / 2
        if it.volume(min(begin, middle), max(begin, middle)) < volume:
            near = middle
        else:
            far = middle
    return (near + far) / 2


def _batch(number: int, parts: Sequence[tuple[_Slice, float, float]], names: Sequence[str]) -> Batch:
    spans: list[Span] = []
    for it, low, high in parts:
        if it.volume(low, high) <= 0.0:
            continue
        begin, end = it.span(low, high)
        before = spans[-1] if spans else None
        wall = names[it.ground.wall]
        if before and (before.mark, before.wall) == (it.mark, wall) and abs(before.end - begin) < 1e-6:
            spans[-1] = Span(it.mark, wall, before.begin, end)
        else:
            spans.append(Span(it.mark, wall, begin, end))
    return Batch(
        number,
        tuple(spans),
        sum(it.volume(low, high) for it, low, high in parts) / 1e6,
        sum(abs(it.end - it.begin) for it in spans) / 1000.0,
        any(it.ground.opening is not None and it.ground.opening.dpc for it, _, _ in parts),
    )
