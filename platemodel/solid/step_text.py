"""What we write ourselves into a STEP file's text: names, colours, figures to check by, attributes, instances.

The kernel styles several solids in random order, counts the instances of all files of a process on, and adding to its
model takes it time that grows with the square of what is there; so the few entities these need are written here.

Sources: geometric validation properties, and the number of an assembly's children, as in the CAx-IF recommended
practice for geometric and assembly validation properties, release 4.4; attributes as in its recommended practice for
user defined attributes, release 1.8 (names of both from memory, and as Open CASCADE reads them); instances and their
colours as Open CASCADE itself writes them.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from OCP.TopoDS import TopoDS_Shape

from platemodel import __version__
from platemodel.frame.shape import Vertex
from platemodel.solid.colours import Colour
from platemodel.solid.part21 import Heading, header, spelt

Attribute = tuple[str, str | int | float]
"""A name and its value: a text, a count, or a length in mm."""


class StepError(Exception):
    """The kernel could not write a file, or read one back."""


@dataclass(frozen=True)
class Figures:
    """What a reader can check a solid by: volume in mm3, surface area in mm2, centroid in mm."""

    volume: float
    area: float
    centroid: Vertex


@dataclass(frozen=True)
class Member:
    """One solid of a STEP file: its product's name and description, its colour (sRGB, 0 to 1), figures, attributes."""

    name: str
    solid: TopoDS_Shape
    colour: Colour
    description: str = ""
    figures: Figures | None = None
    attributes: tuple[Attribute, ...] = ()


@dataclass(frozen=True)
class Placed:
    """A member once in the assembly, by its index: where its axes stand, and what is this instance's own.

    ``along`` and ``up`` are unit vectors of the member's x and z.
    """

    name: str
    member: int
    origin: Vertex
    along: Vertex
    up: Vertex
    colour: Colour
    attributes: tuple[Attribute, ...] = ()


@dataclass(frozen=True)
class Assembly:
    """What places members as instances: name and description of the whole, the instances in order, figures of all."""

    name: str
    description: str
    placed: tuple[Placed, ...]
    figures: Figures | None = None


_HEADER = re.compile(r"HEADER;.*?FILE_SCHEMA\s*\(\(\s*'([^']*)'\s*\)\s*\)\s*;\s*ENDSEC;", re.DOTALL)
_LAST = "ENDSEC;\nEND-ISO-10303-21;"
_STRING = r"'(?:[^']|'')*'"
_SHAPE = re.compile(
    r"#(\d+)\s*=\s*ADVANCED_BREP_SHAPE_REPRESENTATION\s*\(\s*'[^']*'\s*,\s*\(([#\d\s,]+)\)\s*,\s*#(\d+)\s*\)\s*;"
)
_SOLID = re.compile(r"#(\d+)\s*=\s*MANIFOLD_SOLID_BREP\('[^']*'")
_INSTANCE = re.compile(r"^#(\d+)\s*=", re.MULTILINE)
_PRODUCT = re.compile(r"=\s*PRODUCT\s*\(\s*'(\d+)'\s*,\s*'\d+'\s*,\s*''\s*,\s*\(\s*#(\d+)")
_REPRESENTED = re.compile(r"=\s*SHAPE_DEFINITION_REPRESENTATION\s*\(\s*#(\d+)\s*,\s*#(\d+)\s*\)")
_SHAPE_OF = re.compile(r"#(\d+)\s*=\s*PRODUCT_DEFINITION_SHAPE\s*\(\s*''\s*,\s*''\s*,\s*#(\d+)\s*\)")
_USED = re.compile(r"=\s*PRODUCT_DEFINITION\s*\(\s*'design'\s*,\s*''\s*,\s*#\d+\s*,\s*#(\d+)\s*\)")
_MILLIMETRE = re.compile(
    r"#(\d+)\s*=\s*\(\s*LENGTH_UNIT\(\)\s*NAMED_UNIT\(\*\)\s*SI_UNIT\(\s*\.MILLI\.\s*,\s*\.METRE\.\s*\)"
)


@dataclass(frozen=True)
class _Part:
    """A member's entities, each as the reference to it."""

    definition: str
    shape: str
    representation: str
    axes: str
    solid: str
    context: str


_USAGE = (
    "FILL_AREA_STYLE_COLOUR('',{})",
    "FILL_AREA_STYLE('',({}))",
    "SURFACE_STYLE_FILL_AREA({})",
    "SURFACE_SIDE_STYLE('',({}))",
    "SURFACE_STYLE_USAGE(.BOTH.,{})",
)
"""What leads from a colour to the surfaces that have it, each by what stands before."""


class _Lines:
    """New entities, numbered on from those there are."""

    def __init__(self, last: int) -> None:
        self.number = last
        self.lines: list[str] = []
        self.known: dict[str, str] = {}

    def add(self, entity: str) -> str:
        """Write an entity; gives the reference to it."""
        self.number += 1
        self.lines.append(f"#{self.number} = {entity};")
        return f"#{self.number}"

    def once(self, entity: str) -> str:
        """The same, but an entity that is there already is taken again."""
        if entity not in self.known:
            self.known[entity] = self.add(entity)
        return self.known[entity]


@dataclass(frozen=True)
class _Writing:
    """The new lines, the reference to the file's millimetre, and whether it is AP242, which has whole numbers."""

    lines: _Lines
    millimetre: str
    modern: bool


def headed(text: str, heading: Heading, name: str) -> str:
    """The kernel's text with a header of ours: its own tells the time, and breaks long texts in two."""
    found = _HEADER.search(text)
    if found is None:
        raise StepError(f"the kernel wrote {name} otherwise than it does")
    lines = header(found[1], heading, name, f"platemodel {__version__}")
    return text[: found.start()] + "\n".join(lines) + text[found.end() :]


def completed(text: str, members: Sequence[Member], assembly: Assembly | None, modern: bool, name: str) -> str:
    """The kernel's text of some members, in order, with all that a file shall say of them.

    ``modern``: AP242, not AP214. Raises :class:`StepError` where the text is not that of the members.
    """
    parts = _parts(text, len(members), name)
    writing = _Writing(
        _Lines(max(int(found) for found in _INSTANCE.findall(text))),
        f"#{_first(_MILLIMETRE, text, name)}",
        modern,
    )
    solids = iter(members)
    text = _SOLID.sub(lambda match: f"#{match[1]} = MANIFOLD_SOLID_BREP({spelt(next(solids).name)}", text)
    product_context = f"#{_PRODUCT.findall(text)[0][1]}"
    text = _PRODUCT.sub(lambda match: f"= PRODUCT({_named(members[int(match[1])])},(#{match[2]}", text)
    styles = []
    for member, part in zip(members, parts, strict=True):
        styles.append(_style(writing.lines, member, part))
        if member.figures is not None:
            _figures(writing, member.figures, part.shape, part.context)
        _attributes(writing, member.attributes, part.definition, part.context)
    over: list[list[str]] = [[] for _ in members]
    if assembly is not None:
        _assemble(writing, assembly, parts, styles, over, text, product_context, name)
    for part, style, more in zip(parts, styles, over, strict=True):
        items = ",".join([style, *more])
        writing.lines.add(f"MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({items}),{part.context})")
    return text[: text.rindex(_LAST)] + "\n".join(writing.lines.lines) + "\n" + _LAST + "\n"


def _parts(text: str, count: int, name: str) -> list[_Part]:
    """The members' entities in the kernel's text, in order."""
    solids = set(_SOLID.findall(text))
    shape_of = {representation: shape for shape, representation in _REPRESENTED.findall(text)}
    definition_of = dict(_SHAPE_OF.findall(text))
    parts = []
    for representation, items, context in _SHAPE.findall(text):
        axes, *others = re.findall(r"\d+", items)
        shape = shape_of.get(representation, "")
        if len(others) == 1 and others[0] in solids and shape in definition_of:
            found = (definition_of[shape], shape, representation, axes, others[0], context)
            parts.append(_Part(*(f"#{number}" for number in found)))
    numbers = [int(number) for number, _ in _PRODUCT.findall(text)]
    whole = len(solids) == count and numbers == list(range(count)) and text.rstrip().endswith(_LAST)
    if len(parts) != count or not whole:
        raise StepError(f"the kernel wrote {len(parts)} solids into {name}, {count} were meant")
    return parts


def _first(pattern: re.Pattern[str], text: str, name: str) -> str:
    found = pattern.search(text)
    if found is None:
        raise StepError(f"the kernel wrote {name} otherwise than it does")
    return found[1]


def _named(member: Member) -> str:
    return f"{spelt(member.name)},{spelt(member.name)},{spelt(member.description)}"


def _usage(lines: _Lines, colour: Colour) -> str:
    """What gives surfaces a colour."""
    red, green, blue = (f"{part:.6f}" for part in colour)
    made = lines.once(f"COLOUR_RGB('',{red},{green},{blue})")
    for entity in _USAGE:
        made = lines.once(entity.format(made))
    return made


def _style(lines: _Lines, member: Member, part: _Part) -> str:
    look = lines.once(f"PRESENTATION_STYLE_ASSIGNMENT(({_usage(lines, member.colour)}))")
    return lines.add(f"STYLED_ITEM('color',({look}),{part.solid})")


def _property(lines: _Lines, definition: str, name: str, item: str, context: str) -> None:
    """Say that a property is told by one item of its own representation."""
    representation = lines.add(f"REPRESENTATION({spelt(name)},({item}),{context})")
    lines.add(f"PROPERTY_DEFINITION_REPRESENTATION({definition},{representation})")


def _figures(writing: _Writing, figures: Figures, shape: str, context: str) -> None:
    lines = writing.lines
    units = [lines.once(f"DERIVED_UNIT_ELEMENT({writing.millimetre},{power}.)") for power in (2, 3)]
    square, cubic = (lines.once(f"DERIVED_UNIT(({unit}))") for unit in units)
    x, y, z = (spelt(part) for part in figures.centroid)
    for name, item in (
        ("volume", f"MEASURE_REPRESENTATION_ITEM('volume measure',VOLUME_MEASURE({spelt(figures.volume)}),{cubic})"),
        (
            "surface area",
            f"MEASURE_REPRESENTATION_ITEM('surface area measure',AREA_MEASURE({spelt(figures.area)}),{square})",
        ),
        ("centroid", f"CARTESIAN_POINT('centre point',({x},{y},{z}))"),
    ):
        definition = lines.add(f"PROPERTY_DEFINITION('geometric validation property','{name}',{shape})")
        _property(lines, definition, name, lines.add(item), context)


def _children(writing: _Writing, count: int, shape: str, context: str) -> None:
    """Say of an assembly how many instances it has, so that a reader can tell whether it found them all."""
    lines, name = writing.lines, "number of children"
    definition = lines.add(f"PROPERTY_DEFINITION('assembly validation property','{name}',{shape})")
    _property(lines, definition, name, lines.add(_whole_number(writing, name, count)), context)


def _whole_number(writing: _Writing, name: str, value: int) -> str:
    """A count: spelt as a real in AP242 too, where the value is an INTEGER by name but first declared a NUMBER."""
    if writing.modern:
        return f"INTEGER_REPRESENTATION_ITEM({spelt(name)},{value}.)"
    return f"VALUE_REPRESENTATION_ITEM({spelt(name)},COUNT_MEASURE({value}.))"


def _attributes(writing: _Writing, attributes: Sequence[Attribute], target: str, context: str) -> None:
    lines = writing.lines
    for name, value in attributes:
        key = spelt(name)
        match value:
            case str():
                item = f"DESCRIPTIVE_REPRESENTATION_ITEM({key},{spelt(value)})"
            case int():
                item = _whole_number(writing, name, value)
            case float():
                item = f"MEASURE_REPRESENTATION_ITEM({key},LENGTH_MEASURE({spelt(value)}),{writing.millimetre})"
        general = lines.once(f"GENERAL_PROPERTY('',{key},'user defined attribute')")
        definition = lines.add(f"PROPERTY_DEFINITION({key},'user defined attribute',{target})")
        lines.add(f"GENERAL_PROPERTY_ASSOCIATION('user defined attribute','',{general},{definition})")
        _property(lines, definition, name, lines.add(item), context)


def _assemble(
    writing: _Writing,
    assembly: Assembly,
    parts: Sequence[_Part],
    styles: Sequence[str],
    over: Sequence[list[str]],
    text: str,
    product_context: str,
    name: str,
) -> None:
    """Write a product that has the members as its instances; their own colours are put to ``over`` by member."""
    lines = writing.lines
    context = lines.add(_first(re.compile(rf"^{parts[0].context}\s*=\s*(\((?:[^']|{_STRING})*?\));", re.M), text, name))
    whole = f"{spelt(assembly.name)},{spelt(assembly.name)},{spelt(assembly.description)}"
    product = lines.add(f"PRODUCT({whole},({product_context}))")
    lines.add(f"PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,({product}))")
    formation = lines.add(f"PRODUCT_DEFINITION_FORMATION('','',{product})")
    definition = lines.add(f"PRODUCT_DEFINITION('design','',{formation},#{_first(_USED, text, name)})")
    shape = lines.add(f"PRODUCT_DEFINITION_SHAPE('','',{definition})")
    places = [_axes(lines, one.origin, one.along, one.up) for one in assembly.placed]
    own = _axes(lines, (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    representation = lines.add(f"SHAPE_REPRESENTATION('',({','.join([own, *places])}),{context})")
    lines.add(f"SHAPE_DEFINITION_REPRESENTATION({shape},{representation})")
    if assembly.figures is not None:
        _figures(writing, assembly.figures, shape, context)
    _children(writing, len(assembly.placed), shape, context)
    for one, place in zip(assembly.placed, places, strict=True):
        part = parts[one.member]
        # readers show an instance's description, where it has one, instead of its name
        said = f"{spelt(one.name)},{spelt(one.name)},''"
        use = lines.add(f"NEXT_ASSEMBLY_USAGE_OCCURRENCE({said},{definition},{part.definition},$)")
        put = lines.add(f"PRODUCT_DEFINITION_SHAPE('Placement','Placement of an item',{use})")
        shift = lines.add(f"ITEM_DEFINED_TRANSFORMATION('','',{part.axes},{place})")
        between = lines.add(
            f"( REPRESENTATION_RELATIONSHIP('','',{part.representation},{representation}) "
            f"REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION({shift}) SHAPE_REPRESENTATION_RELATIONSHIP() )"
        )
        lines.add(f"CONTEXT_DEPENDENT_SHAPE_REPRESENTATION({between},{put})")
        _attributes(writing, one.attributes, use, context)
        here = lines.add(f"SHAPE_REPRESENTATION('',({place}),{part.context})")
        lines.add(f"SHAPE_DEFINITION_REPRESENTATION({put},{here})")
        look = lines.add(f"PRESENTATION_STYLE_BY_CONTEXT(({_usage(lines, one.colour)}),{here})")
        over[one.member].append(
            lines.add(f"OVER_RIDING_STYLED_ITEM('overriding color',({look}),{part.solid},{styles[one.member]})")
        )


def _axes(lines: _Lines, origin: Vertex, along: Vertex, up: Vertex) -> str:
    def ratios(vector: Vertex) -> str:
        return f"({','.join(spelt(part) for part in vector)})"

    point = lines.add(f"CARTESIAN_POINT('',{ratios(origin)})")
    axis, first = (lines.once(f"DIRECTION('',{ratios(vector)})") for vector in (up, along))
    return lines.add(f"AXIS2_PLACEMENT_3D('',{point},{axis},{first})")
