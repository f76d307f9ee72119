"""A plan from a foreign file's lines: chosen, scaled, healed, traced, written down, and judged as any plan is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from platemodel.faults import Fault, InputError, PlanError, counted
from platemodel.outlines.choosing import (
    UNITS,
    Question,
    around,
    in_degrees,
    layer_question,
    shown,
    unit_question,
    unknown_layer,
)
from platemodel.outlines.crossing import cross_walls, from_leaf_to_leaf, outer_face
from platemodel.outlines.judging import apart, bends, judged
from platemodel.outlines.mending import Healings, without_repeats
from platemodel.outlines.tracing import Traced, is_plain, joined_in_line, single_lines, trace
from platemodel.outlines.values import Drawn, Foreign, Loop, Segment, Single, extent, spot
from platemodel.outlines.writing import Draft, placed, plan_text
from platemodel.plan.values import Point

LEAF = 100.0
"""Thickness of the leaf where neither the user nor the file tells it, mm."""

MOST_POINTS = 5_000
"""Points of the lines that are traced: more are no walls but a whole drawing."""

WIDEST = 1e6
"""Lines that reach farther than this from end to end (mm) are no building, or not in that unit."""

FARTHEST = 9e7
"""An outline farther from its drawing's origin than this is moved to it (mm): a plan's places end soon after."""

WIDER = (10.0, 20.0, 50.0, 100.0)
"""Tolerances that are tried where corners are nearly straight (mm)."""


@dataclass(frozen=True)
class Wish:
    """What the user has said of a foreign file.

    ``layers`` hold the outlines, ``crosses`` centre lines of cross walls; none named: all, and what is open.
    ``unit`` by its name; lengths are mm. ``centre``: closed outlines are walls' centre lines, not outer faces.
    ``at``: of several outlines the one round this place (mm).
    """

    layers: tuple[str, ...] = ()
    crosses: tuple[str, ...] = ()
    unit: str | None = None
    tolerance: float = 5.0
    centre: bool = False
    leaf: float | None = None
    at: Point | None = None


@dataclass(frozen=True)
class Made:
    """A plan's text, and what to tell: what was healed, what was left out, what there is."""

    text: str
    healed: tuple[str, ...]
    left_out: tuple[str, ...]
    summary: str


def make(file: str, source: str, found: Foreign, wish: Wish) -> Made | Question:
    """The plan that a foreign file's lines make, or what must be asked first.

    Raises :class:`~platemodel.faults.InputError` or :class:`~platemodel.faults.PlanError`.
    """
    unknown = unknown_layer(found, (*wish.layers, *wish.crosses))
    if unknown is not None:
        raise InputError(f"{source}: {unknown}")
    question = None if wish.layers else layer_question(found)
    if question is not None:
        return question
    named = (*wish.layers, *wish.crosses)
    lines, hidden = shown(tuple(line for line in found.lines if not wish.layers or line.layer in named), named)
    chosen = {line.layer for line in lines}
    of_these = [words for layer, words in found.left_on if layer in chosen]
    found = replace(found, left_out=(*found.left_out, *of_these, *hidden))
    if not lines:
        raise InputError(f"{source}: shows no lines: {'; '.join(hidden[:5])}; expected --layer with the one wanted")
    if found.unit is None and in_degrees(lines):
        raise InputError(
            f"{source}: its coordinates look like degrees of longitude and latitude; expected lengths on a plane, "
            "as a drawing or a projected map has them, and --unit"
        )
    unit = UNITS[wish.unit] if wish.unit is not None else found.unit
    if wish.at is not None and unit is not None:
        lines = around(lines, (wish.at[0] / unit, wish.at[1] / unit))
    count = sum(len(line.points) for line in lines)
    if count > MOST_POINTS:
        raise InputError(
            f"{source}: has lines with {count} points together where the outlines are looked for; "
            f"expected at most {MOST_POINTS}: the walls alone, on a {found.layers} of their own, or one house of many, "
            "--at a place in it"
        )
    question = unit_question(lines, found.unit) if wish.unit is None else None
    if question is not None:
        return question
    unit = unit or 1.0
    west, south, east, north = extent(lines)
    if max(east - west, north - south) * unit > WIDEST:
        size = f"{(east - west) * unit / 1000:.6g} by {(north - south) * unit / 1000:.6g} m"
        raise InputError(
            f"{source}: its lines reach over {size}; expected at most {WIDEST / 1000:.6g} m: another --unit, or the "
            f"lines of one building alone, on a {found.layers} of their own or --at a place in it"
        )
    assumed = "" if wish.leaf or found.leaf else ", as none is told: --leaf"
    wish = replace(wish, leaf=wish.leaf or found.leaf or LEAF)
    try:
        made = _made(file, source, found, lines, unit, wish)
        return replace(made, summary=made.summary + assumed)
    except _Bent as bent:
        wider = next(
            (most for most in WIDER if most > wish.tolerance and _goes(source, found, lines, unit, wish, most)), None
        )
        told = "" if wider is None else f"; with --tolerance {wider:g} they are straight, and it makes a plan"
        faults = [replace(fault, expected=fault.expected + told) for fault in bent.faults]
        raise PlanError(faults, source) from None


class _Bent(PlanError):
    """Nothing is wrong but corners that are neither sharp enough for a lap nor straight."""


def _goes(source: str, found: Foreign, lines: tuple[Drawn, ...], unit: float, wish: Wish, tolerance: float) -> bool:
    """Whether another tolerance makes a plan."""
    try:
        _made("", source, found, lines, unit, replace(wish, tolerance=tolerance))
    except PlanError:
        return False
    return True


def _made(file: str, source: str, found: Foreign, lines: tuple[Drawn, ...], unit: float, wish: Wish) -> Made:
    leaf = wish.leaf or LEAF
    west, south, _, _ = extent(lines)
    origin = (west * unit, south * unit)
    healings = Healings(wish.tolerance, origin)
    local = [line.scaled(unit, (west, south)) for line in lines]
    at = None if wish.at is None else (wish.at[0] - origin[0], wish.at[1] - origin[1])
    around: list[Drawn] = []
    crossing: list[Drawn] = []
    for line in local:
        (crossing if line.centre or line.layer in wish.crosses else around).append(line)
    # walls inside of which the file itself says that they are, and which the user did not ask for
    offered = bool(crossing) and all(line.centre for line in crossing)
    traced = trace(around, healings)
    faults, curved = list(traced.faults), list[str]()
    crossing = single_lines(crossing, healings, faults, curved)
    if not traced.loops and not faults:
        faults.append(_no_outline(traced, healings))
    faces = [outer_face(loop, leaf) if wish.centre else loop for loop in traced.loops]
    faces = [face for face in faces if not wish.centre or is_plain(face, healings, faults)]
    rest = [*((line, leaf) for line in traced.rest), *_single(crossing, leaf, healings)]
    left_out = [*found.left_out, *traced.left_out, *curved]
    if at is not None and faces:
        faces, rest = _picked(faces, rest, at, healings, faults, left_out)
    # far off, the plan begins where its lines do: of several houses those of the one
    begin = (
        (0.0, 0.0) if at is None or not faces else tuple(min(corner[axis] for corner in faces[0]) for axis in (0, 1))
    )
    faults += apart(faces, healings)
    crosses, wrong, nowhere = (
        cross_walls(rest, faces, leaf, healings, all_wanted=not offered) if faces else ([], [], [])
    )
    left_out += nowhere
    bent = bends(faces, healings)
    if bent and not faults and not wrong:
        raise _Bent(bent, source)
    if faults or wrong or bent:
        raise PlanError([*faults, *bent, *wrong], source)
    left_out += _not_asked_for(found, wish, unit, (west, south), faces, healings)
    holes = tuple(
        hole.scaled(unit, (west, south)) for hole in found.openings if hole.layer in {line.layer for line in lines}
    )
    draft = Draft(file, source, tuple(faces), tuple(crosses), leaf, origin, placed(holes, faces, crosses, leaf))
    there = (origin[0] + begin[0], origin[1] + begin[1])
    if max(map(abs, there)) > FARTHEST:
        healings.told.insert(0, f"moved to the origin of the plan from {spot(there)}")
        draft = replace(draft, origin=(-begin[0], -begin[1]))
    draft = judged(draft, healings, left_out, offered)
    text = plan_text(draft, healings, left_out)
    inside = f", {counted(len(draft.openings), 'opening')}" if draft.openings else ""
    summary = f"{counted(len(faces), 'outline')}, {counted(len(draft.crosses), 'cross wall')}{inside}, leaf {leaf:g} mm"
    return Made(text, tuple(healings.told), tuple(left_out), summary)


def _not_asked_for(
    found: Foreign, wish: Wish, unit: float, origin: Point, faces: Sequence[Loop], healings: Healings
) -> list[str]:
    """Layers that were not named, and hold what seem to be centre lines of inside walls, in words."""
    others = [line for line in found.lines if wish.layers and line.layer not in (*wish.layers, *wish.crosses)]
    others = [line.scaled(unit, origin) for line in others if line.hidden is None]
    if not others or not faces or len(others) > MOST_POINTS:
        return []
    seem = from_leaf_to_leaf(others, faces, wish.leaf or LEAF, healings.tolerance)
    return [
        f"{counted(count, 'line')} from leaf to leaf on {found.layers} '{name}'; --cross '{name}' takes centre lines "
        "of inside walls"
        for name, count in seem.items()
    ]


def _picked(
    faces: list[Loop], rest: list[Single], at: Point, healings: Healings, faults: list[Fault], left_out: list[str]
) -> tuple[list[Loop], list[Single]]:
    """The one outline round a place, and the single lines that reach into it."""
    from shapely import LineString, Polygon
    from shapely import Point as At

    there = healings.spot(at)
    picked = [face for face in faces if Polygon(face).covers(At(at))]
    if not picked:
        box = extent(tuple(Drawn(face, True, "", "") for face in faces))
        low, high = (healings.spot((box[side], box[side + 1])) for side in (0, 2))
        found = f"no outline goes round {there}; all {len(faces)} lie between {low} and {high}"
        faults.append(Fault((), found, "expected --at a place inside of one, in mm"))
        return faces, rest
    if len(faces) > 1:
        left_out.append(f"{counted(len(faces) - 1, 'other outline')}: not round {there}")
    house = Polygon(picked[0])
    return picked[:1], [
        single for single in rest if LineString(single[0]).intersection(house).length > healings.tolerance
    ]


def _single(lines: Sequence[Drawn], leaf: float, healings: Healings) -> list[Single]:
    """The straight legs of lines that are known to be centre lines; ``leaf`` where the file tells none."""
    found: list[Single] = []
    for own in dict.fromkeys(line.leaf for line in lines):
        legs: list[Segment] = []
        for line in lines:
            if line.leaf == own:
                points = without_repeats(line.points, line.closed, healings)
                legs += zip(points, (*points[1:], points[0]) if line.closed else points[1:], strict=False)
        found += [(leg, own or leaf) for leg in joined_in_line(legs, healings.tolerance)]
    return found


def _no_outline(traced: Traced, healings: Healings) -> Fault:
    """What is missing where no closed outline is found: above all, the least gap that keeps one open."""
    said = ""
    gap = traced.gap
    if gap is not None:
        here, there, by = gap
        at = [healings.spot(place) for place in (here, there)]
        said = f"; of its open ends those at {at[0]} and {at[1]} are the nearest, {by:.1f} mm apart"
    left = f" ({'; '.join(traced.left_out[:5])})" if traced.left_out else ""
    expected = f"expected one that is closed within {healings.tolerance:g} mm (--tolerance), on the chosen layer"
    return Fault((), f"there is no closed outline{said}{left}", expected)
