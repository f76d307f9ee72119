"""IFC models of walls as other programs make them: walls by extrusion, openings cut, on storeys."""

from __future__ import annotations

import math
from typing import Any

import numpy as np


class Model:
    """A model under way, in metres; :meth:`wall` and :meth:`hole` add to it."""

    def __init__(self) -> None:
        from ifcopenshell.api import context, project, root, unit

        self.model = project.create_file(version="IFC4")
        self.whole = root.create_entity(self.model, ifc_class="IfcProject", name="P")
        unit.assign_unit(self.model)
        space = context.add_context(self.model, context_type="Model")
        self.body = context.add_context(
            self.model, context_type="Model", context_identifier="Body", target_view="MODEL_VIEW", parent=space
        )

    def wall(self, thick: float, length: float, x: float, y: float, turn: float, kind: str = "IfcWall") -> Any:
        """A wall, or what else is so long and so thick, that lies to the left of a line from a place."""
        from ifcopenshell.api import geometry, root

        made = root.create_entity(self.model, ifc_class=kind, name=kind)
        shape = geometry.add_wall_representation(
            self.model, context=self.body, length=length, height=2.4, thickness=thick
        )
        geometry.assign_representation(self.model, product=made, representation=shape)
        at, (sine, cosine) = np.eye(4), (math.sin(math.radians(turn)), math.cos(math.radians(turn)))
        at[:2, :2], at[:2, 3] = [[cosine, -sine], [sine, cosine]], [x, y]
        geometry.edit_object_placement(self.model, product=made, matrix=at)
        return made

    def hole(self, wall: Any, thick: float, length: float, x: float, y: float, turn: float) -> None:
        """An opening through a wall."""
        from ifcopenshell.api import feature

        made = self.wall(thick, length, x, y, turn, "IfcOpeningElement")
        feature.add_feature(self.model, feature=made, element=wall)

    def storey(self, name: str, walls: list[Any]) -> None:
        """A storey of walls."""
        from ifcopenshell.api import aggregate, root, spatial

        storey = root.create_entity(self.model, ifc_class="IfcBuildingStorey", name=name)
        aggregate.assign_object(self.model, products=[storey], relating_object=self.whole)
        spatial.assign_container(self.model, products=walls, relating_structure=storey)

    def says(self, wall: Any, **properties: Any) -> None:
        """What the model says of a wall in the set of properties common to walls."""
        from ifcopenshell.api import pset

        common = pset.add_pset(self.model, product=wall, name="Pset_WallCommon")
        pset.edit_pset(self.model, pset=common, properties=properties)
