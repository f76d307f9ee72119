"""A plan from a foreign file's lines: chosen, scaled, healed, traced, written down, and judged as any plan is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from platemodel.faults import Fault, InputError, PlanError, plain
from platemodel.frame import decide
from platemodel.outlines.choosing import UNITS, Question, in_degrees, layer_question, unit_question, unknown_layer
from platemodel.outlines.crossing import cross_walls, outer_face
from platemodel.outlines.mending import Healings, without_repeats
from platemodel.outlines.tracing import Traced, is_plain, joined_in_line, single_lines, trace
from platemodel.outlines.values import Drawn, Foreign, Loop, Segment, Single, extent, spot
from platemodel.plan import parse_plan
from platemodel.plan.starter import number, quoted, with_shells
from platemodel.plan.values import Point

LEAF = 100.0
"""Thickness of the leaf where neither the user nor the file tells it, mm."""

MOST_POINTS = 5_000
"""Points of the lines that are traced: more are no walls but a whole drawing."""

WIDEST = 1e6
"""Lines that reach farther than this from end to end (mm) are no building, or not in that unit."""

FARTHEST = 9e7
"""An outline farther from its drawing's origin than this is moved to it (mm): a plan's places end soon after."""

EXACT = 6
"""Decimals of a millimetre that a plan's places are written with."""


@dataclass(frozen=True)
class Wish:
    """What the user has said of a foreign file.

    ``layers`` hold the outlines, ``crosses`` centre lines of cross walls; none named: all, and what is open.
    ``unit`` by its name; lengths are mm. ``centre``: closed outlines are walls' centre lines, not outer faces.
    """

    layers: tuple[str, ...] = ()
    crosses: tuple[str, ...] = ()
    unit: str | None = None
    tolerance: float = 5.0
    centre: bool = False
    leaf: float | None = None


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
    lines = tuple(line for line in found.lines if not wish.layers or line.layer in (*wish.layers, *wish.crosses))
    count = sum(len(line.points) for line in lines)
    if count > MOST_POINTS:
        raise InputError(
            f"{source}: has lines with {count} points together where the outlines are looked for; "
            f"expected at most {MOST_POINTS}: the walls alone, on a {found.layers} of their own"
        )
    if wish.unit is None and found.unit is None and in_degrees(lines):
        raise InputError(
            f"{source}: its coordinates look like degrees of longitude and latitude; expected lengths on a plane, "
            "as a drawing or a projected map has them, and --unit"
        )
    question = unit_question(lines, found.unit) if wish.unit is None else None
    if question is not None:
        return question
    unit = UNITS[wish.unit] if wish.unit is not None else found.unit or 1.0
    west, south, east, north = extent(lines)
    if max(east - west, north - south) * unit > WIDEST:
        size = f"{(east - west) * unit / 1000:.6g} by {(north - south) * unit / 1000:.6g} m"
        raise InputError(
            f"{source}: its lines reach over {size}; expected at most {WIDEST / 1000:.6g} m: another --unit, or the "
            f"lines of one building alone, on a {found.layers} of their own"
        )
    leaf = wish.leaf or found.leaf or LEAF
    return _made(file, source, found, lines, unit, replace(wish, leaf=leaf))


def _made(file: str, source: str, found: Foreign, lines: tuple[Drawn, ...], unit: float, wish: Wish) -> Made:
    leaf = wish.leaf or LEAF
    west, south, _, _ = extent(lines)
    origin = (west * unit, south * unit)
    moved = max(map(abs, origin)) > FARTHEST
    healings = Healings(wish.tolerance, (0.0, 0.0) if moved else origin)
    if moved:
        healings.told.append(f"moved to the origin of the plan from {spot(origin)}")
    local = [line.scaled(unit, (west, south)) for line in lines]
    crossing = [line for line in local if line.centre or line.layer in wish.crosses]
    traced = trace([line for line in local if line not in crossing], healings)
    faults, curved = list(traced.faults), list[str]()
    crossing = single_lines(crossing, healings, faults, curved)
    if not traced.loops and not faults:
        faults.append(_no_outline(traced, healings))
    faces = [outer_face(loop, leaf) if wish.centre else loop for loop in traced.loops]
    faces = [face for face in faces if not wish.centre or is_plain(face, healings, faults)]
    rest = [*((line, leaf) for line in traced.rest), *_single(crossing, leaf, healings)]
    crosses, wrong = cross_walls(rest, faces, leaf, healings) if faces else ([], [])
    if faults or wrong:
        raise PlanError([*faults, *wrong], source)
    left_out = (*found.left_out, *traced.left_out, *curved)
    text = _text(file, source, faces, crosses, leaf, healings, left_out)
    _judge(text, source)
    summary = (
        f"{len(faces)} {'outline' if len(faces) == 1 else 'outlines'}, {len(crosses)} cross walls, leaf {leaf:g} mm"
    )
    return Made(text, tuple(healings.told), left_out, summary)


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
        at = [spot((x + healings.origin[0], y + healings.origin[1])) for x, y in (here, there)]
        said = f"; of its open ends those at {at[0]} and {at[1]} are the nearest, {by:.1f} mm apart"
    left = f" ({'; '.join(traced.left_out[:5])})" if traced.left_out else ""
    expected = f"expected one that is closed within {healings.tolerance:g} mm (--tolerance), on the chosen layer"
    return Fault((), f"there is no closed outline{said}{left}", expected)


def _text(
    file: str,
    source: str,
    faces: Sequence[Loop],
    crosses: Sequence[Single],
    leaf: float,
    healings: Healings,
    left_out: Sequence[str],
) -> str:
    """The plan: outlines as shells, single lines as cross walls, and as remarks what was done to them."""
    lines = [f"# Drawn by others, taken from {plain(Path(source).name)}."]
    lines += [f"# Healed within {healings.tolerance:g} mm: {plain(told)}" for told in healings.told]
    lines += [f"# Left out: {plain(words)}" for words in left_out]
    for index, face in enumerate(faces):
        name = "house" if len(faces) == 1 else f"house {index + 1}"
        corners = ", ".join(_point(corner, healings.origin) for corner in face)
        lines += ["[[shell]]", f"name = {quoted(name)}", f"leaf = {number(leaf)}"]
        lines += ["setback = 0                       # from the outer face of the leaf to the plate"]
        lines += [f"corners = [{corners}]   # on the outer face of the leaf", ""]
    for index, ((start, end), own) in enumerate(crosses):
        lines += ["[[cross]]", f'name = "inside {index + 1}"', f"leaf = {number(own)}"]
        lines += [f"from = {_point(start, healings.origin)}", f"to = {_point(end, healings.origin)}", ""]
    return with_shells(file, Path(source).stem[:60].strip() or "A new plan", "\n".join(lines))


def _point(point: Point, origin: Point) -> str:
    x, y = (number(round(part + origin[axis], EXACT) + 0.0) for axis, part in enumerate(point))
    return f"[{x}, {y}]"


def _judge(text: str, source: str) -> None:
    """Refuse a plan that makes no frame, in the words of the plan's own faults."""
    try:
        decide(parse_plan(text))
    except PlanError as error:
        faults = [Fault(fault.path, fault.found, fault.expected) for fault in error.faults]
        raise PlanError(faults, f"{source}: as a plan") from None
