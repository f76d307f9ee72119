"""What holds the plates down: straps along each shell's walls, straps at gables, screws in laps, weights meanwhile.

A strap keeps clear of laps, of what lands on the plate, of openings and of the plate's ends. As few straps are
used as the rules let (:func:`fewest`: each goes as far on as it may, which no other choice betters), and of all
ways with so few, one that spreads them evenly.
"""

from __future__ import annotations

import bisect
import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from platemodel.export.fixings import SCREWS
from platemodel.frame.runs import Run, on_run
from platemodel.frame.values import Frame, Joint
from platemodel.plan.site_values import StrapWish
from platemodel.site.rule_set import RuleSet, rule_set

Span = tuple[float, float]
XY = tuple[float, float]

DUST = 1e-3
"""Places nearer than this are one (mm)."""
STEP = 100.0
"""Places for a strap are tried so far apart (mm)."""


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


@dataclass(frozen=True)
class Strap:
    """A holding-down strap: on which wall, how far along it from its first corner (mm), on which piece.

    ``place`` is in the plan's axes, on the plate's middle; ``faults`` what is wrong with one that is built in already.
    """

    wall: int
    at: float
    piece: str
    place: XY
    built: bool = False
    faults: tuple[str, ...] = ()


@dataclass(frozen=True)
class Shortfall:
    """A stretch of a wall (mm from its first corner) where straps cannot stand as asked, and why."""

    wall: int
    begin: float
    end: float
    asked: str
    why: str


@dataclass(frozen=True)
class StrappedPlate:
    """The straps along one plate line of a shell's walls, from its ``ends`` (plan's axes), in order.

    ``spacings`` are those from strap to strap, ``ends_to`` those from the plate's ends to the first and last
    strap, mm.
    """

    walls: tuple[int, ...]
    ends: tuple[XY, XY]
    straps: tuple[Strap, ...]
    spacings: tuple[float, ...]
    ends_to: tuple[float, float] | None
    shortfalls: tuple[Shortfall, ...]


@dataclass(frozen=True)
class Gable:
    """Lateral straps at a gable: how far along the wall each is (mm), and over which trusses it runs.

    ``reach`` is from the wall's outer face to beyond the last truss it must run over, mm; None where the plan
    knows of too few (``trusses``: those it knows on the walls beside).
    """

    wall: int
    places: tuple[float, ...]
    spacing: float
    reach: float | None
    trusses: int


@dataclass(frozen=True)
class LapScrews:
    """Screws of a lap: where they go in, in the plan's axes (mm), and how far each is in from the lap's edges.

    ``edge`` is the least such distance; less than asked where the lap is too small.
    """

    joint: str
    kind: str
    places: tuple[XY, ...]
    edge: float


@dataclass(frozen=True)
class Curing:
    """Weights on the plates while the mortar sets: how many of how much (kg), for how long; when to load."""

    weights: int
    every: float
    each: float
    hours: float
    load_after: float


@dataclass(frozen=True)
class Strapping:
    """All that holds the plates down. ``every``, ``end``, ``beside``: what was asked of straps, mm."""

    every: float
    end: float
    beside: float
    clear: float
    length: float
    plates: tuple[StrappedPlate, ...]
    gables: tuple[Gable, ...]
    screws: tuple[LapScrews, ...]
    screw_length: int | None
    curing: Curing
    rules: RuleSet = field(repr=False)

    @property
    def new(self) -> int:
        """How many holding-down straps are to be fixed."""
        return sum(not strap.built for plate in self.plates for strap in plate.straps)

    def of_wall(self, wall: int) -> list[Strap]:
        """The holding-down straps on a wall, from its first corner."""
        found = [strap for plate in self.plates for strap in plate.straps if strap.wall == wall]
        return sorted(found, key=lambda strap: strap.at)


def strapping(frame: Frame, rules: RuleSet | None = None) -> Strapping | None:
    """What holds a frame's plates down, or None where the plan asks for no straps."""
    wish = frame.plan.site.straps
    if wish is None:
        return None
    rules = rule_set(frame.plan) if rules is None else rules
    every = rules.value("strap_spacing") if wish.every is None else wish.every
    end = rules.value("strap_end") if wish.end is None else wish.end
    beside = rules.value("strap_opening")
    plates = tuple(_plate(frame, rules, wish, index, span, every, end, beside) for index, span in _stretches(frame))
    return Strapping(
        every,
        end,
        beside,
        wish.clear,
        wish.length,
        plates,
        tuple(_gable(frame, rules, wall) for wall in wish.gables),
        lap_screws(frame, rules),
        screw_length(frame.plan.plate.depth, rules.value("screw_short")),
        curing(frame, rules),
        rules,
    )


# --- where straps go along one stretch


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


def _fewest_evenly(
    span: Span, free: Sequence[Span], needs: Sequence[Need], every: float, built: Sequence[float]
) -> list[float]:
    ahead, _ = fewest(free, needs, every, built)
    if not ahead:
        return []
    turned = [Need(-need.end, -need.begin, need.why) for need in needs]
    back, _ = fewest(_mirrored(free), turned, every, _negated(built))
    return _evenly(span, free, needs, every, built, ahead, _negated(back))


def _met(need: Need, free: Sequence[Span], built: Sequence[float]) -> bool:
    """Whether a strap of a need can stand somewhere, or does."""
    return any(need.begin <= place <= need.end for place in built) or any(
        max(begin, need.begin) <= min(end, need.end) for begin, end in free
    )


def _mirrored(spans: Sequence[Span]) -> list[Span]:
    return [(-end, -begin) for begin, end in reversed(spans)]


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
    openings = [need for need in needs if not any(need.begin <= place <= need.end for place in built)]
    last = max((need.begin for need in needs), default=-math.inf)
    chain: list[float] = []
    gaps: list[Span] = []
    at = -math.inf
    while at < last or any(place > at for place in built):
        bound = min([need.end for need in openings if need.begin > at], default=math.inf)
        bound = min(bound, at + every) if at > -math.inf else bound
        following = next((place for place in built if at < place <= bound), None)
        if following is not None:
            at = following
            continue
        place = _furthest(free, at, bound)
        if place is None:
            # nothing is free within reach: on to the next place there is
            ahead = [spot for spot in (_next(free, at), next((p for p in built if p > at), None)) if spot is not None]
            if not ahead:
                break
            if at > -math.inf:
                gaps.append((at, min(ahead)))
            at = min(ahead)
            if at not in built:
                chain.append(at)
            continue
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


def _next(free: Sequence[Span], after: float) -> float | None:
    """Where the first free stretch beyond a place begins."""
    return next((begin for begin, _ in free if begin > after), None)


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
    spots = {round(place, 3) for place in (*ahead, *back)}
    for begin, end in free:
        count = max(1, math.ceil((end - begin) / STEP))
        spots |= {round(begin + (end - begin) * number / count, 3) for number in range(count + 1)}
        spots.add(round((begin + end) / 2, 3))
    fixed = {round(place, 3) for place in built}
    places = sorted(spots | fixed)
    slack = 1e-6
    unmet = [need for need in needs if not any(need.begin <= place <= need.end for place in built)]
    # the further end of the last need that begins after a place bounds the next one: none is passed over
    least_end = [min((need.end for need in unmet if need.begin > place), default=math.inf) for place in places]
    first_end = min((need.end for need in unmet), default=math.inf)
    last_begin = max((need.begin for need in needs), default=-math.inf)
    last_fixed = max(fixed, default=-math.inf)
    first_fixed = min(fixed, default=math.inf)
    # best[count][index]: least sum with so many new straps, the last strap at that place
    size = len(ahead)
    best: list[dict[int, tuple[float, int, int]]] = [{} for _ in range(size + 1)]
    for index, place in enumerate(places):
        if place > min(first_end, first_fixed):
            break
        new = place not in fixed
        if new <= size:
            best[new][index] = (round((place - span[0]) ** 2, 1), -1, 0)
    for index, place in enumerate(places):
        for count in range(size + 1):
            state = best[count].get(index)
            if state is None:
                continue
            bound = min(place + every, least_end[index]) + slack
            stop = bisect.bisect_right(places, bound)
            for further in range(index + 1, stop):
                spot = places[further]
                new = spot not in fixed
                if count + new <= size:
                    total = round(state[0] + (spot - place) ** 2, 1)
                    known = best[count + new].get(further)
                    if known is None or total < known[0]:
                        best[count + new][further] = (total, index, count)
                if spot in fixed:
                    break
    ends = [
        (round(best[size][index][0] + (span[1] - places[index]) ** 2, 1), index)
        for index in best[size]
        if places[index] >= last_begin and places[index] >= last_fixed
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


# --- from the frame to stretches and back


def _stretches(frame: Frame) -> Iterator[tuple[int, Span]]:
    """The stretches of runs that lie on walls of shells, each from where it begins to where it ends on its strip."""
    walls = frame.plan.walls
    for index, run in enumerate(frame.runs):
        spans = [span for wall, span in zip(run.walls, run.spans, strict=True) if walls[wall].shell is not None]
        merged: list[Span] = []
        for begin, end in sorted(spans):
            if merged and begin <= merged[-1][1] + run.strip.width:
                merged[-1] = (merged[-1][0], max(merged[-1][1], end))
            else:
                merged.append((begin, end))
        for begin, end in merged:
            # a run's oblique end is counted from where its whole width begins
            yield index, (max(begin, max(run.low)), min(end, min(run.high)))


def keeps_of(frame: Frame, rules: RuleSet, index: int, clear: float) -> list[Keep]:
    """Where on a run no strap may stand: in laps, under what lands there, over openings, with what is kept clear."""
    plan, run = frame.plan, frame.runs[index]
    half = rules.value("strap_width") / 2
    off = clear + half
    found = [
        Keep(min(side.void_low) - off, max(side.void_high) + off, f"{joint.lap.kind} lap {joint.id}")
        for joint in frame.joints
        for side in joint.lap.sides
        if side.run == index
    ]
    for wall in dict.fromkeys(run.walls):
        for bearing in plan.bearings_on(wall):
            at = on_run(plan, run, wall, bearing.at)
            reach = bearing.width / 2 + off
            found.append(Keep(at - reach, at + reach, f"'{bearing.name}' at {bearing.at:g}"))
        for opening in plan.openings_on(wall):
            begin, end = sorted(on_run(plan, run, wall, at) for at in (opening.begin, opening.end))
            found.append(Keep(begin - off, end + off, f"the opening '{opening.name}'"))
    low, high = max(run.low), min(run.high)
    found += [Keep(-math.inf, low + off, "the plate's end"), Keep(high - off, math.inf, "the plate's end")]
    return [Keep(round(keep.begin, 3), round(keep.end, 3), keep.why) for keep in found]


def _needs(frame: Frame, index: int, span: Span, end: float, beside: float) -> list[Need]:
    """Where a strap must stand: near both ends, and on each side of every opening."""
    plan, run = frame.plan, frame.runs[index]
    low, high = span
    found = [Need(low, min(low + end, high), f"a strap within {end:g} of the plate's end")]
    found.append(Need(max(high - end, low), high, f"a strap within {end:g} of the plate's end"))
    for wall in dict.fromkeys(run.walls):
        if plan.walls[wall].shell is None:
            continue
        for opening in plan.openings_on(wall):
            begin, stop = sorted(on_run(plan, run, wall, at) for at in (opening.begin, opening.end))
            words = f"a strap within {beside:g} of the opening '{opening.name}'"
            # no wall is left beside an opening that reaches the plate's end
            if low + DUST < begin < high:
                found.append(Need(max(begin - beside, low), begin, words))
            if low < stop < high - DUST:
                found.append(Need(stop, min(stop + beside, high), words))
    return [Need(round(need.begin, 3), round(need.end, 3), need.why) for need in found]


def _plate(
    frame: Frame,
    rules: RuleSet,
    wish: StrapWish,
    index: int,
    span: Span,
    every: float,
    end: float,
    beside: float,
) -> StrappedPlate:
    plan, run = frame.plan, frame.runs[index]
    keeps = keeps_of(frame, rules, index, wish.clear)
    walls = [wall for wall in dict.fromkeys(run.walls) if plan.walls[wall].shell is not None]
    built = {
        round(on_run(plan, run, strap.wall, strap.at), 3): strap
        for strap in plan.site.built
        if strap.wall in walls and span[0] - DUST <= on_run(plan, run, strap.wall, strap.at) <= span[1] + DUST
    }
    needs = _needs(frame, index, span, end, beside)
    if _eastward(run.strip.direction):
        found = spread(span, keeps, needs, every, list(built))
    else:
        # of two ways as good, the same is taken whichever way the run goes
        found = _turned_back(
            spread(
                (-span[1], -span[0]),
                [Keep(-keep.end, -keep.begin, keep.why) for keep in keeps],
                [Need(-need.end, -need.begin, need.why) for need in needs],
                every,
                [-place for place in built],
            )
        )
    straps = []
    for place in found.places:
        known = built.get(place)
        wall, at = _on_wall(frame, run, walls, place) if known is None else (known.wall, known.at)
        faults = () if known is None else tuple(_bare(frame, rules, index, place))
        piece = _piece_at(frame, index, place)
        straps.append(Strap(wall, at, piece, run.strip.point(place, run.strip.width / 2), known is not None, faults))
    shortfalls = []
    for lack in found.lacks:
        wall, one = _on_wall(frame, run, walls, (lack.begin + lack.end) / 2)
        one, other = sorted(_along(frame, run, wall, s) for s in (lack.begin, lack.end))
        shortfalls.append(Shortfall(wall, one, other, lack.asked, lack.why))
    places = found.places
    return StrappedPlate(
        tuple(walls),
        (run.strip.point(span[0], run.strip.width / 2), run.strip.point(span[1], run.strip.width / 2)),
        tuple(straps),
        tuple(other - one for one, other in itertools.pairwise(places)),
        (places[0] - span[0], span[1] - places[-1]) if places else None,
        tuple(shortfalls),
    )


def _eastward(direction: XY) -> bool:
    """Whether a direction leads east, or north where it leads neither east nor west."""
    return direction[0] > 1e-9 or (abs(direction[0]) <= 1e-9 and direction[1] > 0)


def _turned_back(found: Spread) -> Spread:
    return Spread(
        tuple(_negated(found.new)),
        tuple(_negated(found.built)),
        tuple(Lack(-lack.end, -lack.begin, lack.asked, lack.why) for lack in found.lacks),
    )


def _bare(frame: Frame, rules: RuleSet, index: int, place: float) -> list[str]:
    """What a strap that is built in already stands in."""
    ways = {"the opening": "over", "the plate's end": "at", "'": "under", " lap ": "in"}
    return [
        f"{next(way for start, way in ways.items() if start in keep.why)} {keep.why}"
        for keep in keeps_of(frame, rules, index, 0.0)
        if keep.begin + DUST < place < keep.end - DUST
    ]


def _along(frame: Frame, run: Run, wall: int, s: float) -> float:
    """How far along a wall from its first corner a place on a run is, mm."""
    x, y = run.strip.point(s, run.strip.width / 2)
    on = frame.plan.walls[wall]
    (ux, uy), (sx, sy) = on.direction, on.start
    return (x - sx) * ux + (y - sy) * uy


def _on_wall(frame: Frame, run: Run, walls: Sequence[int], s: float) -> tuple[int, float]:
    """The wall that a place on a run belongs to, and how far along it that is."""

    def beyond(wall: int) -> float:
        at = _along(frame, run, wall, s)
        return round(max(-at, at - frame.plan.walls[wall].length, 0.0), 3)

    wall = min(walls, key=beyond)
    return wall, _along(frame, run, wall, s)


def _piece_at(frame: Frame, index: int, s: float) -> str:
    """The mark of the piece that lies at a place of a run; in a splice, of the one laid over."""
    there = [p for p in frame.pieces if p.run == index and sum(p.low) / 2 - DUST <= s <= sum(p.high) / 2 + DUST]
    return max(there, key=lambda piece: piece.order).mark if there else ""


# --- gables, laps, weights


def _gable(frame: Frame, rules: RuleSet, wall: int) -> Gable:
    """Straps spread evenly along a gable, half a spacing in from its ends (common practice)."""
    plan = frame.plan
    on = plan.walls[wall]
    count = max(1, math.ceil(on.length / rules.value("lateral_spacing") - 1e-9))
    spacing = on.length / count
    # trusses run along a gable: they land on the walls beside it, and are counted in from its outer face
    wanted = rules.count("lateral_trusses")
    reaches, trusses = [], 0
    for beside in (on.before, on.after):
        if beside is None:
            continue
        other = plan.walls[beside]
        found = sorted(
            abs((x - on.start[0]) * -on.direction[1] + (y - on.start[1]) * on.direction[0]) + bearing.width / 2
            for bearing in plan.bearings_on(beside)
            for x, y in [other.at(bearing.at)]
        )
        trusses = max(trusses, len(found))
        reaches += found[wanted - 1 : wanted]
    reach = max(reaches, default=None)
    places = tuple((number + 0.5) * spacing for number in range(count))
    return Gable(wall, places, spacing, reach, trusses)


def lap_screws(frame: Frame, rules: RuleSet) -> tuple[LapScrews, ...]:
    """Where the screws of every lap go in: two on its longer diagonal, more in two rows."""
    x, y = frame.origin
    found = []
    for joint in frame.joints:
        places, edge = screws_in(joint, frame.plan.lap.screws, rules.value("screw_edge"))
        found.append(LapScrews(joint.id, joint.lap.kind, tuple((px + x, py + y) for px, py in places), edge))
    return tuple(found)


def screws_in(joint: Joint, count: int, edge: float) -> tuple[list[XY], float]:
    """Places of screws in a lap's outline, in its own axes, and how far they are from its edges, mm."""
    a, b, _, d = joint.outline
    u, v = (b[0] - a[0], b[1] - a[1]), (d[0] - a[0], d[1] - a[1])
    area = abs(u[0] * v[1] - u[1] * v[0])
    # from an edge to the one across from it
    across_u, across_v = area / math.hypot(*v), area / math.hypot(*u)
    edge = min(edge, across_u / 4, across_v / 4) if count > 1 else min(across_u, across_v) / 2
    p, q = edge / across_u, edge / across_v
    if count <= 0:
        parts: list[XY] = []
    elif count == 1:
        parts = [(0.5, 0.5)]
    elif count <= 3:
        one, other = (u[0] + v[0], u[1] + v[1]), (u[0] - v[0], u[1] - v[1])
        longer = math.hypot(*one) - math.hypot(*other)
        # of two alike, the one that runs from south-west to north-east, however the walls were drawn
        first = longer > DUST or (longer > -DUST and one[0] * one[1] >= other[0] * other[1])
        parts = [(p, q), (1 - p, 1 - q)] if first else [(1 - p, q), (p, 1 - q)]
        parts += [(0.5, 0.5)] if count == 3 else []
    else:
        half = math.ceil(count / 2)
        parts = [
            (p + (1 - 2 * p) * number / (size - 1) if size > 1 else 0.5, row)
            for size, row in ((half, q), (count - half, 1 - q))
            for number in range(size)
        ]
    return [(a[0] + m * u[0] + n * v[0], a[1] + m * u[1] + n * v[1]) for m, n in parts], edge


def screw_length(depth: float, short: float) -> int | None:
    """The longest screw as sold that stops short of the underside, mm; None where it would not hold the lower half."""
    longest = max((length for length in SCREWS if length <= depth - short + 1e-9), default=0)
    return longest if longest > depth / 2 else None


def curing(frame: Frame, rules: RuleSet) -> Curing:
    """Weights on every piece while the mortar sets, two at least; and when the plates may be loaded."""
    every = rules.value("weight_every")
    weights = sum(max(2, math.ceil(piece.length / every - 1e-9) + 1) for piece in frame.pieces)
    return Curing(weights, every, rules.value("weight_each"), rules.value("weight_hours"), rules.value("load_after"))
