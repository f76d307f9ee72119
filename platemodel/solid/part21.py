"""The text of a Part 21 exchange file (ISO 10303-21): entities by number, and their values' spelling."""

from __future__ import annotations

from dataclasses import dataclass

NO_TIME = "2000-01-01T00:00:00"
"""Files hold no time, so that the same plan gives the same bytes; the standard wants one all the same."""

Value = object
"""None ($), a truth, number or text, or one of the values below; a tuple is a list of them."""


@dataclass(frozen=True)
class Ref:
    """An entity that the file holds already."""

    number: int


@dataclass(frozen=True)
class Word:
    """An item of an enumeration."""

    text: str


@dataclass(frozen=True)
class Derived:
    """An attribute that the schema works out from others (*)."""


@dataclass(frozen=True)
class Typed:
    """A value of a select, with the name of its type."""

    type: str
    value: Value


@dataclass(frozen=True)
class Heading:
    """What a file's header says: what is in it, who made, owns and approves it, and when (ISO 8601)."""

    title: str
    author: str = ""
    organisation: str = ""
    approver: str = ""
    time: str = NO_TIME


def header(schema: str, heading: Heading, name: str, system: str) -> list[str]:
    """The header section; ``name`` is the file's, ``system`` the program that wrote it."""
    people = f"{spelt((heading.author,))},{spelt((heading.organisation,))}"
    return [
        "HEADER;",
        f"FILE_DESCRIPTION({spelt((heading.title,))},'2;1');",
        f"FILE_NAME({spelt(name)},{spelt(heading.time)},{people},{spelt(system)},{spelt(system)},"
        f"{spelt(heading.approver)});",
        f"FILE_SCHEMA({spelt((schema,))});",
        "ENDSEC;",
    ]


class Exchange:
    """Entities in the order they are added, each numbered from 1."""

    def __init__(self) -> None:
        self._lines: list[str] = []

    def add(self, entity: str, *values: Value) -> Ref:
        """Add an entity by its name and all of its attributes in the schema's order."""
        number = len(self._lines) + 1
        self._lines.append(f"#{number}={entity.upper()}({','.join(map(spelt, values))});")
        return Ref(number)

    def text(self, schema: str, description: str, name: str, time: str, system: str) -> str:
        """The whole file; ``time`` as ISO 8601 has it, ``system`` the program that wrote it."""
        head = [
            "ISO-10303-21;",
            *header(schema, Heading(description, time=time), name, system),
            "DATA;",
        ]
        return "\n".join([*head, *self._lines, "ENDSEC;", "END-ISO-10303-21;", ""])


def spelt(value: Value) -> str:
    r"""A value as Part 21 spells it.

    >>> spelt((1, 2.0, 1e-5, True, None, "d'accord", Word("NEW"), Ref(3), Typed("IFCLABEL", "é")))
    "(1,2.,1.E-05,.T.,$,'d''accord',.NEW.,#3,IFCLABEL('\\X2\\00E9\\X0\\'))"
    """
    match value:
        case None:
            return "$"
        case bool():
            return ".T." if value else ".F."
        case int():
            return str(value)
        case float():
            return _real(value)
        case str():
            return f"'{letters(value)}'"
        case Ref():
            return f"#{value.number}"
        case Derived():
            return "*"
        case Word():
            return f".{value.text}."
        case Typed():
            return f"{value.type}({spelt(value.value)})"
        case tuple():
            return f"({','.join(map(spelt, value))})"
    raise TypeError(f"{type(value).__name__} has no spelling in Part 21")


def _real(value: float) -> str:
    """All digits of a number; a real has a point, and no sign where it is nothing."""
    digits, power, exponent = repr(float(value) + 0.0).partition("e")
    if "." in digits:
        digits = digits.removesuffix("0") if digits.endswith(".0") else digits
    else:
        digits += "."
    return digits + (f"E{exponent}" if power else "")


def letters(text: str) -> str:
    r"""A text in the basic alphabet: quotes and backslashes doubled, other letters by their code.

    >>> letters("5' ß")
    "5'' \\X2\\00DF\\X0\\"
    """
    found = []
    for letter in text:
        code = ord(letter)
        if letter in "'\\":
            found.append(letter * 2)
        elif 32 <= code < 127:
            found.append(letter)
        elif code < 0x10000:
            found.append(f"\\X2\\{code:04X}\\X0\\")
        else:
            found.append(f"\\X4\\{code:08X}\\X0\\")
    return "".join(found)
