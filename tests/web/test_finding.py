"""What a newcomer with a phone looks for: rules that do not hold, the facts, the piece in 3D, what lies aside."""

from __future__ import annotations

import itertools
import math
from pathlib import Path
from typing import Any

import pytest
from shapely import Polygon
from web_pages import ROOT, Opened, Opener

from platemodel.export.report import report
from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.sheets import drawn
from platemodel.site.rules import judge
from platemodel.web import index_page

PHONE: dict[str, Any] = {"size": (360, 740), "has_touch": True, "is_mobile": True}


@pytest.fixture
def bay(tmp_path: Path) -> Path:
    """The page of the canted bay with its rules judged."""
    frame = decide(read_plan(ROOT / "examples" / "canted-bay.toml"))
    found = report(frame, judge(frame), None) | {"passed": True}
    path = tmp_path / "index.html"
    path.write_text(index_page(frame, found, drawn(frame), []), "utf-8")
    return path


def test_rules_that_do_not_hold_stand_at_the_head_and_with_their_pieces(open_page: Opener, bay: Path) -> None:
    opened = open_page(bay, **PHONE)
    page = opened.page
    broken = opened.js("JSON.parse(document.getElementById('values').textContent).rules")
    assert len(broken) >= 2
    places = [place for rule in broken for place in rule["places"]]
    head = page.locator("#rules-head")
    assert f"{len(broken)} rules do not hold, in {len(places)} places" in head.inner_text()
    assert head.bounding_box()["y"] < 740
    assert "not the timber, the sawing or the structure" in page.locator("#verdict").inner_text()
    assert not page.locator("#rules-list").is_visible()
    head.tap()
    assert head.get_attribute("aria-expanded") == "true"
    words = page.locator("#rules-list").inner_text()
    for rule in broken:
        assert rule["rule"] in words
        assert rule["source"] in words
    assert all(place["words"] in words for place in places)
    place = next(place for place in places if place["marks"])
    page.locator(f'#rules-list [data-pick="{place["marks"][0]}"]').first.tap()
    assert opened.picked == place["marks"][0]
    assert place["words"] in str(page.locator("#piece .warn").text_content())
    named = {mark for place in places for mark in place["marks"]}
    for mark in opened.js("platemodel.pieces.map((piece) => piece.mark)"):
        opened.js(f"platemodel.pick('{mark}')")
        assert page.locator("#piece .warn").count() == (mark in named)


@pytest.mark.parametrize("motion", ["reduce", "no-preference"])
def test_facts_come_to_the_top_with_the_table_of_laps(open_page: Opener, motion: str) -> None:
    opened = open_page(**PHONE, reduced_motion=motion)
    page = opened.page
    opened.js("platemodel.pick('C1')")
    page.locator("#bar").get_by_text("Facts").tap()
    page.wait_for_timeout(400)
    head, table = page.locator("#piece-head").bounding_box(), page.locator("#piece tbody tr").first.bounding_box()
    assert 0 <= head["y"] < 60
    assert table["y"] + table["height"] < page.locator("#bar").bounding_box()["y"]
    assert opened.js("document.activeElement.id") == "piece"


def test_the_bar_keeps_its_height_and_its_words_keep_off_the_row(open_page: Opener) -> None:
    opened = open_page(**PHONE)
    page = opened.page
    before = page.locator("#bar-on").bounding_box()
    for mark in opened.js("platemodel.pieces.map((piece) => piece.mark)"):
        opened.js(f"platemodel.pick('{mark}')")
        assert page.locator("#bar-on").bounding_box() == before
    tick = page.get_by_label("D1 laid")
    tick.evaluate("(one) => one.closest('li').scrollIntoView({ block: 'end', behavior: 'instant' })")
    tick.tap()
    page.wait_for_timeout(100)
    row = page.locator("#list li", has=tick).bounding_box()
    assert page.locator("#notice-words").is_visible()
    assert row["y"] + row["height"] <= page.locator("#notice").bounding_box()["y"]
    assert page.locator("#bar-on").bounding_box() == before


def spread(opened: Opened, marks: str) -> float:
    """How far apart two pieces' labels lie in the view (px)."""
    one, other = (opened.js(f"platemodel.onScreen('{mark}')") for mark in marks.split())
    return float(((one["x"] - other["x"]) ** 2 + (one["y"] - other["y"]) ** 2) ** 0.5)


def test_the_view_comes_to_the_picked_piece_and_is_never_lost(opened: Opened) -> None:
    page = opened.page
    opened.js("platemodel.pick('D1'); platemodel.draw()")
    whole = spread(opened, "A1 D1")
    assert page.locator("#look").inner_text() == "Look at D1"
    page.locator("#look").click()
    opened.js("platemodel.draw()")
    assert spread(opened, "A1 D1") > 1.2 * whole
    assert "D1" in page.locator(".labels .picked").inner_text()
    for _ in range(12):
        page.locator("[data-do=in]").click()
    opened.js("platemodel.draw()")
    box, at = page.locator("#canvas").bounding_box(), opened.js("platemodel.onScreen('D1')")
    assert box["x"] < at["x"] < box["x"] + box["width"]
    assert box["y"] < at["y"] < box["y"] + box["height"]
    assert not page.locator("#nothing").is_visible()
    assert page.locator("#show").get_attribute("aria-disabled") == "true"
    opened.js("platemodel.pieces.forEach((piece) => { platemodel.pick(piece.mark); platemodel.hidePicked(); })")
    opened.js("platemodel.draw()")
    assert page.locator("#nothing").is_visible()
    assert page.locator("#show").get_attribute("aria-disabled") == "false"
    page.locator("#find").click()
    opened.js("platemodel.draw()")
    assert not page.locator("#nothing").is_visible()
    assert spread(opened, "A1 D1") == pytest.approx(whole, rel=0.01)


def test_building_up_comes_nearer_and_showing_all_goes_back(opened: Opened) -> None:
    whole = spread(opened, "A1 B1")
    opened.page.locator("#on").click()
    opened.page.locator("#on").click()
    opened.js("platemodel.draw()")
    assert spread(opened, "A1 B1") > 1.2 * whole
    opened.page.locator("#all").click()
    opened.js("platemodel.draw()")
    assert spread(opened, "A1 B1") == pytest.approx(whole, rel=0.01)


def test_a_label_stands_beside_its_piece(opened: Opened) -> None:
    opened.page.locator("#canvas").scroll_into_view_if_needed()
    opened.js("platemodel.pick('D1'); platemodel.draw()")
    at, label = opened.js("platemodel.onScreen('D1')"), opened.page.locator(".labels .picked").bounding_box()
    inside = [label["x"] < at["x"] < label["x"] + label["width"], label["y"] < at["y"] < label["y"] + label["height"]]
    assert not all(inside)
    assert "M" in str(opened.page.locator(".labels path").get_attribute("d"))


def test_names_on_a_phones_plan_are_large_and_clear_of_marks(open_page: Opener, bay: Path) -> None:
    page = open_page(bay, **PHONE).page
    names = page.locator("#plan-paper svg > text:not([display])")
    assert names.count() >= 6
    corners = """all => all.map((one) => {
        const [box, to] = [one.getBBox(), one.getScreenCTM()];
        const at = [[box.x, box.y], [box.x + box.width, box.y], [box.x + box.width, box.y + box.height],
            [box.x, box.y + box.height]];
        return at.map(([x, y]) => [to.a * x + to.c * y + to.e, to.b * x + to.d * y + to.f]);
    })"""
    areas = [Polygon(area) for area in names.evaluate_all(corners)]
    # the letters of each are more than 9 px high, whichever way they run
    assert all(min(math.dist(*pair) for pair in itertools.pairwise(area.exterior.coords)) > 9 for area in areas)
    # a mark's own letters: its group has the line that it hangs on too
    marks = [Polygon(area) for area in page.locator("#plan-paper g[data-of] text").evaluate_all(corners)]
    assert len(marks) == 12
    for area, mark in itertools.product(areas, marks):
        assert area.intersection(mark).area < 4.0
    legend = page.locator("#plan .legend").inner_text()
    for word in ("lap", "splice", "datum end", "under halves", "over halves", "under and over halves"):
        assert word in legend
    page.locator("#plan-larger").tap()
    assert page.locator("#plan .cue").is_visible()


def test_figures_and_keys_are_shown_to_those_who_want_them(open_page: Opener) -> None:
    phone = open_page(**PHONE).page
    assert not phone.locator("#keys").is_visible()
    assert phone.locator("#drag").is_visible()
    assert not phone.locator("#joints .figure").first.is_visible()
    phone.locator("#figures").tap()
    assert phone.locator("#joints .figure").first.is_visible()
    area = phone.locator("#joints-scroll")
    assert area.evaluate("(one) => one.scrollHeight - one.clientHeight") <= 1
    area.evaluate("(one) => { one.scrollLeft = 300; }")
    lap, box = phone.locator("#joints-scroll tbody th").first.bounding_box(), area.bounding_box()
    assert lap["x"] == pytest.approx(box["x"], abs=1)
    assert open_page().page.locator("#keys").is_visible()


def test_a_phones_sheet_is_readable_and_says_that_it_goes_on(open_page: Opener) -> None:
    page = open_page(**PHONE).page
    # letters 2.5 mm high on paper are 7 px at least
    assert page.locator("#sheet-paper .leaf").bounding_box()["width"] / 297 * 2.5 >= 7
    assert page.locator("#swipe").is_visible()
    assert page.locator(".pan:has(#sheet-paper)").evaluate("(one) => one.classList.contains('more')")
    page.locator("#fit").tap()
    page.locator("#swipe").wait_for(state="hidden")


def test_the_order_is_a_touch_away_and_the_bar_leads_back_to_the_piece(opened: Opened) -> None:
    page = opened.page
    page.get_by_role("link", name="The order").click()
    assert page.locator("#sheet").input_value() == "buying"
    page.locator("#bar-sheet").click()
    assert page.locator("#sheet").input_value() == opened.js("platemodel.state.picked.type")
    # nothing is known of this frame's wall, so nothing leads there
    assert page.get_by_role("link", name="On the wall").count() == 0
