"""What a STEP file's text says beside its solids: products, instances, colours, figures to check by, attributes.

Read from the text alone, each thing followed through its references, as any other program must.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from platemodel.solid.colours import Colour
from platemodel.solid.step_text import Attribute, Figures

NO_COLOUR: Colour = (float("nan"),) * 3


@dataclass(frozen=True)
class Said:
    """What a file says of a product or an instance: solid's name ('' of an instance), colour, figures, attributes.

    A solid without a style, or with one that leads to no colour, has a colour of not-a-number.
    """

    name: str
    description: str
    solid: str
    colour: Colour
    figures: Figures | None
    attributes: tuple[Attribute, ...]


@dataclass(frozen=True)
class Whole:
    """What a file says of the product that places others: name, description, figures of all together, instances."""

    name: str
    description: str
    figures: Figures | None
    children: int | None


@dataclass(frozen=True)
class Contents:
    """All products that have a solid, all instances, in the file's order, and the one product that places them.

    ``whole`` is None where there is none, or more than one.
    """

    products: tuple[Said, ...]
    instances: tuple[Said, ...]
    whole: Whole | None


_WANTED = (
    r"PRODUCT\w*|\w*SHAPE_REPRESENTATION|SHAPE_DEFINITION_REPRESENTATION|MANIFOLD_SOLID_BREP|REPRESENTATION|"
    r"NEXT_ASSEMBLY_USAGE_OCCURRENCE|PROPERTY_DEFINITION\w*|GENERAL_PROPERTY\w*|\w+_REPRESENTATION_ITEM|"
    r"CARTESIAN_POINT(?=\s*\(\s*'c)|\w*STYLED_ITEM|COLOUR_RGB|FILL_AREA\w*|SURFACE_S\w*|PRESENTATION_STYLE\w*"
)
_ENTITY = re.compile(rf"^#(\d+)\s*=\s*({_WANTED})\s*\(((?:[^';]|'(?:[^']|'')*')*)\)\s*;", re.MULTILINE)
_STRING = re.compile(r"'((?:[^']|'')*)'")
_LETTERS = re.compile(r"\\X([24])\\((?:[0-9A-F]{4})+)\\X0\\")
_CODING = {"2": "utf-16-be", "4": "utf-32-be"}
_PRODUCT = re.compile(r"=\s*PRODUCT\s*\(\s*'((?:[^']|'')*)'")


def has_instances(path: Path) -> bool:
    """Whether a file places products as instances."""
    return "NEXT_ASSEMBLY_USAGE_OCCURRENCE" in path.read_text("utf-8", "replace")


def product_names(path: Path) -> list[str]:
    """The names of the products in a STEP file, in the file's order."""
    return [_letters(name) for name in _PRODUCT.findall(path.read_text("utf-8", "replace"))]


def contents(path: Path) -> Contents:
    """What a STEP file says of its products and instances."""
    return _Text(path.read_text("utf-8", "replace")).contents()


def _letters(text: str) -> str:
    """A text as ISO 10303-21 holds it, in letters again."""
    text = _LETTERS.sub(lambda match: str(bytes.fromhex(match[2]), _CODING[match[1]], "replace"), text)
    return text.replace("''", "'").replace("\\\\", "\\")


class _Text:
    """The entities of a file that are of interest: each name and arguments by number."""

    def __init__(self, text: str) -> None:
        found: list[tuple[str, str, str]] = _ENTITY.findall(text)
        self.entities = {number: (name, args) for number, name, args in found}
        self.kinds: dict[str, list[str]] = {}
        for number, (name, _) in self.entities.items():
            self.kinds.setdefault(name, []).append(number)
        self.items = {
            self.refs(number)[0]: self.refs(number)[1]
            for number in self.kinds.get("PROPERTY_DEFINITION_REPRESENTATION", [])
            if len(self.refs(number)) == 2
        }
        self.properties: dict[str, list[str]] = {}
        for number in self.kinds.get("PROPERTY_DEFINITION", []):
            for target in self.refs(number)[:1]:
                self.properties.setdefault(target, []).append(number)

    def args(self, number: str) -> str:
        """The arguments of an entity; nothing where it is of no interest or not there."""
        return self.entities.get(number, ("", ""))[1]

    def refs(self, number: str) -> list[str]:
        """The entities that an entity names."""
        return re.findall(r"#(\d+)", _STRING.sub("", self.args(number)))

    def texts(self, number: str) -> list[str]:
        """The texts of an entity, padded so that each can be asked for."""
        return [*(_letters(text) for text in _STRING.findall(self.args(number))), "", "", ""]

    def reals(self, number: str) -> list[float]:
        """The numbers of an entity."""
        plain = re.sub(r"#\d+", "", _STRING.sub("", self.args(number)))
        return [float(found) for found in re.findall(r"[-+]?\d+\.?\d*(?:E[-+]?\d+)?", plain)]

    def contents(self) -> Contents:
        """All products that have a solid, and all instances."""
        solids = set(self.kinds.get("MANIFOLD_SOLID_BREP", []))
        colours = {
            refs[-1]: self.colour(refs[0])
            for number in self.kinds.get("STYLED_ITEM", [])
            if len(refs := self.refs(number)) == 2
        }
        products = []
        for number in self.kinds.get("SHAPE_DEFINITION_REPRESENTATION", []):
            shape, representation = (*self.refs(number), "", "")[:2]
            found = [item for item in self.refs(representation) if item in solids]
            definition = next(iter(self.refs(shape)), "")
            if len(found) != 1 or self.entities.get(definition, ("",))[0] != "PRODUCT_DEFINITION":
                continue
            name, description = self.product(definition)
            attributes = tuple(self.attributes(definition))
            colour = colours.get(found[0], NO_COLOUR)
            products.append(Said(name, description, self.texts(found[0])[0], colour, self.figures(shape), attributes))
        return Contents(tuple(products), tuple(self.instances()), self.whole())

    def product(self, definition: str) -> tuple[str, str]:
        """Name and description of the product that a definition is of."""
        _, name, description, *_ = self.texts(next(iter(self.refs(next(iter(self.refs(definition)), ""))), ""))
        return name, description

    def whole(self) -> Whole | None:
        """The one product that has instances."""
        uses = self.kinds.get("NEXT_ASSEMBLY_USAGE_OCCURRENCE", [])
        places = {next(iter(self.refs(number)), "") for number in uses}
        if len(places) != 1:
            return None
        definition = places.pop()
        shapes = self.kinds.get("PRODUCT_DEFINITION_SHAPE", [])
        shape = next((number for number in shapes if self.refs(number)[:1] == [definition]), "")
        told = dict(self.told(shape, 0, "assembly validation property"))
        children = self.reals(told.get("number of children", ""))
        return Whole(*self.product(definition), self.figures(shape), int(children[0]) if children else None)

    def instances(self) -> Iterator[Said]:
        """The instances, each with the colour that overrides its product's."""
        over = {}
        for number in self.kinds.get("OVER_RIDING_STYLED_ITEM", []):
            look = next(iter(self.refs(number)), "")
            over[self.refs(look)[-1] if self.refs(look) else ""] = self.colour(look)
        shape_of = {}
        for number in self.kinds.get("PRODUCT_DEFINITION_SHAPE", []):
            shape_of[next(iter(self.refs(number)), "")] = number
        own = {}
        for number in self.kinds.get("SHAPE_DEFINITION_REPRESENTATION", []):
            shape, representation = (*self.refs(number), "", "")[:2]
            own[shape] = representation
        for number in self.kinds.get("NEXT_ASSEMBLY_USAGE_OCCURRENCE", []):
            _, name, description, *_ = self.texts(number)
            colour = over.get(own.get(shape_of.get(number, ""), ""), NO_COLOUR)
            yield Said(name, description, "", colour, None, tuple(self.attributes(number)))

    def colour(self, number: str) -> Colour:
        """The colour to which a style leads."""
        for _ in range(10):
            if self.entities.get(number, ("",))[0] == "COLOUR_RGB":
                parts = self.reals(number)
                return (parts[0], parts[1], parts[2]) if len(parts) == 3 else NO_COLOUR
            number = next(iter(self.refs(number)), "")
        return NO_COLOUR

    def told(self, target: str, kind: int, word: str) -> Iterator[tuple[str, str]]:
        """Name and item of each property of a target that has a word in its name or its description."""
        for number in self.properties.get(target, []):
            texts = self.texts(number)
            if texts[kind] == word:
                for item in self.refs(self.items.get(number, ""))[:1]:
                    yield texts[1 - kind], item

    def figures(self, shape: str) -> Figures | None:
        """The geometric validation properties of a shape; None where they are not all there."""
        found = {name: self.reals(item) for name, item in self.told(shape, 0, "geometric validation property")}
        volume, area, centroid = (found.get(name, []) for name in ("volume", "surface area", "centroid"))
        if (len(volume), len(area), len(centroid)) != (1, 1, 3):
            return None
        return Figures(volume[0], area[0], (centroid[0], centroid[1], centroid[2]))

    def attributes(self, target: str) -> Iterator[Attribute]:
        """The user defined attributes of a target, in order."""
        for name, item in self.told(target, 1, "user defined attribute"):
            kind = self.entities.get(item, ("",))[0]
            if kind == "DESCRIPTIVE_REPRESENTATION_ITEM":
                yield name, self.texts(item)[1]
            elif kind == "MEASURE_REPRESENTATION_ITEM":
                yield name, next(iter(self.reals(item)), float("nan"))
            else:
                yield name, int(next(iter(self.reals(item)), -1))
