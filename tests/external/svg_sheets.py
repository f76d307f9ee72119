"""Sheets read as SVG: lines and texts in mm, and the embedded font's height of capitals, that of its H.

OpenType tables: https://learn.microsoft.com/typography/opentype/spec; WOFF: https://www.w3.org/TR/WOFF/
(both layouts from memory).
"""

from __future__ import annotations

import base64
import functools
import math
import re
import struct
import zlib
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

SVG = "{http://www.w3.org/2000/svg}"
Point = tuple[float, float]


@dataclass(frozen=True)
class Stroke:
    points: tuple[Point, ...]
    width: float
    dashed: bool
    closed: bool
    dashes: str = ""
    hatching: bool = False

    @property
    def level(self) -> bool:
        """Whether it is one line from left to right."""
        return len(self.points) == 2 and self.points[0][1] == self.points[1][1]

    @property
    def upright(self) -> bool:
        """Whether it is one line up or down."""
        return len(self.points) == 2 and self.points[0][0] == self.points[1][0]


@dataclass(frozen=True)
class Words:
    at: Point
    text: str
    capitals: float
    bold: bool
    turn: float = 0.0
    anchor: str = "start"
    length: float = 0.0

    @property
    def middle(self) -> Point:
        """The middle of the letters: along the baseline by its anchor, up by half the capitals."""
        along = self.length * {"start": 0.5, "middle": 0.0, "end": -0.5}[self.anchor]
        cos, sin = math.cos(math.radians(self.turn)), math.sin(math.radians(self.turn))
        up = self.capitals / 2
        return self.at[0] + along * cos - up * sin, self.at[1] - along * sin - up * cos


@dataclass(frozen=True)
class Sheet:
    """A sheet: its size, its lines and its texts, all in mm."""

    width: float
    height: float
    strokes: tuple[Stroke, ...]
    words: tuple[Words, ...]

    def under(self, label: str) -> str:
        """What stands in a field of the title block: the text right below its label."""
        (place,) = [words.at for words in self.words if words.text == label and words.at[1] > self.height - 40]
        below = [w for w in self.words if abs(w.at[0] - place[0]) < 0.01 and 0 < w.at[1] - place[1] < 6]
        return below[0].text if below else ""

    def has(self, label: str) -> bool:
        return any(words.text == label for words in self.words)


def _tables(woff: bytes) -> dict[str, bytes]:
    signature, _, _, count = struct.unpack_from(">4sIIH", woff)
    assert signature == b"wOFF"
    found = {}
    for number in range(count):
        tag, offset, packed, size = struct.unpack_from(">4sIII", woff, 44 + 20 * number)
        data = woff[offset : offset + packed]
        found[tag.decode("ascii")] = data if packed == size else zlib.decompress(data)
    return found


def _glyph(cmap: bytes, letter: str) -> int:
    """The number of a letter's glyph, from a character map of format 4."""
    (count,) = struct.unpack_from(">H", cmap, 2)
    offsets = [struct.unpack_from(">HHI", cmap, 4 + 8 * number)[2] for number in range(count)]
    at = next(offset for offset in offsets if struct.unpack_from(">H", cmap, offset) == (4,))
    (double,) = struct.unpack_from(">H", cmap, at + 6)
    code = ord(letter)
    for segment in range(0, double, 2):
        (end,) = struct.unpack_from(">H", cmap, at + 14 + segment)
        if code > end:
            continue
        begin, delta, place = (struct.unpack_from(">H", cmap, at + 16 + n * double + segment)[0] for n in (1, 2, 3))
        assert begin <= code, f"no {letter} in the font"
        if place == 0:
            return int(code + delta) % 0x10000
        (found,) = struct.unpack_from(">H", cmap, at + 16 + 3 * double + segment + place + 2 * (code - begin))
        return int(found + delta) % 0x10000
    raise AssertionError(f"no {letter} in the font")


@functools.cache
def _capitals(style: str) -> dict[bool, float]:
    """Height of a capital H as a part of the font size, for regular and bold."""
    found = {}
    for weight, data in re.findall(r"font-weight:(\d+);src:url\(data:font/woff;base64,([^)]*)\)", style):
        tables = _tables(base64.b64decode(data))
        (units,) = struct.unpack_from(">H", tables["head"], 18)
        (long,) = struct.unpack_from(">h", tables["head"], 50)
        glyph = _glyph(tables["cmap"], "H")
        at = struct.unpack_from(">I", tables["loca"], 4 * glyph)[0] if long else 0
        at = at if long else 2 * struct.unpack_from(">H", tables["loca"], 2 * glyph)[0]
        _, _, low, _, high = struct.unpack_from(">5h", tables["glyf"], at)
        assert low == 0
        found[int(weight) >= 600] = high / units
    return found


def _points(text: str) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in (pair.split(",") for pair in text.split()))


@functools.cache
def read(path: Path) -> Sheet:
    """Read a sheet; what it is drawn with must be what is known here."""
    root = ElementTree.parse(path).getroot()
    width, height = (float(root.attrib[key].removesuffix("mm")) for key in ("width", "height"))
    # one unit of the drawing is one millimetre on paper
    assert root.attrib["viewBox"] == f"0 0 {width:g} {height:g}"
    assert root.attrib["width"].endswith("mm")
    capitals = _capitals(root.findtext(f"{SVG}style", ""))
    strokes, words = [], []
    for item in root.iter():
        kind = item.tag.removeprefix(SVG)
        if kind in ("polyline", "polygon") and "stroke" in item.attrib:
            dashes = item.attrib.get("stroke-dasharray", "")
            points = _points(item.attrib["points"])
            strokes.append(Stroke(points, float(item.attrib["stroke-width"]), bool(dashes), kind == "polygon", dashes))
        elif kind == "path":
            # a path is a hatching: many lines of two points each
            for begin, end in re.findall(r"M(\S+ \S+?)L(\S+ [^M]+)", item.attrib["d"]):
                pair = _points(f"{begin.replace(' ', ',')} {end.replace(' ', ',')}")
                strokes.append(Stroke(pair, float(item.attrib["stroke-width"]), False, False, hatching=True))
        elif kind == "text":
            bold = item.attrib.get("font-weight") == "700"
            size = float(item.attrib["font-size"]) * capitals[bold]
            at = float(item.attrib["x"]), float(item.attrib["y"])
            turned = re.match(r"rotate\((\S+) ", item.attrib.get("transform", ""))
            turn = -float(turned[1]) if turned else 0.0
            anchor, length = item.attrib.get("text-anchor", "start"), float(item.attrib["textLength"])
            words.append(Words(at, item.text or "", size, bold, turn, anchor, length))
        else:
            assert kind in ("svg", "title", "style", "rect", "polygon", "g"), kind
    return Sheet(width, height, tuple(strokes), tuple(words))
