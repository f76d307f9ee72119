"""Lettering: the font's widths, so that a text's place on paper is known before it is drawn.

Heights are heights of capitals, in steps of ISO 3098. The font stands in fonts/ with its licence.
"""

from __future__ import annotations

import functools
import json
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


@functools.lru_cache(maxsize=20_000)
def width(text: str, height: float, bold: bool = False) -> float:
    """The length of a text on paper, mm."""
    table = _widths()["bold" if bold else "regular"]
    return size(height) * sum(table.get(letter, 0.9) for letter in text)


def fitted(text: str, height: float, room: float, bold: bool = False) -> str:
    """A text, cut short with an ellipsis where it is longer than its room."""
    if width(text, height, bold) <= room:
        return text
    table = _widths()["bold" if bold else "regular"]
    left = room / size(height) - table["…"]
    kept = 0
    while kept < len(text) and (left := left - table.get(text[kept], 0.9)) >= 0:
        kept += 1
    return text[:kept].rstrip() + "…"


def wrapped(text: str, height: float, room: float, bold: bool = False) -> list[str]:
    """A text broken into lines no longer than their room."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        longer = f"{line} {word}" if line else word
        if line and width(longer, height, bold) > room:
            lines.append(line)
            line = word
        else:
            line = longer
    return [*lines, line] if line else lines
