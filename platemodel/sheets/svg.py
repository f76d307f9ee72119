"""Play a page as SVG: 1 unit is 1 mm, the font embedded, so that it looks the same everywhere."""

from __future__ import annotations

import base64
import functools
from xml.sax.saxutils import escape

from platemodel.sheets.lettering import FONTS, size, width
from platemodel.sheets.page import Area, Colour, Line, Mark, Page, Pen, Text


def svg(page: Page) -> str:
    """The page as an SVG document."""
    head = (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{_n(page.width)}mm" height="{_n(page.height)}mm" '
        f'viewBox="0 0 {_n(page.width)} {_n(page.height)}">\n'
        f"<title>{_xml(page.title)}</title>\n"
        f"<style>{_style()}</style>\n"
        f'<rect width="{_n(page.width)}" height="{_n(page.height)}" fill="#fff"/>\n'
    )
    return head + "".join(_mark(mark) for mark in page.marks) + "</svg>\n"


@functools.cache
def _style() -> str:
    faces = ""
    for name, weight in (("regular", 400), ("bold", 700)):
        data = base64.b64encode((FONTS / f"{name}.woff").read_bytes()).decode("ascii")
        faces += (
            f"@font-face{{font-family:sheet;font-weight:{weight};src:url(data:font/woff;base64,{data}) format('woff')}}"
        )
    return faces + "text{font-family:sheet,'DejaVu Sans Condensed',sans-serif;white-space:pre}"


def _mark(mark: Mark) -> str:
    if isinstance(mark, Line):
        points = " ".join(f"{_n(x)},{_n(y)}" for x, y in mark.points)
        kind = "polygon" if mark.closed else "polyline"
        return f'<{kind} points="{points}" fill="none" {_stroke(mark.pen)}/>\n'
    if isinstance(mark, Area):
        points = " ".join(f"{_n(x)},{_n(y)}" for x, y in mark.outline)
        return f'<polygon points="{points}" fill="{_colour(mark.colour)}"/>\n'
    return _text(mark)


def _stroke(pen: Pen) -> str:
    dashes = f' stroke-dasharray="{" ".join(_n(dash) for dash in pen.dashes)}"' if pen.dashes else ""
    return (
        f'stroke="{_colour(pen.colour)}" stroke-width="{_n(pen.width)}"{dashes} '
        'stroke-linejoin="round" stroke-linecap="butt"'
    )


def _text(mark: Text) -> str:
    x, y = mark.at
    turn = f' transform="rotate({_n(-mark.turn)} {_n(x)} {_n(y)})"' if mark.turn else ""
    anchor = f' text-anchor="{mark.anchor}"' if mark.anchor != "start" else ""
    weight = ' font-weight="700"' if mark.bold else ""
    fill = f' fill="{_colour(mark.colour)}"' if mark.colour != (0.0, 0.0, 0.0) else ""
    length = _n(width(mark.text, mark.height, mark.bold))
    return (
        f'<text x="{_n(x)}" y="{_n(y)}" font-size="{_n(size(mark.height))}"{anchor}{weight}{fill}{turn} '
        f'textLength="{length}" lengthAdjust="spacingAndGlyphs">{_xml(mark.text)}</text>\n'
    )


def _colour(colour: Colour) -> str:
    return "#" + "".join(f"{round(part * 255):02x}" for part in colour)


def _n(value: float) -> str:
    """A number to a thousandth of a millimetre, without trailing zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _xml(text: str) -> str:
    return escape("".join(letter if letter.isprintable() else " " for letter in text))
