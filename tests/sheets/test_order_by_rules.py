"""What a plan's own rule set and its straps make of the order, the setting-out sheet, the rules sheet and the page."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from houses import house
from layout import faults
from pages import words

from platemodel.export.fixings import Fixings, fixings
from platemodel.export.lists import buying_list, fixings_list
from platemodel.export.report import report
from platemodel.frame import Frame, decide
from platemodel.plan import read_plan
from platemodel.sheets import drawn
from platemodel.site.landing import landings
from platemodel.site.onwall import on_the_wall
from platemodel.site.strapping import strapping
from platemodel.web import index_page

RULES = """
screw_diameter = 6
screw_short = 12
nails = 3
nail_diameter = 3.75
nail_length = 90
strap_width = 40
strap_thickness = 3
strap_spacing = 1250
strap_fixings = 6
strap_plate_nails = 3
spare_boards = 2
set_diagonal = 3
set_span = 4
shell_straight = 5
"""
TRUSSES = """
[[bearing]]
name = "truss"
wall = "front"
every = 600
from = 600
to = 5400
width = 35
"""


@pytest.fixture(scope="module")
def frame(tmp_path_factory: pytest.TempPathFactory) -> Frame:
    """The plain house with trusses, straps, one of them built in, and a rule set of its own."""
    folder = tmp_path_factory.mktemp("ruled")
    (folder / "ours.toml").write_text(RULES, "utf-8")
    text = house() + TRUSSES + '[site.straps]\n[[strap]]\nwall = "back"\nat = 1000\n[rules]\nfile = "ours.toml"\n'
    (folder / "plan.toml").write_text(text, "utf-8")
    return decide(read_plan(folder / "plan.toml"))


def lines(needed: Fixings) -> dict[str, tuple[str, int]]:
    return {line.item: (line.size, line.number) for line in needed.lines}


def test_the_order_has_the_figures_of_the_rule_set_and_what_was_found_on_the_wall(frame: Frame) -> None:
    straps = strapping(frame)
    assert straps is not None
    stand = sum(len(plate.straps) for plate in straps.plates)
    # trusses at 600, 1200 … 5400
    assert [len(wall.landed) for wall in landings(frame, straps)] == [9]
    needed = fixings(frame, on_the_wall(frame))
    assert fixings(frame) == needed
    # 12 short of the underside of 50: 35 is the longest sold
    assert lines(needed) == {
        "wood screws": ("6 × 35", 2 * len(frame.joints)),
        "round wire nails": ("3.75 × 90", 3 * 9),
        "holding-down straps": ("40 × 3 × 1000", stand - 1),
        "masonry nails, 6 a strap": ("4 × 75", 6 * (stand - 1)),
        "plate fixings, 3 a strap": ("by its maker", 3 * (stand - 1)),
    }
    # no further apart than 1250 of the rule set
    assert max(max(plate.spacings, default=0.0) for plate in straps.plates) <= 1250.0 + 1e-6
    rows = list(csv.DictReader(io.StringIO(fixings_list(needed))))
    assert {row["item"]: int(row["number"]) for row in rows} == {item: n for item, (_, n) in lines(needed).items()}
    assert [int(row["spare"]) for row in csv.DictReader(io.StringIO(buying_list(frame)))].count(2) == 1
    told = report(frame, [], None, wall=on_the_wall(frame))["buying"]["fixings"]
    assert (told["straps"], told["bearings"], told["truss_nails"]) == (stand - 1, 9, 27)


def test_the_sheets_say_the_figures_of_the_rule_set(frame: Frame) -> None:
    pages = drawn(frame, on_the_wall(frame))
    assert [fault for name, page in pages.items() if name[0] != "T" for fault in faults(page)] == []
    said = words([page for name, page in pages.items() if name.startswith("setting")])
    assert "Diagonals, within 3 mm" in said
    assert "Diagonals and sides: 3 mm; spans that carry: 4 mm" in said
    assert "rule set ours.toml" in said
    assert "within 5 mm in any 5 m (rule set ours.toml)" in said
    order = words([page for name, page in pages.items() if name.startswith("buying")])
    fixing = words([page for name, page in pages.items() if name.startswith("fixing")])
    for item, (size, number) in lines(fixings(frame)).items():
        assert item in order
        assert item in fixing
        assert size in order
        assert f" {number} " in order
    assert "12 mm short of the underside (rule set ours.toml)" in order
    assert "(1 more built in already), at most 1250 mm apart" in order


def test_every_rule_stands_on_a_sheet_and_on_the_page_without_any_site_keys(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(house(), "utf-8")
    plain = decide(read_plan(tmp_path / "plan.toml"))
    wall = on_the_wall(plain)
    assert wall.marks is None
    pages = drawn(plain, wall)
    assert not {name for name in pages if name.startswith(("setting", "fixing", "survey"))}
    told = report(plain, wall.verdicts, None, wall=wall)
    assert "site" not in told
    page = index_page(plain, told, {}, [])
    said = words([sheet for name, sheet in pages.items() if name.startswith("rules")])
    held = [verdict for verdict in wall.verdicts if verdict.passed]
    assert held
    assert f"{len(held)} rules hold: what was found" in page
    for verdict in wall.verdicts:
        assert verdict.rule in said
        assert verdict.rule in page
        assert not verdict.passed or verdict.found in page
