"""The reference of the plan file's keys, made from its JSON Schema: every table with its keys, as Markdown."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from platemodel.plan.schema import plan_schema

Schema = Mapping[str, Any]

_KINDS = {"string": "text", "number": "number", "integer": "whole number", "boolean": "true or false"}

_BOUNDS = (
    ("minimum", "from {}"),
    ("exclusiveMinimum", "above {}"),
    ("maximum", "to {}"),
    ("exclusiveMaximum", "below {}"),
)
"""Words of JSON Schema for what a number may be, and ours."""


@dataclass(frozen=True)
class KeyLine:
    """A key of a table: its name, what it means, what may stand there, and what holds where it is left out."""

    name: str
    meaning: str
    kind: str
    default: str


@dataclass(frozen=True)
class TableText:
    """A table of the plan file by its path; ``many``: it may stand several times.

    ``needed``: every plan has it. ``choice``: something else may stand there too, so it is
    written in one line, as ``from = { … }``.
    """

    path: tuple[str, ...]
    meaning: str
    many: bool
    needed: bool
    choice: bool
    keys: tuple[KeyLine, ...]

    @property
    def head(self) -> str:
        """How the table begins in a plan file."""
        name = ".".join(self.path)
        if self.choice:
            return f"{name} = {{ … }}"
        return f"[[{name}]]" if self.many else f"[{name}]"


def reference() -> str:
    """The reference of all keys as Markdown, a table of the plan file a section."""
    parts = [
        "# Keys of the plan file",
        "Lengths are mm, angles degrees anticlockwise. [name] stands once, [[name]] as often as needed. "
        "Made by `platemodel schema --doc` from the schema that plans are judged by.",
    ]
    for found in tables():
        parts.append(f"## {found.head}")
        parts.append(_cell(found.meaning) + (" Every plan has it." if found.needed and len(found.path) == 1 else ""))
        lines = ["| key | what it is | what may stand there | left out |", "| --- | --- | --- | --- |"]
        lines += [f"| `{k.name}` | {_cell(k.meaning)} | {_cell(k.kind)} | {_cell(k.default)} |" for k in found.keys]
        parts.append("\n".join(lines))
    return "\n\n".join(parts)


def tables() -> list[TableText]:
    """Every table of a plan file, in the order of the schema, each before those inside it."""
    whole = plan_schema()
    needed = whole["required"]
    return [
        found
        for name, field in whole["properties"].items()
        for found in _tables((name,), field, name in needed, whole["$defs"])
    ]


def _tables(path: tuple[str, ...], field: Schema, needed: bool, defs: Schema) -> Iterator[TableText]:
    """The tables that may stand at a key, and those inside them."""
    choices = [(choice, many) for choice, many in _choices(field, defs) if choice.get("type") != "null"]
    for choice, many in choices:
        if "properties" not in choice:
            continue
        within = choice.get("required", ())
        lines = tuple(_line(name, of, name in within, defs) for name, of in choice["properties"].items())
        yield TableText(path, choice.get("description", ""), many, needed, len(choices) > 1, lines)
        for name, of in choice["properties"].items():
            yield from _tables((*path, name), of, name in within, defs)


def _choices(field: Schema, defs: Schema) -> Iterator[tuple[Schema, bool]]:
    """What may stand at a key; whether it is an item of a list."""
    for one in field.get("anyOf", (field,)):
        plain = _resolved(one, defs)
        if plain.get("type") == "array" and "items" in plain and "properties" in _resolved(plain["items"], defs):
            yield _resolved(plain["items"], defs), True
        else:
            yield plain, False


def _resolved(field: Schema, defs: Schema) -> Schema:
    reference = field.get("$ref")
    return field if reference is None else defs[str(reference).rpartition("/")[2]]


def _line(name: str, field: Schema, needed: bool, defs: Schema) -> KeyLine:
    kinds = [_kind(choice, many, defs) for choice, many in _choices(field, defs) if choice.get("type") != "null"]
    meaning = field.get("description") or _inner_meaning(field, defs)
    return KeyLine(name, meaning, " or ".join(dict.fromkeys(kinds)), "needed" if needed else _default(field))


def _inner_meaning(field: Schema, defs: Schema) -> str:
    """What a key means by what may stand there."""
    return next((str(choice["description"]) for choice, _ in _choices(field, defs) if "description" in choice), "")


def _kind(choice: Schema, many: bool, defs: Schema) -> str:
    """What may stand at a key, in words."""
    if "properties" in choice:
        return "tables of its own" if many else "a table of its own"
    if "enum" in choice:
        return ", ".join(_value(value) for value in choice["enum"])
    if "const" in choice:
        return _value(choice["const"])
    if choice.get("type") == "array":
        return _list(choice, defs)
    if choice.get("format") == "date":
        return "date"
    words = [_KINDS[choice["type"]]]
    words += [said.format(_value(choice[bound])) for bound, said in _BOUNDS if bound in choice]
    if "maxLength" in choice:
        words.append(f"of at most {choice['maxLength']} letters")
    return " ".join(words)


def _list(choice: Schema, defs: Schema) -> str:
    inner = " or ".join(dict.fromkeys(_kind(one, many, defs) for one, many in _choices(choice["items"], defs)))
    least, most = choice.get("minItems", 0), choice.get("maxItems")
    count = f"{least} " if least == most else f"at most {most} " if most else ""
    return f"list of {count}[{inner}]"


def _default(field: Schema) -> str:
    """What holds where a key is left out."""
    default = field.get("default")
    if default is None or default == {}:
        return "–"
    if isinstance(default, dict):
        return "as its keys say"
    return _value(default)


def _value(value: Any) -> str:
    """A value as a plan file writes it."""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        value = int(value)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(_value(item) for item in value) + "]" if value else "none"
    return json.dumps(value, ensure_ascii=False)


def _cell(text: str) -> str:
    """A text in a cell of a Markdown table, on one line."""
    return " ".join(text.split()).replace("``", "`").replace("|", "\\|")
