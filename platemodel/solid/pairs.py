"""The proof of pairs of pieces on solids read from STEP: laps, clashes, lowering."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from OCP.TopoDS import TopoDS_Solid

from platemodel.frame.values import Frame, Joint
from platemodel.solid.bodies import NEAR, Body, blocked_area, near_pairs, seat_area
from platemodel.solid.shapes import common_volume
from platemodel.solid.values import EXACT, Check, LapFigures
from platemodel.solid.windows import Window
from platemodel.solid.workers import SHARE, mapped


@dataclass(frozen=True)
class _Found:
    """What was measured of a near pair: volume shared, area that blocks lowering, and its lap if it has one."""

    shared: float
    blocked: float
    lap: LapFigures | None


def prove_pairs(
    frame: Frame, windows: Sequence[Window], bodies: Mapping[str, Body], solids: Mapping[str, TopoDS_Solid]
) -> tuple[list[LapFigures], list[Check], int]:
    """Figures of every joint, checks of all near pairs, and how many pairs were tested; bodies by mark."""
    present = [index for index, piece in enumerate(frame.pieces) if piece.mark in bodies]
    of = {index: bodies[frame.pieces[index].mark] for index in present}
    near = [(present[a], present[b]) for a, b in near_pairs([of[index].hull for index in present], NEAR)]
    joints = {
        (min(joint.under, joint.over), max(joint.under, joint.over)): number
        for number, joint in enumerate(frame.joints)
    }
    depth = frame.plan.plate.depth

    def measure(number: int) -> _Found:
        one, other = near[number]
        shared = common_volume(solids[of[one].name], solids[of[other].name])
        first, second = (one, other) if frame.pieces[one].order < frame.pieces[other].order else (other, one)
        joint = joints.get(near[number])
        lap = None
        if joint is not None:
            lap = _lap(frame.joints[joint], windows[joint], of, shared, depth)
        return _Found(shared, blocked_area(of[first], of[second]), lap)

    found = dict(zip(near, mapped(measure, len(near), SHARE), strict=True))
    laps = [
        (found[pair].lap if pair in found else None) or _unknown(frame.joints[number])
        for pair, number in joints.items()
    ]
    others = [answer.shared for answer in found.values() if answer.lap is None]
    width = min(run.strip.width for run in frame.runs)
    checks = [
        Check(
            "frame.step: volume shared by near pieces that are not mates, mm3",
            max((abs(volume) if volume == volume else math.inf for volume in others), default=0.0),
            EXACT * width * width * depth,
        ),
        Check(
            "frame.step: area that blocks lowering in laying order, mm2",
            max((answer.blocked for answer in found.values()), default=0.0),
            EXACT * width * width,
        ),
    ]
    return laps, checks, len(near)


def _lap(joint: Joint, window: Window, of: Mapping[int, Body], clash: float, depth: float) -> LapFigures:
    under, over = of[joint.under], of[joint.over]
    # what both hold is counted once; where there is a clash it lies in the lap or the lap fails for it
    in_core = under.volume_over(window.core) + over.volume_over(window.core) - clash
    in_window = under.volume_over(window.around) + over.volume_over(window.around) - clash
    area = window.core.area
    return LapFigures(
        clash=clash,
        fill=in_core / (area * depth),
        seat=seat_area(under, over, window.core),
        gap=window.around.area * depth - in_window,
        seat_expected=joint.lap.area,
        gap_expected=joint.gap_expected,
        volume_limit=EXACT * area * depth,
        fill_limit=EXACT,
        seat_limit=EXACT * area,
    )


def _unknown(joint: Joint) -> LapFigures:
    """The figures of a joint whose pieces are not there, or not near each other: none, so it fails."""
    nan = math.nan
    return LapFigures(nan, nan, nan, nan, joint.lap.area, joint.gap_expected, 0.0, 0.0, 0.0)
