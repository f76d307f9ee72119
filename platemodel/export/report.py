"""report.json: all results of a build, for people and programs."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping, Sequence
from typing import Any

from platemodel import __version__
from platemodel.export.buying import BoardLine, Waste, buying, gap_percent, sums
from platemodel.export.fixings import fixings
from platemodel.export.sawing import Sawing, methods
from platemodel.frame.shape import solid_code
from platemodel.frame.values import Frame, Half, Piece, Purchase, Type
from platemodel.site.onwall import OnWall, site_values
from platemodel.site.rules import Verdict
from platemodel.solid.values import Check, LapFigures, Proof

DIGITS = 9
"""Figures are rounded to this many decimals, which keeps a millionth of a micrometre and drops dust."""


def report(
    frame: Frame,
    verdicts: Sequence[Verdict],
    proof: Proof | None,
    sheets: Mapping[str, Sequence[str]] | None = None,
    wall: OnWall | None = None,
) -> dict[str, Any]:
    """The report of a frame as plain values; ``proof`` None leaves the proof's figures out.

    ``sheets`` are the names of each type's sheets that are written; None where that is not known yet. ``wall`` is what
    is done on the wall, None where that was not worked out.
    """
    site = {} if wall is None else site_values(frame, wall)
    rules_hold = all(verdict.passed for verdict in verdicts if verdict.level == "must")
    marks = [piece.mark for piece in frame.pieces]
    return {
        "units": "mm",
        "title": frame.plan.job.title,
        "made_by": f"platemodel {__version__}",
        "format": 1,
        "plan": {
            "grade": frame.plan.plate.grade,
            "clearance": frame.plan.lap.clearance,
            "clearance_asked": frame.plan.lap.asked,
            "widest": frame.plan.plate.widest,
            "stock": list(frame.plan.stock.lengths),
            "kerf": frame.plan.stock.kerf,
            "method": frame.plan.laying.method,
        },
        "passed": proof is not None and proof.passed and rules_hold,
        "pieces": [_piece(frame, piece) for piece in frame.pieces],
        "types": [
            {
                "type": kind.name,
                "count": len(kind.pieces),
                "marks": [marks[index] for index in kind.pieces],
                "length": kind.shape.length,
                "volume": kind.shape.volume,
                "solid": solid_code(kind.shape),
                "step": f"pieces/{kind.name}.step",
                "stl": f"pieces/{kind.name}.stl",
                "sheet": f"sheets/{kind.name}.svg",
                "sheets": [f"sheets/{name}.svg" for name in _sheets_of(kind, sheets)],
            }
            for kind in frame.types
        ],
        "manifest": "manifest.json",
        "joints": _joints(frame, proof),
        "boards": [
            {"length": board.length, "pieces": [marks[index] for index in board.pieces], "offcut": board.offcut}
            for board in frame.boards
        ],
        "buying": _buying(frame, wall),
        "cutting": [_purchase(purchase) for purchase in frame.purchases],
        "methods": [_sawing(one) for one in methods(frame)],
        "proof": None if proof is None else _proof(proof),
        "origin": list(frame.origin),
        "rules": [
            {
                "rule": v.rule,
                "level": v.level,
                "source": v.source,
                "passed": v.passed,
                "where": v.where,
                "limit": v.limit,
                "found": v.found,
            }
            for v in verdicts
        ],
        **({"site": site} if site else {}),
    }


def _buying(frame: Frame, wall: OnWall | None) -> dict[str, Any]:
    needed = fixings(frame, wall)
    found = buying(frame, needed.rules)
    total = sums(found.lines)
    return {
        "boards": [_boards(line) for line in found.lines],
        "yard": [_boards(line) for line in found.yard],
        "sum": {
            "count": total.count,
            "spare": total.spare,
            "total": total.total,
            "metres": total.metres,
            "volume_m3": total.volume,
            "mass_kg": total.mass,
            "price": total.price,
        },
        "waste_percent": found.waste,
        "waste": [_waste(waste) for waste in found.wastes],
        "offcuts_kept": [{"width": off.width, "length": off.length, "count": off.count} for off in found.offcuts],
        "fixings": {
            "screws": needed.screws,
            "screw_length": needed.screw,
            "bearings": needed.bearings,
            "truss_nails": needed.nails,
            "truss_clips": needed.clips,
            "straps": needed.straps,
            "to_order": [
                {"item": line.item, "size": line.size, "finish": line.finish, "number": line.number}
                for line in needed.lines
            ],
        },
    }


def _boards(line: BoardLine) -> dict[str, Any]:
    return {
        "width": line.width,
        "depth": line.depth,
        "grade": line.grade,
        "length": line.length,
        "count": line.count,
        "spare": line.spare,
        "total": line.total,
        "metres": line.metres,
        "volume_m3": line.volume,
        "mass_kg": line.mass,
        "price_each": line.price,
        "price_total": line.price_total,
    }


def _waste(waste: Waste) -> dict[str, Any]:
    def percent(used: float | None) -> float | None:
        return None if used is None else waste.percent(used)

    return {
        "width": waste.width,
        "used": waste.used,
        "net": waste.net,
        "percent": percent(waste.used),
        "percent_at_bound": percent(waste.bound),
        "percent_at_first_fit": percent(waste.first_fit),
    }


def _purchase(purchase: Purchase) -> dict[str, Any]:
    return {
        "width": purchase.width,
        "cost": purchase.cost,
        "bound": purchase.bound,
        "gap_percent": gap_percent(purchase),
        "bound_anywhere": purchase.anywhere,
        "first_fit": purchase.first_fit,
        "priced": purchase.priced,
        "proved": purchase.proved,
        "method": purchase.method,
        "note": purchase.note,
    }


def _sawing(one: Sawing) -> dict[str, Any]:
    return {
        "method": one.method,
        "types": one.types,
        "fewest_types": one.fewest,
        "gauges": one.gauges,
        "saw_settings": one.settings,
        "halves": one.halves,
        "sawn_on_both_faces": one.both_faces,
        "minutes": one.minutes,
    }


def _sheets_of(kind: Type, sheets: Mapping[str, Sequence[str]] | None) -> Sequence[str]:
    return [kind.name] if sheets is None else sheets.get(kind.name, ())


def report_text(values: dict[str, Any]) -> str:
    """A report as JSON text, a line an entry of each list; rounded, figures that are not numbers are null."""
    return json_lines(_finite(values))


def json_lines(values: dict[str, Any]) -> str:
    """Values as JSON text, a line an entry of each list; every figure must be a number."""
    return "{\n" + ",\n".join(f"{_json(key)}: {_lines(value)}" for key, value in values.items()) + "\n}\n"


def _lines(value: Any) -> str:
    if isinstance(value, list) and value and isinstance(value[0], dict):
        return "[\n" + ",\n".join(f" {_json(item)}" for item in value) + "\n]"
    if isinstance(value, dict):
        return "{\n" + ",\n".join(f" {_json(key)}: {_lines(item)}" for key, item in value.items()) + "\n}"
    return _json(value)


def _json(value: Any) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _finite(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, DIGITS) + 0.0 if math.isfinite(value) else None
    if isinstance(value, dict):
        # a place is told in full, so that a placed type is the frame's piece to the last digit
        return {key: item if key in ("place", "origin") else _finite(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_finite(item) for item in value]
    return value


def _piece(frame: Frame, piece: Piece) -> dict[str, Any]:
    return {
        "mark": piece.mark,
        "run": frame.letters[piece.run],
        "walls": list(piece.walls),
        "type": frame.types[piece.type].name,
        "length": piece.length,
        "width": piece.laid.width,
        "depth": piece.laid.depth,
        "order": piece.order,
        "volume": piece.laid.volume,
        "mass": piece.mass,
        "place": {
            "x": piece.place.x,
            "y": piece.place.y,
            "z": piece.place.z,
            "angle_deg": piece.place.angle,
            "turned_over": piece.place.turned_over,
        },
        "laps": [_half(frame, half) for half in piece.halves],
    }


def _half(frame: Frame, half: Half) -> dict[str, Any]:
    return {
        "joint": frame.joints[half.joint].id,
        "kind": half.kind,
        "half": "under" if half.under else "over",
        "mate": frame.pieces[half.mate].mark,
        "from": list(half.low),
        "to": list(half.high),
    }


def _joints(frame: Frame, proof: Proof | None) -> list[dict[str, Any]]:
    found = []
    for index, joint in enumerate(frame.joints):
        entry: dict[str, Any] = {
            "id": joint.id,
            "kind": joint.lap.kind,
            "pieces": [frame.pieces[joint.under].mark, frame.pieces[joint.over].mark],
            "angle_deg": joint.lap.angle,
            "at": list(joint.at),
        }
        if proof is not None:
            exact, mesh = proof.exact.laps[index], proof.mesh.laps[index]
            entry |= _figures(exact) | {"passed": proof.lap_passed(index), "failed": list(exact.failures)}
            entry["stl"] = _figures(mesh) | {"passed": mesh.passed, "failed": list(mesh.failures)}
        found.append(entry)
    return found


def _figures(lap: LapFigures) -> dict[str, Any]:
    return {
        "seat": lap.seat,
        "seat_expected": lap.seat_expected,
        "clash": lap.clash,
        "fill": lap.fill,
        "gap": lap.gap,
        "gap_expected": lap.gap_expected,
        "limits": {"volume": lap.volume_limit, "fill": lap.fill_limit, "seat": lap.seat_limit},
    }


def _proof(proof: Proof) -> dict[str, Any]:
    return {
        "kernels": [proof.exact.kernel, proof.mesh.kernel],
        "pairs_tested": proof.pairs_tested,
        "lowering": proof.lowering,
        "checks": [_check(check) for check in proof.checks],
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "name": check.name,
        "passed": check.passed,
        "figure": check.figure,
        "limit": check.limit,
        "limit_is": "least" if check.least else "most",
    }
