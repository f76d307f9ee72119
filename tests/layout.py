"""What is wrong with a page as it is laid out: texts that overlap, are crossed, hidden or off the frame.

Glyph boxes are measured with the font's own advance widths; a text's height is that of its capitals and
its descenders, where it has letters with some.
"""

from __future__ import annotations

import math

from shapely import LineString, Polygon, STRtree

from platemodel.sheets.lettering import width
from platemodel.sheets.page import Area, Arrow, Hatch, Line, Page, Text

THICK = 0.5
"""Lines as wide as this or wider may not cross a text (mm)."""
DESCENT = 0.25
"""Depth of descenders, in heights of capitals."""
TOUCH = 0.05
"""Boxes that overlap by less than this only touch (mm)."""

LEFT, MARGIN = 20.0, 10.0


def quad(mark: Text, inset: float = 0.0) -> Polygon:
    """The box about a text on paper, turned as it is."""
    length = width(mark.text, mark.height, mark.bold)
    before = {"start": 0.0, "middle": length / 2, "end": length}[mark.anchor]
    low = DESCENT * mark.height if any(letter in "gjpqy,;()[]{}Q§|" for letter in mark.text) else 0.0
    turn = math.radians(mark.turn)
    cos, sin = math.cos(turn), math.sin(turn)
    corners = (
        (-before + inset, low - inset),
        (length - before - inset, low - inset),
        (length - before - inset, -mark.height + inset),
        (-before + inset, -mark.height + inset),
    )
    x, y = mark.at
    return Polygon([(x + a * cos + b * sin, y - a * sin + b * cos) for a, b in corners])


def faults(page: Page, framed: bool = True) -> list[str]:
    """Everything wrong with a page's layout, in words; ``framed``: a sheet with a frame line."""
    texts = [
        (number, mark)
        for number, mark in enumerate(page.marks)
        if isinstance(mark, Text) and mark.text.strip() and not mark.text.startswith("NOT PROVED – DO NOT")
    ]
    if not texts:
        return []
    quads = [quad(mark, TOUCH / 2) for _, mark in texts]
    tree = STRtree(quads)
    found = []
    if framed:
        room = Polygon(
            [
                (LEFT, MARGIN),
                (page.width - MARGIN, MARGIN),
                (page.width - MARGIN, page.height - MARGIN),
                (LEFT, page.height - MARGIN),
            ]
        )
        found += [
            f"off the frame: {m.text!r} at {m.at}"
            for (_, m), box in zip(texts, quads, strict=True)
            if not room.covers(box)
        ]
    for one, other in tree.query(quads, predicate="intersects").T.tolist():
        if one < other and quads[one].intersection(quads[other]).area > 1e-3:
            found.append(f"overlap: {texts[one][1].text!r} and {texts[other][1].text!r} at {texts[one][1].at}")
    for number, mark in enumerate(page.marks):
        if isinstance(mark, Area):
            shape = Polygon(mark.outline)
            for index in tree.query(shape, predicate="intersects").tolist():
                if number > texts[index][0] and shape.intersection(quads[index]).area > 1e-3:
                    found.append(f"hidden: {texts[index][1].text!r} at {texts[index][1].at}")
        elif isinstance(mark, Hatch):
            shape = Polygon(mark.outline)
            for index in tree.query(shape, predicate="intersects").tolist():
                if shape.intersection(quads[index]).area > 1e-3 and not _cleared(
                    page, number, texts[index], quads[index]
                ):
                    found.append(f"hatched: {texts[index][1].text!r} at {texts[index][1].at}")
        elif isinstance(mark, Line | Arrow) and mark.pen.width >= THICK:
            points = mark.points if isinstance(mark, Line) else (mark.tail, mark.head)
            closed = isinstance(mark, Line) and mark.closed
            line = LineString([*points, points[0]] if closed else points).buffer(mark.pen.width / 2)
            for index in tree.query(line, predicate="intersects").tolist():
                if not _cleared(page, number, texts[index], quads[index]):
                    found.append(f"crossed by a thick line: {texts[index][1].text!r} at {texts[index][1].at}")
    return found


def _cleared(page: Page, drawn: int, text: tuple[int, Text], box: Polygon) -> bool:
    """Whether an area laid over what was drawn before makes clear paper for a text."""
    number, _ = text
    return any(
        isinstance(mark, Area) and min(mark.colour) > 0.85 and Polygon(mark.outline).buffer(0.05).covers(box)
        for mark in page.marks[drawn + 1 : number]
    )
