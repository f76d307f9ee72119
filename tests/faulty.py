"""A sound plan to spoil, and what is said of a spoiled one."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import pytest
import tomli_w

from platemodel.cli import main
from platemodel.faults import Fault, PlanError
from platemodel.frame import decide
from platemodel.plan import parse_plan

SOUND = """\
[job]
title = "Store"
[plate]
width = 100
depth = 50
[lap]
clearance = 1
[stock]
lengths = [3600, 6000]
[[shell]]
name = "store"
leaf = 100
corners = [[0, 0], [5400, 0], [5400, 3600], [0, 3600]]
walls = ["front", "right", "back", "left"]
[[cross]]
name = "spine"
leaf = 100
from = { wall = "front", at = 2400 }
to = { wall = "back", at = 3000 }
[[gap]]
wall = "left"
from = 1000
to = 1500
[[opening]]
name = "window"
wall = "front"
from = 500
to = 1400
[[bearing]]
name = "beam"
wall = "back"
at = 1000
width = 70
[laying]
start = "front"
"""


def sound() -> dict[str, Any]:
    """The sound plan as values that may be changed."""
    return tomllib.loads(SOUND)


def changed(*changes: tuple[tuple[str | int, ...], Any]) -> str:
    """The sound plan with values put in at key paths; a list is added to at its end."""
    data = sound()
    for path, value in changes:
        node: Any = data
        for part in path[:-1]:
            node = node.setdefault(part, {}) if isinstance(node, dict) else node[part]
        if isinstance(node, list) and path[-1] == len(node):
            node.append(copy.deepcopy(value))
        else:
            node[path[-1]] = copy.deepcopy(value)
    return tomli_w.dumps(data)


def shell_plan(corners: list[list[float]], extra: str = "", **keys: Any) -> str:
    """A plan of one shell and nothing on it, 100 by 50 plates."""
    data = {
        "job": {"title": "Shell"},
        "plate": {"width": 100, "depth": 50},
        "shell": [{"name": "s", "leaf": 100, "corners": corners} | keys],
    }
    return tomli_w.dumps(data) + extra


def faults(text: str) -> tuple[Fault, ...]:
    """All faults of a plan that is not sound, each with a line that is in the text."""
    try:
        decide(parse_plan(text, "p.toml"))
    except PlanError as error:
        found = error.faults
    else:
        raise AssertionError("the plan is taken as sound")
    for fault in found:
        assert fault.text("p.toml").startswith("p.toml:")
        assert "\n" not in fault.text("p.toml")
        assert fault.line is None or 1 <= fault.line <= text.count("\n") + 1
    return found


def fault(text: str) -> Fault:
    """The one fault of a plan."""
    found = faults(text)
    assert len(found) == 1, [item.text("p.toml") for item in found]
    return found[0]


def left(arguments: Any, capsys: Any) -> Any:
    """Exit code, output and errors of a command run here."""
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    said = capsys.readouterr()
    assert "Traceback" not in said.err, said.err
    return ended.value.code, said.out, said.err
