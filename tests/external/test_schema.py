"""The JSON Schema that the program prints, with the jsonschema package.

JSON Schema draft 2020-12: https://json-schema.org/draft/2020-12/schema
"""

from __future__ import annotations

import copy
import datetime
import json
import subprocess
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from built import PLANS
from jsonschema import Draft202012Validator, ValidationError

from platemodel.faults import PlanError
from platemodel.plan import parse_plan


def _plain(value: Any) -> Any:
    """A TOML value as JSON has it: dates as ISO 8601 text."""
    if isinstance(value, datetime.date):
        return value.isoformat()
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return value


def read(path: Path) -> dict[str, Any]:
    values: dict[str, Any] = _plain(tomllib.loads(path.read_text("utf-8")))
    return values


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    command = [sys.executable, "-m", "platemodel", "schema"]
    printed = subprocess.run(command, capture_output=True, text=True, check=True)
    assert printed.stderr == ""
    values: dict[str, Any] = json.loads(printed.stdout)
    return values


def test_it_keeps_to_its_own_meta_schema(schema: dict[str, Any]) -> None:
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    Draft202012Validator.check_schema(schema)


def test_the_examples_keep_to_it(schema: dict[str, Any]) -> None:
    assert len(PLANS) >= 7
    for path in PLANS.values():
        Draft202012Validator(schema).validate(read(path))


def _without(*keys: str | int) -> Callable[[dict[str, Any]], None]:
    def change(plan: dict[str, Any]) -> None:
        at: Any = plan
        for key in keys[:-1]:
            at = at[key]
        del at[keys[-1]]

    return change


def _with(value: Any, *keys: str | int) -> Callable[[dict[str, Any]], None]:
    def change(plan: dict[str, Any]) -> None:
        at: Any = plan
        for key in keys[:-1]:
            at = at[key]
        at[keys[-1]] = value

    return change


BROKEN = {
    "no title": _without("job", "title"),
    "no job": _without("job"),
    "no width": _without("plate", "width"),
    "no shell": _without("shell"),
    "an empty list of shells": _with([], "shell"),
    "an unknown key": _with(1, "plate", "heigth"),
    "an unknown table": _with({}, "roof"),
    "a width in words": _with("100 mm", "plate", "width"),
    "a width of nothing": _with(0, "plate", "width"),
    "a negative depth": _with(-50, "plate", "depth"),
    "a truth for a number": _with(True, "plate", "depth"),
    "a grade that is none": _with("C17", "plate", "grade"),
    "a tolerance class that is none": _with("T3", "plate", "tolerance"),
    "a moisture beyond all": _with(200, "plate", "moisture"),
    "a widest board in words": _with("103 mm", "plate", "widest"),
    "a sheet that is none": _with("A5", "job", "sheet"),
    "a negative kerf": _with(-3, "stock", "kerf"),
    "no stock lengths": _with([], "stock", "lengths"),
    "a corner of three numbers": _with([[0, 0], [1, 2, 3], [4000, 3000]], "shell", 0, "corners"),
    "walls that are no list": _with("front", "shell", 0, "walls"),
    "a method that is none": _with({"method": "square"}, "laying"),
}


@pytest.mark.parametrize("case", list(BROKEN))
def test_broken_plans_do_not_keep_to_it(schema: dict[str, Any], case: str) -> None:
    plan = copy.deepcopy(read(PLANS["bungalow"]))
    Draft202012Validator(schema).validate(plan)
    BROKEN[case](plan)
    with pytest.raises(ValidationError):
        Draft202012Validator(schema).validate(plan)
    # and the program itself refuses the same plan
    with pytest.raises(PlanError):
        parse_plan(tomli_w.dumps(plan))
