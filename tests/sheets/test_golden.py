"""Sheets against golden files: a change of a drawing must be looked at before it is let in.

Write them anew with PLATEMODEL_GOLDEN=write, render them, look at them, and commit them.
"""

from __future__ import annotations

import os
import re
from pathlib import Path

import pytest

from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.sheets import drawn, svg

ROOT = Path(__file__).parents[2]
GOLDEN = ROOT / "tests" / "golden"
SHEETS = [
    ("garden-room", "plan"),
    ("garden-room", "T1"),
    ("canted-bay", "T3"),
    ("canted-bay", "T7"),
    ("two-shells", "T5"),
    ("crossing", "plan"),
]


def without_fonts(text: str) -> str:
    """A sheet without its embedded fonts, which are the same in all."""
    return re.sub(r"<style>.*?</style>", "<style/>", text, flags=re.DOTALL)


@pytest.mark.parametrize(("example", "sheet"), SHEETS)
def test_a_sheet_is_as_it_was_when_it_was_last_looked_at(example: str, sheet: str) -> None:
    frame = decide(read_plan(ROOT / "examples" / f"{example}.toml"))
    text = without_fonts(svg(drawn(frame)[sheet]))
    path = GOLDEN / f"{example}-{sheet}.svg"
    if os.environ.get("PLATEMODEL_GOLDEN") == "write":
        path.write_text(text, "utf-8")
    assert text == path.read_text("utf-8")
