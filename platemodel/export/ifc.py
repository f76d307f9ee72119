"""frame.ifc, an IFC4 model (ISO 16739-1) for building models: where things stand, and what they are part of.

Lengths are mm, quantities m2, m3 and kg. The building stands at the plan's own coordinates, z = 0 at the underside
of the plates; no owner or time is told, so the same plan gives the same bytes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from pathlib import Path

from platemodel import __version__
from platemodel.export.checked import write_checked
from platemodel.export.ifc_ids import identifier
from platemodel.export.ifc_members import Members, placement
from platemodel.frame.values import Frame
from platemodel.plan.leaves import leaf_outline
from platemodel.plan.values import Point, Wall
from platemodel.solid.part21 import NO_TIME, Derived, Exchange, Ref, Word

SCHEMA = "IFC4"
VIEW = "ViewDefinition [DesignTransferView_V1.0]"
"""The view of the standard whose files may hold boundary representations; its name from memory."""

PRECISION = 1e-5
"""Points nearer to one another than this are one, mm."""


def write_ifc(frame: Frame, path: Path, passed: bool) -> None:
    """Write the whole model; where the proof has not ``passed``, its project says so."""
    write_checked(path, ifc_text(frame, passed, path.name))


def ifc_text(frame: Frame, passed: bool = True, name: str = "frame.ifc") -> str:
    """The text of frame.ifc, all of it in ASCII."""
    file = Exchange()
    _Model(file, frame, "" if passed else "NOT PROVED").write()
    job = frame.plan.job
    time = NO_TIME if job.date is None or isinstance(job.date, str) else f"{job.date.isoformat()}T00:00:00"
    return file.text(SCHEMA, VIEW, name, time, f"platemodel {__version__}")


class _Model:
    """Writes project, site, building, storey, walls and plates into a file, in that order."""

    def __init__(self, file: Exchange, frame: Frame, caution: str) -> None:
        self.file, self.frame, self.caution = file, frame, caution
        self.job = frame.plan.job

    def _id(self, *words: str) -> str:
        return identifier(self.job, *words)

    def write(self) -> None:
        """Write everything."""
        body, footprint, project = self._project()
        storey, placement = self._storey(project, self.frame.origin)
        members = Members(self.file, self.frame, body, placement).write()
        assembly = self.file.add(
            "IfcElementAssembly",
            self._id("assembly"),
            None,
            "wall plates",
            "half-lapped timber wall plates, bedded on the masonry",
            "wall plate frame",
            self._placed(placement, 0.0, 0.0),
            None,
            None,
            Word("SITE"),
            Word("USERDEFINED"),
        )
        self._aggregate("members", assembly, members)
        walls = [self._wall(index, footprint, placement) for index in range(len(self.frame.plan.walls))]
        contained = (*walls, assembly)
        self.file.add("IfcRelContainedInSpatialStructure", self._id("contained"), None, None, None, contained, storey)

    def _project(self) -> tuple[Ref, Ref, Ref]:
        """Units, contexts and the project; gives the contexts of bodies and of footprints, and the project."""
        add = self.file.add
        # square and cubic metres and kilograms, as quantity sets have them; a radian is what the standard presumes
        units = [add("IfcSIUnit", Derived(), Word("LENGTHUNIT"), Word("MILLI"), Word("METRE"))]
        for kind, prefix, unit in (
            ("AREAUNIT", None, "SQUARE_METRE"),
            ("VOLUMEUNIT", None, "CUBIC_METRE"),
            ("PLANEANGLEUNIT", None, "RADIAN"),
            ("MASSUNIT", Word("KILO"), "GRAM"),
        ):
            units.append(add("IfcSIUnit", Derived(), Word(kind), prefix, Word(unit)))
        assignment = add("IfcUnitAssignment", tuple(units))
        world = add("IfcAxis2Placement3D", self._point(0.0, 0.0, 0.0), None, None)
        model = add("IfcGeometricRepresentationContext", None, "Model", 3, PRECISION, world, None)
        inherited = (Derived(),) * 4
        body, footprint = (
            add("IfcGeometricRepresentationSubContext", name, "Model", *inherited, model, None, Word(view), None)
            for name, view in (("Body", "MODEL_VIEW"), ("FootPrint", "MODEL_VIEW"))
        )
        named = (self._id("project"), None, self.job.title, self.caution or None)
        project = add("IfcProject", *named, None, None, self.caution or None, (model,), assignment)
        return body, footprint, project

    def _storey(self, project: Ref, origin: Sequence[float]) -> tuple[Ref, Ref]:
        """Site, building and storey, one in the other; gives the storey and its placement."""
        add = self.file.add
        lot = self._placed(None, 0.0, 0.0)
        element = Word("ELEMENT")
        site = add("IfcSite", self._id("site"), None, "site", *(None,) * 2, lot, *(None,) * 2, element, *(None,) * 5)
        at = self._placed(lot, *origin)
        shells = ", ".join(self.frame.plan.shells)
        building = add(
            "IfcBuilding", self._id("building"), None, shells, *(None,) * 2, at, *(None,) * 2, element, *(None,) * 3
        )
        level = self._placed(at, 0.0, 0.0)
        words = "elevation 0 is the underside of the wall plates"
        storey = add(
            "IfcBuildingStorey",
            self._id("storey"),
            None,
            "wall plates",
            words,
            None,
            level,
            None,
            None,
            element,
            0.0,
        )
        self._aggregate("sites", project, [site])
        self._aggregate("buildings", site, [building])
        self._aggregate("storeys", building, [storey])
        return storey, level

    def _wall(self, index: int, footprint: Ref, storey: Ref) -> Ref:
        """A wall by the outline of its leaf: its height is not known."""
        add, wall = self.file.add, self.frame.plan.walls[index]
        east, north = self.frame.origin
        angle = math.degrees(math.atan2(wall.direction[1], wall.direction[0]))
        corners = [add("IfcCartesianPoint", _in_wall(wall, point)) for point in leaf_outline(self.frame.plan, index)]
        line = add("IfcPolyline", (*corners, corners[0]))
        shape = add("IfcShapeRepresentation", footprint, "FootPrint", "Curve2D", (line,))
        return add(
            "IfcWall",
            self._id("wall", wall.name),
            None,
            wall.name,
            "the leaf under the plate, in outline",
            None,
            self._placed(storey, wall.start[0] - east, wall.start[1] - north, angle),
            add("IfcProductDefinitionShape", None, None, (shape,)),
            None,
            None,
        )

    def _aggregate(self, name: str, whole: Ref, parts: Sequence[Ref]) -> None:
        self.file.add("IfcRelAggregates", self._id("aggregate", name), None, None, None, whole, tuple(parts))

    def _point(self, *at: float) -> Ref:
        return self.file.add("IfcCartesianPoint", at)

    def _placed(self, within: Ref | None, east: float, north: float, angle: float = 0.0) -> Ref:
        """A placement turned about z (degrees) and shifted in plan (mm) within another."""
        return placement(self.file, within, (east, north, 0.0), angle, over=False)


def _in_wall(wall: Wall, point: Point) -> Point:
    """A point of the plan along a wall's line and across it to the left."""
    (ux, uy), east, north = wall.direction, point[0] - wall.start[0], point[1] - wall.start[1]
    return (east * ux + north * uy, north * ux - east * uy)
