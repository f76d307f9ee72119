"""Lines of a DXF drawing: model space alone, blocks taken apart, on the layers they lie on."""

from __future__ import annotations

import logging
import math
from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.outlines.mending import off
from platemodel.outlines.values import Drawn, Foreign
from platemodel.plan.values import Point

UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 14: 100.0}
"""$INSUNITS (DXF reference, from memory) that a building may be drawn in: one of them in mm."""

LINES = frozenset(("LINE", "LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"))

UNREAD = frozenset(("HATCH", "MPOLYGON", "SOLID", "TRACE", "3DFACE", "REGION", "3DSOLID", "BODY", "SURFACE", "MESH"))
"""What may show walls too, but has no lines of its own: told where it stands in a drawing."""

DEEPEST = 12
"""Blocks in blocks beyond this are a file gone wrong, or one that holds itself."""

MOST_ENTITIES = 100_000
"""Of all blocks taken apart together."""

STEPS = 16
"""Parts of a curve by which it is looked at, to tell how far it bends."""


def read_dxf(path: Path) -> Foreign:
    """The lines of a drawing's model space.

    Raises :class:`~platemodel.faults.InputError` where it is no DXF.
    """
    import ezdxf
    from ezdxf import recover

    # what the library mends in a spoilt file is no news to whoever draws walls
    logging.getLogger("ezdxf").addHandler(logging.NullHandler())
    try:
        try:
            document = ezdxf.readfile(path)
        except (ezdxf.DXFError, UnicodeDecodeError):
            document, _ = recover.readfile(path)
        entities = list(document.modelspace())
    except OSError as error:
        if error.errno is not None:
            raise
        raise _no_dxf(path) from None
    # whatever its reader trips over, on whatever is called a DXF
    except Exception:
        raise _no_dxf(path) from None
    reader = _Reader(str(path), *_hidden(document))
    for entity in entities:
        reader.take(entity, _layer(entity), 0)
    left_out = [*reader.left_out, *(f"{count} {words}" for words, count in reader.unread.items())]
    unit = document.header.get("$INSUNITS", 0)
    return Foreign(tuple(reader.lines), UNITS.get(unit) if isinstance(unit, int) else None, tuple(left_out))


def _hidden(document: Any) -> tuple[frozenset[str], frozenset[str]]:
    """The layers that are switched off, and those that are frozen, each in small letters: DXF knows no other."""
    layers = [layer for layer in document.layers if isinstance(layer.dxf.get("name"), str)]
    off = frozenset(layer.dxf.name.lower() for layer in layers if layer.is_off())
    return off, frozenset(layer.dxf.name.lower() for layer in layers if layer.is_frozen())


def _no_dxf(path: Path) -> InputError:
    return InputError(f"{path}: is no DXF that can be read; expected a drawing saved as DXF, of the year 2000 or later")


def _layer(entity: Any) -> str:
    """The layer of an entity, 0 for what can have none."""
    return str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"


class _Reader:
    """Takes entities one after the other, a block's own ones in its place."""

    def __init__(self, file: str, off: frozenset[str], frozen: frozenset[str]) -> None:
        self.file = file
        self.off = off
        self.frozen = frozen
        self.lines: list[Drawn] = []
        self.left_out: list[str] = []
        self.unread: Counter[str] = Counter()
        self.count = 0

    def take(self, entity: Any, layer: str, depth: int, hidden: str | None = None) -> None:
        """Take an entity that lies on a layer, ``depth`` blocks deep, in one that the ``hidden`` layer hides."""
        self.count += entity.mcount if entity.dxftype() == "INSERT" else 1
        if self.count > MOST_ENTITIES:
            raise InputError(
                f"{self.file}: holds more than {MOST_ENTITIES} entities, blocks taken apart; "
                "expected the layer with the walls alone"
            )
        kind = entity.dxftype()
        if entity.dxf.is_supported("invisible") and entity.dxf.get("invisible"):
            self.unread["that are set invisible"] += 1
            return
        where = f"{kind} {entity.dxf.get('handle') or 'in a block'}"
        if kind == "INSERT":
            # a frozen layer hides all of a block, one that is off only what lies on it
            self._block(entity, layer, depth, where, hidden or (layer if layer.lower() in self.frozen else None))
        elif kind == "MLINE":
            self._parts(entity, layer, depth, where, hidden)
        elif kind in LINES:
            shown = layer.lower() not in self.off | self.frozen
            self._line(entity, layer, where, hidden or (None if shown else layer))
        elif kind in UNREAD:
            self.unread[f"of kind {kind}: has no lines to read"] += 1

    def _block(self, entity: Any, layer: str, depth: int, where: str, hidden: str | None) -> None:
        name = entity.dxf.get("name", "")
        if depth >= DEEPEST:
            self.left_out.append(f"{where}: block '{name}' lies more than {DEEPEST} blocks deep")
            return
        if entity.block() is None:
            self.left_out.append(f"{where}: block '{name}' is not in the file")
            return
        try:
            inserts = list(entity.multi_insert()) if entity.mcount > 1 else [entity]
        # whatever the library trips over, on whatever stands in a block
        except Exception:
            self.left_out.append(f"{where}: block '{name}' cannot be taken apart")
            return
        for insert in inserts:
            self._parts(insert, layer, depth, where, hidden)

    def _parts(self, entity: Any, layer: str, depth: int, where: str, hidden: str | None) -> None:
        """Take what an entity is made of."""
        try:
            parts = list(entity.virtual_entities())
        # whatever the library trips over, on whatever stands in an entity
        except Exception:
            name = f"block '{entity.dxf.get('name', '')}'" if entity.dxftype() == "INSERT" else "it"
            self.left_out.append(f"{where}: {name} cannot be taken apart")
            return
        for part in parts:
            own = _layer(part)
            # in a block, layer 0 is the layer of the block's insert
            self.take(part, layer if own == "0" else own, depth + 1, hidden)

    def _line(self, entity: Any, layer: str, where: str, hidden: str | None) -> None:
        from ezdxf.path import make_path

        try:
            path = make_path(entity)
            points: list[Point] = [(path.start.x, path.start.y)]
            bends = []
            for end, bend in _legs(path):
                points.append(end)
                bends.append(bend)
        # whatever the library trips over, on whatever is called a line
        except Exception:
            self.left_out.append(f"{where} on layer '{layer}': no line can be made of it")
            return
        if len(points) < 2 or (len(points) == 2 and math.dist(points[0], points[1]) == 0.0):
            return
        closed = points[0] == points[-1] or bool(path.is_closed)
        drawn = tuple(points[:-1] if closed else points)
        self.lines.append(Drawn(drawn, closed, layer, where, max(bends), min(bends) > 0.0, hidden=hidden))


def _legs(path: Any) -> Iterator[tuple[Point, float]]:
    """Each leg's end, and how far it bends off the straight way there."""
    from ezdxf.path import Command

    begin = path.start
    for command in path.commands():
        end = command.end
        if command.type == Command.CURVE3_TO:
            steers = [begin, command.ctrl, end]
        elif command.type == Command.CURVE4_TO:
            steers = [begin, command.ctrl1, command.ctrl2, end]
        else:
            steers = []
        points = [_on_curve(steers, step / STEPS) for step in range(1, STEPS)] if steers else []
        yield (end.x, end.y), max((_off(begin, end, point) for point in points), default=0.0)
        begin = end


def _on_curve(points: list[Any], at: float) -> Any:
    """The point of a Bézier curve at a part of it, by de Casteljau's rule."""
    while len(points) > 1:
        points = [one.lerp(other, at) for one, other in pairwise(points)]
    return points[0]


def _off(start: Any, end: Any, point: Any) -> float:
    """Distance in plan of a point from the straight way between two others."""
    return off((point.x, point.y), ((start.x, start.y), (end.x, end.y)))
