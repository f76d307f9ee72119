"""The plates of an IFC4 model: their types with exact solids, material and section, properties, quantities, laps.

A plate is an IfcMember of the predefined type PLATE, in ISO 16739-1 a linear continuous horizontal element such as
a head piece or a sole plate. Its type holds the solid, in the piece frame; each plate is an instance of it, placed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from platemodel.export.ifc_ids import identifier
from platemodel.frame.shape import Loop, Vertex
from platemodel.frame.timber import MEAN_DENSITY, mass
from platemodel.frame.values import Frame, Piece, Type
from platemodel.solid.colours import ROLE_COLOUR
from platemodel.solid.part21 import Exchange, Ref, Typed, Value, Word

MM2, MM3 = 1e-6, 1e-9
"""A square and a cubic millimetre in metres."""

TEXT, TRUTH, WHOLE, IDENTIFIER = "IFCLABEL", "IFCBOOLEAN", "IFCINTEGER", "IFCIDENTIFIER"


class Members:
    """Writes all plates of a frame into a file, placed within its storey."""

    def __init__(self, file: Exchange, frame: Frame, body: Ref, storey: Ref) -> None:
        self.file, self.frame, self.body, self.storey = file, frame, body, storey

    def _id(self, *words: str) -> str:
        return identifier(self.frame.plan.job, *words)

    def write(self) -> list[Ref]:
        """Write types, plates and what hangs on them; gives the plates, in the frame's order."""
        maps = [self._solid(kind) for kind in self.frame.types]
        kinds = [self._type(kind, solid) for kind, solid in zip(self.frame.types, maps, strict=True)]
        styles = {role: self._style(role) for role in sorted({piece.role for piece in self.frame.pieces})}
        members = [self._member(piece, maps[piece.type], styles[piece.role]) for piece in self.frame.pieces]
        for kind, made in zip(self.frame.types, kinds, strict=True):
            of_kind = tuple(members[index] for index in kind.pieces)
            self.file.add("IfcRelDefinesByType", self._id("type of", kind.name), None, None, None, of_kind, made)
        self._material(members, kinds)
        for piece, member in zip(self.frame.pieces, members, strict=True):
            self._properties(piece, member)
            self._quantities(piece, member)
        self._laps(members)
        return members

    def _solid(self, kind: Type) -> Ref:
        """The map of a type's solid, which instances take it from."""
        add = self.file.add
        brep = faceted(self.file, *kind.shape.polyhedron())
        shape = add("IfcShapeRepresentation", self.body, "Body", "Brep", (brep,))
        axes = add("IfcAxis2Placement3D", add("IfcCartesianPoint", (0.0, 0.0, 0.0)), None, None)
        return add("IfcRepresentationMap", axes, shape)

    def _type(self, kind: Type, solid: Ref) -> Ref:
        words = "wall plate in its piece frame: x along it, y across, z up"
        made = (self._id("type", kind.name), None, kind.name, words, None, None, (solid,), kind.name, None)
        return self.file.add("IfcMemberType", *made, Word("PLATE"))

    def _style(self, role: str) -> Ref:
        add = self.file.add
        colour = add("IfcColourRgb", None, *ROLE_COLOUR[role])
        shading = add("IfcSurfaceStyleShading", colour, 0.0)
        return add("IfcSurfaceStyle", f"halves: {role}", Word("BOTH"), (shading,))

    def _member(self, piece: Piece, solid: Ref, style: Ref) -> Ref:
        """A plate: what it is, its type says (the standard wants the predefined type there alone)."""
        add, place = self.file.add, piece.place
        at = (place.x, place.y, place.z)
        if place.turned_over:
            # z points down then, and y the other way: the origin is the opposite edge of the box
            angle = math.radians(place.angle)
            width = piece.laid.width
            at = (place.x - width * math.sin(angle), place.y + width * math.cos(angle), place.z + piece.laid.depth)
        where = placement(self.file, self.storey, at, place.angle, place.turned_over)
        as_it_is = add(
            "IfcCartesianTransformationOperator3D", None, None, add("IfcCartesianPoint", (0.0,) * 3), None, None
        )
        item = add("IfcMappedItem", solid, as_it_is)
        add("IfcStyledItem", item, (style,), None)
        shape = add("IfcShapeRepresentation", self.body, "Body", "MappedRepresentation", (item,))
        words = f"wall plate on {', '.join(piece.walls)}"
        whole = add("IfcProductDefinitionShape", None, None, (shape,))
        kind = self.frame.types[piece.type].name
        return add(
            "IfcMember", self._id("piece", piece.mark), None, piece.mark, words, kind, where, whole, piece.mark, None
        )

    def _material(self, members: Sequence[Ref], kinds: Sequence[Ref]) -> None:
        """Timber of a strength class, with a section a width, on plates and types."""
        add, plate = self.file.add, self.frame.plan.plate
        timber = add("IfcMaterial", f"softwood {plate.grade}", f"strength class {plate.grade} of EN 338", "wood")
        grade: dict[str, Value] = {"StrengthGrade": Typed(TEXT, plate.grade)}
        if plate.moisture is not None:
            grade["MoistureContent"] = Typed("IFCPOSITIVERATIOMEASURE", plate.moisture / 100)
        density: dict[str, Value] = {"MassDensity": Typed("IFCMASSDENSITYMEASURE", MEAN_DENSITY[plate.grade])}
        for name, values in (("Pset_MaterialWood", grade), ("Pset_MaterialCommon", density)):
            add("IfcMaterialProperties", name, None, self._singles(values), timber)
        widths = sorted({piece.laid.width for piece in self.frame.pieces})
        for width in widths:
            name = f"{width:g} x {plate.depth:g}"
            section = add("IfcRectangleProfileDef", Word("AREA"), name, None, width, plate.depth)
            profile = add("IfcMaterialProfile", name, None, timber, section, None, None)
            whole = add("IfcMaterialProfileSet", f"wall plate {name} {plate.grade}", None, (profile,), None)
            on = [made for made, kind in zip(kinds, self.frame.types, strict=True) if kind.shape.width == width]
            on += [made for made, piece in zip(members, self.frame.pieces, strict=True) if piece.laid.width == width]
            add("IfcRelAssociatesMaterial", self._id("material", name), None, None, None, tuple(on), whole)

    def _singles(self, values: Mapping[str, Value]) -> tuple[Ref, ...]:
        return tuple(self.file.add("IfcPropertySingleValue", name, None, value, None) for name, value in values.items())

    def _defined(self, piece: Piece, member: Ref, name: str, made: Ref) -> None:
        guid = self._id("defined", piece.mark, name)
        self.file.add("IfcRelDefinesByProperties", guid, None, None, None, (member,), made)

    def _properties(self, piece: Piece, member: Ref) -> None:
        """The standard's common properties, and how the piece is marked and laid."""
        kind = self.frame.types[piece.type].name
        common = {"Reference": Typed(IDENTIFIER, kind), "LoadBearing": Typed(TRUTH, True)}
        laps = [
            f"{half.kind}, {'under' if half.under else 'over'} half, with {self._mark(half.mate)}"
            for half in piece.halves
        ]
        laying = {
            "Mark": Typed(IDENTIFIER, piece.mark),
            "Type": Typed(IDENTIFIER, kind),
            "Grade": Typed(TEXT, self.frame.plan.plate.grade),
            "LayingOrder": Typed(WHOLE, piece.order),
            "TurnedOver": Typed(TRUTH, piece.place.turned_over),
            "Laps": Typed("IFCTEXT", "; ".join(laps)),
        }
        for name, values in (("Pset_MemberCommon", common), ("WallPlate_Laying", laying)):
            guid = self._id("properties", piece.mark, name)
            made = self.file.add("IfcPropertySet", guid, None, name, None, self._singles(values))
            self._defined(piece, member, name, made)

    def _quantities(self, piece: Piece, member: Ref) -> None:
        """Quantities as the standard has them: gross without laps and skew ends, net as the piece is."""
        shape, grade = piece.laid, self.frame.plan.plate.grade
        section = shape.width * shape.depth
        gross = section * piece.length
        bar = 2 * section + 2 * (shape.width + shape.depth) * piece.length
        found = [
            ("IfcQuantityLength", "Length", piece.length),
            ("IfcQuantityArea", "CrossSectionArea", section * MM2),
            ("IfcQuantityArea", "GrossSurfaceArea", bar * MM2),
            ("IfcQuantityArea", "NetSurfaceArea", shape.area * MM2),
            ("IfcQuantityVolume", "GrossVolume", gross * MM3),
            ("IfcQuantityVolume", "NetVolume", shape.volume * MM3),
            ("IfcQuantityWeight", "GrossWeight", mass(gross, grade)),
            ("IfcQuantityWeight", "NetWeight", piece.mass),
        ]
        name = "Qto_MemberBaseQuantities"
        made = tuple(self.file.add(entity, what, None, None, value, None) for entity, what, value in found)
        guid = self._id("quantities", piece.mark)
        whole = self.file.add("IfcElementQuantity", guid, None, name, None, None, made)
        self._defined(piece, member, name, whole)

    def _laps(self, members: Sequence[Ref]) -> None:
        """Each lap as a connection, the under piece first."""
        for joint in self.frame.joints:
            words = f"{joint.lap.kind} lap, {self._mark(joint.under)} under {self._mark(joint.over)}"
            pair = (members[joint.under], members[joint.over])
            self.file.add("IfcRelConnectsElements", self._id("lap", joint.id), None, joint.id, words, None, *pair)

    def _mark(self, piece: int) -> str:
        return self.frame.pieces[piece].mark


def faceted(file: Exchange, vertices: Sequence[Vertex], faces: Sequence[Loop]) -> Ref:
    """A closed solid of planar faces, each a loop of corners anticlockwise from outside."""
    add = file.add
    points = [add("IfcCartesianPoint", vertex) for vertex in vertices]
    made = []
    for face in faces:
        loop = add("IfcPolyLoop", tuple(points[index] for index in face))
        made.append(add("IfcFace", (add("IfcFaceOuterBound", loop, True),)))
    return add("IfcFacetedBrep", add("IfcClosedShell", tuple(made)))


def placement(file: Exchange, within: Ref | None, at: tuple[float, float, float], angle: float, over: bool) -> Ref:
    """A placement at a point, x turned by ``angle`` (degrees) in plan, z up or, ``over``, down."""
    x = (math.cos(math.radians(angle)), math.sin(math.radians(angle)), 0.0)
    turned = angle != 0.0 or over
    axis = file.add("IfcDirection", (0.0, 0.0, -1.0 if over else 1.0)) if turned else None
    along = file.add("IfcDirection", x) if turned else None
    axes = file.add("IfcAxis2Placement3D", file.add("IfcCartesianPoint", at), axis, along)
    return file.add("IfcLocalPlacement", within, axes)
