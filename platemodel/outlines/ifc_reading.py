"""Walls of an IFC model, from above, with their doors and windows; what they make together: ``ifc_storeys``.

The library that reads such models is large, and is an extra of this program.
"""

from __future__ import annotations

import sys
from collections import Counter
from pathlib import Path
from typing import Any

from platemodel.faults import InputError
from platemodel.outlines.ifc_storeys import METRE, TOUCHING, Seen, storey
from platemodel.outlines.values import Drawn, Foreign

NO_STOREY = "no storey"

FILLED = {"IfcDoor": "door", "IfcWindow": "window"}
"""What an opening is called by what fills it."""


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
    storeys: dict[str, list[Seen]] = {}
    openings: list[Drawn] = []
    left_out: list[str] = []
    left_on: list[tuple[str, str]] = []
    for wall in walls:
        try:
            where = f"wall '{wall.Name or wall.GlobalId}'"
            outline = _outline(wall)
            container = ifcopenshell.util.element.get_container(wall)
            name = NO_STOREY if container is None else str(container.Name or container.GlobalId)
            partition = _partition(wall)
            holes = [hole for voids in wall.HasOpenings for hole in _opening(voids.RelatedOpeningElement, name)]
        # whatever the library trips over, on whatever is called a wall
        except Exception:
            left_out.append(f"wall #{wall.id()}: cannot be read")
            continue
        if outline is None:
            left_out.append(f"{where}: has no shape seen from above")
            continue
        storeys.setdefault(name, []).append(Seen(where, outline, partition))
        openings += holes
    lines: list[Drawn] = []
    leaves: Counter[float] = Counter()
    for name, outlines in storeys.items():
        made, without = storey(name, outlines, leaves)
        lines += made
        left_on += [(name, words) for words in without]
    leaf = leaves.most_common(1)[0][0] if leaves else None
    return Foreign(tuple(lines), METRE, tuple(left_out), leaf, "storey", tuple(openings), tuple(left_on))


def _partition(wall: Any) -> bool:
    """Whether the model says of a wall that it carries nothing and stands inside."""
    import ifcopenshell.util.element

    said = ifcopenshell.util.element.get_pset(wall, "Pset_WallCommon") or {}
    return said.get("LoadBearing") is False and said.get("IsExternal") is False


def _opening(element: Any, layer: str) -> list[Drawn]:
    """A door, window or other opening from above, in a list; none where it has no shape."""
    outline = None if getattr(element, "PredefinedType", None) == "RECESS" else _outline(element)
    if outline is None:
        return []
    filling = [relation.RelatedBuildingElement.is_a() for relation in getattr(element, "HasFillings", ())]
    corners = tuple((float(x), float(y)) for x, y in outline.convex_hull.exterior.coords[:-1])
    return [Drawn(corners, True, layer, next((FILLED[kind] for kind in filling if kind in FILLED), "opening"))]


def _outline(element: Any) -> Any:
    """An element's area from above, in metres: of its body without openings, else of its footprint; None without."""
    import ifcopenshell.geom
    import shapely

    shapes = (
        {item.RepresentationIdentifier: item for item in element.Representation.Representations if item.Items}
        if element.Representation
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
            made = ifcopenshell.geom.create_shape(settings, element, shapes[name])
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
