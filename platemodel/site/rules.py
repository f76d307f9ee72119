"""The rules of the trade, judged on a decided frame.

A rule is ``must`` or ``advice``; advice never fails a build. Each names its source, or says that
it is common practice.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass

from platemodel.frame.laps import Side, sides_by_run
from platemodel.frame.runs import on_run
from platemodel.frame.saving import SQUARING
from platemodel.frame.sizes import REFERENCE_MOISTURE, allowed, at_moisture
from platemodel.frame.splices import apart_wanted
from platemodel.frame.staggering import clashes
from platemodel.frame.strip import least_between
from platemodel.frame.values import Frame

COMMON = "common practice"
EN_336 = "EN 336"
NHBC = "NHBC Standards 2020, 7.2.6"
LEAST_LENGTH = 3000.0
LEAST_BEARINGS = 3
LEAST_DEPTH, LEAST_WIDTH = 38.0, 100.0
TRIM = SQUARING


@dataclass(frozen=True)
class Verdict:
    """What one rule says, once for each place where it fails, or once where it holds everywhere."""

    rule: str
    level: str
    source: str
    passed: bool
    where: str


def judge(frame: Frame) -> list[Verdict]:
    """Judge every rule on a frame."""
    found: list[Verdict] = []
    sizes = _OF_SIZES if _sizes_known(frame) else ()
    staggered = _OF_STAGGER if frame.plan.lap.stagger > 0 else ()
    for rule, source, failures in (*_RULES, *sizes, *staggered):
        places = list(failures(frame))
        found += [Verdict(rule, "advice", source, False, place) for place in places]
        if not places:
            found.append(Verdict(rule, "advice", source, True, ""))
    return found


def _fixed_sides(frame: Frame) -> Iterator[tuple[int, Side, str]]:
    """Corner, tee and cross laps: each side with its run and the joint's name."""
    for joint in frame.joints:
        if joint.lap.kind != "splice":
            for side in joint.lap.sides:
                yield side.run, side, f"{joint.lap.kind} {joint.id}"


def _overlap(low: float, high: float, begin: float, end: float) -> float:
    return min(high, end) - max(low, begin)


def _laps_on_openings(frame: Frame) -> Iterator[str]:
    plan = frame.plan
    for run, side, name in _fixed_sides(frame):
        low, high = min(side.void_low), max(side.void_high)
        for opening in (item for wall in dict.fromkeys(frame.runs[run].walls) for item in plan.openings_on(wall)):
            begin, end = sorted(on_run(plan, frame.runs[run], opening.wall, at) for at in (opening.begin, opening.end))
            over = _overlap(low, high, begin, end)
            if over > 1e-6:
                wall = plan.walls[opening.wall].name
                yield f"{name} lies {over:.0f} mm over {opening.name} ('{wall}' {opening.begin:g} to {opening.end:g})"


def _laps_under_bearings(frame: Frame) -> Iterator[str]:
    plan = frame.plan
    for run, side, name in _fixed_sides(frame):
        low, high = min(side.void_low), max(side.void_high)
        for bearing in (item for wall in dict.fromkeys(frame.runs[run].walls) for item in plan.bearings_on(wall)):
            at = on_run(plan, frame.runs[run], bearing.wall, bearing.at)
            begin, end = at - bearing.width / 2, at + bearing.width / 2
            over = _overlap(low, high, begin, end)
            if over > 1e-6:
                move = min(end - low, high - begin)
                wall = plan.walls[bearing.wall].name
                yield (
                    f"{name} lies {over:.0f} mm under '{bearing.name}' ('{wall}' at {bearing.at:g});"
                    f" the bearing would have to move {move:.0f} mm"
                )


def _timber_between(frame: Frame) -> Iterator[str]:
    by_run = sides_by_run([joint.lap for joint in frame.joints], len(frame.runs))
    for run, sides in zip(frame.runs, by_run, strict=True):
        wanted = apart_wanted(frame.plan, run.strip.width)
        for (one, lap), (other, following) in itertools.pairwise(sides):
            if lap == following:
                continue
            between = least_between(one.void_high, other.void_low)
            if between < wanted - 1e-6:
                names = f"{frame.joints[lap].id} and {frame.joints[following].id}"
                yield f"{between:.1f} mm between laps {names}, {wanted:g} wanted"
        for side, lap in sides:
            if frame.joints[lap].lap.kind == "splice":
                continue
            ends = [] if side.ends_low else [least_between(run.low, side.void_low)]
            ends += [] if side.ends_high else [least_between(side.void_high, run.high)]
            for left in ends:
                if left < wanted - 1e-6:
                    yield f"{left:.1f} mm beyond lap {frame.joints[lap].id} to the plate's end, {wanted:g} wanted"


def _overhangs(frame: Frame) -> Iterator[str]:
    for wall in frame.plan.walls:
        over = max(wall.leaf[0] - wall.band[0], wall.band[1] - wall.leaf[1])
        if over > 1e-6:
            yield f"the plate on '{wall.name}' overhangs its leaf by {over:g} mm"


def _short_plates(frame: Frame) -> Iterator[str]:
    plan = frame.plan
    for piece in frame.pieces:
        if piece.length >= LEAST_LENGTH:
            continue
        run = frame.runs[piece.run]
        landed = sum(
            min(piece.low) <= on_run(plan, run, wall, bearing.at) <= max(piece.high)
            for wall in dict.fromkeys(run.walls)
            for bearing in plan.bearings_on(wall)
        )
        if landed < LEAST_BEARINGS:
            bearings = f"{landed} bearing{'s' if landed != 1 else ''}" if plan.bearings else "no bearings"
            yield f"{piece.mark} {piece.length:.0f} mm, {bearings}"


def _section(frame: Frame) -> Iterator[str]:
    depth = frame.plan.plate.depth
    widths = sorted({run.strip.width for run in frame.runs})
    for width in widths:
        if width < LEAST_WIDTH or depth < LEAST_DEPTH:
            yield f"{depth:g} x {width:g} mm"


def _unlapped(frame: Frame) -> Iterator[str]:
    for one, other in frame.touching:
        yield f"plates {frame.letters[one]} and {frame.letters[other]} touch without a lap"


def _unconnected(frame: Frame) -> Iterator[str]:
    """Pieces laid before anything they will be lapped to, apart from the first of each frame."""
    if frame.plan.laying.method == "pairs":
        return
    links: dict[int, set[int]] = {index: set() for index in range(len(frame.pieces))}
    for joint in frame.joints:
        links[joint.under].add(joint.over)
        links[joint.over].add(joint.under)
    group = _groups(links)
    started: set[int] = set()
    laid: set[int] = set()
    for index in sorted(links, key=lambda number: frame.pieces[number].order):
        if group[index] in started and not links[index] & laid:
            yield f"{frame.pieces[index].mark} is laid before any plate it is lapped to"
        started.add(group[index])
        laid.add(index)


def _sizes_known(frame: Frame) -> bool:
    """Whether the plan says anything of the boards' real sizes: else nothing of them can be judged."""
    plate = frame.plan.plate
    return plate.tolerance is not None or plate.moisture is not None


def _jamming(frame: Frame) -> Iterator[str]:
    """Widths of which the standard lets boards be wider than the laps are cut for; measured boards are known."""
    plate, lap = frame.plan.plate, frame.plan.lap
    for width in sorted({run.strip.width for run in frame.runs}):
        if plate.widest is not None and width == plate.width:
            continue
        most = width if plate.tolerance is None else allowed(width, plate.tolerance)[1]
        moisture = REFERENCE_MOISTURE if plate.moisture is None else plate.moisture
        most, cut = at_moisture(most, moisture), width + lap.clearance
        if most > cut + 1e-6:
            boards = f"boards of {width:g}"
            boards += f" of class {plate.tolerance}" if plate.tolerance else ""
            boards += f" at {moisture:g} % moisture" if plate.moisture is not None else ""
            measure = "measure the widest and put it in plate.widest, or " if width == plate.width else ""
            words = f"{boards} may be {round(most, 1):g} wide: they jam in laps cut for {round(cut, 1):g}"
            yield f"{words}; {measure}raise lap.clearance"


def _tight_boards(frame: Frame) -> Iterator[str]:
    for board in frame.boards:
        # in whole mm, rounded down as on the sheets of boards; what is squared off in any case is spare already
        if board.offcut + frame.plan.stock.trim < TRIM:
            marks = " + ".join(frame.pieces[index].mark for index in board.pieces)
            left = math.floor(board.offcut + 1e-6)
            yield f"{marks} from {board.length:g} leaves {left} mm; measure the board before it is cut"


def _near_splices(frame: Frame) -> Iterator[str]:
    for one, other, apart in clashes(frame):
        yield f"{one} and {other} {apart:.0f} mm apart, {frame.plan.lap.stagger:g} wanted"


def _groups(links: dict[int, set[int]]) -> dict[int, int]:
    group: dict[int, int] = {}
    for first in links:
        queue = [first] if first not in group else []
        group.setdefault(first, first)
        for index in queue:
            for mate in links[index]:
                if mate not in group:
                    group[mate] = first
                    queue.append(mate)
    return group


_RULES: tuple[tuple[str, str, Callable[[Frame], Iterator[str]]], ...] = (
    ("no lap over an opening", COMMON, _laps_on_openings),
    ("no lap under a bearing", COMMON, _laps_under_bearings),
    ("whole timber between laps", COMMON, _timber_between),
    ("the leaf is as wide as setback and plate", COMMON, _overhangs),
    ("a plate is 3 m long or runs over 3 bearings", NHBC, _short_plates),
    ("a plate is 38 x 100 mm, or as local practice", NHBC, _section),
    ("plates that meet are lapped", NHBC, _unlapped),
    ("each plate is laid onto one that lies", COMMON, _unconnected),
    (f"a board leaves {TRIM:g} mm to square its ends", COMMON, _tight_boards),
)

_OF_SIZES: tuple[tuple[str, str, Callable[[Frame], Iterator[str]]], ...] = (
    ("laps are long enough for the widest board", EN_336, _jamming),
)
"""Judged where the plan gives a tolerance class or a moisture."""

_OF_STAGGER: tuple[tuple[str, str, Callable[[Frame], Iterator[str]]], ...] = (
    ("splices of neighbouring plates stand apart", "lap.stagger of the plan", _near_splices),
)
"""Judged where the plan wants splices staggered."""
