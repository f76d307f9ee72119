"""A small reader of clear text exchange structures (ISO 10303-21), written from the standard's grammar alone.

Instances become (name, arguments) pairs, several for a complex instance; an argument is a float, an
int, a :class:`Ref`, an :class:`Enum`, text, a list, a typed pair, None ($) or :data:`DERIVED` (*).
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Any

TOKEN = re.compile(
    r"""(?P<space>[ \r\n\t]+ | /\*.*?\*/)
      | (?P<string>'(?:[^']|'')*')
      | (?P<real>[+-]?[0-9]+\.[0-9]*(?:E[+-]?[0-9]+)?)
      | (?P<int>[+-]?[0-9]+)
      | (?P<ref>\#[0-9]+)
      | (?P<enum>\.[A-Z_][A-Z0-9_]*\.)
      | (?P<word>!?[A-Z_][A-Z0-9_]*(?:-[A-Z0-9]+)*)
      | (?P<mark>[();=,$*])""",
    re.VERBOSE | re.DOTALL,
)


@dataclass(frozen=True)
class Ref:
    """A reference to an instance."""

    id: int


@dataclass(frozen=True)
class Enum:
    """An enumeration value, without its dots."""

    name: str


DERIVED = Enum("*")
Part = tuple[str, list[Any]]


@dataclass
class Exchange:
    """A read file: header entities in order, instances by number, and all strings as they stand."""

    header: list[Part] = field(default_factory=list)
    instances: dict[int, list[Part]] = field(default_factory=dict)
    strings: list[str] = field(default_factory=list)

    def named(self, name: str) -> dict[int, list[Any]]:
        """Arguments of all instances that are, or have a part, of a name."""
        return {id: args for id, parts in self.instances.items() for word, args in parts if word == name}

    def args(self, ref: Ref, name: str) -> list[Any]:
        """Arguments of the part of one instance; it must have it."""
        (found,) = [args for word, args in self.instances[ref.id] if word == name]
        return found


class _Reader:
    def __init__(self, text: str) -> None:
        self.tokens: list[tuple[str, str]] = []
        at = 0
        while at < len(text):
            match = TOKEN.match(text, at)
            assert match is not None, f"no token of ISO 10303-21 at {text[at : at + 40]!r}"
            if match.lastgroup != "space":
                self.tokens.append((str(match.lastgroup), match[0]))
            at = match.end()
        self.at = 0
        self.read = Exchange()

    def next(self) -> tuple[str, str]:
        self.at += 1
        return self.tokens[self.at - 1]

    def peek(self) -> str:
        return self.tokens[self.at][1]

    def want(self, *texts: str) -> None:
        for text in texts:
            kind, found = self.next()
            assert found == text, f"{text} wanted, {kind} {found} found"

    def args(self) -> list[Any]:
        self.want("(")
        found: list[Any] = []
        while self.peek() != ")":
            if found:
                self.want(",")
            found.append(self.value())
        self.want(")")
        return found

    def value(self) -> Any:
        kind, text = self.tokens[self.at]
        if text == "(":
            return self.args()
        self.at += 1
        if kind == "string":
            self.read.strings.append(text[1:-1])
            return text[1:-1].replace("''", "'")
        if kind == "word":
            return text, self.args()
        simple = {"real": float, "int": int, "ref": lambda t: Ref(int(t[1:])), "enum": lambda t: Enum(t[1:-1])}
        if kind in simple:
            return simple[kind](text)
        assert text in "$*", f"{kind} {text} is no value"
        return None if text == "$" else DERIVED

    def part(self) -> Part:
        kind, name = self.next()
        assert kind == "word", f"{kind} {name} is no entity name"
        return name, self.args()

    def exchange(self) -> Exchange:
        self.want("ISO-10303-21", ";", "HEADER", ";")
        while self.peek() != "ENDSEC":
            self.read.header.append(self.part())
            self.want(";")
        self.want("ENDSEC", ";", "DATA", ";")
        while self.peek() != "ENDSEC":
            kind, text = self.next()
            assert kind == "ref", f"{text} where an instance begins"
            number = int(text[1:])
            assert number > 0
            assert number not in self.read.instances, f"#{number} twice"
            self.want("=")
            if self.peek() == "(":
                self.want("(")
                parts = []
                while self.peek() != ")":
                    parts.append(self.part())
                self.want(")")
            else:
                parts = [self.part()]
            self.read.instances[number] = parts
            self.want(";")
        self.want("ENDSEC", ";", "END-ISO-10303-21", ";")
        assert self.at == len(self.tokens), "text after the end"
        return self.read


def parse(text: str) -> Exchange:
    """Read an exchange structure; an AssertionError says where it is none."""
    return _Reader(text).exchange()


def references(value: Any) -> list[int]:
    """All references in an argument or list of arguments."""
    if isinstance(value, Ref):
        return [value.id]
    if isinstance(value, list | tuple):
        return [id for item in value for id in references(item)]
    return []
