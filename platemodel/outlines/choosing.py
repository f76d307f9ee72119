"""Which of a file's lines are wanted, and what its unit is: chosen by the user, told by the file, or asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.faults import counted, nearest
from platemodel.outlines.values import Drawn, Foreign, extent
from platemodel.plan.values import Point

Box = tuple[float, float, float, float]
"""Least x and y, greatest x and y."""

UNITS = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
"""One of each unit in mm."""

DEGREES_ACROSS = 0.05
"""An outline is less than so many degrees long; drawn in any unit of length, more."""

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


def shown(lines: Sequence[Drawn], named: Sequence[str]) -> tuple[tuple[Drawn, ...], list[str]]:
    """Lines that the drawing shows, or whose hidden layers are ``named``; and words about the others."""
    hidden: dict[str, int] = {}
    kept = []
    for line in lines:
        if line.hidden is None or line.hidden in named:
            kept.append(line)
        else:
            hidden[line.hidden] = hidden.get(line.hidden, 0) + 1
    words = (
        f"{counted(count, 'line')} that layer '{name}' hides: it is off or frozen" for name, count in hidden.items()
    )
    return tuple(kept), [f"{said} (--layer takes a layer all the same)" for said in words]


def around(lines: tuple[Drawn, ...], at: Point) -> tuple[Drawn, ...]:
    """The lines that reach into the box of the largest closed one round a place; all where none is closed round it."""
    from shapely import Point as At
    from shapely import Polygon

    def holds(box: Box) -> bool:
        return box[0] <= at[0] <= box[2] and box[1] <= at[1] <= box[3]

    boxes = [extent((line,)) for line in lines]
    near = [line for line, box in zip(lines, boxes, strict=True) if line.closed and len(line.points) > 2 and holds(box)]
    shapes = [Polygon(line.points) for line in near]
    rings = [shape for shape in shapes if shape.is_valid and shape.covers(At(at))]
    if not rings:
        return lines
    west, south, east, north = max(rings, key=lambda ring: ring.area).bounds
    return tuple(
        line
        for line, box in zip(lines, boxes, strict=True)
        if box[0] <= east and west <= box[2] and box[1] <= north and south <= box[3]
    )


def layer_question(found: Foreign) -> Question | None:
    """Ask for a layer where lines lie on several."""
    known = {name: lines for name, lines in layers(found).items() if not all(line.hidden for line in lines)}
    if len(known) < 2:
        return None
    said = []
    for name, lines in known.items():
        west, south, east, north = extent(tuple(lines))
        closed = sum(line.closed for line in lines)
        words = f"{closed} closed and {len(lines) - closed} open lines, {east - west:.6g} by {north - south:.6g}"
        said.append(f"'{name}' ({words})")
    inside = "; one with centre lines of inside walls alone is for --cross"
    return Question(f"has lines on several {found.layers}s: {', '.join(said)}{inside}", tuple(known), "--layer")


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
    if not -180 <= west <= east <= 180 or not -90 <= south <= north <= 90:
        return False
    # many buildings reach far, each of them does not
    sides = [(box[2] - box[0], box[3] - box[1]) for box in (extent((line,)) for line in lines)]
    return max(max(pair) for pair in sides) < DEGREES_ACROSS
