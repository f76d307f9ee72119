"""The text of a drawing as DXF of the year 2000 (AC1015), in millimetres: outlines, lines and texts on named layers.

What every such file must hold beside its entities stands in ``empty.dxf``, as an open library of other people writes
an empty drawing; a word between two @ is filled in. Loading that library, and having it write each file, would take
longer than everything else about them.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass, field
from importlib import resources

from platemodel.plan.values import Point

FIRST_HANDLE = 0x100
"""Handles of layers and entities begin here; those of the empty drawing are lower."""

_LAYERS_TABLE, _MODEL_SPACE, _PLOT_STYLE = "1", "17", "13"
"""Handles in the empty drawing of what owns layers and entities, and of the plot style of a layer."""

MARGIN = 1.1
"""How much more than the drawing is seen when it is opened."""

Code = tuple[int, object]


@dataclass
class Drawing:
    """Layers by name with their colour numbers, and what is drawn on them, in the order it is drawn."""

    layers: dict[str, int]
    entities: list[Sequence[Code]] = field(default_factory=list)
    reached: list[Point] = field(default_factory=list)

    def outline(self, layer: str, points: Sequence[Point], closed: bool = True) -> None:
        """A line through points, back to the first where it is closed."""
        self.reached += points
        codes: list[Code] = [(100, "AcDbPolyline"), (90, len(points)), (70, int(closed))]
        for x, y in points:
            codes += [(10, x), (20, y)]
        self._add("LWPOLYLINE", layer, codes)

    def line(self, layer: str, start: Point, end: Point) -> None:
        """A straight line."""
        self.reached += [start, end]
        codes = [(10, start[0]), (20, start[1]), (30, 0.0), (11, end[0]), (21, end[1]), (31, 0.0)]
        self._add("LINE", layer, [(100, "AcDbLine"), *codes])

    def text(self, layer: str, words: str, at: Point, height: float, turn: float = 0.0) -> None:
        """A text whose line begins at a point, ``height`` mm high, turned by degrees."""
        self.reached.append(at)
        codes: list[Code] = [(100, "AcDbText"), (10, at[0]), (20, at[1]), (30, 0.0), (40, height), (1, plain(words))]
        self._add("TEXT", layer, [*codes, (50, turn), (100, "AcDbText")])

    def _add(self, kind: str, layer: str, codes: Sequence[Code]) -> None:
        if layer not in self.layers:
            raise KeyError(layer)
        self.entities.append([(0, kind), (100, "AcDbEntity"), (8, layer), *codes])

    def written(self) -> str:
        """The whole file, ASCII alone."""
        handle = FIRST_HANDLE
        layers, entities = [], []
        for name, colour in self.layers.items():
            own = [(100, "AcDbSymbolTableRecord"), (100, "AcDbLayerTableRecord"), (2, name), (70, 0), (62, colour)]
            layers.append(_placed((0, "LAYER"), handle, _LAYERS_TABLE, own))
            layers.append(_spelt([(6, "Continuous"), (370, -3), (390, _PLOT_STYLE)]))
            handle += 1
        for first, *rest in self.entities:
            entities.append(_placed(first, handle, _MODEL_SPACE, rest))
            handle += 1
        xs, ys = [x for x, _ in self.reached] or [0.0], [y for _, y in self.reached] or [0.0]
        (west, east), (south, north) = (min(xs), max(xs)), (min(ys), max(ys))
        words = {
            "SEED": f"{handle:X}",
            "LAYER-COUNT": str(len(self.layers) + 2),
            "LAYERS": "".join(layers).rstrip("\n"),
            "ENTITIES": "".join(entities).rstrip("\n"),
            "MINX": number(west),
            "MINY": number(south),
            "MAXX": number(east),
            "MAXY": number(north),
            "MIDX": number((west + east) / 2),
            "MIDY": number((south + north) / 2),
            # a window of the usual proportions, 4 by 3
            "HEIGHT": number(MARGIN * max(north - south, (east - west) * 3 / 4, 1.0)),
        }
        parts = _empty()
        return "".join([parts[0], *(words[part] if n % 2 == 0 else part for n, part in enumerate(parts[1:]))])


@functools.cache
def _empty() -> tuple[str, ...]:
    """The empty drawing, cut at each @: text and word in turn."""
    return tuple(resources.files(__package__).joinpath("empty.dxf").read_text("ascii").split("@"))


def _placed(first: Code, handle: int, owner: str, codes: Sequence[Code]) -> str:
    return _spelt([first, (5, f"{handle:X}"), (330, owner), *codes])


def _spelt(codes: Sequence[Code]) -> str:
    return "".join(f"{code:>3}\n{number(value) if isinstance(value, float) else value}\n" for code, value in codes)


def number(value: float) -> str:
    """A number to a millionth of a micrometre, always with a point.

    >>> [number(value) for value in (-0.0, 1200.0, 1 / 3)]
    ['0.0', '1200.0', '0.333333333']
    """
    text = f"{value:.9f}".rstrip("0")
    text += "0" if text.endswith(".") else ""
    return "0.0" if text == "-0.0" else text


def plain(text: str) -> str:
    r"""A text as DXF holds it: other letters than ASCII by their code, nothing taken for a sign of DXF's own.

    >>> plain("40%% of 木^")
    '40% % of \\U+6728^ '
    """
    found = []
    for letter in text.replace("%%", "% %").replace("\\U+", "\\ U+"):
        code = ord(letter)
        if letter == "^":
            found.append("^ ")
        elif 32 <= code < 127:
            found.append(letter)
        else:
            # a code has four digits: what lies beyond cannot be told
            found.append(f"\\U+{code:04X}" if 127 < code < 0x10000 else "?")
    return "".join(found)
