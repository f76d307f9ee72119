"""Turn what the validation library says of a plan into faults in the trade's words."""

from __future__ import annotations

import difflib
import re
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from platemodel.faults import Fault, KeyPath, nearest
from platemodel.plan import model

_CHOICES = {
    "walk": 'expected a length in mm, or a turn: "L", "R" or degrees between -180 and 180, left positive',
    "from": 'expected a point [x, y] in mm, or { wall = "…", at = mm }',
    "to": 'expected a point [x, y] in mm, or { wall = "…", at = mm }',
    "date": "expected a date such as 2026-05-01, or a text",
    "number": "expected a text or a whole number",
    "revision": "expected a text or a whole number",
}
_TABLES: dict[str, type[BaseModel]] = {
    "job": model.Job,
    "plate": model.Plate,
    "lap": model.Lap,
    "stock": model.Stock,
    "shell": model.Shell,
    "cross": model.Cross,
    "gap": model.Gap,
    "splice": model.FixedSplice,
    "opening": model.Opening,
    "bearing": model.Bearing,
    "laying": model.Laying,
}

_SEVERAL = ("shell", "cross", "gap", "splice", "opening", "bearing")

MOST_SHOWN = 500
"""Faults that are told one by one; a file with more is no plan."""


def complaints(error: ValidationError, data: dict[str, Any]) -> list[Fault]:
    """One fault for each place of ``data`` that the library complains of."""
    places: dict[KeyPath, list[ErrorDetails]] = {}
    for detail in error.errors(include_url=False, include_context=True):
        places.setdefault(_real_path(detail, data), []).append(detail)
    # of a choice, the branch that fits better says more than that another does not fit at all
    deeper = {path[:count] for path in places for count in range(1, len(path)) if path[count - 1] in _CHOICES}
    for path in deeper & set(places):
        del places[path]
    found = [_fault(path, details, data) for path, details in list(places.items())[:MOST_SHOWN]]
    if len(places) > MOST_SHOWN:
        found.append(Fault((), f"and {len(places) - MOST_SHOWN} faults more", "expected a plan of wall plates"))
    return found


def _real_path(detail: ErrorDetails, data: Any) -> KeyPath:
    """The key path in the file: the library puts the branches of a choice in between."""
    path: list[str | int] = []
    node: Any = data
    part: Any
    for part in detail["loc"]:
        if (isinstance(node, dict) and part in node) or (
            isinstance(node, list) and isinstance(part, int) and part < len(node)
        ):
            node = node[part]
        elif not (detail["type"] == "missing" and part == detail["loc"][-1] and isinstance(node, dict)):
            continue
        path.append(part)
    return tuple(path)


def _fault(path: KeyPath, details: list[ErrorDetails], data: dict[str, Any]) -> Fault:
    detail = details[0]
    name = next((part for part in reversed(path) if isinstance(part, str)), "")
    value = _value(path, data)
    if detail["type"] == "missing":
        return _missing(path, name)
    if detail["type"] == "extra_forbidden":
        return Fault(path, f"unknown key '{name}'", _right_key(name, path))
    if len(details) > 1 and name in _CHOICES:
        return Fault(path, f"found {_shown(value)}", _CHOICES[name])
    return Fault(path, f"found {_shown(value)}", _expected(detail, path, value))


def _missing(path: KeyPath, name: str) -> Fault:
    if len(path) == 1:
        header = _header(name)
        what = "a table" if name not in _SEVERAL else "at least one"
        return Fault(path, f"{header} is missing", f"expected {what} {header}; 'platemodel new FILE' shows one")
    return Fault(path, f"the key '{name}' is missing", f"expected in {_header(str(path[0]))}{_meaning(path)}")


def _right_key(name: str, path: KeyPath) -> str:
    """What a key that is not known may have been meant for."""
    known = _known(path)
    homes = [table for table, kind in _TABLES.items() if name in _keys(kind)]
    if 0 < len(homes) <= 2 and not difflib.get_close_matches(name, known, n=1, cutoff=0.8):
        return f"it belongs in {' or '.join(_header(table) for table in homes)}"
    return nearest(name, known)


def _header(table: str) -> str:
    return f"[[{table}]]" if table in _SEVERAL else f"[{table}]"


def _expected(detail: ErrorDetails, path: KeyPath, value: Any) -> str:
    limits = detail.get("ctx", {})
    match detail["type"]:
        case "float_type" | "int_type" | "float_parsing" | "finite_number":
            quoted = isinstance(value, str) and re.fullmatch(r"\s*[-+]?\d+([.,]\d+)?\s*", value)
            return "expected a number without quotes" if quoted else "expected a number"
        case "greater_than":
            return f"expected a number greater than {limits['gt']:.10g}"
        case "greater_than_equal":
            return f"expected a number of at least {limits['ge']:.10g}"
        case "less_than":
            return f"expected a number less than {limits['lt']:.10g}"
        case "less_than_equal":
            return f"expected a number of at most {limits['le']:.10g}"
        case "literal_error":
            return f"expected {limits['expected']}"
        case "too_short":
            return f"expected a list of at least {limits['min_length']}"
        case "too_long":
            return f"expected a list of at most {limits['max_length']}"
        case "string_type":
            return 'expected a text in "quotes"'
        case "string_too_short":
            return "expected a text that is not empty"
        case "string_too_long":
            return f"expected a text of at most {limits['max_length']} characters"
        case "string_pattern_mismatch":
            return "expected a text on one line, without control characters"
        case "bool_type":
            return "expected true or false"
        case "list_type":
            several = len(path) == 1 and path[0] in _SEVERAL
            return f"expected tables under [[{path[0]}]]" if several else "expected a list [ … ]"
        case "model_type" | "dict_type" | "model_attributes_type":
            single = len(path) == 1 and path[0] in _TABLES and path[0] not in _SEVERAL
            return f"expected one table [{path[0]}]" if single else "expected a table of keys"
        case _:
            return f"expected: {detail['msg'].lower()}"


def _known(path: KeyPath) -> list[str]:
    """Keys that may stand beside the last of ``path``."""
    if len(path) == 1:
        return list(_TABLES)
    if path[0] == "cross" and len(path) == 4:
        return ["wall", "at"]
    table = _TABLES.get(str(path[0]))
    return [] if table is None else _keys(table)


def _keys(table: type[BaseModel]) -> list[str]:
    return [field.alias or key for key, field in table.model_fields.items()]


def _meaning(path: KeyPath) -> str:
    """What a missing key means, as the end of a sentence."""
    table = _TABLES.get(str(path[0]))
    if len(path) > 1 and table is not None:
        for key, field in table.model_fields.items():
            if (field.alias or key) == path[-1] and field.description:
                return f": {field.description}"
    return ""


def _value(path: KeyPath, data: Any) -> Any:
    node: Any = data
    for part in path:
        if isinstance(node, dict):
            node = node.get(part)
        elif isinstance(node, list) and isinstance(part, int):
            node = node[part]
    return node


def _shown(value: Any) -> str:
    if isinstance(value, list):
        if len(value) > 4 or any(isinstance(item, list | dict) for item in value):
            return f"a list of {len(value)}"
        text = "[" + ", ".join(_shown(item) for item in value) + "]"
    elif isinstance(value, dict):
        return "a table"
    elif isinstance(value, bool):
        return "true" if value else "false"
    elif isinstance(value, int) and abs(value) >= 10**20:
        return "a whole number of more than 20 digits"
    else:
        text = f'"{value}"' if isinstance(value, str) else f"{value}"
    return text if len(text) <= 60 else text[:57] + "…"
