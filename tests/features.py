"""Solids from a shop manifest's features alone, as a shop's own program would make them."""

from __future__ import annotations

from typing import Any

from making import prism
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.TopoDS import TopoDS_Shape

from platemodel.solid.shapes import common_volume, volume


def between(begin: list[float], end: list[float], width: float) -> list[tuple[float, float]]:
    """The outline in plan between two cuts across a piece."""
    return [(begin[0], 0.0), (end[0], 0.0), (end[1], width), (begin[1], width)]


def rebuilt(kind: dict[str, Any]) -> TopoDS_Shape:
    """A type's solid: the whole section between its ends, less each lap from the face it is sawn from."""
    width, depth = kind["section"]["width"], kind["section"]["depth"]
    solid: TopoDS_Shape = prism(between(kind["start"]["at"], kind["end"]["at"], width), 0.0, depth)
    for lap in kind["laps"]:
        low, high = (depth - lap["depth"], depth) if lap["face"] == "top" else (0.0, lap["depth"])
        cut = BRepAlgoAPI_Cut(solid, prism(between(lap["from"], lap["to"], width), low, high))
        assert cut.IsDone()
        solid = cut.Shape()
    return solid


def difference(one: TopoDS_Shape, other: TopoDS_Shape) -> float:
    """The volume that is in one of two solids alone, as a part of the first's."""
    return (volume(one) + volume(other) - 2 * common_volume(one, other)) / volume(one)
