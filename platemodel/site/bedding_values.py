"""The bed of a frame for report.json."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from platemodel.site.bedding import JOINT, Bedding
from platemodel.site.booking import Book, written
from platemodel.site.mortar import Mortar


def bedding_values(result: Bedding) -> dict[str, Any]:
    """A bed for report.json: mm but for the book, which is in metres; litres and kg for the mortar."""
    book = result.book
    values: dict[str, Any] = {
        "highest": asdict(result.highest),
        "lowest": asdict(result.lowest),
        "underside": result.underside,
        "top": result.top,
        "depth": result.depth,
        "line": result.line,
        "by": "laser" if result.laser else "staff",
        "top_of_plate_reads": result.must,
        "bed": {
            "least": result.least,
            "most": result.most,
            "least_wished": result.wished[0],
            "most_wished": result.wished[1],
            "joint_en_1996_1_1_8_1_5": list(JOINT),
        },
        "tops": [{"wall": wall, "at_level": [list(pair) for pair in pairs]} for wall, pairs in result.walls],
        "too_thick": [asdict(it) for it in result.thick],
        "too_high": [asdict(it) for it in result.high],
        "places": [asdict(it) | {"what": list(it.what)} for it in result.places],
        "mortar": _mortar_values(result.mortar),
        "look_again": list(result.odd),
        "book": None if book is None else _book_values(book),
    }
    return values


def _mortar_values(found: Mortar) -> dict[str, Any]:
    return {
        "bed_litres": found.bed,
        "litres": found.litres,
        "class": found.kind,
        "cement_kg": found.total.cement_kg,
        "bags": found.bags,
        "sand_litres": found.total.sand * 1000.0,
        "sand_kg": found.total.sand_kg,
        "batch": {"litres": found.batch, "cement_kg": found.each.cement_kg, "sand_litres": found.each.sand * 1000.0},
        "cement_kg_by_rule": dict(found.rules),
        "batches": [{**asdict(it), "spans": [asdict(span) for span in it.spans]} for it in found.batches],
        "advice": list(found.advice),
    }


def _book_values(book: Book) -> dict[str, Any]:
    """A book in metres, its figures written out as they are printed."""

    def said(value: Any) -> str | None:
        return None if value is None else written(value, book.places)

    names = ("rise", "fall", "collimation", "level")
    return {
        "stations": [
            {
                "station": it.station,
                **{name: said(getattr(it, name)) for name in names},
                "adjusted": written(it.adjusted, book.places + (book.misclosure is not None)),
            }
            for it in book.stations
        ],
        "backsights": said(book.backsights),
        "foresights": said(book.foresights),
        "rises": said(book.rises),
        "falls": said(book.falls),
        "checks": book.checks,
        "misclosure": said(book.misclosure),
        "allowed": str(book.allowed),
    }
