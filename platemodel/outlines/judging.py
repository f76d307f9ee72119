"""Whether healed outlines make a plan: what the frame would refuse is told in the words and places of the drawing."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import replace

from platemodel.faults import Fault, PlanError, counted
from platemodel.frame import decide
from platemodel.frame.bands import COLLINEAR_ANGLE, LEAST_ANGLE
from platemodel.outlines.crossing import named
from platemodel.outlines.mending import Healings, off
from platemodel.outlines.values import Loop, spot
from platemodel.outlines.writing import Draft, cross_name, plan_text
from platemodel.plan import parse_plan

TOUCHING = 1e-3
"""Outlines nearer than this touch (mm)."""

MOST_FAULTS = 40
"""Faults of a plan, and pairs of outlines that touch, beyond this are counted, not told one by one."""


def bends(faces: Sequence[Loop], healings: Healings) -> list[Fault]:
    """Corners that are too blunt for a lap and yet not straight."""
    faults = []
    for face in faces:
        for index, here in enumerate(face):
            before, after = face[index - 1], face[(index + 1) % len(face)]
            ux, uy, vx, vy = here[0] - before[0], here[1] - before[1], after[0] - here[0], after[1] - here[1]
            turn = abs(math.degrees(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy)))
            if COLLINEAR_ANGLE < turn < LEAST_ANGLE - 1e-3:
                by = off(here, (before, after))
                words = f"the corner at {healings.spot(here)} turns by {turn:.3g}°, {by:.1f} mm off the straight"
                expected = f"expected corners of {LEAST_ANGLE:g}° to {180 - LEAST_ANGLE:g}°, where plates lap, or none"
                faults.append(Fault((), words, expected))
    return faults


def apart(faces: Sequence[Loop], healings: Healings) -> list[Fault]:
    """Pairs of outlines that touch or overlap: plates of two shells are never joined."""
    from shapely import Polygon, STRtree

    shapes = [Polygon(face) for face in faces]
    tree = STRtree(shapes)
    faults = []
    for one, shape in enumerate(shapes):
        for other in sorted(tree.query(shape, predicate="dwithin", distance=TOUCHING).tolist()):
            if other <= one:
                continue
            how = "overlap" if shape.intersection(shapes[other]).area > shape.length else "touch"
            words = f"the outlines at {healings.spot(faces[one][0])} and {healings.spot(faces[other][0])} {how}"
            inside = shape.representative_point()
            x, y = inside.x + healings.origin[0], inside.y + healings.origin[1]
            expected = f"expected houses that stand apart, or one of them alone: --at {x:.0f},{y:.0f} for the first"
            faults.append(Fault((), words, expected))
    if len(faults) > MOST_FAULTS:
        more = Fault(
            (), f"{len(faults) - MOST_FAULTS} more pairs of outlines touch", "expected houses that stand apart"
        )
        return [*faults[:MOST_FAULTS], more]
    return faults


def judged(draft: Draft, healings: Healings, left_out: list[str], offered: bool) -> Draft:
    """The part of a plan that makes a frame.

    Walls inside that were only ``offered``, and openings, are left out one after the other where there is no frame
    with them, and told. Raises :class:`~platemodel.faults.PlanError`, in the words of the plan's own faults.
    """
    while True:
        error = _wrong(draft, healings)
        if error is None:
            return draft
        if draft.openings:
            plain = _wrong(replace(draft, openings=()), healings)
            if plain is None:
                draft = _without_openings(draft, error, left_out)
                continue
        spared = _spared(draft, error) if offered else {}
        if not spared:
            there = healings.origin[0] - draft.origin[0], healings.origin[1] - draft.origin[1]
            moved = f" moved to its origin from {spot(there)}" if draft.origin != healings.origin else ""
            raise PlanError(_told(draft, error, healings, offered), f"{draft.source}: as a plan{moved}")
        for number, why in spared.items():
            left_out.append(f"{named(draft.crosses[number], healings)}: {why}")
        draft = _without_crosses(draft, frozenset(spared))


def _told(draft: Draft, error: PlanError, healings: Healings, offered: bool) -> list[Fault]:
    """The faults of a plan, and whether single lines that are no walls' centre lines may be to blame."""
    faults = [Fault((), fault.found, fault.expected) for fault in error.faults[:MOST_FAULTS]]
    if len(error.faults) > MOST_FAULTS:
        more = f"{len(error.faults) - MOST_FAULTS} more faults"
        faults.append(Fault((), more, "expected lines that are walls alone"))
    if draft.crosses and not offered and _wrong(replace(draft, crosses=(), openings=()), healings) is None:
        lines = counted(len(draft.crosses), "single line")
        expected = (
            "expected of single lines walls' centre lines alone; others, such as faces, on a layer that is not read"
        )
        faults.append(Fault((), f"without the {lines} inside it makes a plan", expected))
    return faults


def _wrong(draft: Draft, healings: Healings) -> PlanError | None:
    try:
        decide(parse_plan(plan_text(draft, healings, ())))
    except PlanError as error:
        return error
    return None


def _without_openings(draft: Draft, error: PlanError, left_out: list[str]) -> Draft:
    """A draft without the openings of the walls that faults name; without any where they name none."""
    walls = {name for fault in error.faults for name in re.findall(r"'([^']*)'", fault.found)}
    kept = tuple(hole for hole in draft.openings if hole.wall not in walls)
    kept = kept if len(kept) < len(draft.openings) else ()
    for hole in draft.openings:
        if hole not in kept:
            why = "with it there is no place for a splice"
            left_out.append(f"{hole.name} in '{hole.wall}' from {hole.begin:g} to {hole.end:g}: {why}")
    return replace(draft, openings=kept)


def _spared(draft: Draft, error: PlanError) -> dict[int, str]:
    """Of the cross walls that each fault names the thinnest, then the shortest; and what is wrong with it."""
    names = {cross_name(index): index for index in range(len(draft.crosses))}
    found: dict[int, str] = {}
    for fault in error.faults:
        of = {names[name] for name in re.findall(r"'([^']*)'", fault.found) if name in names}
        if not of or not of.isdisjoint(found):
            continue
        gone = min(of, key=lambda index: (draft.crosses[index][1], math.dist(*draft.crosses[index][0]), -index))
        found[gone] = fault.found.split("'")[0].strip(" :,") or "no plate can be joined there"
    return found


def _without_crosses(draft: Draft, gone: frozenset[int]) -> Draft:
    """A draft without some cross walls; openings go with them, and follow the names of the others."""
    kept = [index for index in range(len(draft.crosses)) if index not in gone]
    renamed = {cross_name(old): cross_name(new) for new, old in enumerate(kept)}
    lost = {cross_name(index) for index in gone}
    holes = (replace(hole, wall=renamed.get(hole.wall, hole.wall)) for hole in draft.openings if hole.wall not in lost)
    return replace(draft, crosses=tuple(draft.crosses[index] for index in kept), openings=tuple(holes))
