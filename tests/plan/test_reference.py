"""The reference of the plan's keys: every key that the models take stands in it, with what it means."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest

from platemodel.plan.fields import Table
from platemodel.plan.model import PlanFile

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def printed() -> str:
    done = subprocess.run(
        [sys.executable, "-m", "platemodel", "schema", "--doc"], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stderr == ""
    return done.stdout


def sections(text: str) -> dict[str, dict[str, list[str]]]:
    """Rows by key, of each table of a plan by its path."""
    found: dict[str, dict[str, list[str]]] = {}
    for part in text.split("\n## ")[1:]:
        head, _, body = part.partition("\n")
        rows = [line.strip("| ").split(" | ") for line in body.splitlines() if line.startswith("| `")]
        found[head.partition(" = ")[0].strip("[]")] = {row[0].strip("`"): row for row in rows}
    return found


def inner(kind: Any) -> Iterator[type[Table]]:
    """The tables that a type may hold."""
    if isinstance(kind, type) and issubclass(kind, Table):
        yield kind
    for part in get_args(kind):
        yield from inner(part)


def keys(kind: type[Table], path: tuple[str, ...] = ()) -> Iterator[tuple[str, str]]:
    """Every key of a table and of those in it, with the path of the table; asked of the models, not of the schema."""
    for name, field in kind.model_fields.items():
        key = field.alias or name
        if path:
            yield ".".join(path), key
        for table in inner(field.annotation):
            yield from keys(table, (*path, key))


def test_every_key_of_the_models_is_there_with_its_meaning(printed: str) -> None:
    found = sections(printed)
    wanted = list(keys(PlanFile))
    assert len(wanted) > 120
    assert ("stock.yard", "count") in wanted
    assert ("cross.from", "at") in wanted
    assert ("site.survey.tape", "length") in wanted
    for table, key in wanted:
        row = found[table][key]
        assert len(row) == 4, row
        assert all(cell.strip() for cell in row), row
    assert sum(map(len, found.values())) == len(set(wanted))


def test_bounds_defaults_and_needs_are_told(printed: str) -> None:
    found = sections(printed)
    assert found["job"]["title"][3] == "needed"
    assert found["stock"]["kerf"][2:] == ["number from 0 to 50", "3"]
    assert found["plate"]["grade"][3] == '"C16"'
    assert found["laying"]["method"][2] == '"round", "pairs"'
    assert found["shell"]["corners"][2].startswith("list of at most 2000 [list of 2 [number")
    assert found["cross"]["from"][2].endswith("or a table of its own")
    assert found["opening"]["dpc"][2:] == ["true or false", "false"]


def test_the_readme_leads_to_it() -> None:
    line = next(line for line in (ROOT / "README.md").read_text("utf-8").splitlines() if "`platemodel schema`" in line)
    assert "`--doc`" in line
