"""Plans spoiled at random: each is built or refused with faults, and nothing else ever happens."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import tomli_w
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from platemodel.faults import PlanError
from platemodel.frame import decide
from platemodel.plan import parse_plan

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
TEXTS = [path.read_text("utf-8") for path in EXAMPLES]
DATA = [tomllib.loads(text) for text in TEXTS]

RUN = settings(max_examples=50, suppress_health_check=list(HealthCheck))

JUNK = ["", '"', "[", "]", "{", "}", "=", ".", "9", "-", "e", "\\", "\x00", "é", "#", ",", "nan", "\t", "'", "\n"]
VALUES = st.one_of(
    st.sampled_from(
        [0, -1, 50, 100, 1e-9, 1e300, float("nan"), float("inf"), 10**400, True, "", "front", [], {}, [[]]]
    ),
    st.floats(-1e4, 1e4),
    st.text(max_size=5),
    st.sampled_from([[0, 0], [50, 50], {"wall": "front", "at": 100}, "L", 99.99999]),
)


def outcome(text: Any) -> Any:
    """Whether a plan was built; any error but the one for faults is a failure."""
    try:
        frame = decide(parse_plan(text, "p.toml"))
    except PlanError as error:
        faults = error.faults
    else:
        assert frame.pieces
        return True
    assert faults
    for fault in faults:
        assert fault.text("p.toml").isprintable()
        assert fault.found
        assert fault.expected
    return False


def paths(node: Any, path: Any = ()) -> Any:
    if path:
        yield path
    items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in items:
        yield from paths(value, (*path, key))


def at(node: Any, path: Any) -> Any:
    for part in path:
        node = node[part]
    return node


def test_the_examples_themselves_are_built() -> None:
    assert len(TEXTS) >= 5
    assert all(outcome(text) for text in TEXTS)


@RUN
@given(st.data())
def test_mutated_text(data: Any) -> None:
    lines = data.draw(st.sampled_from(TEXTS)).split("\n")
    for _ in range(data.draw(st.integers(1, 3))):
        number = data.draw(st.integers(0, len(lines) - 1))
        how = data.draw(st.integers(0, 3))
        if how == 0:
            lines.insert(data.draw(st.integers(0, len(lines))), lines[number])
        elif how == 1 and len(lines) > 1:
            del lines[number]
        else:
            line = lines[number]
            place = data.draw(st.integers(0, len(line)))
            lines[number] = line[:place] + data.draw(st.sampled_from(JUNK)) + line[place + how - 2 :]
    outcome("\n".join(lines))


@RUN
@given(st.data())
def test_mutated_values_and_keys(data: Any) -> None:
    plan = copy.deepcopy(data.draw(st.sampled_from(DATA)))
    for _ in range(data.draw(st.integers(1, 3))):
        there = list(paths(plan))
        path = data.draw(st.sampled_from(there))
        holder, key = at(plan, path[:-1]), path[-1]
        how = data.draw(st.integers(0, 3))
        if how == 0:
            del holder[key]
        elif how == 1 and isinstance(holder, dict):
            holder[str(key)[:-1] + "x"] = holder.pop(key)
        elif how == 2 and isinstance(holder[key], int | float):
            holder[key] = holder[key] * data.draw(st.sampled_from([0.01, 0.5, 0.99, 1.01, 2, 10, -1]))
        else:
            holder[key] = copy.deepcopy(data.draw(VALUES))
        if not list(paths(plan)):
            break
    outcome(tomli_w.dumps(plan))


@RUN
@given(st.data())
def test_mutated_shapes(data: Any) -> None:
    plan = copy.deepcopy(data.draw(st.sampled_from(DATA)))
    shell = plan["shell"][0]
    names = [*shell["walls"], *(cross["name"] for cross in plan.get("cross", []))]
    along = st.sampled_from([0, 1, 50, 100, 150]) | st.floats(0, 6000)
    point = st.lists(along, min_size=2, max_size=2)
    end = point | st.fixed_dictionaries({"wall": st.sampled_from(names), "at": along})
    wall = st.sampled_from(names)
    for number in range(data.draw(st.integers(1, 4))):
        how = data.draw(st.sampled_from(["corner", "cross", "cross", "gap", "opening", "bearing", "splice", "lap"]))
        if how == "corner" and "corners" in shell:
            corner = data.draw(st.sampled_from(shell["corners"]))
            corner[data.draw(st.integers(0, 1))] += data.draw(st.floats(-3000, 3000) | st.sampled_from([-100, 1, 100]))
        elif how == "cross":
            cross = {"name": f"n{number}", "leaf": 100, "from": data.draw(end), "to": data.draw(end)}
            plan.setdefault("cross", []).append(cross)
        elif how == "gap":
            begin = data.draw(along)
            gap = {"wall": data.draw(wall), "from": begin, "to": begin + data.draw(along)}
            gap |= {"end": data.draw(st.sampled_from(["outer", "inner"]))}
            plan.setdefault("gap", []).append(gap if data.draw(st.booleans()) else {"wall": gap["wall"], "whole": True})
        elif how == "opening":
            begin = data.draw(along)
            plan.setdefault("opening", []).append({"wall": data.draw(wall), "from": begin, "to": begin + 700})
        elif how in ("bearing", "splice"):
            width = {"width": 60} if how == "bearing" else {}
            plan.setdefault(how, []).append({"wall": data.draw(wall), "at": data.draw(along)} | width)
        else:
            key = data.draw(st.sampled_from(["splice", "apart", "clearance"]))
            plan.setdefault("lap", {})[key] = data.draw(st.sampled_from([0, 1, 50, 600, 6000]))
            plan.setdefault("stock", {})["lengths"] = [data.draw(st.sampled_from([100, 900, 2400, 6000]))]
    outcome(tomli_w.dumps(plan))
