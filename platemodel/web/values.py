"""What the page knows, as plain values: everything it shows is told here once."""

from __future__ import annotations

import hashlib
import math
import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from platemodel.frame.gauges import Gauge, gauges
from platemodel.frame.shape import Cut, Shape
from platemodel.frame.tape import taped, whole
from platemodel.frame.values import Frame, Piece
from platemodel.sheets import outline
from platemodel.sheets.cut_tables import cut_rows, datum_side
from platemodel.sheets.page import Page
from platemodel.web.solids import cut_hash, laid_hash, solid
from platemodel.web.wall import wall_values

ROLE_LETTERS = {"under": "U", "over": "O", "both": "UO", "none": "–"}
"""What halves a piece has, for those who do not see colours."""

_FIGURES = ("clash", "fill", "gap", "gap_expected", "seat", "seat_expected")


def page_values(
    frame: Frame, report: Mapping[str, Any], pages: Mapping[str, Page], files: Sequence[tuple[str, str]]
) -> dict[str, Any]:
    """All values of the page, ready for JSON; a figure that is not a number is None."""
    job = frame.plan.job
    known = {joint["id"]: joint for joint in report["joints"]}
    boards = _boards(frame)
    used = {cut: gauge for gauge in gauges(frame) for cut in gauge.halves}
    places = {joint.id: {"at": [round(along, 1) + 0.0 for along in joint.at]} for joint in frame.joints}
    values = {
        "title": job.title,
        "job": _job_key(job.title, str(job.number or "")),
        "passed": bool(report["passed"]),
        "counts": counts(frame, report),
        "pieces": [
            _piece(frame, piece, known, boards.get(index, ""), _sawn_away(index, piece, used))
            for index, piece in sorted(enumerate(frame.pieces), key=lambda item: item[1].order)
        ],
        "joints": [_joint(joint) | places.get(joint["id"], {}) for joint in report["joints"]],
        "openings": bool(frame.plan.openings),
        "bearings": bool(frame.plan.bearings),
        "checks": _failed_checks(report),
        "rules": broken_rules(frame, report),
        "site": wall_values(frame, report),
        "sheets": [
            {"name": name, "title": words, "types": _types_of(frame, name)}
            for name, (words, _) in zip(pages, outline(pages), strict=True)
        ],
        "files": [{"path": path, "what": what} for path, what in files],
    }
    finite: dict[str, Any] = _finite(values)
    return finite


def counts(frame: Frame, report: Mapping[str, Any]) -> list[str]:
    """How much there is of everything, in words; what is bought is told beside what is cut."""
    mass = sum(piece.mass for piece in frame.pieces)
    ordered = report.get("buying", {}).get("sum", {})
    spare = ordered.get("spare") or 0
    boards = _count(len(frame.boards), "board") + " to cut"
    if spare:
        boards += f", {ordered['total']} to order with {spare} spare ({ordered['mass_kg']:.0f} kg)"
    return [
        _count(len(frame.pieces), "piece"),
        f"{mass:.0f} kg",
        f"{sections(frame)}, {frame.plan.plate.grade}",
        _count(len(frame.types), "type"),
        _count(len(frame.joints), "lap"),
        boards,
    ]


def sections(frame: Frame) -> str:
    """The sections of the plates, the narrowest first."""
    found = sorted({(piece.laid.width, piece.laid.depth) for piece in frame.pieces})
    return " and ".join(f"{width:g} × {depth:g} mm" for width, depth in found)


def broken_rules(frame: Frame, report: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The rules that do not hold, each with limit, source and the places, and the pieces that a place names."""
    marks = [piece.mark for piece in frame.pieces]
    found: defaultdict[tuple[str, str, str, str], list[dict[str, Any]]] = defaultdict(list)
    for verdict in report.get("rules", ()):
        if not verdict["passed"]:
            rule = verdict["rule"], verdict["level"], verdict["limit"], verdict["source"]
            found[rule].append({"words": verdict["where"], "marks": named(verdict["where"], marks)})
    return [
        {"rule": rule, "level": level, "limit": limit, "source": source, "places": places}
        for (rule, level, limit, source), places in found.items()
    ]


def named(words: str, marks: Iterable[str]) -> list[str]:
    """The marks that stand in a text as words of their own, and not in quotation marks, where walls are named.

    >>> named("A1-B1 over 'A2', B1 + C10", ["A1", "A2", "B1", "C1"])
    ['A1', 'B1']
    """
    there = set(re.findall(r"\w+", re.sub(r"'[^']*'", " ", words)))
    return [mark for mark in marks if mark in there]


def _count(number: int, word: str) -> str:
    return f"{number} {word}{'' if number == 1 else 's'}"


def _job_key(title: str, number: str) -> str:
    """Keeps the ticks of one job from those of another in the same browser."""
    return hashlib.sha256(f"{title}\n{number}".encode()).hexdigest()[:16]


def _types_of(frame: Frame, sheet: str) -> list[str]:
    """The type a sheet shows; none for the sheets of the whole frame."""
    return [kind.name for kind in frame.types if kind.name == sheet.split("-")[0]]


def _boards(frame: Frame) -> dict[int, str]:
    """For each piece the board it is cut from, and what else comes off it."""
    found = {}
    for number, board in enumerate(frame.boards, start=1):
        for index in board.pieces:
            others = [frame.pieces[other].mark for other in board.pieces if other != index]
            rest = f"with {', '.join(others)}" if others else "alone"
            found[index] = f"no. {number}, {board.length:g} mm, {rest}"
    return found


def _sawn_away(index: int, piece: Piece, used: Mapping[tuple[int, int], Gauge]) -> list[str]:
    """For each cut of a piece the face that is sawn away, as drawn, read from its cut sheet's table."""
    cuts = range(len(piece.shape.cuts))
    rows = cut_rows(piece.shape, [used[index, number] for number in cuts], {piece.place.turned_over})
    by_number = {row[0]: row[1] for row in rows}
    return [by_number[str(number + 1)].removesuffix(" half").lower() for number in cuts]


def _piece(
    frame: Frame, piece: Piece, joints: Mapping[str, Mapping[str, Any]], board: str, away: Sequence[str]
) -> dict[str, Any]:
    laps = [
        {
            "joint": frame.joints[half.joint].id,
            "kind": half.kind,
            "half": "under" if half.under else "over",
            "away": face,
            "mate": frame.pieces[half.mate].mark,
            "proved": bool(joints.get(frame.joints[half.joint].id, {}).get("passed")),
            "shoulders": _shoulders(piece.shape, cut),
        }
        for half, cut, face in zip(piece.halves, piece.shape.cuts, away, strict=True)
    ]
    return {
        "mark": piece.mark,
        "type": frame.types[piece.type].name,
        "order": piece.order,
        "length": whole(piece.length),
        "section": f"{piece.laid.width:g} × {piece.laid.depth:g}",
        "mass": round(piece.mass, 1),
        "walls": list(piece.walls),
        "over": piece.place.turned_over,
        "datum": datum_side(piece),
        "board": board,
        "role": piece.role,
        "letter": ROLE_LETTERS[piece.role],
        "laps": laps,
        "cutHash": cut_hash(piece),
        "laidHash": laid_hash(piece),
        "solid": solid(frame, piece),
    }


def _shoulders(shape: Shape, cut: Cut) -> list[str]:
    """Where a cut begins and ends from the datum end, as its sheet tapes it: for each edge where they differ."""
    (begin, finish), far = (taped(shape, cut, edge) for edge in (0, 1))
    if (begin, finish) != far:
        return [f"near edge {begin} to {finish}", f"far edge {far[0]} to {far[1]}"]
    low = "datum end" if cut.low == shape.low else str(begin)
    high = "other end" if cut.high == shape.high else str(finish)
    return [f"{low} to {high}"]


def _joint(joint: Mapping[str, Any]) -> dict[str, Any]:
    mesh = joint.get("stl") or {}
    failed = [*joint.get("failed", ()), *(f"{name} (mesh)" for name in mesh.get("failed", ()))]
    return {
        "id": joint["id"],
        "kind": joint["kind"],
        "under": joint["pieces"][0],
        "over": joint["pieces"][1],
        "angle": joint["angle_deg"],
        "passed": bool(joint.get("passed")),
        "failed": failed,
        "limits": dict(joint.get("limits") or {}),
    } | {name: joint.get(name) for name in _FIGURES}


def _failed_checks(report: Mapping[str, Any]) -> list[str]:
    """What failed beside the laps, in words."""
    proof = report.get("proof")
    found = [] if proof is None else [check["name"] for check in proof["checks"] if not check["passed"]]
    if proof is None:
        found.append("the proof was not run")
    broken = [rule for rule in report.get("rules", ()) if rule["level"] == "must" and not rule["passed"]]
    return found + [f"{rule['rule']}: {rule['where']}" for rule in broken]


def _finite(value: Any) -> Any:
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, dict):
        return {key: _finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(item) for item in value]
    return value
