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
from OCP.Resource import Resource_DataMapOfAsciiStringAsciiString
from OCP.STEPCAFControl import STEPCAFControl_Controller, STEPCAFControl_Writer
from OCP.STEPControl import STEPControl_Reader, STEPControl_StepModelType
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
    """One solid of a STEP file: its product name and its colour (sRGB, 0 to 1)."""

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
        _header(writer, path.name, title)
        if writer.Write(str(path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
            raise StepError(f"the kernel could not write {path.name}")
    text = path.read_text("ascii")
    path.write_text(_coloured(text, members, path.name), "ascii", newline="\n")


_SHAPE = re.compile(
    r"=\s*ADVANCED_BREP_SHAPE_REPRESENTATION\s*\(\s*'[^']*'\s*,\s*\(([#\d\s,]+)\)\s*,\s*#(\d+)\s*\)\s*;"
)
_SOLID = re.compile(r"#(\d+)\s*=\s*MANIFOLD_SOLID_BREP\('[^']*'")
_INSTANCE = re.compile(r"^#(\d+)\s*=", re.MULTILINE)
_LAST = "ENDSEC;\nEND-ISO-10303-21;"


def _coloured(text: str, members: Sequence[Member], name: str) -> str:
    """The text of a STEP file with a name and a style for each solid, in order.

    The kernel styles several solids in random order, and adding to its model takes it time that grows
    with the square of their number; so the few instances that a colour needs are written here.
    """
    solids = set(_SOLID.findall(text))
    shapes = []
    for items, context in _SHAPE.findall(text):
        shapes += [(item, context) for item in re.findall(r"\d+", items) if item in solids]
    if len(shapes) != len(members) or not text.rstrip().endswith(_LAST):
        raise StepError(f"the kernel wrote {len(shapes)} solids into {name}, {len(members)} were meant")
    names = {solid: member.name for member, (solid, _) in zip(members, shapes, strict=True)}
    text = _SOLID.sub(lambda match: f"#{match[1]} = MANIFOLD_SOLID_BREP('{_quoted(names[match[1]])}'", text)
    number = max(int(found) for found in _INSTANCE.findall(text))
    lines = []
    looks: dict[Colour, int] = {}
    for member, (solid, context) in zip(members, shapes, strict=True):
        if member.colour not in looks:
            red, green, blue = (f"{part:.6f}" for part in member.colour)
            chain = [
                f"COLOUR_RGB('',{red},{green},{blue})",
                f"FILL_AREA_STYLE_COLOUR('',#{number + 1})",
                f"FILL_AREA_STYLE('',(#{number + 2}))",
                f"SURFACE_STYLE_FILL_AREA(#{number + 3})",
                f"SURFACE_SIDE_STYLE('',(#{number + 4}))",
                f"SURFACE_STYLE_USAGE(.BOTH.,#{number + 5})",
                f"PRESENTATION_STYLE_ASSIGNMENT((#{number + 6}))",
            ]
            lines += [f"#{number + step} = {entity};" for step, entity in enumerate(chain, start=1)]
            number += len(chain)
            looks[member.colour] = number
        lines += [
            f"#{number + 1} = STYLED_ITEM('color',(#{looks[member.colour]}),#{solid});",
            f"#{number + 2} = MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',(",
            f"  #{number + 1}),#{context});",
        ]
        number += 2
    return text[: text.rindex(_LAST)] + "\n".join(lines) + "\n" + _LAST + "\n"


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
    description.SetValue(1, _text(_ascii(title)))
    header.SetDescription(description)
    header.SetImplementationLevel(_text("2;1"))


def _text(text: str) -> TCollection_HAsciiString:
    return TCollection_HAsciiString(text)


def _quoted(text: str) -> str:
    """A text as ISO 10303-21 holds it between apostrophes; the kernel does this for what it writes itself."""
    return _ascii(text.replace("\\", "\\\\").replace("'", "''"))


def _ascii(text: str) -> str:
    """A text whose letters beyond ASCII are told by the standard's control directive X2."""
    return re.sub(r"[^ -~]+", lambda match: f"\\X2\\{match[0].encode('utf-16-be').hex().upper()}\\X0\\", text)


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


def solid_looks(path: Path) -> list[tuple[str, Colour]]:
    """The name and colour of each solid of a STEP file, in the file's order, followed through its references.

    A solid without a style, or with one that leads to no colour, has a colour of not-a-number.
    """
    text = path.read_text("utf-8", "replace")
    entities = dict(
        re.findall(r"#(\d+)\s*=\s*((?:STYLED_ITEM|COLOUR_RGB|FILL|SURFACE|PRESENTATION)\w*\s*\([^;]*\));", text)
    )
    styles = {}
    for entity in entities.values():
        if entity.startswith("STYLED_ITEM"):
            *looks, solid = re.findall(r"#(\d+)", entity)
            styles[solid] = looks[0] if looks else ""
    found = []
    for number, name in re.findall(r"#(\d+)\s*=\s*MANIFOLD_SOLID_BREP\('((?:[^']|'')*)'", text):
        entity = entities.get(styles.get(number, ""), "")
        for _ in range(10):
            if entity.startswith("COLOUR_RGB") or not (following := re.search(r"#(\d+)", entity)):
                break
            entity = entities.get(following[1], "")
        parts = re.findall(r"[-+.\dEe]+", entity.partition("''")[2]) if entity.startswith("COLOUR_RGB") else []
        colour = tuple(float(part) for part in parts) if len(parts) == 3 else (float("nan"),) * 3
        found.append((name.replace("''", "'"), (colour[0], colour[1], colour[2])))
    return found
