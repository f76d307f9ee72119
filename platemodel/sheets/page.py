"""The one drawing model: a page is a recorded list of marks on paper.

Everything drawn is recorded as lines, filled and hatched areas, arrows and texts, in mm from the
paper's top left corner with y down, and then played by a thin writer. Nothing above the writers knows
SVG, PDF or any other form.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Literal

from platemodel.sheets.lettering import shown

XY = tuple[float, float]
Colour = tuple[float, float, float]
Anchor = Literal["start", "middle", "end"]

BLACK: Colour = (0.0, 0.0, 0.0)
WHITE: Colour = (1.0, 1.0, 1.0)


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
CHAIN = Pen(0.25, (6.0, 1.0, 0.6, 1.0))
"""Long dashes and dots: lines that are measured along but not there."""
CHAIN_THIN = Pen(0.18, (6.0, 1.0, 0.6, 1.0))
DOTTED = Pen(0.18, (0.6, 0.9))
"""Rules to write on."""


@dataclass(frozen=True)
class Line:
    """An open or closed line through points; ``of`` is the mark of the piece it shows, if one."""

    points: tuple[XY, ...]
    pen: Pen
    closed: bool = False
    of: str = ""


@dataclass(frozen=True)
class Lines:
    """Several open lines of one pen."""

    lines: tuple[tuple[XY, ...], ...]
    pen: Pen
    of: str = ""


@dataclass(frozen=True)
class Area:
    """A filled area: its outline, its colour."""

    outline: tuple[XY, ...]
    colour: Colour
    of: str = ""


@dataclass(frozen=True)
class Hatch:
    """A convex area hatched with lines ``spacing`` mm apart at 45 degrees."""

    outline: tuple[XY, ...]
    spacing: float
    pen: Pen
    of: str = ""

    @property
    def lines(self) -> list[tuple[XY, XY]]:
        """The lines of the hatching, leaning the way that the outline's longest slanting edge does not."""
        edges = list(zip(self.outline, (*self.outline[1:], self.outline[0]), strict=True))
        lean = max(((bx - ax) * (by - ay) for (ax, ay), (bx, by) in edges), key=abs)
        # lines x + y = k rise to the right on paper, lines x - y = k fall
        sign = -1.0 if lean < -1e-6 else 1.0
        keys = [x + sign * y for x, y in self.outline]
        step = self.spacing * 2**0.5
        k = (min(keys) // step + 1) * step
        found = []
        while k < max(keys) - 1e-9:
            hits: list[XY] = []
            for (ax, ay), (bx, by) in edges:
                one, other = ax + sign * ay - k, bx + sign * by - k
                if (one <= 0 < other) or (other <= 0 < one):
                    part = one / (one - other)
                    hits.append((ax + part * (bx - ax), ay + part * (by - ay)))
            found += list(zip(hits[::2], hits[1::2], strict=False))
            k += step
        return found


@dataclass(frozen=True)
class Arrow:
    """A line with a solid head of 20 degrees at its end, ``size`` mm long (ISO 128, ISO 129)."""

    tail: XY
    head: XY
    pen: Pen
    size: float = 2.5
    of: str = ""

    @property
    def tip(self) -> tuple[XY, XY, XY]:
        """The corners of the solid head."""
        (ax, ay), (bx, by) = self.tail, self.head
        length = math.hypot(bx - ax, by - ay) or 1.0
        ux, uy = (bx - ax) / length, (by - ay) / length
        half = self.size * math.tan(math.radians(10.0))
        x, y = bx - self.size * ux, by - self.size * uy
        return self.head, (x - half * uy, y + half * ux), (x + half * uy, y - half * ux)

    @property
    def shaft(self) -> tuple[XY, XY]:
        """The line, as far as the head's back."""
        (_, (ax, ay), (bx, by)) = self.tip
        return self.tail, ((ax + bx) / 2, (ay + by) / 2)


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
    of: str = ""


Mark = Line | Lines | Area | Hatch | Arrow | Text


@dataclass(eq=False)
class Page:
    """A page of a paper size, with its marks in drawing order, and a title for its reader."""

    width: float
    height: float
    title: str
    marks: list[Mark] = field(default_factory=list)
    _of: str = field(default="", repr=False)

    def _repr_svg_(self) -> str:
        """The page, for a notebook."""
        from platemodel.sheets.svg import svg

        return svg(self)

    @contextmanager
    def about(self, mark: str) -> Iterator[None]:
        """What is drawn meanwhile shows a piece, told by its mark."""
        before, self._of = self._of, mark
        try:
            yield
        finally:
            self._of = before

    def line(self, points: Iterable[XY], pen: Pen = NARROW, closed: bool = False) -> None:
        """Draw a line through points."""
        self.marks.append(Line(tuple(points), pen, closed, self._of))

    def lines(self, lines: Iterable[Iterable[XY]], pen: Pen = NARROW) -> None:
        """Draw several lines."""
        self.marks.append(Lines(tuple(tuple(line) for line in lines), pen, self._of))

    def box(self, x: float, y: float, width: float, height: float, pen: Pen = NARROW) -> None:
        """Draw a rectangle from its top left corner."""
        self.line([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], pen, closed=True)

    def area(self, outline: Iterable[XY], colour: Colour) -> None:
        """Fill an area."""
        self.marks.append(Area(tuple(outline), colour, self._of))

    def hatch(self, outline: Iterable[XY], spacing: float = 1.6, pen: Pen = THIN) -> None:
        """Hatch a convex area."""
        self.marks.append(Hatch(tuple(outline), spacing, pen, self._of))

    def arrow(self, tail: XY, head: XY, pen: Pen = NARROW, size: float = 2.5) -> None:
        """Draw an arrow."""
        self.marks.append(Arrow(tail, head, pen, size, self._of))

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
        """Write a line of text; a letter that the font lacks is a visible box."""
        if text:
            self.marks.append(Text((x, y), shown(text), height, anchor, bold, turn, colour, self._of))
