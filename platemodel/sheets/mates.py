"""Mate and mate as one joint: under each lap of a piece the half that fills it, turned the same way up.

Both are drawn as they lie side by side on the trestles to be compared: the same end to the same side,
so that of two mates the one lacks what the other keeps. Where the pieces of a type have mates of different
form at one cut, each form is drawn for the pieces that it belongs to, or none is.
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
BELOW = NAME + 1.5
"""From a mate to another form of it below, mm on paper."""
APART = 5.0
"""Between mates that stand beside one another, mm on paper."""
MOST_FORMS = 2
"""No more forms of a mate than this are drawn."""


@dataclass(frozen=True)
class Form:
    """A half that fills a cut: its lap along the drawn piece (mm), and on which sides it goes on.

    ``marks`` are the pieces whose mates have it; ``names`` those mates, with the pieces' own marks where the type
    has several.
    """

    low: float
    high: float
    goes_left: bool
    goes_right: bool
    marks: tuple[str, ...]
    names: tuple[str, ...]


@dataclass(frozen=True)
class Mate:
    """What fills a cut, in all its forms; ``upper``: its upper half is taken away, as drawn."""

    upper: bool
    forms: tuple[Form, ...]

    @property
    def low(self) -> float:
        """Where the lap begins, mm."""
        return min(form.low for form in self.forms)

    @property
    def high(self) -> float:
        """Where the lap ends, mm."""
        return max(form.high for form in self.forms)


def mates_of(frame: Frame, kind: Type) -> list[Mate]:
    """For each cut of a type the halves that fill it, those alike in one."""
    found = []
    for number, cut in enumerate(kind.shape.cuts):
        forms: dict[tuple[float, bool, bool], list[tuple[str, str]]] = {}
        for index in kind.pieces:
            half = frame.pieces[index].halves[number]
            mate = frame.pieces[half.mate]
            other = next(h for h in mate.halves if h.joint == half.joint)
            length = sum(other.high) / 2 - sum(other.low) / 2
            key = (round(length, 3), *_goes_on(kind.shape, cut, half.kind == "splice", other.ends))
            forms.setdefault(key, []).append((frame.pieces[index].mark, f"{mate.mark} ({frame.types[mate.type].name})"))
        # on the near edge, where the side view above shows its cut
        middle = (cut.low[0] + cut.high[0]) / 2
        several = len(kind.pieces) > 1
        found.append(
            Mate(
                not cut.upper,
                tuple(
                    Form(
                        middle - length / 2,
                        middle + length / 2,
                        left,
                        right,
                        tuple(mark for mark, _ in of),
                        tuple(f"{mark}: {name}" if several else name for mark, name in of),
                    )
                    for (length, left, right), of in forms.items()
                ),
            )
        )
    return found


def most_forms(mates: Sequence[Mate]) -> int:
    """In how many forms a cut's mates are to be drawn at most."""
    return max((len(mate.forms) for mate in mates if len(mate.forms) <= MOST_FORMS), default=1)


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
    lines: int,
) -> None:
    """Draw the mates of a zone's cuts, side view, ``bottom`` being the line of their underside on paper.

    Other forms of one mate are drawn below it where there are ``lines`` enough.
    """
    for position, number in enumerate(zone.cuts):
        mate = mates[number]
        before = mates[zone.cuts[position - 1]].high if position else None
        after = mates[zone.cuts[position + 1]].low if position + 1 < len(zone.cuts) else None
        left, right = along(mate.low), along(mate.high)
        reach_left = REACH if before is None else min(REACH, (left - along(before)) / 2 - 0.7)
        reach_right = REACH if after is None else min(REACH, (along(after) - right) / 2 - 0.7)
        room = (right - left) + 2 * REACH + 4.0
        if before is not None or after is not None:
            room = (right - left) + 2 * min(reach_left, reach_right)
        reach = max(reach_left, 0.5), max(reach_right, 0.5)
        _forms(page, shape, mate, along, reach, bottom, scale, room, lines)


def _forms(
    page: Page,
    shape: Shape,
    mate: Mate,
    along: Callable[[float], float],
    reach: tuple[float, float],
    bottom: float,
    scale: float,
    room: float,
    lines: int,
) -> None:
    """A mate's forms one below the other, each with its name; words alone where there is no room for each."""
    x = (along(mate.low) + along(mate.high)) / 2
    names = [_name(form, len(mate.forms) > 1, room) for form in mate.forms]
    if len(names) > lines or not all(names):
        wide = max(width(words, 2.5, bold=True) for words in DIFFER)
        for number, words in enumerate(DIFFER if wide <= room else DIFFER[1:]):
            y = bottom - shape.depth / scale / 2 + number * 4.0
            page.text(x, y, fitted(words, 2.5, room, bold=True), 2.5, "middle", bold=True)
        return
    for form, name in zip(mate.forms, names, strict=True):
        _draw(page, shape, mate.upper, form, (along(form.low), along(form.high)), reach, bottom, scale)
        page.text(x, bottom + 4.0, name, 2.5, "middle", bold=True)
        bottom += shape.depth / scale + BELOW


DIFFER = ("mates differ:", "see pieces")


def _name(form: Form, several: bool, room: float) -> str:
    """A mate's name as long as there is room; of one of several forms at least whose it is, or nothing."""
    full = ", ".join(form.names)
    if several:
        names = [full, f"for {', '.join(form.marks)}"]
    else:
        # a name cut short could be taken for another: then the table of pieces says it
        names = [f"mate {full}", full, "mates: see pieces", "see pieces"]
    fits = next((name for name in names if width(name, 2.5, bold=True) <= room), "")
    return fits or ("" if several else fitted(names[-1], 2.5, room, True))


def mates_width(mates: Sequence[Mate], scale: float) -> float:
    """The width of all mates beside one another, mm on paper."""
    return sum(_beside_width(mate, scale) for mate in mates) + APART * (len(mates) - 1)


def _beside_width(mate: Mate, scale: float) -> float:
    return (mate.high - mate.low) / scale + 2 * REACH + 4.0


def draw_mates_beside(
    page: Page, shape: Shape, mates: Sequence[Mate], left: float, bottom: float, scale: float, lines: int
) -> None:
    """Draw all mates of a piece beside one another, from a place on, each under the number of its cut."""
    for number, mate in enumerate(mates, start=1):
        wide = _beside_width(mate, scale)

        def along(s: float, left: float = left, mate: Mate = mate) -> float:
            return left + REACH + 2.0 + (s - mate.low) / scale

        _forms(page, shape, mate, along, (REACH, REACH), bottom, scale, wide, lines)
        y = bottom - shape.depth / scale - 2.2
        page.text(left + wide / 2, y, f"mate at cut {number}", 1.8, "middle")
        left += wide + APART


def _draw(
    page: Page,
    shape: Shape,
    upper: bool,
    form: Form,
    lap: tuple[float, float],
    reach: tuple[float, float],
    bottom: float,
    scale: float,
) -> None:
    (left, right), top = lap, bottom - shape.depth / scale
    middle = (top + bottom) / 2
    gone, kept = ((top, middle), (middle, bottom)) if upper else ((middle, bottom), (top, middle))
    page.hatch([(left, gone[0]), (right, gone[0]), (right, gone[1]), (left, gone[1])])
    page.line([(left, gone[0]), (right, gone[0]), (right, gone[1]), (left, gone[1])], THIN, closed=True)
    page.line([(left, middle), (right, middle)], WIDE)
    ends = []
    for x, goes_on, out in ((left, form.goes_left, -reach[0]), (right, form.goes_right, reach[1])):
        if goes_on:
            page.line([(x, gone[0]), (x, gone[1])], WIDE)
            break_line(page, x + out, top, bottom)
            ends.append(x + out)
        else:
            page.line([(x, kept[0]), (x, kept[1])], WIDE)
            ends.append(x)
    for y, whole in ((top, not upper), (bottom, upper)):
        if whole:
            page.line([(ends[0], y), (ends[1], y)], WIDE)
        else:
            for a, b in ((ends[0], left), (right, ends[1])):
                if b - a > 1e-6:
                    page.line([(a, y), (b, y)], WIDE)
