"""Walls of an IFC model, from above: the outlines they make together, and the centre lines of those inside.

The library that reads such models is large, and is an extra of this program.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.outlines.values import Drawn, Foreign

METRE = 1000.0
"""The geometry engine gives metres, whatever the model's own unit."""

TOUCHING = 5e-4
"""Walls nearer than this touch (metres)."""

NO_STOREY = "no storey"


def read_ifc(path: Path) -> Foreign:
    """The walls of a model; a layer is a storey, by its name.

    Raises :class:`~platemodel.faults.InputError`, also where the library is not installed.
    """
    try:
        import ifcopenshell
        import ifcopenshell.geom
        import ifcopenshell.util.element
    except ImportError as error:
        raise InputError(
            f"{path}: reading IFC needs a library that is not installed ({error}); type:  "
            f'{sys.executable} -m pip install "platemodel[ifc]", or in the folder of its source: ".[ifc]"'
        ) from None
    try:
        model = ifcopenshell.open(path)
        walls = model.by_type("IfcWall")
    # whatever the library trips over, on whatever is called an IFC
    except Exception:
        raise InputError(f"{path}: is no IFC that can be read; expected a model of IFC2X3 or IFC4") from None
    storeys: dict[str, list[tuple[Any, Any]]] = {}
    left_out = []
    for wall in walls:
        outline = _outline(wall)
        where = f"wall '{wall.Name or wall.GlobalId}'"
        if outline is None:
            left_out.append(f"{where}: has no shape seen from above")
            continue
        storey = ifcopenshell.util.element.get_container(wall)
        name = NO_STOREY if storey is None else str(storey.Name or storey.GlobalId)
        storeys.setdefault(name, []).append((where, outline))
    lines: list[Drawn] = []
    leaves: Counter[float] = Counter()
    for name, outlines in storeys.items():
        made, without = _storey(name, outlines, leaves)
        lines += made
        left_out += without
    leaf = leaves.most_common(1)[0][0] if leaves else None
    return Foreign(tuple(lines), METRE, tuple(left_out), leaf, "storey")


def _outline(wall: Any) -> Any:
    """A wall's area from above, in metres: of its body without openings, else of its footprint; None without."""
    import ifcopenshell.geom
    import shapely

    shapes = (
        {item.RepresentationIdentifier: item for item in wall.Representation.Representations if item.Items}
        if (wall.Representation)
        else {}
    )
    settings = ifcopenshell.geom.settings()
    settings.set("use-world-coords", True)
    settings.set("disable-opening-subtractions", True)
    settings.set("dimensionality", ifcopenshell.ifcopenshell_wrapper.CURVES_SURFACES_AND_SOLIDS)
    for name in ("Body", "FootPrint"):
        if name not in shapes:
            continue
        try:
            made = ifcopenshell.geom.create_shape(settings, wall, shapes[name])
        except RuntimeError:
            continue
        points = [tuple(made.geometry.verts[at : at + 2]) for at in range(0, len(made.geometry.verts), 3)]
        faces, edges = made.geometry.faces, made.geometry.edges
        if faces:
            corners = [[points[index] for index in faces[at : at + 3]] for at in range(0, len(faces), 3)]
            parts = [part for part in map(shapely.Polygon, corners) if part.area > TOUCHING**2]
        else:
            ends = [[points[index] for index in edges[at : at + 2]] for at in range(0, len(edges), 2)]
            parts = list(shapely.polygonize([shapely.LineString(pair) for pair in ends if pair[0] != pair[1]]).geoms)
        whole = shapely.union_all(parts)
        if whole.area > 0.0:
            return whole
    return None


def _storey(name: str, outlines: Sequence[tuple[str, Any]], leaves: Counter[float]) -> tuple[list[Drawn], list[str]]:
    """The outer faces that walls make together, and the centre lines of the others; counts outer walls' leaves."""
    import shapely

    together = shapely.union_all([outline.buffer(TOUCHING, join_style="mitre") for _, outline in outlines])
    shrunk = together.buffer(-TOUCHING, join_style="mitre")
    parts = list(shrunk.geoms) if hasattr(shrunk, "geoms") else [shrunk]
    lines, left_out = [], []
    for number, part in enumerate((part for part in parts if part.interiors), start=1):
        points = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
        lines.append(Drawn(points, True, name, f"outline {number} of storey '{name}'"))
    left_out += [f"storey '{name}': walls that enclose nothing" for part in parts if not part.interiors]
    faces = shapely.union_all([part.exterior for part in parts if part.interiors]).buffer(2 * TOUCHING)
    for where, outline in outlines:
        corners = list(outline.minimum_rotated_rectangle.exterior.coords)
        first, second = (shapely.LineString(corners[at : at + 2]).length for at in (0, 1))
        length, leaf = max(first, second), min(first, second)
        if outline.boundary.intersection(faces).length > length / 2:
            leaves[round(leaf * METRE, 1)] += 1
        elif shrunk.intersects(outline) and lines:
            ends = corners[:4] if first <= second else [*corners[1:4], corners[0]]
            (ax, ay), (bx, by), (cx, cy), (dx, dy) = ends
            line = (((ax + bx) / 2, (ay + by) / 2), ((cx + dx) / 2, (cy + dy) / 2))
            lines.append(Drawn(line, False, name, where, centre=True, leaf=round(leaf * METRE, 1)))
    return lines, left_out
