"""Whether a frame still is what an earlier report says: no locked piece, half or mark may change."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.site.rules import Verdict

SAME = 0.01
"""Corners that moved by less than this have not changed (mm)."""

RULE = "pieces of the locked report are unchanged"


def read_locked(path: Path) -> dict[str, Any]:
    """Read an earlier report.

    Raises :class:`~platemodel.faults.InputError` where it is not one.
    """
    try:
        report = json.loads(path.read_text("utf-8"))
    except OSError as error:
        raise InputError(f"laying.locked: {path} cannot be read ({error.strerror})") from None
    except ValueError:
        report = None
    if not isinstance(report, dict) or not isinstance(report.get("pieces"), list) or "origin" not in report:
        raise InputError(f"laying.locked: {path} is not a report.json of an earlier build")
    return report


def judge_locked(report: dict[str, Any], locked: dict[str, Any]) -> list[Verdict]:
    """Compare a frame's report with a locked one; one verdict for each thing that would change."""
    try:
        changes = list(_changes(report, locked))
    except (KeyError, TypeError, ValueError, IndexError):
        raise InputError("laying.locked: the file is not a report.json of an earlier build") from None
    if not changes:
        return [Verdict(RULE, "must", "the plan's laying.locked", True, "")]
    return [Verdict(RULE, "must", "the plan's laying.locked", False, change) for change in changes]


def _changes(report: dict[str, Any], locked: dict[str, Any]) -> Iterator[str]:
    here = {piece["mark"]: piece for piece in report["pieces"]}
    for old in locked["pieces"]:
        mark = old["mark"]
        new = here.get(mark)
        if new is None:
            yield f"{mark}: would be gone"
            continue
        if abs(old["length"] - new["length"]) > SAME:
            yield f"{mark}: length {old['length']:.1f} would become {new['length']:.1f}"
        elif math.dist(_middle(old, locked), _middle(new, report)) > SAME:
            yield f"{mark}: would lie elsewhere"
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
            if any(math.dist(a, b) > SAME for a, b in zip(cut, new_cut, strict=True)):
                yield f"{mark}: its lap with {mate} would move"


def _placed(piece: dict[str, Any], report: dict[str, Any], x: float, y: float) -> tuple[float, float]:
    """A point of the piece frame in the plan's own coordinates."""
    place = piece["place"]
    if place["turned_over"]:
        y = piece["width"] - y
    angle = math.radians(place["angle_deg"])
    return (
        place["x"] + x * math.cos(angle) - y * math.sin(angle) + report["origin"][0],
        place["y"] + x * math.sin(angle) + y * math.cos(angle) + report["origin"][1],
    )


def _middle(piece: dict[str, Any], report: dict[str, Any]) -> tuple[float, float]:
    return _placed(piece, report, piece["length"] / 2, piece["width"] / 2)


def _cut(piece: dict[str, Any], lap: dict[str, Any], report: dict[str, Any]) -> list[tuple[float, float]]:
    """The corners of a cut in plan, in an order that does not depend on how the piece is turned."""
    width = piece["width"]
    corners = [
        _placed(piece, report, lap[key][number], y) for key in ("from", "to") for number, y in ((0, 0.0), (1, width))
    ]
    return sorted(corners, key=lambda point: (round(point[0], 1), round(point[1], 1)))
