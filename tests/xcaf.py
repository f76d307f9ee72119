"""STEP files as the kernel's own document reads them: names, colours, instances, validation properties, attributes."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name, TDataStd_NamedData
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import (
    XCAFDoc_Area,
    XCAFDoc_Centroid,
    XCAFDoc_ColorTool,
    XCAFDoc_ColorType,
    XCAFDoc_DocumentTool,
    XCAFDoc_Volume,
)

from platemodel.solid.step import quiet

KEYS = ("mark", "type", "marks", "grade", "section", "length", "laying order")


@dataclass
class Node:
    """A product or an instance: name, sRGB colour, figures, attributes by name, its instances, what it is one of."""

    name: str = ""
    colour: tuple[float, ...] = ()
    volume: float | None = None
    area: float | None = None
    centroid: tuple[float, ...] = ()
    attributes: dict[str, str | int | float] = field(default_factory=dict)
    instances: list[Node] = field(default_factory=list)
    of: Node | None = None


def read(path: Path) -> list[Node]:
    """The products at the top of a file."""
    quiet()
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    reader = STEPCAFControl_Reader()
    for mode in (reader.SetNameMode, reader.SetColorMode, reader.SetPropsMode, reader.SetMetaMode):
        mode(True)
    assert reader.ReadFile(str(path)) == IFSelect_ReturnStatus.IFSelect_RetDone
    assert reader.Transfer(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    roots = TDF_LabelSequence()
    shapes.GetFreeShapes(roots)
    return [_node(shapes, roots.Value(number)) for number in range(1, roots.Length() + 1)]


def _found(label: TDF_Label, kind: type):  # noqa: ANN202
    # asking for one that is not there ends the process
    if not label.IsAttribute(kind.GetID_s()):
        return None
    attribute = kind()
    label.FindAttribute(kind.GetID_s(), attribute)
    return attribute


def _node(shapes, label: TDF_Label) -> Node:  # noqa: ANN001
    node = Node()
    if name := _found(label, TDataStd_Name):
        node.name = name.Get().ToExtString()
    if volume := _found(label, XCAFDoc_Volume):
        node.volume = volume.Get()
    if area := _found(label, XCAFDoc_Area):
        node.area = area.Get()
    if centroid := _found(label, XCAFDoc_Centroid):
        point = centroid.Get()
        node.centroid = (point.X(), point.Y(), point.Z())
    colour = Quantity_Color()
    if XCAFDoc_ColorTool.GetColor_s(label, XCAFDoc_ColorType.XCAFDoc_ColorSurf, colour):
        node.colour = tuple(colour.Values(Quantity_TypeOfColor.Quantity_TOC_sRGB))
    if data := _found(label, TDataStd_NamedData):
        for key in KEYS:
            word = TCollection_ExtendedString(key)
            if data.HasString(word):
                node.attributes[key] = data.GetString(word).ToExtString()
            elif data.HasReal(word):
                node.attributes[key] = data.GetReal(word)
            elif data.HasInteger(word):
                node.attributes[key] = data.GetInteger(word)
    uses = TDF_LabelSequence()
    shapes.GetComponents_s(label, uses)
    node.instances = [_node(shapes, uses.Value(number)) for number in range(1, uses.Length() + 1)]
    part = TDF_Label()
    if shapes.IsReference_s(label) and shapes.GetReferredShape_s(label, part):
        node.of = _node(shapes, part)
    return node
