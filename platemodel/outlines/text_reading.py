"""Lines of GeoJSON (RFC 7946) and of well-known text (ISO 19125-1), neither of which says in what unit."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.outlines.values import Drawn, Foreign
from platemodel.plan.values import Point

NO_LAYER = "0"
"""The layer of what names none."""

STRETCHED = frozenset((3857, 3785, 3395, 900913, 102100, 102113, 54004))
"""Codes of Mercator's projection, as maps of the web have it (EPSG and others, from memory)."""

DECIDING = frozenset(("type", "features", "geometry", "geometries", "coordinates"))
"""Keys of GeoJSON that may stand but once: a reader takes the one or the other."""


def read_geojson(path: Path) -> Foreign:
    """Polygons and lines of a GeoJSON file; a feature's layer is its property 'layer', else 0.

    Raises :class:`~platemodel.faults.InputError`.
    """
    try:
        data = json.loads(path.read_text("utf-8-sig"), object_pairs_hook=_once)
    except UnicodeDecodeError:
        raise InputError(f"{path}: is no text in UTF-8; expected GeoJSON") from None
    except json.JSONDecodeError as error:
        raise InputError(f"{path}:{error.lineno}: is no JSON ({error.msg}); expected GeoJSON") from None
    except _Twice as error:
        raise InputError(f"{path}: holds an object with '{error}' twice; expected each once") from None
    except ValueError:
        raise InputError(f"{path}: holds a number that is too large; expected coordinates") from None
    reader = _GeoJson(str(path))
    if isinstance(data, Mapping):
        _not_stretched(_code(data.get("crs")), str(path))
    return Foreign(tuple(reader.lines(data, "", NO_LAYER)), None, tuple(reader.left_out))


class _Twice(Exception):
    """A key that stands twice in one object."""


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    keys = [key for key, _ in pairs if key in DECIDING]
    twice = next((key for key in keys if keys.count(key) > 1), None)
    if twice is not None:
        raise _Twice(twice)
    return dict(pairs)


def _code(crs: Any) -> int | None:
    """The number of the coordinate system that GeoJSON of 2008 names in its member crs."""
    properties = crs.get("properties") if isinstance(crs, Mapping) else None
    name = properties.get("name") if isinstance(properties, Mapping) else None
    number = re.search(r"(\d{4,6})$", name) if isinstance(name, str) else None
    return int(number[1]) if number else None


def _not_stretched(code: int | None, where: str) -> None:
    """Refuse coordinates in which lengths are longer than they are on the ground."""
    if code in STRETCHED:
        raise InputError(
            f"{where}: says it is in coordinate system {code}, that of maps of the web, in which lengths are stretched "
            "(half as long again at 48° north); expected one in which lengths are true, as a national grid"
        )


class _GeoJson:
    """Reads objects of GeoJSON; ``where`` is an object's place in the file."""

    def __init__(self, file: str) -> None:
        self.file = file
        self.left_out: list[str] = []

    def fault(self, where: str, found: str, expected: str) -> InputError:
        return InputError(": ".join(part for part in (self.file, where, f"{found}; {expected}") if part))

    def lines(self, data: Any, where: str, layer: str) -> Iterator[Drawn]:
        """All lines in an object."""
        if not isinstance(data, Mapping):
            raise self.fault(where, "is no object of GeoJSON", 'expected { "type": …, … }')
        match data.get("type"):
            case "FeatureCollection":
                for number, feature in enumerate(self._list(data, "features", where)):
                    yield from self.lines(feature, f"features[{number}]", layer)
            case "Feature":
                properties = data.get("properties")
                named = properties.get("layer") if isinstance(properties, Mapping) else None
                if data.get("geometry") is not None:
                    yield from self.lines(data["geometry"], where, layer if named is None else str(named))
            case "GeometryCollection":
                for number, geometry in enumerate(self._list(data, "geometries", where)):
                    yield from self.lines(geometry, f"{where}.geometries[{number}]".lstrip("."), layer)
            case "Polygon" | "MultiPolygon" | "LineString" | "MultiLineString" as kind:
                closed, parts = kind.endswith("Polygon"), self._list(data, "coordinates", where)
                if kind == "LineString":
                    parts = [parts]
                if kind == "MultiPolygon":
                    parts = [ring for polygon in parts for ring in self._sequence(polygon, where)]
                for number, part in enumerate(parts):
                    yield self._line(part, closed, layer, f"{where} {kind} {number + 1}".strip())
            case "Point" | "MultiPoint":
                self.left_out.append(f"{where}: a point".lstrip(": "))
            case other:
                raise self.fault(where, f"is of type {json.dumps(other)[:40]}", "expected an object of GeoJSON")

    def _list(self, data: Mapping[str, Any], key: str, where: str) -> list[Any]:
        return self._sequence(data.get(key), f"{where}.{key}".lstrip("."))

    def _sequence(self, value: Any, where: str) -> list[Any]:
        if not isinstance(value, list):
            raise self.fault(where, "is no list", "expected a list [ … ]")
        return value

    def _line(self, value: Any, closed: bool, layer: str, where: str) -> Drawn:
        points = []
        for point in self._sequence(value, where):
            sound = isinstance(point, list) and len(point) >= 2
            if not sound or any(isinstance(part, bool) or not isinstance(part, int | float) for part in point[:2]):
                raise self.fault(where, f"holds {json.dumps(point)[:40]} as a point", "expected [x, y]")
            try:
                points.append((float(point[0]), float(point[1])))
            except OverflowError:
                raise self.fault(where, "holds a number that is too large", "expected coordinates") from None
        return _drawn(points, closed, layer, where)


def _drawn(points: list[Point], closed: bool, layer: str, where: str) -> Drawn:
    """A line; one that ends where it began is closed, whatever it is called."""
    if len(points) > 3 and points[0] == points[-1]:
        return Drawn(tuple(points[:-1]), True, layer, where)
    return Drawn(tuple(points), closed, layer, where)


def read_wkt(path: Path) -> Foreign:
    """Polygons and lines of a file of well-known text, a geometry a line; # begins a remark.

    Raises :class:`~platemodel.faults.InputError`.
    """
    import numpy
    import shapely
    from shapely.errors import ShapelyError

    try:
        rows = path.read_text("utf-8-sig").splitlines()
    except UnicodeDecodeError:
        raise InputError(f"{path}: is no text in UTF-8; expected well-known text") from None
    found: list[Drawn] = []
    for number, row in enumerate(rows, start=1):
        text = row.strip()
        if not text or text.startswith("#"):
            continue
        # of the coordinate system that some programs put in front only this is of use
        system = re.match(r"SRID=\s*(\d*)\s*;", text, re.IGNORECASE)
        if system:
            _not_stretched(int(system[1]) if system[1] else None, f"{path}:{number}")
            text = text[system.end() :]
        try:
            # numbers that are none are told of later, not by numpy on the way
            with numpy.errstate(all="ignore"):
                geometry = shapely.from_wkt(text)
        except NotImplementedError:
            raise InputError(f"{path}:{number}: is curved; expected straight legs, which plates can lie on") from None
        except (ShapelyError, ValueError):
            raise InputError(
                f"{path}:{number}: is no well-known text that can be read; expected such as "
                "POLYGON ((0 0, 9600 0, 9600 6600, 0 6600, 0 0)), a geometry a line"
            ) from None
        found += _parts(geometry, f"line {number}")
    return Foreign(tuple(found), None)


def _parts(geometry: Any, where: str) -> Iterator[Drawn]:
    if hasattr(geometry, "geoms"):
        for number, part in enumerate(geometry.geoms, start=1):
            yield from _parts(part, f"{where}, part {number}")
        return
    rings = [geometry.exterior, *geometry.interiors] if geometry.geom_type == "Polygon" else [geometry]
    for ring in rings:
        closed = geometry.geom_type in ("Polygon", "LinearRing")
        yield _drawn([(point[0], point[1]) for point in ring.coords], closed, NO_LAYER, where)
