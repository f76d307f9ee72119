"""What a STEP file is to say of each piece and type, how its members are made of it, and what a file says otherwise."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence

from platemodel.frame.shape import Loop, Shape, Vertex, centroid
from platemodel.frame.values import Frame, Piece, Type
from platemodel.solid.colours import NEUTRAL, ROLE_COLOUR
from platemodel.solid.shapes import solid_of
from platemodel.solid.step_contents import Said, Whole
from platemodel.solid.step_text import Assembly, Attribute, Figures, Member, Placed
from platemodel.solid.values import EXACT, Check


def section(shape: Shape) -> str:
    """Width and depth of a plate as text."""
    return f"{shape.width:g} x {shape.depth:g} mm"


def said_of_piece(frame: Frame, piece: Piece) -> Said:
    """A piece where it stands: named by its mark, coloured by its halves."""
    figures = _figures(piece.laid, piece.vertices, piece.faces)
    words = f"wall plate of type {frame.types[piece.type].name}"
    return Said(piece.mark, words, piece.mark, ROLE_COLOUR[piece.role], figures, _of_piece(frame, piece))


def said_of_instance(frame: Frame, piece: Piece) -> Said:
    """A piece as an instance of its type."""
    return Said(piece.mark, "", "", ROLE_COLOUR[piece.role], None, _of_piece(frame, piece))


def said_of_type(frame: Frame, kind: Type) -> Said:
    """A type in its piece frame, of a neutral colour: which halves are under is a matter of each mark."""
    marks = ", ".join(frame.pieces[index].mark for index in kind.pieces)
    words = f"wall plate, {len(kind.pieces)} of it: {marks}"
    figures = _figures(kind.shape, *kind.shape.polyhedron())
    attributes = (("type", kind.name), ("marks", marks), *_of_shape(frame, kind.shape))
    return Said(kind.name, words, kind.name, NEUTRAL, figures, attributes)


def said_of_whole(frame: Frame) -> Whole:
    """The frame as the product that places its types."""
    figures = together(_figures(piece.laid, piece.vertices, piece.faces) for piece in frame.pieces)
    return Whole("frame", frame.plan.job.title, figures, len(frame.pieces))


def together(parts: Iterable[Figures]) -> Figures:
    """The figures of several solids taken as one: their volumes and areas added up, the centroid of them all."""
    known = list(parts)
    volume, area = (math.fsum(figures) for figures in zip(*((one.volume, one.area) for one in known), strict=True))
    moments = [math.fsum(one.volume * one.centroid[axis] for one in known) for axis in range(3)]
    x, y, z = (moment / volume if volume else math.nan for moment in moments)
    return Figures(volume, area, (x, y, z))


def _of_piece(frame: Frame, piece: Piece) -> tuple[Attribute, ...]:
    names = (("mark", piece.mark), ("type", frame.types[piece.type].name))
    return (*names, *_of_shape(frame, piece.shape), ("laying order", piece.order))


def _of_shape(frame: Frame, shape: Shape) -> tuple[Attribute, ...]:
    return ("grade", frame.plan.plate.grade), ("section", section(shape)), ("length", shape.length)


def _figures(shape: Shape, vertices: Sequence[Vertex], faces: Sequence[Loop]) -> Figures:
    return Figures(shape.volume, shape.area, centroid(vertices, faces))


def piece_member(frame: Frame, piece: Piece) -> Member:
    """A piece where it stands, to be written."""
    return _member(said_of_piece(frame, piece), piece.vertices, piece.faces)


def type_member(frame: Frame, kind: Type) -> Member:
    """A type in its piece frame, to be written."""
    return _member(said_of_type(frame, kind), *kind.shape.polyhedron())


def _member(said: Said, vertices: Sequence[Vertex], faces: Sequence[Loop]) -> Member:
    solid = solid_of(vertices, faces)
    return Member(said.name, solid, said.colour, said.description, said.figures, said.attributes)


def assembly(frame: Frame) -> Assembly:
    """The frame as instances of its types, which are the file's members."""
    whole = said_of_whole(frame)
    pieces = tuple(placed_piece(frame, piece) for piece in frame.pieces)
    return Assembly(whole.name, whole.description, pieces, whole.figures)


def placed_piece(frame: Frame, piece: Piece) -> Placed:
    """A piece as an instance of its type: the type's axes turned over, turned and shifted as its place says."""
    place, said = piece.place, said_of_instance(frame, piece)
    angle = math.radians(place.angle)
    cos, sin = math.cos(angle), math.sin(angle)
    y, z = (piece.shape.width, piece.shape.depth) if place.turned_over else (0.0, 0.0)
    origin = (place.x - y * sin, place.y + y * cos, place.z + z)
    up = (0.0, 0.0, -1.0 if place.turned_over else 1.0)
    return Placed(said.name, piece.type, origin, (cos, sin, 0.0), up, said.colour, said.attributes)


def said_checks(file: str, meant: Sequence[Said], found: Sequence[Said]) -> list[Check]:
    """Whether files say what is meant of their products or instances: names, colours, descriptions, attributes."""
    missing = abs(len(meant) - len(found))
    pairs = list(zip(found, meant, strict=False))
    looks = sum(not _same_look(a, b) for a, b in pairs)
    words = sum((a.description, a.attributes) != (b.description, b.attributes) for a, b in pairs)
    return [
        Check(f"{file}: solids of another name or colour", looks + missing, 0),
        Check(f"{file}: descriptions or attributes other than meant", words + missing, 0),
    ]


def _same_look(found: Said, meant: Said) -> bool:
    near = all(abs(a - b) < 1e-3 for a, b in zip(found.colour, meant.colour, strict=True))
    return near and (found.name, found.solid) == (meant.name, meant.solid)


def figures_check(file: str, found: Sequence[Said], solids: Mapping[str, Figures]) -> Check:
    """How far the validation properties in files are from what the kernel finds of the solids in them."""
    off = max((_off(said.figures, solids.get(said.name)) for said in found), default=math.inf)
    return Check(f"{file}: validation properties off the solids, relative", off, EXACT)


def whole_checks(file: str, meant: Whole, found: Whole | None, solids: Sequence[Figures]) -> list[Check]:
    """Whether a file says what is meant of its whole, and how far that is from the kernel's figures of its solids."""
    same = found is not None and (found.name, found.description) == (meant.name, meant.description)
    counted = found is not None and found.children == meant.children == len(solids)
    off = _off(found.figures if found is not None else None, together(solids) if solids else None)
    return [
        Check(f"{file}: whole named or counted other than meant", int(not (same and counted)), 0),
        Check(f"{file}: validation properties of the whole off the solids, relative", off, EXACT),
    ]


def _off(said: Figures | None, solid: Figures | None) -> float:
    if said is None or solid is None:
        return math.inf
    size = solid.volume ** (1 / 3) if solid.volume > 0 else math.nan
    parts = (
        abs(said.volume / solid.volume - 1) if solid.volume else math.inf,
        abs(said.area / solid.area - 1) if solid.area else math.inf,
        math.dist(said.centroid, solid.centroid) / size,
    )
    # a figure that is not a number is as far off as can be
    return math.inf if any(math.isnan(part) for part in parts) else max(parts)
