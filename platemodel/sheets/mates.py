"""Mate and mate as one joint: under each lap of a piece the half that fills it, turned the same way up.

Both are drawn as they lie side by side on the trestles to be compared: the same end to the same side,
so that of two mates the one lacks what the other keeps.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from platemodel.frame.shape import Cut, Shape
from platemodel.frame.values import Frame, Type
from platemodel.sheets.breaks import break_line
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import THIN, WIDE, Page
from platemodel.sheets.zones import Zone

REACH = 6.0
"""Whole timber of a mate shown beside its lap, mm on paper."""
NAME = 5.0
"""Room below a mate for its name, mm on paper."""


@dataclass(frozen=True)
class Mate:
    """The half that fills a cut: its lap along the drawn piece (mm), on which side it goes on, whose it is.

    ``upper``: its upper half is taken away, as drawn.
    """

    low: float
    high: float
    goes_left: bool
    goes_right: bool
    upper: bool
    name: str


def mates_of(frame: Frame, kind: Type) -> list[Mate]:
    """For each cut of a type the half that fills it, of its first piece; the names are those of all its pieces."""
    found = []
    for number, cut in enumerate(kind.shape.cuts):
        names = []
        for index in kind.pieces:
            mate = frame.pieces[frame.pieces[index].halves[number].mate]
            of = f"{frame.pieces[index].mark}: " if len(kind.pieces) > 1 else ""
            names.append(f"{of}{mate.mark} ({frame.types[mate.type].name})")
        half = frame.pieces[kind.pieces[0]].halves[number]
        other = next(h for h in frame.pieces[half.mate].halves if h.joint == half.joint)
        # on the near edge, where the side view above shows its cut
        middle = (cut.low[0] + cut.high[0]) / 2
        length = sum(other.high) / 2 - sum(other.low) / 2
        left, right = _goes_on(kind.shape, cut, half.kind == "splice", other.ends)
        found.append(Mate(middle - length / 2, middle + length / 2, left, right, not cut.upper, ", ".join(names)))
    return found


def _goes_on(shape: Shape, cut: Cut, splice: bool, ends: bool) -> tuple[bool, bool]:
    """On which sides of its lap a mate is whole timber: as the piece itself, at a splice beyond its end."""
    if not ends:
        return True, True
    at_low = cut.low == shape.low
    if splice:
        return at_low, not at_low
    at_high = cut.high == shape.high
    return at_high, not at_high


def draw_mates(
    page: Page,
    shape: Shape,
    zone: Zone,
    mates: Sequence[Mate],
    along: Callable[[float], float],
    bottom: float,
    scale: float,
) -> None:
    """Draw the mates of a zone's cuts, side view, ``bottom`` being the line of their underside on paper."""
    for position, number in enumerate(zone.cuts):
        mate = mates[number]
        before = mates[zone.cuts[position - 1]].high if position else None
        after = mates[zone.cuts[position + 1]].low if position + 1 < len(zone.cuts) else None
        left, right = along(mate.low), along(mate.high)
        reach_left = REACH if before is None else min(REACH, (left - along(before)) / 2 - 0.7)
        reach_right = REACH if after is None else min(REACH, (along(after) - right) / 2 - 0.7)
        _draw(page, shape, mate, (left, right), (max(reach_left, 0.5), max(reach_right, 0.5)), bottom, scale)
        room = (right - left) + 2 * REACH + 4.0
        if before is not None or after is not None:
            room = (right - left) + 2 * min(reach_left, reach_right)
        # a name cut short could be taken for another: then the table of pieces says it
        names = (f"mate {mate.name}", mate.name, "mates: see pieces", "see pieces")
        name = next((name for name in names if width(name, 2.5, bold=True) <= room), fitted(names[-1], 2.5, room, True))
        page.text((left + right) / 2, bottom + 4.0, name, 2.5, "middle", bold=True)


def _draw(
    page: Page,
    shape: Shape,
    mate: Mate,
    lap: tuple[float, float],
    reach: tuple[float, float],
    bottom: float,
    scale: float,
) -> None:
    (left, right), top = lap, bottom - shape.depth / scale
    middle = (top + bottom) / 2
    gone, kept = ((top, middle), (middle, bottom)) if mate.upper else ((middle, bottom), (top, middle))
    page.hatch([(left, gone[0]), (right, gone[0]), (right, gone[1]), (left, gone[1])])
    page.line([(left, gone[0]), (right, gone[0]), (right, gone[1]), (left, gone[1])], THIN, closed=True)
    page.line([(left, middle), (right, middle)], WIDE)
    ends = []
    for x, goes_on, out in ((left, mate.goes_left, -reach[0]), (right, mate.goes_right, reach[1])):
        if goes_on:
            page.line([(x, gone[0]), (x, gone[1])], WIDE)
            break_line(page, x + out, top, bottom)
            ends.append(x + out)
        else:
            page.line([(x, kept[0]), (x, kept[1])], WIDE)
            ends.append(x)
    for y, whole in ((top, not mate.upper), (bottom, mate.upper)):
        if whole:
            page.line([(ends[0], y), (ends[1], y)], WIDE)
        else:
            for a, b in ((ends[0], left), (right, ends[1])):
                if b - a > 1e-6:
                    page.line([(a, y), (b, y)], WIDE)
