"""The figures to set plates out by, as frozen values, and as report.json gives them.

Lengths in mm, angles in degrees.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from platemodel.frame.tape import whole
from platemodel.site.fitting import Placed
from platemodel.site.rule_set import Figure, RuleSet
from platemodel.site.triangles import Triangle

XY = tuple[float, float]


@dataclass(frozen=True)
class Limits:
    """What the rule set says of how far out a diagonal, a span between plates that carry, and a wall may be."""

    diagonal: Figure
    span: Figure
    straight: Figure

    @classmethod
    def of(cls, rules: RuleSet) -> Limits:
        """Those of a rule set."""
        return cls(rules["set_diagonal"], rules["set_span"], rules["shell_straight"])

    @property
    def source(self) -> str:
        """Where the limits of diagonals and spans are from."""
        return "; ".join(dict.fromkeys((self.diagonal.source, self.span.source)))

    @property
    def beside(self) -> tuple[str, ...]:
        """What else is asked, and what is published of it, in words."""
        return (
            f"Straight on plan: within {self.straight.figure} in any 5 m ({self.straight.source}); 10 mm in any 5 m "
            "(LABC Warranty Technical Manual V7, chapter 1)",
            "For plates out of square no published limit was found",
        )


@dataclass(frozen=True)
class Mark:
    """A mark to make on a wall.

    ``along`` is from the plate's end at its first wall's first corner along its outer edge, ``taped`` along the
    wall's outer face as built from that wall's first corner (of a cross wall, along its line from its first end: where
    that is on a wall of a shell, from there as built). ``setback`` is from the outer face to the
    plate's outer edge, ``inner`` from the plate's inner edge to the inner face, both below 0 where the plate stands
    past the face; of a cross wall they are from its two faces as designed. ``what`` says what is there, ``place`` is
    on the plate's outer edge and ``off`` beyond its inner edge as seen from there (a unit vector).
    """

    number: int
    wall: int
    along: float
    taped: float
    setback: float
    inner: float
    what: tuple[str, ...]
    place: XY
    off: XY


@dataclass(frozen=True)
class Start:
    """Of a wall: its first ``corner``, from which its marks are taped, and the ``face`` they are set off from.

    A corner is named by the wall that ends there, then the one that begins; of a cross wall it is its first end, and
    on what the tape is held there.
    """

    wall: int
    corner: str
    face: str


@dataclass(frozen=True)
class Plate:
    """The marks of one plate line; ``starts`` says for each of its walls from where its marks are taped and set off."""

    run: int
    letter: str
    walls: tuple[int, ...]
    pieces: tuple[str, ...]
    length: float
    starts: tuple[Start, ...]
    marks: tuple[Mark, ...]


@dataclass(frozen=True)
class Corner:
    """A place to hook the tape on, and the marks of the pieces that meet there."""

    at: XY
    name: str


@dataclass(frozen=True)
class Check:
    """A length to check from one corner to another."""

    one: Corner
    other: Corner

    @property
    def figure(self) -> float:
        """Its length, mm."""
        return math.dist(self.one.at, self.other.at)


@dataclass(frozen=True)
class Loop:
    """Corners round a bay (the plates' inner corners) or round a shell (their outer corners).

    ``closed``: they close; else the last side of an open shell is only taped. ``right``: four right angles.
    """

    name: str
    inner: bool
    closed: bool
    right: bool
    corners: tuple[Corner, ...]
    sides: tuple[Check, ...]
    diagonals: tuple[Check, ...]


@dataclass(frozen=True)
class Span:
    """A front-to-back dimension: two parallel plates, the clear and the overall distance at both ends, and who lands.

    ``ends`` are along the first plate from where its marks begin.
    """

    one: int
    other: int
    ends: tuple[float, float]
    clear: tuple[float, float]
    overall: tuple[float, float]
    carries: str


@dataclass(frozen=True)
class Apart:
    """How a part of the frame that is lapped to no earlier one is set out from it.

    ``gap`` is the least clear distance between their plates. ``ties`` are lengths from the ends of the earlier datum
    plate; ``offsets`` are, for each corner, how far along that plate's outer edge and how far out from it.
    """

    letters: tuple[str, ...]
    base: str
    gap: float
    ties: tuple[Check, ...]
    offsets: tuple[tuple[Corner, float, float], ...]


@dataclass(frozen=True)
class Step:
    """A step of the work, and the plates it is about."""

    words: str
    runs: tuple[int, ...] = ()


@dataclass(frozen=True)
class SettingOut:
    """All figures to set a frame out by; ``plates`` in the order of the work."""

    placed: Placed
    limits: Limits
    plates: tuple[Plate, ...]
    loops: tuple[Loop, ...]
    triangles: tuple[Triangle, ...]
    spans: tuple[Span, ...]
    aparts: tuple[Apart, ...]
    steps: tuple[Step, ...]
    words: tuple[str, ...] = ()


def setting_out_values(result: SettingOut) -> dict[str, Any]:
    """The figures for report.json: mm, rounded as the sheet gives them."""
    placed = result.placed

    def checks(items: Sequence[Check]) -> list[dict[str, Any]]:
        return [{"from": item.one.name, "to": item.other.name, "length": whole(item.figure)} for item in items]

    return {
        "placing": {
            "surveyed": bool(placed.measured),
            "about": [round(value, 3) for value in placed.about],
            "shift": [round(value, 3) for value in placed.shift],
            "turn_deg": round(placed.turn, 6),
            "greatest_error": round(placed.greatest, 2),
            "feasible": placed.feasible,
            "gives": [{"wall": item.wall, "face": item.face, "by": round(item.by, 1)} for item in placed.gives],
            "words": list(result.words),
        },
        "plates": [
            {
                "plate": plate.letter,
                "walls": list(plate.walls),
                "pieces": list(plate.pieces),
                "starts": [{"wall": it.wall, "from": it.corner, "face": it.face} for it in plate.starts],
                "marks": [
                    {
                        "mark": mark.number,
                        "wall": mark.wall,
                        "along": whole(mark.along),
                        "taped": whole(mark.taped),
                        "setback": whole(mark.setback),
                        "inner": whole(mark.inner),
                        "what": list(mark.what),
                    }
                    for mark in plate.marks
                ],
            }
            for plate in result.plates
        ],
        "loops": [
            {
                "name": loop.name,
                "closed": loop.closed,
                "rectangular": loop.right,
                "sides": checks(loop.sides),
                "diagonals": checks(loop.diagonals),
            }
            for loop in result.loops
        ],
        "triangles": [
            {
                "corner": item.corner,
                "plates": list(item.plates),
                "angle_deg": round(item.angle, 3),
                "legs": [whole(item.legs[0]), whole(item.legs[1])],
                "closing": whole(item.closing),
                "three_four_five": item.right,
            }
            for item in result.triangles
        ],
        "spans": [
            {
                "plates": [letter_of(result, item.one), letter_of(result, item.other)],
                "clear": [whole(value) for value in item.clear],
                "overall": [whole(value) for value in item.overall],
                "carries": item.carries,
            }
            for item in result.spans
        ],
        "parts": [
            {
                "plates": list(item.letters),
                "base": item.base,
                "gap": whole(item.gap),
                "ties": checks(item.ties),
                "offsets": [
                    {"corner": corner.name, "along": whole(along), "out": whole(out)}
                    for corner, along, out in item.offsets
                ],
            }
            for item in result.aparts
        ],
        "limits": {
            "diagonal": result.limits.diagonal.value,
            "span": result.limits.span.value,
            "source": result.limits.source,
        },
        "published": list(result.limits.beside),
        "order": [step.words for step in result.steps],
    }


def letter_of(result: SettingOut, run: int) -> str:
    """A plate's letter."""
    return next(plate.letter for plate in result.plates if plate.run == run)
