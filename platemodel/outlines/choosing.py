"""Which of a file's lines are wanted, and what its unit is: chosen by the user, told by the file, or asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.faults import nearest
from platemodel.outlines.values import Drawn, Foreign, extent

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""One of each unit in mm."""

DEGREES_ACROSS = 0.05
"""A building is less than so many degrees long; drawn in any unit of length, more."""

LEAST, MOST = 1_500.0, 300_000.0
"""A building's longer side is between these (mm): common practice, to find a slip of the unit."""


@dataclass(frozen=True)
class Question:
    """What must be asked before going on: why, the answers there are, and the option that answers it."""

    words: str
    answers: tuple[str, ...]
    option: str

    def text(self) -> str:
        """The question as the end of a message."""
        return f"{self.words}; expected {self.option} with one of {', '.join(self.answers)}"


def layers(found: Foreign) -> dict[str, list[Drawn]]:
    """Lines by layer, in the file's order."""
    sorted_: dict[str, list[Drawn]] = {}
    for line in found.lines:
        sorted_.setdefault(line.layer, []).append(line)
    return sorted_


def unknown_layer(found: Foreign, wanted: Sequence[str]) -> str | None:
    """What to say of the first wanted layer that is not there; None where all are."""
    known = layers(found)
    return next(
        (f"has no lines on {found.layers} '{name}'; {nearest(name, known)}" for name in wanted if name not in known),
        None,
    )


def layer_question(found: Foreign) -> Question | None:
    """Ask for a layer where lines lie on several."""
    known = layers(found)
    if len(known) == 1:
        return None
    said = []
    for name, lines in known.items():
        west, south, east, north = extent(tuple(lines))
        closed = sum(line.closed for line in lines)
        words = f"{closed} closed and {len(lines) - closed} open lines, {east - west:.6g} by {north - south:.6g}"
        said.append(f"'{name}' ({words})")
    return Question(f"has lines on several {found.layers}s: {', '.join(said)}", tuple(known), "--layer")


def unit_question(lines: tuple[Drawn, ...], told: float | None) -> Question | None:
    """Ask for the unit where the file does not tell it, or where a building would then be no building's size."""
    west, south, east, north = extent(lines)
    size = max(east - west, north - south)
    if told is not None and LEAST <= size * told <= MOST:
        return None
    likely = tuple(name for name, unit in UNITS.items() if LEAST <= size * unit <= MOST)
    named = next((name for name, unit in UNITS.items() if unit == told), None)
    says = "does not say in what unit it is" if told is None else f"says it is in {named or f'units of {told:g} mm'}"
    why = f"{says}: the outline is {east - west:.6g} by {north - south:.6g}"
    if told is not None:
        why += ", which is no building's size"
    return Question(why, likely or tuple(UNITS), "--unit")


def in_degrees(lines: tuple[Drawn, ...]) -> bool:
    """Whether lines can hardly be in anything but degrees of longitude and latitude, as GeoJSON is to be."""
    west, south, east, north = extent(lines)
    on_earth = -180 <= west <= east <= 180 and -90 <= south <= north <= 90
    return on_earth and max(east - west, north - south) < DEGREES_ACROSS
