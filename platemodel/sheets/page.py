"""The one drawing model: a page is a recorded list of marks on paper.

Everything drawn is recorded as lines, filled areas and texts, in mm from the paper's top left corner
with y down, and then played by a thin writer. Nothing above the writers knows SVG or any other form.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Literal

XY = tuple[float, float]
Colour = tuple[float, float, float]
Anchor = Literal["start", "middle", "end"]

BLACK: Colour = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Pen:
    """A line's width in mm, its dashes in mm (none: continuous) and its colour."""

    width: float
    dashes: tuple[float, ...] = ()
    colour: Colour = BLACK


# ISO 128-2: line group 0.5 with a narrow line of half, an extra wide one of twice the width
EXTRA = Pen(0.7)
WIDE = Pen(0.5)
NARROW = Pen(0.25)
THIN = Pen(0.18)
HIDDEN = Pen(0.25, (3.0, 1.0))


@dataclass(frozen=True)
class Line:
    """An open or closed line through points."""

    points: tuple[XY, ...]
    pen: Pen
    closed: bool = False


@dataclass(frozen=True)
class Area:
    """A filled area: its outline, its colour."""

    outline: tuple[XY, ...]
    colour: Colour


@dataclass(frozen=True)
class Text:
    """A line of text: where its baseline begins (or its middle or end lies), capital height in mm.

    ``turn`` is degrees anticlockwise on paper about that point.
    """

    at: XY
    text: str
    height: float
    anchor: Anchor = "start"
    bold: bool = False
    turn: float = 0.0
    colour: Colour = BLACK


Mark = Line | Area | Text


@dataclass
class Page:
    """A page of a sheet size, with its marks in drawing order, and a title for its reader."""

    width: float
    height: float
    title: str
    marks: list[Mark] = field(default_factory=list)

    def line(self, points: Iterable[XY], pen: Pen = NARROW, closed: bool = False) -> None:
        """Draw a line through points."""
        self.marks.append(Line(tuple(points), pen, closed))

    def box(self, x: float, y: float, width: float, height: float, pen: Pen = NARROW) -> None:
        """Draw a rectangle from its top left corner."""
        self.line([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], pen, closed=True)

    def area(self, outline: Iterable[XY], colour: Colour) -> None:
        """Fill an area."""
        self.marks.append(Area(tuple(outline), colour))

    def text(
        self,
        x: float,
        y: float,
        text: str,
        height: float = 2.5,
        anchor: Anchor = "start",
        bold: bool = False,
        turn: float = 0.0,
        colour: Colour = BLACK,
    ) -> None:
        """Write a line of text."""
        if text:
            self.marks.append(Text((x, y), text, height, anchor, bold, turn, colour))

    def hatch(self, outline: Sequence[XY], spacing: float = 1.6, pen: Pen = THIN) -> None:
        """Hatch a convex area with lines at 45 degrees, the way that its longest slanting edge does not lean."""
        edges = list(zip(outline, [*outline[1:], outline[0]], strict=True))
        lean = max(((bx - ax) * (by - ay) for (ax, ay), (bx, by) in edges), key=abs)
        # lines x + y = k rise to the right on paper, lines x - y = k fall
        sign = -1.0 if lean < -1e-6 else 1.0
        keys = [x + sign * y for x, y in outline]
        step = spacing * 2**0.5
        k = (min(keys) // step + 1) * step
        while k < max(keys) - 1e-9:
            hits: list[XY] = []
            for (ax, ay), (bx, by) in edges:
                one, other = ax + sign * ay - k, bx + sign * by - k
                if (one <= 0 < other) or (other <= 0 < one):
                    part = one / (one - other)
                    hits.append((ax + part * (bx - ax), ay + part * (by - ay)))
            for start, end in zip(hits[::2], hits[1::2], strict=False):
                self.line([start, end], pen)
            k += step
