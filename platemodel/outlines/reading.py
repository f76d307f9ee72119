"""Read a file of outlines, whatever its format: it is known by its name's ending."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from platemodel.faults import InputError
from platemodel.outlines.values import Foreign

MOST_BYTES = 32_000_000
"""Larger files are refused before they are read, so that memory stays within what a small machine has."""

MOST_LINES, MOST_POINTS = 100_000, 1_000_000


def read_outlines(source: str | Path) -> Foreign:
    """The lines of a DXF, GeoJSON, WKT or IFC file.

    Raises :class:`~platemodel.faults.InputError` where it cannot be read, or holds no line.
    """
    path = Path(source)
    reader = _READERS.get(path.suffix.lower())
    if reader is None:
        raise InputError(f"{source}: is of no format that is read; expected a name that ends in {', '.join(_READERS)}")
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise InputError(f"{source}: is no file; expected one with outlines")
    except OSError as error:
        raise InputError(f"{source}: cannot be read ({error.strerror})") from None
    if size > MOST_BYTES:
        raise InputError(
            f"{source}: holds {size / 1e6:.0f} MB; expected at most {MOST_BYTES / 1e6:.0f} MB: save what has the walls "
            "alone, one storey and its layer, into a file of its own"
        )
    try:
        found = reader(path)
    except OSError as error:
        raise InputError(f"{source}: cannot be read ({error.strerror or error})") from None
    except (RecursionError, MemoryError):
        raise InputError(f"{source}: is nested too deep or too large to be read; expected plain outlines") from None
    return _judged(found, str(source))


def _judged(found: Foreign, source: str) -> Foreign:
    points = tuple(f"{line.where}: a point or nothing" for line in found.lines if len(line.points) < 2)
    lines = tuple(line for line in found.lines if len(line.points) >= 2)
    found = replace(found, lines=lines, left_out=(*found.left_out, *points))
    if not found.lines:
        left_out = (*found.left_out, *(words for _, words in found.left_on))
        said = f" ({'; '.join(left_out[:5])})" if left_out else ""
        raise InputError(f"{source}: holds no lines{said}; expected closed outlines, or walls' centre lines")
    if len(found.lines) > MOST_LINES or sum(len(line.points) for line in found.lines) > MOST_POINTS:
        raise InputError(
            f"{source}: holds {len(found.lines)} lines; expected at most {MOST_LINES} with {MOST_POINTS} points: "
            "save what has the walls alone into a file of its own"
        )
    for line in found.lines:
        if not all(math.isfinite(part) for point in line.points for part in point):
            raise InputError(f"{source}: {line.where}: a coordinate is no number; expected finite ones")
    return found


def _dxf(path: Path) -> Foreign:
    from platemodel.outlines.dxf_reading import read_dxf

    return read_dxf(path)


def _geojson(path: Path) -> Foreign:
    from platemodel.outlines.text_reading import read_geojson

    return read_geojson(path)


def _wkt(path: Path) -> Foreign:
    from platemodel.outlines.text_reading import read_wkt

    return read_wkt(path)


def _ifc(path: Path) -> Foreign:
    from platemodel.outlines.ifc_reading import read_ifc

    return read_ifc(path)


_READERS: dict[str, Callable[[Path], Foreign]] = {
    ".dxf": _dxf,
    ".geojson": _geojson,
    ".json": _geojson,
    ".wkt": _wkt,
    ".ifc": _ifc,
}
