"""Turn what the validation library says of a plan into faults in the trade's words."""

from __future__ import annotations

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


def complaints(error: ValidationError, data: dict[str, Any]) -> list[Fault]:
    """One fault for each place of ``data`` that the library complains of."""
    places: dict[KeyPath, list[ErrorDetails]] = {}
    for detail in error.errors(include_url=False, include_context=True):
        places.setdefault(_real_path(detail, data), []).append(detail)
    return [_fault(path, details, data) for path, details in places.items()]


def _real_path(detail: ErrorDetails, data: Any) -> KeyPath:
    """The key path in the file: the library puts the branches of a choice in between."""
    path: list[str | int] = []
    node: Any = data
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
        where = "the plan" if len(path) == 1 else f"[{path[0]}]"
        return Fault(path, f"the key '{name}' is missing", f"expected in {where}{_meaning(path)}")
    if detail["type"] == "extra_forbidden":
        return Fault(path, f"unknown key '{name}'", nearest(name, _known(path)))
    if len(details) > 1 and name in _CHOICES:
        return Fault(path, f"found {_shown(value)}", _CHOICES[name])
    return Fault(path, f"found {_shown(value)}", _expected(detail, path, value))


def _expected(detail: ErrorDetails, path: KeyPath, value: Any) -> str:
    limits = detail.get("ctx", {})
    match detail["type"]:
        case "float_type" | "int_type" | "float_parsing" | "finite_number":
            return "expected a finite number"
        case "greater_than":
            return f"expected a number greater than {limits['gt']:g}"
        case "greater_than_equal":
            return f"expected a number of at least {limits['ge']:g}"
        case "less_than":
            return f"expected a number less than {limits['lt']:g}"
        case "less_than_equal":
            return f"expected a number of at most {limits['le']:g}"
        case "literal_error":
            choices = [word.strip("' ") for word in str(limits["expected"]).replace(" or ", ", ").split(", ")]
            return nearest(str(value), choices) if isinstance(value, str) else f"expected {limits['expected']}"
        case "too_short":
            return f"expected at least {limits['min_length']} items"
        case "too_long":
            return f"expected at most {limits['max_length']} items"
        case "string_type":
            return "expected a text"
        case "string_too_short":
            return "expected a text that is not empty"
        case "string_too_long":
            return f"expected a text of at most {limits['max_length']} characters"
        case "string_pattern_mismatch":
            return "expected a name without control characters"
        case "bool_type":
            return "expected true or false"
        case "list_type":
            several = len(path) == 1 and path[0] in _TABLES
            return f"expected tables under [[{path[0]}]]" if several else "expected a list [ … ]"
        case "model_type" | "dict_type" | "model_attributes_type":
            return "expected a table of keys"
        case _:
            return f"expected: {detail['msg'].lower()}"


def _known(path: KeyPath) -> list[str]:
    """Keys that may stand beside the last of ``path``."""
    if len(path) == 1:
        return list(_TABLES)
    if path[0] == "cross" and len(path) == 4:
        return ["wall", "at"]
    table = _TABLES.get(str(path[0]))
    return [] if table is None else [field.alias or key for key, field in table.model_fields.items()]


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
        return f"a list of {len(value)}" if len(value) > 4 else str(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, bool):
        return "true" if value else "false"
    text = f'"{value}"' if isinstance(value, str) else f"{value}"
    return text if len(text) <= 60 else text[:57] + "…"
