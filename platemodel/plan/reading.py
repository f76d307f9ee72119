"""Read a plan file: bytes to TOML to a :class:`~platemodel.plan.values.Plan`, all faults at once."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from platemodel.faults import Fault, PlanError
from platemodel.plan.complaints import complaints
from platemodel.plan.lines import find_lines, line_of
from platemodel.plan.model import PlanFile
from platemodel.plan.resolving import resolve
from platemodel.plan.values import Plan

MOST_BYTES = 8_000_000
"""Larger than any plan: such a file is something else."""


def read_plan(path: str | Path) -> Plan:
    """Read and judge a plan file.

    Raises :class:`~platemodel.faults.PlanError` with every fault that was found.
    """
    file = str(path)
    try:
        with open(path, "rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except OSError as error:
        fault = Fault((), f"cannot be read ({error.strerror})", "expected a plan file in TOML")
        raise PlanError([fault], file) from None
    if len(raw) > MOST_BYTES:
        raise PlanError([Fault((), "is larger than 8 MB", "expected a plan file in TOML")], file)
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        fault = Fault((), f"byte {raw[error.start]:#04x} is not UTF-8", "expected a text file in UTF-8", line)
        raise PlanError([fault], file) from None
    return parse_plan(text, file)


def parse_plan(text: str, file: str = "plan") -> Plan:
    """Judge the text of a plan file; ``file`` is what faults call it.

    Raises :class:`~platemodel.faults.PlanError` with every fault that was found.
    """
    if not text.strip():
        raise PlanError(
            [Fault((), "is empty", "expected a plan; 'platemodel new FILE' writes one to start from")], file
        )
    data = _toml(text, file)
    lines = find_lines(text)
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


def _once(faults: list[Fault]) -> list[Fault]:
    return list(dict.fromkeys(faults))


def _toml(text: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        message = str(error)
        match = re.search(r"\(at line (\d+), column (\d+)\)", message)
        line = int(match.group(1)) if match else text.count("\n") + 1
        what = re.sub(r"\s*\(at .*\)$", "", message)
        fault = Fault((), f"is not TOML ({what})", "expected key = value, [table] or [[list of tables]]", line)
        raise PlanError([fault], file) from None
    except RecursionError:
        raise PlanError([Fault((), "is nested too deep", "expected a plan file in TOML")], file) from None
    except ValueError as error:  # a number of more digits than Python will read
        raise PlanError([Fault((), f"cannot be read ({error})", "expected a plan file in TOML")], file) from None
