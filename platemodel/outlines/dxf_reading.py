"""Lines of a DXF drawing: model space alone, blocks taken apart, on the layers they lie on."""

from __future__ import annotations

import math
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.outlines.values import Drawn, Foreign
from platemodel.plan.values import Point

UNITS = {1: 25.4, 2: 304.8, 4: 1.0, 5: 10.0, 6: 1000.0, 14: 100.0}
"""$INSUNITS (DXF reference, from memory) that a building may be drawn in: one of them in mm."""

LINES = frozenset(("LINE", "LWPOLYLINE", "POLYLINE", "ARC", "CIRCLE", "ELLIPSE", "SPLINE"))

DEEPEST = 12
"""Blocks in blocks beyond this are a file gone wrong, or one that holds itself."""

MOST_ENTITIES = 200_000
"""Of all blocks taken apart together."""

FINE = 0.02
"""Part of its length by which a curve is followed closely enough to tell how far it bends."""


def read_dxf(path: Path) -> Foreign:
    """The lines of a drawing's model space.

    Raises :class:`~platemodel.faults.InputError` where it is no DXF.
    """
    import ezdxf
    from ezdxf import recover

    try:
        try:
            document = ezdxf.readfile(path)
        except (ezdxf.DXFError, UnicodeDecodeError):
            document, _ = recover.readfile(path)
    except OSError as error:
        if error.errno is not None:
            raise
        raise _no_dxf(path) from None
    # whatever its reader trips over, on whatever is called a DXF
    except Exception:
        raise _no_dxf(path) from None
    reader = _Reader(str(path))
    for entity in document.modelspace():
        reader.take(entity, str(entity.dxf.get("layer", "0")), 0)
    return Foreign(tuple(reader.lines), UNITS.get(document.header.get("$INSUNITS", 0)), tuple(reader.left_out))


def _no_dxf(path: Path) -> InputError:
    return InputError(f"{path}: is no DXF that can be read; expected a drawing saved as DXF, of the year 2000 or later")


class _Reader:
    """Takes entities one after the other, a block's own ones in its place."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.lines: list[Drawn] = []
        self.left_out: list[str] = []
        self.count = 0

    def take(self, entity: Any, layer: str, depth: int) -> None:
        """Take an entity that lies on a layer, ``depth`` blocks deep."""
        self.count += 1
        if self.count > MOST_ENTITIES:
            raise InputError(
                f"{self.file}: holds more than {MOST_ENTITIES} entities, blocks taken apart; "
                "expected the layer with the walls alone"
            )
        kind = entity.dxftype()
        where = f"{kind} {entity.dxf.get('handle') or 'in a block'}"
        if kind == "INSERT":
            self._block(entity, layer, depth, where)
        elif kind in LINES:
            self._line(entity, layer, where)

    def _block(self, entity: Any, layer: str, depth: int, where: str) -> None:
        name = entity.dxf.get("name", "")
        if depth >= DEEPEST:
            self.left_out.append(f"{where}: block '{name}' lies more than {DEEPEST} blocks deep")
            return
        if entity.block() is None:
            self.left_out.append(f"{where}: block '{name}' is not in the file")
            return
        try:
            for insert in entity.multi_insert() if entity.mcount > 1 else (entity,):
                for part in insert.virtual_entities():
                    own = str(part.dxf.get("layer", "0"))
                    # in a block, layer 0 is the layer of the block's insert
                    self.take(part, layer if own == "0" else own, depth + 1)
        except (ArithmeticError, ValueError):
            self.left_out.append(f"{where}: block '{name}' cannot be taken apart")

    def _line(self, entity: Any, layer: str, where: str) -> None:
        from ezdxf.path import make_path

        try:
            path = make_path(entity)
        except (TypeError, ValueError, ArithmeticError):
            self.left_out.append(f"{where} on layer '{layer}': no line can be made of it")
            return
        points: list[Point] = [(path.start.x, path.start.y)]
        bends = []
        for end, bend in _legs(path):
            points.append(end)
            bends.append(bend)
        if len(points) < 2 or (len(points) == 2 and math.dist(points[0], points[1]) == 0.0):
            return
        closed = points[0] == points[-1] or bool(path.is_closed)
        drawn = tuple(points[:-1] if closed else points)
        self.lines.append(Drawn(drawn, closed, layer, where, max(bends), min(bends) > 0.0))


def _legs(path: Any) -> Iterator[tuple[Point, float]]:
    """Each leg's end, and how far it bends off the straight way there."""
    from ezdxf.path import Command, Path

    begin = path.start
    for command in path.commands():
        end, bend = command.end, 0.0
        if command.type not in (Command.LINE_TO, Command.MOVE_TO):
            leg = Path(begin)
            if command.type == Command.CURVE3_TO:
                leg.curve3_to(end, command.ctrl)
            else:
                leg.curve4_to(end, command.ctrl1, command.ctrl2)
            length = max(begin.distance(end), begin.distance(leg.commands()[0][1]))
            points = leg.flattening(max(length * FINE / 10, 1e-9))
            bend = max(_off((begin.x, begin.y), (end.x, end.y), (point.x, point.y)) for point in points)
        yield (end.x, end.y), bend
        begin = end


def _off(start: Point, end: Point, point: Point) -> float:
    """Distance of a point from the straight way between two others."""
    length = math.dist(start, end)
    if length == 0.0:
        return math.dist(start, point)
    cross = (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (point[0] - start[0])
    return abs(cross) / length
