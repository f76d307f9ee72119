"""From drawn lines to closed outlines and the single lines that are left: doubles dropped, ends joined, rings found.

Lengths are mm, about an origin near the lines.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from platemodel.faults import Fault
from platemodel.outlines.mending import Healings, closing, foot, joined, meeting, off, straightened, without_repeats
from platemodel.outlines.values import DUST, Drawn, Loop, Segment
from platemodel.plan.model import MOST_CORNERS
from platemodel.plan.values import Point

RINGED = 1e-4
"""A line as near as this to an outline is part of it (mm)."""


@dataclass(frozen=True)
class Traced:
    """Closed outlines, single lines beside them, what was left out, and what is wrong.

    ``gap``: where there is no outline, the two nearest ends that stay open and how far they are apart.
    """

    loops: tuple[Loop, ...]
    rest: tuple[Segment, ...]
    left_out: tuple[str, ...]
    faults: tuple[Fault, ...]
    gap: tuple[Point, Point, float] | None = None


def trace(lines: Sequence[Drawn], healings: Healings) -> Traced:
    """Find the closed outlines among lines.

    What lies inside another outline is left out where it is closed and meets no other line (an inner face, a room),
    and is taken for single lines where it does not.
    """
    faults: list[Fault] = []
    left_out: list[str] = []
    loops: list[Loop] = []
    open_lines: list[tuple[Point, ...]] = []
    for line in single_lines(lines, healings, faults, left_out):
        points = without_repeats(line.points, line.closed, healings)
        loop = points if line.closed else closing(points, healings)
        if loop is not None and len(loop) >= 3:
            loops.append(loop)
        elif len(points) > 1:
            open_lines.append(points)
    rings, rest = _rings([pair for points in open_lines for pair in pairwise(points)], healings, left_out)
    loops += rings
    sound = [straightened(loop, healings) for loop in loops if is_plain(loop, healings, faults)]
    # without a corner or two an outline may touch itself
    sound = [loop for loop in sound if is_plain(loop, healings, faults)]
    outer = _outermost(sound, healings, left_out)
    gap = None if outer else _gap(rest)
    return Traced(tuple(outer), tuple(rest), tuple(left_out), tuple(faults), gap)


def single_lines(lines: Sequence[Drawn], healings: Healings, faults: list[Fault], left_out: list[str]) -> list[Drawn]:
    """The lines that are straight from point to point, each once; what is not goes to ``faults`` or ``left_out``."""
    return _once([line for line in lines if _straight(line, healings, faults, left_out)], healings)


def _straight(line: Drawn, healings: Healings, faults: list[Fault], left_out: list[str]) -> bool:
    """Whether a line is straight from point to point, or nearly: plates are."""
    if line.bow <= DUST:
        return True
    at = line.points[0]
    if line.bow <= healings.tolerance:
        healings.tell(f"{line.where}: curve taken straight", at, line.bow)
        return True
    there = healings.spot(at)
    found = f"{line.where} on '{line.layer}' is curved, by {line.bow:.0f} mm off the straight, from {there} on"
    if line.round:
        # a column, the way of a door: no wall
        left_out.append(found)
    else:
        faults.append(Fault((), found, "expected straight legs, which plates can lie on: draw it with corners"))
    return False


def _once(lines: Sequence[Drawn], healings: Healings) -> list[Drawn]:
    """The lines without those that lie all along a longer or an earlier one."""
    from shapely import LinearRing, LineString, STRtree

    lines = [line for line in lines if len(line.points) >= (3 if line.closed else 2)]
    shapes = [(LinearRing if line.closed else LineString)(line.points) for line in lines]
    within = max(healings.tolerance, RINGED)
    tree = STRtree(shapes)
    kept: set[int] = set()
    for number in sorted(range(len(lines)), key=lambda number: (-round(shapes[number].length, 3), number)):
        near = sorted(kept.intersection(tree.query(shapes[number], predicate="dwithin", distance=within).tolist()))
        double = next(
            (other for other in near if shapes[number].difference(shapes[other].buffer(within)).length <= DUST), None
        )
        if double is None:
            kept.add(number)
        else:
            by = shapes[number].hausdorff_distance(shapes[double]) if lines[number].closed else None
            what = f"{lines[number].where}, drawn over {lines[double].where}, left out"
            healings.tell(what, lines[number].points[0], by)
    return [lines[number] for number in sorted(kept)]


def _rings(segments: list[Segment], healings: Healings, left_out: list[str]) -> tuple[list[Loop], list[Segment]]:
    """The outer outlines that single segments make together, and the segments that are no part of these.

    Segments that go round inside an outline and meet nothing else are left out.
    """
    import shapely

    if not segments:
        return [], []
    segments = _ends_joined(segments, healings)
    whole = shapely.union_all([shapely.LineString(segment) for segment in segments])
    faces = shapely.polygonize([whole]).geoms
    area = shapely.union_all(list(faces))
    loops = []
    for part in [] if area.is_empty else getattr(area, "geoms", [area]):
        corners = [(float(x), float(y)) for x, y in shapely.orient_polygons(part).exterior.coords[:-1]]
        # from the corner that is farthest south, and west of those, on
        first = min(range(len(corners)), key=lambda number: (corners[number][1], corners[number][0]))
        loops.append(tuple(corners[first:] + corners[:first]))
    rings = shapely.union_all([shapely.LinearRing(loop) for loop in loops]).buffer(RINGED) if loops else None
    rest = []
    for segment in segments:
        left = shapely.LineString(segment)
        left = left if rings is None else left.difference(rings)
        for part in getattr(left, "geoms", [left]):
            if part.length > max(healings.tolerance, 1.0):
                rest.append(((part.coords[0][0], part.coords[0][1]), (part.coords[-1][0], part.coords[-1][1])))
    return loops, joined_in_line(_without_rounds(rest, rings, healings, left_out), healings.tolerance)


def _without_rounds(segments: list[Segment], rings: Any, healings: Healings, left_out: list[str]) -> list[Segment]:
    """Segments without those that go round once, apart from all others and from the outlines' ``rings``."""
    from shapely import LineString, STRtree, line_merge, union_all

    if rings is None or not segments:
        return segments
    whole = line_merge(union_all([LineString(segment) for segment in segments]))
    parts = list(getattr(whole, "geoms", [whole]))
    tree = STRtree(parts)
    rounds = []
    for number, part in enumerate(parts):
        if part.is_ring and not part.dwithin(rings, RINGED):
            near = tree.query(part, predicate="dwithin", distance=RINGED).tolist()
            if near == [number]:
                rounds.append(part)
                left_out.append(_inside(min((float(x), float(y)) for x, y in part.coords), healings))
    gone = union_all(rounds).buffer(RINGED)
    return [segment for segment in segments if not gone.contains(LineString(segment))]


def _ends_joined(segments: list[Segment], healings: Healings) -> list[Segment]:
    """Segments whose ends that nearly meet do meet, and whose ends that nearly reach another do reach it."""
    ends = [[*segment] for segment in segments]
    clusters = _clusters([end for pair in ends for end in pair], healings.tolerance)
    for cluster in clusters:
        points = [ends[index // 2][index % 2] for index in cluster]
        spread = max(math.dist(points[0], point) for point in points)
        if len({index // 2 for index in cluster}) == 1:
            # a segment that is shorter than the tolerance
            continue
        if len(cluster) == 2:
            one, other = ((segments[index // 2][1 - index % 2], segments[index // 2][index % 2]) for index in cluster)
            corner = joined(one, other, healings.tolerance)
        else:
            corner = (sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points))
        if spread > DUST:
            healings.tell("ends brought together", corner, spread)
        for index in cluster:
            ends[index // 2][index % 2] = corner if spread > DUST else points[0]
    alone = set(range(2 * len(ends))) - {index for cluster in clusters for index in cluster}
    return _ends_reaching([(one, other) for one, other in ends if math.dist(one, other) > DUST], ends, alone, healings)


def _clusters(points: Sequence[Point], tolerance: float) -> list[list[int]]:
    """Points that lie within the tolerance of a first one, by index, two or more together."""
    from shapely import STRtree
    from shapely import points as made

    shapes = made(points)
    tree = STRtree(shapes)
    taken: set[int] = set()
    found = []
    for index in range(len(points)):
        if index in taken:
            continue
        near = tree.query(shapes[index], predicate="dwithin", distance=max(tolerance, DUST)).tolist()
        cluster = sorted(set(near) - taken)
        if len(cluster) > 1:
            taken.update(cluster)
            found.append(cluster)
    return found


def _ends_reaching(
    segments: list[Segment], ends: list[list[Point]], alone: set[int], healings: Healings
) -> list[Segment]:
    """Lone ends carried on, or drawn back, to another segment that they nearly reach."""
    from shapely import LineString, STRtree
    from shapely import Point as At

    tree = STRtree([LineString(segment) for segment in segments])
    lone = {ends[index // 2][index % 2] for index in alone}
    made = []
    for number, segment in enumerate(segments):
        pair = [*segment]
        for side in (0, 1):
            end = pair[side]
            if end not in lone or healings.tolerance == 0.0:
                continue
            near = tree.query(At(end), predicate="dwithin", distance=healings.tolerance).tolist()
            others = sorted((off(end, segments[other]), other) for other in near if other != number)
            if not others or others[0][0] <= DUST:
                continue
            target = segments[others[0][1]]
            place = meeting(segment, target)
            if place is None or math.dist(place, end) > healings.tolerance or off(place, target) > DUST:
                place = foot(end, target)
            healings.tell("end brought to a line", place, math.dist(place, end))
            pair[side] = place
        made.append((pair[0], pair[1]))
    return made


def _gap(segments: Sequence[Segment]) -> tuple[Point, Point, float] | None:
    """The two ends that are nearest to one another of those that meet no other end."""
    from shapely import STRtree
    from shapely import points as made

    ends = [end for segment in segments for end in segment]
    if len(ends) < 4:
        return None
    shapes = made(ends)
    tree = STRtree(shapes)
    alone = [index for index, shape in enumerate(shapes) if len(tree.query(shape, "dwithin", distance=RINGED)) == 1]
    if len(alone) < 2:
        return None
    free = STRtree(shapes[alone])
    pairs, apart = free.query_nearest(shapes[alone], exclusive=True, return_distance=True)
    least = int(apart.argmin())
    one, other = (alone[int(pairs[row][least])] for row in (0, 1))
    return ends[min(one, other)], ends[max(one, other)], float(apart[least])


def joined_in_line(segments: Sequence[Segment], tolerance: float) -> list[Segment]:
    """Segments that carry one another on in line, as one: a wall broken where another meets it."""
    from shapely import STRtree
    from shapely import points as made

    within = max(tolerance, 2 * RINGED)
    tree = STRtree(made([end for segment in segments for end in segment]) if segments else [])
    left = set(range(len(segments)))
    found: list[Segment] = []
    for number, segment in enumerate(segments):
        if number not in left:
            continue
        left.remove(number)
        one = segment
        while True:
            near = tree.query(made(one), predicate="dwithin", distance=within)[1].tolist()
            others = sorted({index // 2 for index in near} & left)
            joins = ((other, _one(one, segments[other], within)) for other in others)
            step = next(((other, whole) for other, whole in joins if whole is not None), None)
            if step is None:
                break
            left.remove(step[0])
            one = step[1]
        found.append(one)
    return found


def _one(one: Segment, other: Segment, tolerance: float) -> Segment | None:
    """Two segments as one where an end of each meets and they lie in line; None where they do not."""
    for side in (0, 1):
        for there in (0, 1):
            if math.dist(one[side], other[there]) > tolerance:
                continue
            whole = one[1 - side], other[1 - there]
            if min(math.dist(*whole), math.dist(*one), math.dist(*other)) == 0.0:
                continue
            longer = math.dist(*whole) > max(math.dist(*one), math.dist(*other))
            if longer and max(off(one[side], whole), off(other[there], whole)) <= max(RINGED, tolerance / 5):
                return whole if side == 1 else (whole[1], whole[0])
    return None


def is_plain(loop: Loop, healings: Healings, faults: list[Fault]) -> bool:
    """Whether an outline is a plain one; complains of one that is not."""
    from shapely import Polygon
    from shapely.validation import explain_validity

    at = healings.spot(loop[0])
    if len(loop) > MOST_CORNERS:
        found = f"the outline at {at} has {len(loop)} corners"
        faults.append(Fault((), found, f"expected at most {MOST_CORNERS}: straight walls, not a curve in steps"))
        return False
    shape = Polygon(loop)
    if shape.is_valid and shape.area > shape.length:
        return True
    crossing = re.search(r"\[(\S+) (\S+)\]", explain_validity(shape))
    if shape.is_valid or crossing is None:
        faults.append(Fault((), f"the outline at {at} encloses nothing", "expected one round a building"))
    else:
        x, y = map(float, crossing.groups())
        found = f"the outline at {at} crosses or touches itself at {healings.spot((x, y))}"
        faults.append(Fault((), found, "expected one that goes round once"))
    return False


def _outermost(loops: Sequence[Loop], healings: Healings, left_out: list[str]) -> list[Loop]:
    """The outlines that lie in no other."""
    from shapely import Polygon, STRtree

    shapes = [Polygon(loop) for loop in loops]
    tree = STRtree(shapes)
    outer = []
    for number, (loop, shape) in enumerate(zip(loops, shapes, strict=True)):
        around = [other for other in tree.query(shape, predicate="within").tolist() if other != number]
        if around:
            left_out.append(_inside(loop[0], healings))
        else:
            outer.append(loop)
    return outer


def _inside(corner: Point, healings: Healings) -> str:
    return f"outline at {healings.spot(corner)}: lies inside another, an inner face or a room"
