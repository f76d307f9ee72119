"""Lettering: the font's widths, so that a text's place on paper is known before it is drawn.

Heights are heights of capitals, in steps of ISO 3098. The font stands in fonts/ with its licence.
"""

from __future__ import annotations

import functools
import json
from collections.abc import Iterator
from pathlib import Path

FONTS = Path(__file__).with_name("fonts")
CAPITAL = 0.729
"""Height of the font's capitals, as a part of its size."""


def size(height: float) -> float:
    """The font size, mm, whose capitals have a height in mm."""
    return height / CAPITAL


@functools.cache
def _widths() -> dict[str, dict[str, float]]:
    widths: dict[str, dict[str, float]] = json.loads((FONTS / "widths.json").read_text("utf-8"))
    return widths


BOX = "□"
"""What stands for a letter that the font lacks."""


@functools.cache
def letters() -> frozenset[str]:
    """The letters that the font has."""
    return frozenset(_widths()["regular"])


def shown(text: str) -> str:
    """A text as a sheet can show it: a visible box for every letter that the font lacks.

    >>> shown("Haus 漢")
    'Haus □'
    """
    known = letters()
    return text if known.issuperset(text) else "".join(letter if letter in known else BOX for letter in text)


@functools.lru_cache(maxsize=20_000)
def width(text: str, height: float, bold: bool = False) -> float:
    """The length of a text on paper, mm."""
    table = _widths()["bold" if bold else "regular"]
    return size(height) * sum(table[letter] for letter in shown(text))


def fitted(text: str, height: float, room: float, bold: bool = False) -> str:
    """A text, cut short with an ellipsis where it is longer than its room."""
    if width(text, height, bold) <= room:
        return text
    text = shown(text)
    table = _widths()["bold" if bold else "regular"]
    left = room / size(height) - table["…"]
    kept = 0
    while kept < len(text) and (left := left - table[text[kept]]) >= 0:
        kept += 1
    return text[:kept].rstrip() + "…"


def wrapped(text: str, height: float, room: float, bold: bool = False) -> list[str]:
    """A text broken into lines no longer than their room."""
    lines: list[str] = []
    line = ""
    for word in _words(text, height, room, bold):
        longer = f"{line} {word}" if line else word
        if line and width(longer, height, bold) > room:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines


def _words(text: str, height: float, room: float, bold: bool) -> Iterator[str]:
    """The words of a text, those longer than their room broken where they must be."""
    # a no-break space holds its words together
    for word in text.split(" "):
        if not word:
            continue
        left = word
        while width(left, height, bold) > room and len(left) > 1:
            kept = len(left) - 1
            while kept > 1 and width(left[:kept], height, bold) > room:
                kept -= 1
            yield left[:kept]
            left = left[kept:]
        yield left
