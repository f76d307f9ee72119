"""Play pages as one PDF: true to scale, with the font's letters embedded, an outline and page labels."""

from __future__ import annotations

import functools
import io
import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Any, cast

from platemodel.sheets.lettering import FONTS, size, width
from platemodel.sheets.page import XY, Area, Arrow, Colour, Hatch, Line, Lines, Page, Pen, Text
from platemodel.sheets.svg import decimal

POINTS = 72.0 / 25.4
"""Points of a millimetre."""

REGULAR, BOLD = "sheet", "sheet-bold"


def pdf(pages: Sequence[tuple[str, Page]], title: str, author: str | None, subject: str) -> bytes:
    """Pages, each with its words in the outline, as a PDF document; the same pages give the same bytes."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    _register()
    stream = io.BytesIO()
    rl_config.useA85 = 0
    canvas = Canvas(stream, invariant=1, pageCompression=1, initialFontName=REGULAR)
    canvas.setTitle(title)
    canvas.setAuthor(author or "")
    canvas.setSubject(subject)
    canvas.setCreator("platemodel")
    canvas.setViewerPreference("DisplayDocTitle", "true")
    # a viewer that heeds it prints at 100 %, as the gauges must be
    canvas.setViewerPreference("PrintScaling", "None")
    canvas.setCatalogEntry("Lang", "en")
    canvas.showOutline()
    for number, (words, page) in enumerate(pages):
        canvas.setPageSize((page.width * POINTS, page.height * POINTS))
        canvas.addPageLabel(number, "ARABIC", start=number + 1)
        canvas.bookmarkPage(f"page{number}")
        canvas.addOutlineEntry(words, f"page{number}", level=0)
        # millimetres from the top left corner, y down, as the marks are
        canvas.transform(POINTS, 0.0, 0.0, -POINTS, 0.0, page.height * POINTS)
        canvas.setLineJoin(1)
        _Player(canvas).play(page)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def prepare() -> None:
    """Read the fonts now, so that :func:`pdf` need not."""
    _register()


@functools.cache
def _register() -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for name, file in ((REGULAR, "regular.ttf"), (BOLD, "bold.ttf")):
        pdfmetrics.registerFont(TTFont(name, str(FONTS / file)))


class _Player:
    """A canvas whose unit is the millimetre; what is set on it is set once, not for every mark.

    Lines and areas are written as operators (PDF 32000-1, 8.5), ten times as fast as by the canvas.
    """

    def __init__(self, canvas: Any) -> None:
        self.canvas = canvas
        self.pen: Pen | None = None
        self.fill: Colour | None = None
        self.written: list[str] = []

    def play(self, page: Page) -> None:
        """Play every mark of a page, texts that follow one another as one."""
        for kind, marks in itertools.groupby(page.marks, key=type):
            if kind is Text:
                self._flush()
                self._texts(cast("Iterator[Text]", marks))
                continue
            for mark in marks:
                if isinstance(mark, Line):
                    self._lines([mark.points], mark.pen, mark.closed)
                elif isinstance(mark, Area):
                    self._area(mark.outline, mark.colour)
                elif isinstance(mark, Hatch | Lines):
                    self._lines(mark.lines, mark.pen)
                elif isinstance(mark, Arrow):
                    self._lines([mark.shaft], mark.pen)
                    self._area(mark.tip, mark.pen.colour)
        self._flush()

    def _flush(self) -> None:
        if self.written:
            self.canvas.addLiteral("\n".join(self.written))
            self.written = []

    def _lines(self, lines: Sequence[Sequence[XY]], pen: Pen, closed: bool = False) -> None:
        if not lines:
            return
        if pen != self.pen:
            dashes = " ".join(decimal(dash) for dash in pen.dashes)
            self.written.append(f"{decimal(pen.width)} w [{dashes}] 0 d {_colour(pen.colour)} RG")
            self.pen = pen
        self.written.append(" ".join(_path(line) for line in lines) + (" s" if closed else " S"))

    def _area(self, outline: Sequence[XY], colour: Colour) -> None:
        if colour != self.fill:
            self.written.append(f"{_colour(colour)} rg")
            self.fill = colour
        self.written.append(f"{_path(outline)} f")

    def _texts(self, marks: Iterator[Text]) -> None:
        words = self.canvas.beginText()
        font: tuple[bool, float] | None = None
        for mark in marks:
            if mark.colour != self.fill:
                words.setFillColorRGB(*mark.colour)
                self.fill = mark.colour
            if (mark.bold, mark.height) != font:
                font = mark.bold, mark.height
                words.setFont(BOLD if mark.bold else REGULAR, size(mark.height))
            length = width(mark.text, mark.height, mark.bold)
            back = {"start": 0.0, "middle": length / 2, "end": length}[mark.anchor]
            turn = math.radians(mark.turn)
            cos, sin = math.cos(turn), math.sin(turn)
            # letters stand upright again in axes whose y leads down
            words.setTextTransform(cos, -sin, -sin, -cos, mark.at[0] - back * cos, mark.at[1] + back * sin)
            words.textOut(mark.text)
        self.canvas.drawText(words)


def _path(points: Sequence[XY]) -> str:
    first, *rest = (f"{decimal(x)} {decimal(y)}" for x, y in points)
    return " ".join([f"{first} m", *(f"{point} l" for point in rest)])


def _colour(colour: Colour) -> str:
    return " ".join(decimal(part) for part in colour)
