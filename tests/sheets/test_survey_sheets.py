"""The survey sheets: laid out without a fault on every shell, and what stands on them is what was found."""

from __future__ import annotations

import itertools
import json
import math
import random
from pathlib import Path

import pytest
from bench.terrace import terrace
from houses import plain_bungalow
from hypothesis import given, settings
from hypothesis import strategies as st
from layout import faults
from pages import ROOT
from plans import Spec, specs

from platemodel.plan import parse_plan
from platemodel.plan.siting import point_names
from platemodel.sheets.page import Page, Text
from platemodel.sheets.survey_sheet import survey_sheets
from platemodel.site.as_built import AsBuilt
from platemodel.site.survey import adjusted, survey_values

EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))


def surveyed(text: str, seed: int, slip: float = 80.0) -> AsBuilt:
    """A plan with lengths between all of its shells' corners and some points, one of them wrong."""
    noise = random.Random(seed)
    plan = parse_plan(text)
    walls = [wall for wall in plan.walls if wall.shell is not None]
    places = {point.name: point.design for point in point_names(dict(enumerate(plan.walls))).values()}
    added = ""
    for number, wall in enumerate(walls[:3], start=1):
        at = round(wall.length * noise.uniform(0.3, 0.7))
        places[f"mark {number}"] = wall.at(at)
        added += f"\n[[site.survey.point]]\nname = 'mark {number}'\nwall = {json.dumps(wall.name)}\nat = {at}\n"
        if len(walls) == 1:
            # lengths along it do not tell how far off it
            added += f"\n[[site.survey.offset]]\npoint = 'mark {number}'\nfrom = {json.dumps(wall.name + ' start')}\n"
            added += f"to = {json.dumps(wall.name + ' end')}\ndistance = {noise.gauss(0.0, 8.0):.0f}\n"
    true = {name: (x + noise.gauss(0.0, 8.0), y + noise.gauss(0.0, 8.0)) for name, (x, y) in places.items()}
    names = sorted(places, key=lambda name: places[name])
    near = [(a, b) for k, a in enumerate(names) for b in names[k + 1 : k + 8]]
    wrong = noise.randrange(len(near))
    for k, (a, b) in enumerate(near):
        length = math.dist(true[a], true[b]) + noise.gauss(0.0, 3.0) + (slip if k == wrong else 0.0)
        added += f"\n[[site.survey.tape]]\nfrom = {json.dumps(a)}\nto = {json.dumps(b)}\nlength = {length:.0f}\n"
    plan = parse_plan(text + added)
    found = adjusted(plan)
    assert found is not None
    return found


def texts(pages: list[Page]) -> list[str]:
    return [mark.text for page in pages for mark in page.marks if isinstance(mark, Text)]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
@pytest.mark.parametrize("seed", [1, 2])
def test_examples_are_laid_out_without_a_fault(path: Path, seed: int) -> None:
    found = surveyed(path.read_text("utf-8"), seed)
    for page in survey_sheets(found):
        assert faults(page) == []
        assert all(mark.height >= 1.8 for mark in page.marks if isinstance(mark, Text))


@settings(max_examples=10, deadline=None)
@given(specs(), st.integers(0, 10**6))
def test_random_plans_are_laid_out_without_a_fault(spec: Spec, seed: int) -> None:
    found = surveyed(spec.text(), seed)
    for page in survey_sheets(found):
        assert faults(page) == []


def test_every_reading_and_what_is_out_stands_on_the_sheets() -> None:
    found = surveyed(plain_bungalow(), 3)
    pages = survey_sheets(found)
    words = texts(pages)
    for row in found.rows:
        assert f"{row.observed:.0f}" in words
        assert f"{row.adjusted:.0f}" in words
    for leg in found.legs:
        assert f"{leg.length:.0f}" in words
    for corner in found.squares:
        by = f"{corner.by:+.0f}".replace("-", "–")
        assert by in words or by.strip("+–") == "0"
    again = [row for row in found.rows if row.mark == "take again"]
    # in the key and in the table
    assert words.count("TAKE AGAIN") == 1 + len(again)
    assert len(again) == 1
    assert "□" not in "".join(words)


def test_values_are_plain_and_whole() -> None:
    found = surveyed(plain_bungalow(), 3)
    values = survey_values(found)
    assert json.loads(json.dumps(values)) == values
    assert len(values["readings"]) == len(found.rows)
    assert {item["name"] for item in values["points"]} == set(found.points)


def test_long_terrace() -> None:
    """Long and thin: the drawing leaves out what has no room, the tables nothing."""
    found = surveyed(terrace(6), 1)
    pages = survey_sheets(found)
    for page in pages:
        assert faults(page) == []
    words = texts(pages)
    assert all(str(number) in words for number, _ in enumerate(found.rows, start=1))


def test_pairs_are_all_drawn() -> None:
    found = surveyed(plain_bungalow(), 4)
    first, *_ = survey_sheets(found)
    names = {f"P{number}" for number, _ in enumerate(found.points, start=1)}
    shown = {mark.text for mark in first.marks if isinstance(mark, Text)}
    assert names <= shown | set(itertools.chain.from_iterable(text.split() for text in shown if "No room" in text))
