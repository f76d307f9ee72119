"""Fixing and rules sheets: nothing collides on any plan, and they say what was found."""

from __future__ import annotations

import itertools

import pytest
from houses import plain_bungalow
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from layout import faults
from pages import on, plan_texts, words
from plans import Spec, specs

from platemodel.frame import Frame
from platemodel.frame.tape import whole
from platemodel.sheets.fixing_sheet import fixing_sheets
from platemodel.sheets.fixing_strips import spaced
from platemodel.sheets.page import Page
from platemodel.sheets.rules_sheet import rules_sheets
from platemodel.site.landing import landings
from platemodel.site.rule_set import FIRST
from platemodel.site.rules import Verdict, judge
from platemodel.site.strapping import strapping

STRAPS = '\n[site.straps]\ngables = ["{}"]\n'


def pages_of(frame: Frame) -> list[Page]:
    straps = strapping(frame)
    return fixing_sheets(frame, straps, landings(frame, straps)) + rules_sheets(frame, judge(frame, straps=straps))


@pytest.mark.parametrize("size", ["A4", "A3"])
@pytest.mark.parametrize("name", list(plan_texts()))
def test_nothing_collides(name: str, size: str) -> None:
    text = plan_texts()[name]
    pages = pages_of(on(text if "[site.straps]" in text else text + "\n[site.straps]\n", size))
    assert [fault for page in pages for fault in faults(page)] == []


@settings(max_examples=5, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
@given(specs())
def test_nothing_collides_on_any_plan(spec: Spec) -> None:
    pages = pages_of(on(spec.text() + STRAPS.format(spec.names[0]), "A4"))
    assert [fault for page in pages for fault in faults(page)] == []


def test_every_strap_and_truss_stands_on_its_strip() -> None:
    text = plain_bungalow()
    frame = on(text + STRAPS.format("front"), "A4")
    straps = strapping(frame)
    assert straps is not None
    landed = landings(frame, straps)
    said = words(fixing_sheets(frame, straps, landed))
    for plate in straps.plates:
        for strap in plate.straps:
            assert f"{whole(strap.at)}" in said
    for wall in landed:
        for item in wall.landed:
            assert f"{whole(item.at)}" in said
    assert "! truss 4 at 2400: over the opening 'bathroom window': lintel by the engineer." in said
    assert FIRST in said
    assert f"holding-down straps, galvanised 30 × 2.5 × 1000 {straps.new} " in said


def test_no_sheet_where_nothing_is_fixed() -> None:
    text = plain_bungalow().partition("[[bearing]]")[0]
    assert fixing_sheets(on(text, "A4"), None, []) == []


def test_failures_stand_first_and_those_that_must_hold_before_advice() -> None:
    frame = on(plain_bungalow(), "A4")
    verdicts = [
        Verdict("holds", "advice", "s", True, "", "found h", "limit h"),
        Verdict("advice fails", "advice", "s", False, "there", "found a", "limit a"),
        Verdict("must fails", "must", "Approved Document A, section 2C", False, "here", "found m", "limit m"),
    ]
    said = words(rules_sheets(frame, verdicts))
    assert FIRST in said
    order = ["NO, must must fails limit m found m here", "NO advice fails limit a found a there s", "yes holds limit h"]
    assert [said.index(part) for part in order] == sorted(said.index(part) for part in order)
    assert "from memory" in said
    assert rules_sheets(frame, []) == []


@given(st.lists(st.floats(0, 100), max_size=15).map(sorted))
@settings(deadline=None, max_examples=60, derandomize=True)
def test_figures_are_moved_apart_within_bounds(places: list[float]) -> None:
    found = spaced(places, 5.0, 0.0, 100.0)
    assert all(other - one >= 5.0 - 1e-6 for one, other in itertools.pairwise(found))
    assert all(-1e-6 <= place <= 100.0 + 1e-6 for place in found)
    if all(other - one >= 5.0 for one, other in itertools.pairwise(places)):
        assert found == pytest.approx(places)
