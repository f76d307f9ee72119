"""What the page knows of the work on the wall: the report's site part, as far as it is there."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from platemodel.frame.values import Frame
from platemodel.web.solids import laid_hash

DIGITS = 6
"""Figures are told to this many decimals of a millimetre."""

BED = (
    *("highest", "lowest", "underside", "top", "depth", "line", "by", "top_of_plate_reads", "bed", "tops"),
    *("too_thick", "too_high", "places", "mortar", "look_again"),
)
"""What is shown of a bed; its levelling book stands on the sheets."""

SECTION = """<section id="wall" class="card" aria-labelledby="wall-head" tabindex="-1">
<h2 id="wall-head">On the wall</h2>
<p class="first">Local building codes and the engineer come first. Wet mortar burns skin and eyes: gloves and goggles. \
Work at height only from a safe platform.</p>
<div id="wall-body"></div>
</section>"""


def wall_values(frame: Frame, report: Mapping[str, Any]) -> dict[str, Any] | None:
    """The site's values for the page, or None where there are none; a part that is missing is left out.

    ``hashes`` are by piece what the ticks 'marked' and 'bedded' stand for: they change with the figures. ``bedHash``
    is what readings typed on site stand for.
    """
    site = report.get("site")
    if not isinstance(site, Mapping) or not any(site.values()):
        return None
    values = {key: site[key] for key in ("survey", "setting_out", "fixing") if site.get(key)}
    if site.get("bed"):
        values["bed"] = {key: site["bed"][key] for key in BED if key in site["bed"]}
    told: dict[str, Any] = _named(_rounded(values), [wall.name for wall in frame.plan.walls])
    bed = told.get("bed", {})
    told["bedHash"] = _hash(bed)
    told["hashes"] = {
        piece.mark: {
            "marked": _hash(laid_hash(piece), list(_about(piece.mark, told.get("setting_out")))),
            "bedded": _hash(laid_hash(piece), bed.get("underside"), list(_about(piece.mark, bed.get("places")))),
        }
        for piece in frame.pieces
    }
    return told


def wall_section(values: Mapping[str, Any] | None) -> str:
    """The page's section, which its scripts fill; nothing where nothing is known."""
    return "" if values is None else SECTION


def _about(mark: str, value: Any) -> Iterator[Any]:
    """The rows that are of a piece, wherever they stand."""
    if isinstance(value, Mapping):
        pieces = value.get("pieces")
        if mark in (value.get("mark"), value.get("piece")) or (isinstance(pieces, list) and mark in pieces):
            yield value
        else:
            for item in value.values():
                yield from _about(mark, item)
    elif isinstance(value, Sequence) and not isinstance(value, str):
        for item in value:
            yield from _about(mark, item)


def _named(value: Any, names: Sequence[str]) -> Any:
    """Walls that are told by number, by name."""

    def name(wall: Any) -> Any:
        return names[wall] if isinstance(wall, int) and 0 <= wall < len(names) else wall

    if isinstance(value, Mapping):
        found = {key: _named(item, names) for key, item in value.items()}
        if "wall" in found:
            found["wall"] = name(found["wall"])
        if isinstance(found.get("walls"), list):
            found["walls"] = [name(wall) for wall in found["walls"]]
        return found
    return [_named(item, names) for item in value] if isinstance(value, list) else value


def _hash(*parts: Any) -> str:
    return hashlib.sha256(json.dumps(parts, sort_keys=True).encode()).hexdigest()[:12]


def _rounded(value: Any) -> Any:
    if isinstance(value, float):
        return round(value, DIGITS) + 0.0
    if isinstance(value, Mapping):
        return {str(key): _rounded(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(item) for item in value]
    return value
