"""Read a plan file: bytes to TOML to a :class:`~platemodel.plan.values.Plan`, all faults at once."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from platemodel.faults import Fault, KeyPath, PlanError
from platemodel.plan.complaints import complaints
from platemodel.plan.lines import find_lines, line_of
from platemodel.plan.model import PlanFile
from platemodel.plan.resolving import resolve
from platemodel.plan.values import LabelStock, Plan

MOST_BYTES = 8_000_000
"""Larger than any plan: such a file is something else."""


LONGEST_KEY = re.compile(r"(?<![\w\"'-])(?:[\w\"'-]++[ \t]*+\.[ \t]*+){40}")
"""A key of more parts than any plan's: it would take the reader for ever."""

_HINTS = (
    (r"Cannot declare \((.*?),?\) twice", "the table {} stands twice", "expected it once, with all of its keys"),
    (r"Cannot overwrite a value", "a key of this line stands twice", "expected each key once in its table"),
    (
        r"Invalid value",
        "is not TOML: no value that can be read",
        'expected a number, true, false, a list [ … ] or a text in "quotes"',
    ),
    (
        r"Expected newline or end of document after a statement",
        "is not TOML: something is left over after the value",
        'expected one key = value a line, a decimal point and no comma in numbers, texts in "quotes"',
    ),
    (r"Unclosed array", "is not TOML: a list [ … ] is not closed", "expected commas between its items, ] at its end"),
    (r"Expected '=' after a key", "is not TOML: there is no = after the key", "expected key = value"),
)
"""What the TOML reader says, and what a person is told."""


def read_plan(path: str | Path) -> Plan:
    """Read and judge a plan file.

    Raises :class:`~platemodel.faults.PlanError` with every fault that was found.
    """
    return parse_plan(plan_text(path), str(path))


def plan_text(path: str | Path) -> str:
    """The text of a plan file.

    Raises :class:`~platemodel.faults.PlanError` where it cannot be read or is no text.
    """
    file = str(path)
    try:
        with open(path, "rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except OSError as error:
        expected = "expected a plan file in TOML"
        if isinstance(error, IsADirectoryError):
            expected += f", such as one of {path}/*.toml"
        fault = Fault((), f"cannot be read ({error.strerror})", expected)
        raise PlanError([fault], file) from None
    if len(raw) > MOST_BYTES:
        raise PlanError([Fault((), "is larger than 8 MB", "expected a plan file in TOML")], file)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        fault = Fault((), f"byte {raw[error.start]:#04x} is not UTF-8", "expected a text file in UTF-8", line)
        raise PlanError([fault], file) from None


def parse_plan(text: str, file: str = "plan", instead: Mapping[KeyPath, Any] | None = None) -> Plan:
    """Judge the text of a plan file; ``file`` is what faults call it.

    ``instead`` are values to put in place of what stands at key paths, as when alternatives are compared.
    Raises :class:`~platemodel.faults.PlanError` with every fault that was found.
    """
    if not text.strip():
        raise PlanError(
            [Fault((), "is empty", "expected a plan; 'platemodel new FILE' writes one to start from")], file
        )
    data = _toml(text, file)
    lines = _lines(text, file)
    for path, value in (instead or {}).items():
        _put(data, path, value, file)
    return _judged(data, file, lines)


def plan_of(values: Mapping[str, Any], file: str = "plan") -> Plan:
    """Judge a plan given as plain values: tables as mappings, lists as lists, as a plan file's TOML would give them.

    ``file`` is what faults call it, and beside it lie the files that the plan names.
    Raises :class:`~platemodel.faults.PlanError` with every fault that was found.

    >>> plan_of({"job": {"title": "Shed"}, "plate": {"width": 100, "depth": 50}, "shell": []})
    Traceback (most recent call last):
    platemodel.faults.PlanError: plan: shell: found []; expected a list of at least 1
    """
    return _judged(_copied(values), file, {})


def read_labels(path: str | Path) -> LabelStock:
    """The stock of labels that a file's [labels] tells: of a plan, or of a file that holds nothing else.

    Raises :class:`~platemodel.faults.PlanError` with every fault of that table.
    """
    file, text = str(path), plan_text(path)
    data = _toml(text, file)
    if "labels" not in data:
        raise PlanError([Fault(("labels",), "is missing", "expected a table [labels], be it empty")], file)
    return label_stock(data["labels"], file, _lines(text, file))


def label_stock(table: Any = None, file: str = "labels", lines: Mapping[KeyPath, int] | None = None) -> LabelStock:
    """The stock that a table of labels tells, an empty one where there is none; ``file`` is what faults call it.

    Raises :class:`~platemodel.faults.PlanError`.

    >>> stock = label_stock({"paper": "roll", "width": 62, "height": 29})
    >>> stock.paper, stock.columns
    ((62.0, 29.0), 1)
    """
    plan = _judged({**_LEAST, "labels": {} if table is None else table}, file, lines or {})
    assert plan.labels is not None
    return plan.labels


_LEAST: dict[str, Any] = {
    "job": {"title": "labels"},
    "plate": {"width": 100, "depth": 50},
    "shell": [{"name": "a", "leaf": 100, "closed": False, "corners": [[0, 0], [3000, 0]]}],
}
"""A plan in which labels are judged that come without one: nothing else in it can be at fault."""


def _copied(value: Any) -> Any:
    """A plan's values as TOML has them: tuples are lists, and nothing is shared with what the caller holds."""
    if isinstance(value, Mapping):
        return {key: _copied(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_copied(item) for item in value]
    return value


def _judged(data: dict[str, Any], file: str, lines: Mapping[KeyPath, int]) -> Plan:
    faults: list[Fault] = []
    whole: PlanFile | None = None
    try:
        whole = PlanFile.model_validate(data)
    except ValidationError as error:
        faults += complaints(error, data)
    plan, more = resolve(whole, data, file, lines)
    faults += more
    if faults or plan is None:
        placed = [Fault(f.path, f.found, f.expected, line_of(f.path, lines)) for f in _once(faults)]
        placed.sort(key=lambda fault: fault.line or 0)
        raise PlanError(placed, file)
    return plan


def _put(data: dict[str, Any], path: KeyPath, value: Any, file: str) -> None:
    """Put a value at a key path, making the tables on the way."""
    place: Any = data
    for key in path[:-1]:
        place = place.setdefault(key, {}) if isinstance(place, dict) else None
    if not isinstance(place, dict):
        raise PlanError([Fault(path, "is no key of a table", "expected one such as stock.kerf")], file)
    place[path[-1]] = value


def _lines(text: str, file: str) -> Mapping[KeyPath, int]:
    try:
        return find_lines(text)
    except RecursionError:
        raise PlanError([Fault((), "is nested too deep", "expected a plan file in TOML")], file) from None


def _once(faults: list[Fault]) -> list[Fault]:
    return list(dict.fromkeys(faults))


def _toml(text: str, file: str) -> dict[str, Any]:
    def refused(found: str, expected: str = "expected a plan file in TOML", line: int | None = None) -> PlanError:
        return PlanError([Fault((), found, expected, line)], file)

    long = LONGEST_KEY.search(text)
    if long is not None:
        raise refused("a key has more than 40 parts", line=text.count("\n", 0, long.start()) + 1)
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        match = re.search(r"\(at line (\d+), column (\d+)\)", message)
        line = int(match.group(1)) if match else text.count("\n") + 1
        raise refused(*_in_words(re.sub(r"\s*\(at [^()]*\)$", "", message)), line) from None
    except RecursionError:
        raise refused("is nested too deep") from None
    except ValueError as error:  # a number of more digits than Python will read
        raise refused(f"cannot be read ({error})") from None


def _in_words(message: str) -> tuple[str, str]:
    """What the TOML reader says, as what was found and what was expected."""
    for pattern, found, expected in _HINTS:
        match = re.match(pattern, message)
        if match is not None:
            name = ".".join(re.findall(r"'([^']*)'", match.group(1))) if match.groups() else ""
            return found.format(f"[{name}]"), expected
    return f"is not TOML ({message})", "expected key = value, [table] or [[list of tables]]"
