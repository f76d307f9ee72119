"""Solids of the CAD kernel from corners and faces, and what can be read off them again.

Faces, edges and corners are made and shared directly: a polyhedron whose faces are known needs no
sewing, and comes out with the fewest faces there are.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
from OCP.BRepGProp import BRepGProp
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.Geom import Geom_Plane
from OCP.gp import gp_Dir, gp_Pnt
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS, TopoDS_Face, TopoDS_Shape, TopoDS_Shell, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire
from OCP.TopTools import TopTools_ListOfShape

from platemodel.frame.shape import Loop, Vertex, face_normal

TOLERANCE = 1e-7
"""The kernel's own confusion distance (mm)."""


def solid_of(vertices: Sequence[Vertex], faces: Sequence[Loop]) -> TopoDS_Solid:
    """A solid from corners and planar faces, each a loop anticlockwise from outside."""
    builder = BRep_Builder()
    corners = []
    for vertex in vertices:
        corner = TopoDS_Vertex()
        builder.MakeVertex(corner, gp_Pnt(*vertex), TOLERANCE)
        corners.append(corner)
    edges: dict[tuple[int, int], TopoDS_Shape] = {}
    shell = TopoDS_Shell()
    builder.MakeShell(shell)
    for loop in faces:
        face, wire = TopoDS_Face(), TopoDS_Wire()
        plane = Geom_Plane(gp_Pnt(*vertices[loop[0]]), gp_Dir(*face_normal([vertices[index] for index in loop])))
        builder.MakeFace(face, plane, TOLERANCE)
        builder.MakeWire(wire)
        for here, there in zip(loop, (*loop[1:], loop[0]), strict=True):
            key = (here, there) if here < there else (there, here)
            edge = edges.get(key)
            if edge is None:
                edge = edges[key] = BRepBuilderAPI_MakeEdge(corners[key[0]], corners[key[1]]).Edge()
            builder.Add(wire, edge if here < there else edge.Reversed())
        wire.Closed(True)
        builder.Add(face, wire)
        builder.Add(shell, face)
    shell.Closed(True)
    solid = TopoDS_Solid()
    builder.MakeSolid(solid)
    builder.Add(solid, shell)
    return solid


def volume(shape: TopoDS_Shape) -> float:
    """Volume of a shape's solids, mm3."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def middle(shape: TopoDS_Shape) -> Vertex:
    """Centroid of a shape's solids, mm."""
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    point = properties.CentreOfMass()
    return point.X(), point.Y(), point.Z()


def area(shape: TopoDS_Shape) -> float:
    """Surface area of a shape, mm2."""
    properties = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, properties)
    return float(properties.Mass())


def common_volume(one: TopoDS_Shape, other: TopoDS_Shape) -> float:
    """The volume two solids share, mm3, by the kernel's boolean; not a number where it reports an error."""
    operation = BRepAlgoAPI_Common()
    for put, shape in ((operation.SetArguments, one), (operation.SetTools, other)):
        shapes = TopTools_ListOfShape()
        shapes.Append(shape)
        put(shapes)
    operation.SetToFillHistory(False)
    # an inverted solid is found by its volume; looking for one here costs a third of the time
    operation.SetCheckInverted(False)
    operation.Build()
    if not operation.IsDone():
        return float("nan")
    return volume(operation.Shape())


def explore(shape: TopoDS_Shape, kind: TopAbs_ShapeEnum) -> Iterator[TopoDS_Shape]:
    """The parts of one kind of a shape, in the shape's order."""
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def solids_in(shape: TopoDS_Shape) -> list[TopoDS_Solid]:
    """The solids of a shape, in the shape's order."""
    return [TopoDS.Solid_s(part) for part in explore(shape, TopAbs_ShapeEnum.TopAbs_SOLID)]


def face_loops(face: TopoDS_Face) -> list[list[Vertex]]:
    """The corners of each wire of a face, in the wire's order as the face turns it."""
    loops = []
    for wire in explore(face, TopAbs_ShapeEnum.TopAbs_WIRE):
        points = []
        explorer = BRepTools_WireExplorer(TopoDS.Wire_s(wire), face)
        while explorer.More():
            point = BRep_Tool.Pnt_s(explorer.CurrentVertex())
            points.append((point.X(), point.Y(), point.Z()))
            explorer.Next()
        loops.append(points)
    return loops
