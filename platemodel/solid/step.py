"""STEP files of solids with all that goes with them, the same bytes every time, and reading them back.

Kernel traps that this module knows: the schema and unit are process-wide settings that stick, and
are only there once the STEP controller is; healing on reading is switched off, and that only takes
after the file has been read, since a proof must see the file as it stands.
"""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_PrinterOStream
from OCP.Resource import Resource_DataMapOfAsciiStringAsciiString
from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Reader, STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType
from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_LabelSequence
from OCP.TDocStd import TDocStd_Document
from OCP.TopoDS import TopoDS_Solid
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from platemodel.solid.part21 import Heading
from platemodel.solid.shapes import solids_in
from platemodel.solid.step_contents import has_instances, product_names
from platemodel.solid.step_text import Assembly, Member, StepError, completed, headed

SCHEMAS = {"AP242": "AP242DIS", "AP214": "AP214IS"}
"""Schemas of a file, by what the kernel calls them."""

_SETTINGS = {"write.step.unit": "MM", "write.surfacecurve.mode": "Off"}

_FIXES = (
    "FixFreeShellMode",
    "FixFreeFaceMode",
    "FixFreeWireMode",
    "FixSameParameterMode",
    "FixSolidMode",
    "FixShellMode",
    "FixFaceMode",
    "FixVertexPositionMode",
    "FixVertexToleranceMode",
    "FixShellOrientationMode",
    "CreateOpenSolidMode",
    "FixWireMode",
)


@contextlib.contextmanager
def _settings(schema: str) -> Iterator[None]:
    """Set the kernel's process-wide settings for one write, and put back what stood there."""
    STEPCAFControl_Controller.Init_s()
    wanted = {**_SETTINGS, "write.step.schema": SCHEMAS[schema]}
    before = {key: Interface_Static.CVal_s(key) for key in wanted}
    for key, value in wanted.items():
        if not Interface_Static.SetCVal_s(key, value):
            raise StepError(f"the kernel does not take the setting {key} = {value}")
    try:
        yield
    finally:
        for key, value in before.items():
            Interface_Static.SetCVal_s(key, value)


def quiet() -> None:
    """Keep the kernel from printing its transfer statistics."""
    Message.DefaultMessenger_s().RemovePrinters(Message_PrinterOStream.get_type_descriptor_s())


def write_step(
    path: Path, members: Sequence[Member], heading: Heading, assembly: Assembly | None = None, schema: str = "AP242"
) -> None:
    """Write solids as products of one file in millimetres, each of its own or as instances of an assembly.

    ``schema``: one of :data:`SCHEMAS`. The file appears whole or not at all.
    Raises :class:`StepError` where the kernel reports a failure, or wrote other than what was meant.
    """
    quiet()
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    shapes.SetAutoNaming_s(False)
    for number, member in enumerate(members):
        label = shapes.AddShape(member.solid, False)
        # a number by which its product is known again, and then named
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(str(number)))
    part = path.with_name(f"{path.name}.part")
    try:
        with _settings(schema):
            writer = STEPCAFControl_Writer()
            writer.SetColorMode(False)
            writer.SetNameMode(True)
            if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
                raise StepError(f"the kernel could not put the solids into {path.name}")
            if writer.Write(str(part)) != IFSelect_ReturnStatus.IFSelect_RetDone:
                raise StepError(f"the kernel could not write {path.name}")
        text = headed(part.read_text("ascii"), heading, path.name)
        text = completed(text, members, assembly, schema == "AP242", path.name)
        part.write_text(text, "ascii", newline="\n")
        part.replace(path)
    finally:
        # a file that lacks what we add would still look good
        part.unlink(missing_ok=True)


@dataclass(frozen=True)
class ReadBack:
    """The solids of a file: of each product as it is drawn, and of each piece where it stands, with their names.

    A file without instances has one list of both.
    """

    products: list[tuple[str, TopoDS_Solid]]
    pieces: list[tuple[str, TopoDS_Solid]]


def read_pieces(path: Path) -> ReadBack:
    """The solids of a STEP file as they stand in it, unhealed, with the names of their products or instances.

    Raises :class:`StepError` where the file cannot be read.
    """
    if not has_instances(path):
        solids = read_step(path)
        names = [*product_names(path), *[""] * len(solids)]
        named = list(zip(names, solids, strict=False))
        return ReadBack(named, named)
    quiet()
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    reader = STEPCAFControl_Reader()
    reader.SetNameMode(True)
    reader.SetColorMode(False)
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise StepError(f"{path.name} cannot be read back")
    reader.SetShapeFixParameters(_unhealed())
    if not reader.Transfer(document):
        raise StepError(f"{path.name} cannot be read back")
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    roots = TDF_LabelSequence()
    products: dict[str, TopoDS_Solid] = {}
    pieces: list[tuple[str, TopoDS_Solid]] = []
    shapes.GetFreeShapes(roots)
    for root in roots:
        uses = TDF_LabelSequence()
        shapes.GetComponents_s(root, uses)
        for use in uses:
            part = TDF_Label()
            shapes.GetReferredShape_s(use, part)
            pieces += [(_name(use), solid) for solid in solids_in(shapes.GetShape_s(use))]
            products.update((_name(part), solid) for solid in solids_in(shapes.GetShape_s(part)))
    return ReadBack(list(products.items()), pieces)


def _name(label: TDF_Label) -> str:
    name = TDataStd_Name()
    # the binding of FindAttribute dies where there is none
    there = label.IsAttribute(TDataStd_Name.GetID_s()) and label.FindAttribute(TDataStd_Name.GetID_s(), name)
    return str(name.Get().ToExtString()) if there else ""


def read_step(path: Path) -> list[TopoDS_Solid]:
    """The solids of a STEP file as they stand in it, unhealed, in the file's order.

    Raises :class:`StepError` where the file cannot be read.
    """
    quiet()
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise StepError(f"{path.name} cannot be read back")
    reader.SetShapeFixParameters(_unhealed())
    reader.TransferRoots()
    if reader.NbShapes() == 0:
        return []
    return solids_in(reader.OneShape())


def _unhealed() -> Resource_DataMapOfAsciiStringAsciiString:
    modes = Resource_DataMapOfAsciiStringAsciiString()
    for mode in _FIXES:
        modes.Bind(TCollection_AsciiString(f"FixShape.{mode}"), TCollection_AsciiString("0"))
    return modes
