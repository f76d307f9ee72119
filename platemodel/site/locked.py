"""Whether a frame still is what an earlier report says: no locked piece, half or mark may change."""

from __future__ import annotations

import json
import math
import statistics
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.site.rules import Verdict

SAME = 0.01
"""Corners that moved by less than this have not changed (mm)."""

Point = tuple[float, float]

RULE = "pieces of the locked report are unchanged"


def read_locked(path: Path) -> dict[str, Any]:
    """Read an earlier report.

    Raises :class:`~platemodel.faults.InputError` where it is not one.
    """
    try:
        report = json.loads(path.read_text("utf-8"), parse_constant=_no_number)
    except OSError as error:
        raise InputError(f"laying.locked: {path} cannot be read ({error.strerror})") from None
    except (ValueError, RecursionError):
        report = None
    if not isinstance(report, dict) or not isinstance(report.get("pieces"), list) or "origin" not in report:
        raise InputError(f"laying.locked: {path} is not a report.json of an earlier build")
    return report


def _no_number(word: str) -> None:
    raise ValueError(f"{word} is no number of a report")


def judge_locked(report: dict[str, Any], locked: dict[str, Any]) -> list[Verdict]:
    """Compare a frame's report with a locked one; one verdict for each thing that would change."""
    try:
        changes = list(_changes(report, locked))
    except (KeyError, TypeError, ValueError, IndexError, OverflowError):
        raise InputError("laying.locked: the file is not a report.json of an earlier build") from None
    if not changes:
        return [Verdict(RULE, "must", "the plan's laying.locked", True, "", "nothing altered", "nothing altered")]
    return [
        Verdict(RULE, "must", "the plan's laying.locked", False, change, "altered", "nothing altered")
        for change in changes
    ]


def _changes(report: dict[str, Any], locked: dict[str, Any]) -> Iterator[str]:
    here = {piece["mark"]: piece for piece in report["pieces"]}
    common = _common_shift(report, locked, here)
    for old in locked["pieces"]:
        mark = old["mark"]
        new = here.get(mark)
        if new is None:
            yield f"{mark}: would be gone"
            continue
        shift = common
        sizes = [key for key in ("length", "width", "depth") if not abs(old[key] - new[key]) <= SAME]
        for key in sizes:
            yield f"{mark}: {key} {old[key]:.1f} would become {new[key]:.1f}"
        if "length" not in sizes and not _alike(_ends(old, locked), _ends(new, report), common):
            yield f"{mark}: would lie elsewhere"
            # its laps are then judged as they lie on it
            shift = _shift(old, locked, new, report)
        yield from _lap_changes(old, locked, new, report, shift)


def _lap_changes(
    old: dict[str, Any], locked: dict[str, Any], new: dict[str, Any], report: dict[str, Any], shift: Point
) -> Iterator[str]:
    mark = old["mark"]
    before = {lap["mate"]: (lap, _cut(old, lap, locked)) for lap in old["laps"]}
    after = {lap["mate"]: (lap, _cut(new, lap, report)) for lap in new["laps"]}
    for mate in sorted(set(before) - set(after)):
        yield f"{mark}: its lap with {mate} would be gone"
    for mate in sorted(set(after) - set(before)):
        yield f"{mark}: a lap with {mate} would be added"
    for mate in sorted(set(before) & set(after)):
        (was, cut), (will, new_cut) = before[mate], after[mate]
        if was["half"] != will["half"]:
            yield f"{mark}: its half of the lap with {mate} would turn from {was['half']} to {will['half']}"
        if not _alike(cut, new_cut, shift):
            yield f"{mark}: its lap with {mate} would move"


def _common_shift(report: dict[str, Any], locked: dict[str, Any], here: dict[str, Any]) -> Point:
    """By how much most pieces have moved: a plan drawn about another point alters none of them."""
    shifts = [_shift(old, locked, here[old["mark"]], report) for old in locked["pieces"] if old["mark"] in here]
    if sum(math.hypot(*shift) <= SAME for shift in shifts) * 2 >= len(shifts):
        return 0.0, 0.0
    return statistics.median_low(x for x, _ in shifts), statistics.median_low(y for _, y in shifts)


def _shift(old: dict[str, Any], locked: dict[str, Any], new: dict[str, Any], report: dict[str, Any]) -> Point:
    (ax, ay), (bx, by) = _middle(old, locked), _middle(new, report)
    return bx - ax, by - ay


def _alike(before: list[Point], after: list[Point], shift: Point) -> bool:
    """Whether the same points, in any order, are there after a shift."""
    moved = [(x + shift[0], y + shift[1]) for x, y in before]
    return all(
        min(math.dist(point, other) for other in others) <= SAME
        for points, others in ((moved, after), (after, moved))
        for point in points
    )


def _placed(piece: dict[str, Any], report: dict[str, Any], x: float, y: float) -> Point:
    """A point of the piece frame in the plan's own coordinates."""
    place = piece["place"]
    if place["turned_over"]:
        y = piece["width"] - y
    angle = math.radians(place["angle_deg"])
    return (
        place["x"] + x * math.cos(angle) - y * math.sin(angle) + report["origin"][0],
        place["y"] + x * math.sin(angle) + y * math.cos(angle) + report["origin"][1],
    )


def _middle(piece: dict[str, Any], report: dict[str, Any]) -> Point:
    return _placed(piece, report, piece["length"] / 2, piece["width"] / 2)


def _ends(piece: dict[str, Any], report: dict[str, Any]) -> list[Point]:
    return [_placed(piece, report, x, piece["width"] / 2) for x in (0.0, piece["length"])]


def _cut(piece: dict[str, Any], lap: dict[str, Any], report: dict[str, Any]) -> list[Point]:
    """The corners of a cut in plan."""
    ends = ((0, 0.0), (1, piece["width"]))
    return [_placed(piece, report, lap[key][number], y) for key in ("from", "to") for number, y in ends]
