"""Play a page as SVG: 1 unit is 1 mm, the font embedded, so that it looks the same everywhere."""

from __future__ import annotations

import base64
import functools
import itertools
import re
from collections.abc import Iterable, Sequence
from weakref import WeakKeyDictionary
from xml.sax.saxutils import escape, quoteattr

from platemodel.sheets.lettering import FONTS, size, width
from platemodel.sheets.page import XY, Area, Arrow, Colour, Hatch, Line, Lines, Mark, Page, Pen, Text

STYLE = "text{font-family:sheet,'DejaVu Sans Condensed',sans-serif;white-space:pre}"
"""The style of a sheet's texts, beside its fonts."""

WIDE = re.compile("[\u0100-\u1fff]")
"""A letter that only the wide fonts have."""


def svg(page: Page) -> str:
    """The page as an SVG document."""
    wide = any(WIDE.search(mark.text) for mark in page.marks if isinstance(mark, Text))
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{decimal(page.width)}mm" height="{decimal(page.height)}mm" '
        f'viewBox="0 0 {decimal(page.width)} {decimal(page.height)}" stroke-linejoin="round">\n'
        f"<title>{_xml(page.title)}</title>\n"
        f"<style>{faces(wide)}{STYLE}</style>\n"
        f"{_body(page)}</svg>\n"
    )


def fragment(page: Page) -> str:
    """The page as an ``svg`` element for an HTML page, which brings the fonts and :data:`STYLE`."""
    return (
        f'<svg viewBox="0 0 {decimal(page.width)} {decimal(page.height)}" stroke-linejoin="round" role="img" '
        f"aria-label={quoteattr(_plain(page.title))}>\n{_body(page)}</svg>"
    )


@functools.cache
def faces(wide: bool) -> str:
    """The fonts as style rules; ``wide``: with letters beyond those of western Europe."""
    found = ""
    for name, weight in (("regular", 400), ("bold", 700)):
        data = base64.b64encode((FONTS / f"{name}{'-wide' if wide else ''}.woff").read_bytes()).decode("ascii")
        found += (
            f"@font-face{{font-family:sheet;font-weight:{weight};src:url(data:font/woff;base64,{data}) format('woff')}}"
        )
    return found


_bodies: WeakKeyDictionary[Page, tuple[int, str]] = WeakKeyDictionary()
"""What has been written already, with how many marks it has: a file and the HTML page show the same."""


def _body(page: Page) -> str:
    known = _bodies.get(page)
    if known is None or known[0] != len(page.marks):
        known = _bodies[page] = (len(page.marks), _written(page))
    return known[1]


def _written(page: Page) -> str:
    found = [f'<rect width="{decimal(page.width)}" height="{decimal(page.height)}" fill="#fff"/>\n']
    for of, marks in itertools.groupby(page.marks, key=lambda mark: mark.of):
        drawn = [_mark(mark) for mark in marks]
        found += [f"<g data-of={quoteattr(of)}>\n", *drawn, "</g>\n"] if of else drawn
    return "".join(found)


def _mark(mark: Mark) -> str:
    if isinstance(mark, Line):
        return _line(mark)
    if isinstance(mark, Text):
        return _text(mark)
    if isinstance(mark, Area):
        return _area(mark.outline, mark.colour)
    if isinstance(mark, Hatch | Lines):
        return _path(mark.lines, mark.pen)
    return _arrow(mark)


def _line(mark: Line) -> str:
    kind = "polygon" if mark.closed else "polyline"
    return f'<{kind} points="{_points(mark.points)}" fill="none" {_stroke(mark.pen)}/>\n'


def _area(outline: tuple[XY, ...], colour: Colour) -> str:
    return f'<polygon points="{_points(outline)}" fill="{_colour(colour)}"/>\n'


def _path(lines: Iterable[Sequence[XY]], pen: Pen) -> str:
    path = "".join("M" + "L".join(f"{decimal(x)} {decimal(y)}" for x, y in line) for line in lines)
    return f'<path d="{path}" fill="none" {_stroke(pen)}/>\n' if path else ""


def _arrow(mark: Arrow) -> str:
    return _line(Line(mark.shaft, mark.pen)) + _area(mark.tip, mark.pen.colour)


def _points(points: tuple[XY, ...]) -> str:
    return " ".join(f"{decimal(x)},{decimal(y)}" for x, y in points)


def _stroke(pen: Pen) -> str:
    dashes = f' stroke-dasharray="{" ".join(decimal(dash) for dash in pen.dashes)}"' if pen.dashes else ""
    return f'stroke="{_colour(pen.colour)}" stroke-width="{decimal(pen.width)}"{dashes}'


def _text(mark: Text) -> str:
    x, y = mark.at
    turn = f' transform="rotate({decimal(-mark.turn)} {decimal(x)} {decimal(y)})"' if mark.turn else ""
    anchor = f' text-anchor="{mark.anchor}"' if mark.anchor != "start" else ""
    weight = ' font-weight="700"' if mark.bold else ""
    fill = f' fill="{_colour(mark.colour)}"' if mark.colour != (0.0, 0.0, 0.0) else ""
    length = decimal(width(mark.text, mark.height, mark.bold))
    return (
        f'<text x="{decimal(x)}" y="{decimal(y)}" font-size="{decimal(size(mark.height))}"{anchor}{weight}{fill}{turn} '
        f'textLength="{length}" lengthAdjust="spacingAndGlyphs">{_xml(mark.text)}</text>\n'
    )


@functools.cache
def _colour(colour: Colour) -> str:
    return "#" + "".join(f"{round(part * 255):02x}" for part in colour)


@functools.lru_cache(maxsize=50_000)
def decimal(value: float) -> str:
    """A number to a thousandth of a millimetre, without trailing zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _plain(text: str) -> str:
    return "".join(letter if letter.isprintable() else " " for letter in text)


def _xml(text: str) -> str:
    return escape(_plain(text))
