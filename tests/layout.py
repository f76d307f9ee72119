"""What is wrong with a page as it is laid out: texts that overlap, are crossed, hidden or off the frame.

Glyph boxes are measured with the font's own advance widths; a text's height is that of its capitals and
its descenders, where it has letters with some.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
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


def quads(marks: Sequence[Text], inset: float = 0.0) -> list[Polygon]:
    """The boxes about texts on paper, each turned as its text is; made at once, which is much faster."""
    return list(shapely.polygons([_corners(mark, inset) for mark in marks]))


def _corners(mark: Text, inset: float) -> list[tuple[float, float]]:
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
    return [(x + a * cos + b * sin, y - a * sin + b * cos) for a, b in corners]


def faults(page: Page, framed: bool = True) -> list[str]:
    """Everything wrong with a page's layout, in words; ``framed``: a sheet with a frame line."""
    texts = [
        (number, mark)
        for number, mark in enumerate(page.marks)
        if isinstance(mark, Text) and mark.text.strip() and not mark.text.startswith("NOT PROVED – DO NOT")
    ]
    if not texts:
        return []
    boxes = quads([mark for _, mark in texts], TOUCH / 2)
    tree = STRtree(boxes)
    found = []
    if framed:
        room = shapely.box(LEFT, MARGIN, page.width - MARGIN, page.height - MARGIN)
        within = shapely.covers(room, boxes).tolist()
        found += [
            f"off the frame: {m.text!r} at {m.at}" for (_, m), good in zip(texts, within, strict=True) if not good
        ]
    for one, other in tree.query(boxes, predicate="intersects").T.tolist():
        if one < other and boxes[one].intersection(boxes[other]).area > 1e-3:
            found.append(f"overlap: {texts[one][1].text!r} and {texts[other][1].text!r} at {texts[one][1].at}")
    marks = [(number, mark, shape) for number, mark in enumerate(page.marks) if (shape := _shape(mark)) is not None]
    for at, index in tree.query([shape for _, _, shape in marks], predicate="intersects").T.tolist():
        number, mark, shape = marks[at]
        text = texts[index]
        said = f"{text[1].text!r} at {text[1].at}"
        if isinstance(mark, Area):
            if number > text[0] and shape.intersection(boxes[index]).area > 1e-3:
                found.append(f"hidden: {said}")
        elif isinstance(mark, Hatch):
            if shape.intersection(boxes[index]).area > 1e-3 and not _cleared(page, number, text, boxes[index]):
                found.append(f"hatched: {said}")
        elif not _cleared(page, number, text, boxes[index]):
            found.append(f"crossed by a thick line: {said}")
    return found


def _shape(mark: object) -> Polygon | None:
    """What a mark covers of the paper, where it may not lie over or under a text."""
    if isinstance(mark, Area | Hatch):
        return Polygon(mark.outline)
    if isinstance(mark, Line | Arrow) and mark.pen.width >= THICK:
        points = mark.points if isinstance(mark, Line) else (mark.tail, mark.head)
        closed = isinstance(mark, Line) and mark.closed
        return LineString([*points, points[0]] if closed else points).buffer(mark.pen.width / 2)
    return None


def _cleared(page: Page, drawn: int, text: tuple[int, Text], box: Polygon) -> bool:
    """Whether an area laid over what was drawn before makes clear paper for a text."""
    number, _ = text
    return any(
        isinstance(mark, Area) and min(mark.colour) > 0.85 and Polygon(mark.outline).buffer(0.05).covers(box)
        for mark in page.marks[drawn + 1 : number]
    )
