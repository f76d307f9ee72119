"""STEP AP242 files of solids with names and colours, the same bytes every time, and reading them back.

Kernel traps that this module knows: the schema and unit are process-wide settings that stick, and
are only there once the STEP controller is; healing on reading is switched off, and that only takes
after the file has been read, since a proof must see the file as it stands.
"""

from __future__ import annotations

import contextlib
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from OCP.APIHeaderSection import APIHeaderSection_MakeHeader
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_HArray1OfHAsciiString, Interface_Static
from OCP.Message import Message, Message_PrinterOStream
from OCP.Quantity import Quantity_Color, Quantity_TypeOfColor
from OCP.Resource import Resource_DataMapOfAsciiStringAsciiString
from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
from OCP.STEPConstruct import STEPConstruct, STEPConstruct_Styles
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType
from OCP.StepRepr import StepRepr_HArray1OfRepresentationItem
from OCP.StepVisual import (
    StepVisual_MechanicalDesignGeometricPresentationRepresentation,
    StepVisual_PresentationStyleAssignment,
)
from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopoDS import TopoDS_Shape, TopoDS_Solid
from OCP.XCAFApp import XCAFApp_Application
from OCP.XCAFDoc import XCAFDoc_DocumentTool

from platemodel import __version__
from platemodel.solid.shapes import solids_in

Colour = tuple[float, float, float]

NO_TIME = "2000-01-01T00:00:00"
"""Files hold no time, so that the same plan gives the same bytes; the standard wants one all the same."""

_SETTINGS = {"write.step.schema": "AP242DIS", "write.step.unit": "MM", "write.surfacecurve.mode": "Off"}

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


class StepError(Exception):
    """The kernel could not write a file, or read one back."""


@dataclass(frozen=True)
class Member:
    """One solid of a STEP file: its product name and its colour (linear RGB, 0 to 1)."""

    name: str
    solid: TopoDS_Shape
    colour: Colour


@contextlib.contextmanager
def _settings() -> Iterator[None]:
    """Set the kernel's process-wide settings for one write, and put back what stood there."""
    STEPCAFControl_Controller.Init_s()
    before = {key: Interface_Static.CVal_s(key) for key in _SETTINGS}
    for key, value in _SETTINGS.items():
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


def write_step(path: Path, members: Sequence[Member], title: str) -> None:
    """Write solids as separate products of one AP242 file in millimetres.

    Raises :class:`StepError` where the kernel reports a failure.
    """
    quiet()
    document = TDocStd_Document(TCollection_ExtendedString("BinXCAF"))
    XCAFApp_Application.GetApplication_s().InitDocument(document)
    shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
    shapes.SetAutoNaming_s(False)
    for member in members:
        label = shapes.AddShape(member.solid, False)
        TDataStd_Name.Set_s(label, TCollection_ExtendedString(member.name))
    with _settings():
        writer = STEPCAFControl_Writer()
        writer.SetColorMode(False)
        writer.SetNameMode(True)
        if not writer.Transfer(document, STEPControl_StepModelType.STEPControl_AsIs):
            raise StepError(f"the kernel could not put the solids into {path.name}")
        _colour(writer, members, path.name)
        _header(writer, path.name, title)
        if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise StepError(f"the kernel could not write {path.name}")


def _colour(writer: STEPCAFControl_Writer, members: Sequence[Member], name: str) -> None:
    """Style each solid, in order: the kernel's own pass over several styles them in random order."""
    session = writer.ChangeWriter().WS()
    model = writer.ChangeWriter().Model()
    process = session.TransferWriter().FinderProcess()
    styles = STEPConstruct_Styles(session)
    looks: dict[Colour, StepVisual_PresentationStyleAssignment] = {}
    for member in members:
        item = STEPConstruct.FindEntity_s(process, member.solid)
        context = styles.FindContext(member.solid)
        if item is None or context is None:
            raise StepError(f"the kernel lost {member.name} on the way into {name}")
        look = looks.get(member.colour)
        if look is None:
            # its parts are added with it; what hangs on it later is added alone, which does not search the model
            colour = Quantity_Color(*member.colour, Quantity_TypeOfColor.Quantity_TOC_RGB)
            shade = STEPConstruct_Styles.EncodeColor_s(colour)
            look = looks[member.colour] = styles.MakeColorPSA(item, shade, shade, None, 0.0)
            model.AddWithRefs(look)
        items = StepRepr_HArray1OfRepresentationItem(1, 1)
        styled = styles.AddStyle(item, look, None)
        items.SetValue(1, styled)
        view = StepVisual_MechanicalDesignGeometricPresentationRepresentation()
        view.Init(_text(""), items, context)
        model.AddEntity(styled)
        model.AddEntity(view)


def _header(writer: STEPCAFControl_Writer, name: str, title: str) -> None:
    model = writer.ChangeWriter().Model()
    header = APIHeaderSection_MakeHeader(model)
    header.SetName(_text(name))
    header.SetTimeStamp(_text(NO_TIME))
    header.SetAuthorValue(1, _text(""))
    header.SetOrganizationValue(1, _text(""))
    header.SetPreprocessorVersion(_text(f"platemodel {__version__}"))
    header.SetOriginatingSystem(_text("platemodel"))
    header.SetAuthorisation(_text(""))
    description = Interface_HArray1OfHAsciiString(1, 1)
    description.SetValue(1, _text(title))
    header.SetDescription(description)
    header.SetImplementationLevel(_text("2;1"))


def _text(text: str) -> TCollection_HAsciiString:
    # the header takes the characters of ISO 10303-21 edition 2; the title in full stands in the report
    return TCollection_HAsciiString(text.encode("ascii", "replace").decode("ascii"))


def read_step(path: Path) -> list[TopoDS_Solid]:
    """The solids of a STEP file as they stand in it, unhealed, in the file's order.

    Raises :class:`StepError` where the file cannot be read.
    """
    quiet()
    reader = STEPControl_Reader()
    if reader.ReadFile(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise StepError(f"{path.name} cannot be read back")
    modes = Resource_DataMapOfAsciiStringAsciiString()
    for mode in _FIXES:
        modes.Bind(TCollection_AsciiString(f"FixShape.{mode}"), TCollection_AsciiString("0"))
    reader.SetShapeFixParameters(modes)
    reader.TransferRoots()
    if reader.NbShapes() == 0:
        return []
    return solids_in(reader.OneShape())


def product_names(path: Path) -> list[str]:
    """The names of the products in a STEP file, in the file's order, read from its text."""
    text = path.read_text("utf-8", "replace")
    return [name.replace("''", "'") for name in re.findall(r"=\s*PRODUCT\s*\(\s*'((?:[^']|'')*)'", text)]
