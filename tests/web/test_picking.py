"""A piece picked in one place is picked in all, and its facts and sheet come up."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from playwright.sync_api import expect
from web_pages import ROOT, Opened, Opener, shows, write_page

from platemodel.export.report import report
from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.web.values import page_values

WAYS = ("plan", "view", "list", "laps", "mate")


def pick(opened: Opened, way: str, mark: str) -> None:
    page = opened.page
    if way == "plan":
        page.locator(f'#plan-paper g[data-of="{mark}"] text').last.click()
    elif way == "view":
        opened.press_piece(mark)
    elif way == "list":
        page.locator(f'#list .pick[data-mark="{mark}"]').click()
    elif way == "laps":
        page.locator(f'#joints-scroll button[data-mark="{mark}"]').first.click()
    else:
        # D1 comes down on C1, so C1's facts lead to it
        page.locator('#list .pick[data-mark="C1"]').click()
        page.locator("#piece td button", has_text=mark).click()


@pytest.mark.parametrize("way", WAYS)
def test_a_piece_picked_anywhere_is_shown_everywhere(opened: Opened, way: str) -> None:
    assert opened.picked == "A1"
    pick(opened, way, "D1")
    shows(opened, "D1", "T1")


def test_facts_tell_how_the_piece_is_laid(opened: Opened) -> None:
    pick(opened, "list", "D1")
    words = opened.page.locator("#piece").inner_text()
    for fact in ("6 of 13", "T1", "5750 mm", "spine, return", "as drawn on its sheet is up", "of the plan", "6000 mm"):
        assert fact in words
    rows = opened.page.locator("#piece tbody tr").all_inner_texts()
    assert [words.strip() for words in rows[0].split("\t")[1:]] == [
        "proved",
        "tee, over half: saw the underside away",
        "datum end to 101",
    ]
    shows(opened, "D1", "T1")
    sheet = opened.page.locator("#sheet-paper svg").evaluate("one => one.textContent")
    figures = {word for row in rows for word in re.findall(r"\d+", row.split("\t")[3])}
    assert len(figures) >= 6
    assert all(figure in sheet for figure in figures)


def test_shoulders_of_a_slanting_lap_are_given_for_both_edges() -> None:
    frame = decide(read_plan(ROOT / "examples" / "canted-bay.toml"))
    piece = next(one for one in page_values(frame, report(frame, [], None), {}, [])["pieces"] if one["mark"] == "B1")
    assert piece["laps"][0]["shoulders"] == ["near edge 0 to 143", "far edge 100 to 243"]


def test_a_piece_laid_upside_down_says_so(open_page: Opener, tmp_path: Path) -> None:
    opened = open_page(write_page(tmp_path / "job", (ROOT / "examples" / "two-shells.toml").read_text("utf-8")))
    said = opened.js(
        """platemodel.pieces.filter((piece) => {
          platemodel.pick(piece.mark);
          return document.querySelector("#piece dl").textContent.includes("UNDERSIDE");
        }).map((piece) => piece.mark)"""
    )
    assert said == ["F1"]
    opened.js("platemodel.pick('F1')")
    for words in opened.page.locator("#piece tbody td:nth-child(3)").all_inner_texts():
        # lying upside down, what lies over has lost its top as drawn
        face = "top" if "over half" in words else "underside"
        assert words.endswith(f" half: saw the {face} away, as drawn: it is laid upside down")


@pytest.mark.parametrize("name", ["bungalow", "canted-bay", "two-shells"])
def test_the_face_that_is_sawn_is_the_half_that_goes(name: str) -> None:
    frame = decide(read_plan(ROOT / "examples" / f"{name}.toml"))
    pieces = page_values(frame, report(frame, [], None), {}, [])["pieces"]
    for piece, values in zip(frame.laying, pieces, strict=True):
        assert piece.mark == values["mark"]
        for half, lap in zip(piece.halves, values["laps"], strict=True):
            up = half.under != piece.place.turned_over
            assert lap["away"] == ("top" if up else "underside")


def test_a_sheet_of_another_type_than_the_picked_piece_says_so(opened: Opened) -> None:
    page = opened.page
    pick(opened, "list", "C1")
    note = page.locator("#other-type")
    assert not note.is_visible()
    page.locator("#sheet").select_option("T7")
    assert note.locator("p").inner_text() == "T7 is A3; picked is C1."
    page.locator("#sheet").select_option("plan")
    assert not note.is_visible()
    page.locator("#sheet").select_option("T7")
    note.get_by_role("button", name="Pick A3").click()
    shows(opened, "A3", "T7")
    assert not note.is_visible()
    assert opened.js("document.activeElement.id") == "sheet"


def test_sheets_are_chosen_and_made_larger(opened: Opened) -> None:
    page = opened.page
    page.locator("#sheet").select_option("plan")
    leaf = page.locator("#sheet-paper .leaf")
    expect(leaf.locator("svg")).to_have_attribute("aria-label", "Bungalow, plot 4: wall plates, plan plan")
    before = page.locator("#sheet").evaluate("one => one.selectedIndex")
    page.click("#sheet-on")
    assert page.locator("#sheet").evaluate("one => one.selectedIndex") == before + 1
    page.click("#sheet-back")
    assert page.locator("#sheet").input_value() == "plan"
    wide = leaf.bounding_box()["width"]
    page.click("#larger")
    assert leaf.bounding_box()["width"] > 1.5 * wide
    assert page.locator("#swipe").is_visible()
    assert page.locator("#sheet-paper").evaluate("one => one.scrollWidth > one.clientWidth")
    page.click("#fit")
    assert leaf.bounding_box()["width"] == wide
    assert page.locator("#sheet-paper").evaluate("one => one.scrollWidth === one.clientWidth")
    assert not page.locator("#swipe").is_visible()


def test_the_plans_legend_tells_north_and_openings(opened: Opened, open_page: Opener, tmp_path: Path) -> None:
    words = opened.page.locator("#plan .legend span").all_inner_texts()
    assert words[-2:] == ["grey bar: opening below", "↑ north up"]
    plan = (ROOT / "examples" / "two-shells.toml").read_text("utf-8")
    bare = open_page(write_page(tmp_path / "job", plan.split("[[opening]]")[0]))
    assert bare.page.locator("#plan .legend span").all_inner_texts()[-1:] == ["↑ north up"]
    assert "grey" not in bare.page.locator("#plan .legend").inner_text()


def test_a_press_beside_a_thin_plate_still_picks_it(opened: Opened) -> None:
    plate = opened.page.locator('#plan-paper g[data-of="D1"] polygon').first
    opened.page.locator("h1").scroll_into_view_if_needed()
    at = plate.bounding_box()
    opened.page.mouse.click(at["x"] - 9, at["y"] + at["height"] * 0.35)
    assert opened.picked == "D1"


def test_a_drag_turns_the_view_and_picks_nothing(opened: Opened) -> None:
    opened.page.locator("#canvas").scroll_into_view_if_needed()
    before, place = opened.picked, opened.js("platemodel.onScreen('D1')")
    opened.page.mouse.move(place["x"], place["y"])
    opened.page.mouse.down()
    opened.page.mouse.move(place["x"] + 120, place["y"], steps=4)
    opened.page.mouse.up()
    assert opened.picked == before
    assert opened.js("platemodel.onScreen('A1')") != place
    assert opened.js("platemodel.onScreen('D1')") != place
