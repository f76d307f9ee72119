"""The figures of the rules: the set of the program, a plan's own on top, and every fault of such a file told once."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from typing import Any

import pytest
from houses import house

from platemodel.faults import PlanError
from platemodel.frame import decide
from platemodel.frame.saving import SQUARING
from platemodel.plan import read_plan
from platemodel.plan.values import Plan
from platemodel.site.judgements import Failure, Finding, of_findings
from platemodel.site.rule_set import DEFAULT, FIELDS, LEVELS, RuleSet, default_set, rule_set
from platemodel.site.rules import Verdict, judge

HOUSE = house() + '[rules]\nfile = "ours.toml"\n'


def plan_with(folder: Path, rules: str | bytes | None, more: str = "") -> Plan:
    (folder / "house.toml").write_text(HOUSE + more, "utf-8")
    if rules is not None:
        (folder / "ours.toml").write_bytes(rules.encode() if isinstance(rules, str) else rules)
    return read_plan(folder / "house.toml")


def fault(folder: Path, rules: str | bytes | None) -> str:
    with pytest.raises(PlanError) as caught:
        rule_set(plan_with(folder, rules))
    (only,) = caught.value.faults
    return only.text(caught.value.file).replace(f"{folder}/", "")


def test_every_figure_of_the_program_is_whole_and_has_a_source() -> None:
    data: dict[str, dict[str, Any]] = tomllib.loads(DEFAULT.read_text("utf-8"))
    for key, table in data.items():
        assert set(table) <= {*FIELDS, "sense", "memory"}, key
        assert table["level"] in LEVELS, key
        assert table["sense"] in ("most", "least", "exact"), key
        assert table["unit"] in ("mm", "degrees", "kg", "number", "times", "days", "hours"), key
        assert table["words"], key
        assert table["source"] == "common practice" or table.get("edition"), key
        assert table["unit"] != "number" or isinstance(table["value"], int), key
    assert len(default_set().figures) == len(data)


def test_splices_leave_at_a_board_s_ends_what_the_set_asks() -> None:
    assert default_set().value("board_end") == SQUARING


def test_a_plan_without_a_file_uses_the_set_of_the_program(tmp_path: Path) -> None:
    (tmp_path / "house.toml").write_text(HOUSE.split("[rules]")[0], "utf-8")
    assert rule_set(read_plan(tmp_path / "house.toml")) is default_set()


def test_a_file_changes_what_it_names_and_nothing_else(tmp_path: Path) -> None:
    text = (
        'strap_spacing = 1250\n[plate_length]\nvalue = 2400\nsource = "local code"\nedition = "2025"\nlevel = "must"\n'
    )
    rules = rule_set(plan_with(tmp_path, text + '[nails]\nlevel = "must"\n'))
    spacing, length, nails = rules["strap_spacing"], rules["plate_length"], rules["nails"]
    # a published source does not say what the plan's own file says
    assert (spacing.value, spacing.source, spacing.edition, spacing.own) == (1250.0, "rule set ours.toml", "", True)
    assert (length.value, length.source, length.edition, length.level) == (2400.0, "local code", "2025", "must")
    assert (nails.value, nails.source, nails.level) == (2.0, "NHBC Standards 2020, 7.2.6", "must")
    others = {key: figure for key, figure in rules.figures.items() if not figure.own}
    assert others == {key: default_set()[key] for key in others}
    assert len(others) == len(rules.figures) - 3


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("strap_spacng = 1250", "ours.toml:1: strap_spacng: there is no figure 'strap_spacng'; did you mean 'strap_sp"),
        ("\n[nails]\nvalue = 2.5", "ours.toml:3: nails.value: found 2.5; expected a whole number, nails of a truss"),
        ('strap_end = "450"', 'ours.toml:1: strap_end: found "450"; expected a number, from the end'),
        ("strap_end = true", "found true; expected a number"),
        ("strap_end = [1]", "found a list; expected a number"),
        ("strap_end = nan", "found nan; expected a number"),
        ("strap_end = 1e9", "above 0 and up to 1 000 000"),
        ("strap_spacing = 0", "above 0"),
        ("strap_spacing = -5", "found -5; expected a number"),
        ("leaf_overhang = -5", "from 0 to 1 000 000"),
        ('[nails]\nlevel = "strict"', 'nails.level: found "strict"; expected "must" or "advice"'),
        ('[strap_end]\nunit = "m"', 'strap_end.unit: found "m"; expected "mm"'),
        ("[strap_end]\nvalu = 1", "unknown key 'valu'; did you mean 'value'?"),
        ("[strap_end]\nsource = 3", 'found 3; expected a text in "quotes"'),
        ('[strap_end]\nsource = ""', "expected a text on one line, not empty"),
        ("strap_end = ", "ours.toml:1: is not TOML"),
        ("strap_end = 1\nstrap_end = 2", "ours.toml:2: is not TOML"),
        (b"strap_end = 1\n# \xff", "ours.toml:2: byte 0xff is not UTF-8"),
        ("strap_end = " + "[" * 3000, "is not TOML"),
        (b"#" * 1_000_001, "is larger than 1 MB"),
        (None, "house.toml:12: rules.file: ours.toml cannot be read (No such file or directory); expected a rule set"),
    ],
)
def test_a_file_that_is_no_rule_set(tmp_path: Path, text: str | bytes | None, words: str) -> None:
    if text is not None and b"[[[" in (text.encode() if isinstance(text, str) else text):
        assert re.search("is not TOML|nested too deep", fault(tmp_path, text))
    else:
        assert words in fault(tmp_path, text)


def test_all_faults_are_told_in_order(tmp_path: Path) -> None:
    with pytest.raises(PlanError) as caught:
        rule_set(plan_with(tmp_path, 'nails = 0.5\nx = 1\nstrap_end = "a"\n'))
    assert [item.line for item in caught.value.faults] == [1, 2, 3]


def test_an_empty_file_changes_nothing(tmp_path: Path) -> None:
    assert rule_set(plan_with(tmp_path, "")).figures == default_set().figures


def _of(verdicts: list[Verdict], rule: str) -> list[Verdict]:
    return [verdict for verdict in verdicts if rule in verdict.rule]


def test_rules_are_judged_with_the_plan_s_figures(tmp_path: Path) -> None:
    text = '[plate_width]\nvalue = 120\nlevel = "must"\n[lap_opening]\nvalue = 250\n'
    more = '[[opening]]\nname = "door"\nwall = "front"\nfrom = 250\nto = 1000\n'
    verdicts = judge(decide(plan_with(tmp_path, text, more)))
    (section,) = _of(verdicts, "38 x 120")
    assert (section.passed, section.level, section.source) == (False, "must", "rule set ours.toml")
    assert (section.found, section.limit) == ("50 x 100 mm", "at least 38 x 120 mm, or as local practice")
    (lap,) = _of(verdicts, "no lap over an opening")
    # the corner lap reaches 101 mm along the front: 100 and a clearance of 1
    assert (lap.passed, lap.found, lap.limit) == (False, "149 mm clear", "at least 250 mm clear")
    assert "lies only 149 mm from door ('front' 250 to 1000)" in lap.where


def test_every_verdict_says_what_was_found_and_the_limit(tmp_path: Path) -> None:
    more = "[site.straps]\ngables = ['left']\n[[site.levels.laser]]\nwall = 'front'\nat = 1\ndown = 1\n"
    for verdict in judge(decide(plan_with(tmp_path, "", more))):
        assert verdict.found, verdict
        assert verdict.limit, verdict
        assert verdict.source, verdict
        assert bool(verdict.where) != verdict.passed, verdict


def test_findings_are_judged_by_their_figures() -> None:
    rules: RuleSet = default_set()
    found = [Finding("shell_level", 8.0, "'front'"), Finding("shell_level", 8.1, "'back'")]
    (bad,) = of_findings(rules, found)
    assert (bad.failures, bad.limit) == ([Failure("'back': 8.1 mm", "8.1 mm")], "at most 8 mm")
    (good,) = of_findings(rules, found[:1])
    assert (good.failures, good.held) == ([], "8.0 mm at worst, 'front'")
    (least,) = of_findings(rules, [Finding("bed_least", 5.0, "A1"), Finding("bed_least", 9.0, "A2")])
    assert [failure.where for failure in least.failures] == ["A1: 5.0 mm"]
