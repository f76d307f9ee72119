"""Ticks stay in the browser, are lost with a changed piece, and work where nothing is kept."""

from __future__ import annotations

from pathlib import Path

from web_pages import ROOT, Opener, reload, write_page

FLAT = True
BLOCKED = """
Object.defineProperty(window, "localStorage", { get() { throw new DOMException("no", "SecurityError"); } });
"""
PLAN = (ROOT / "examples" / "garden-room.toml").read_text("utf-8")
TWICE = "([x, y]) => { for (const time of [1, 2]) document.elementFromPoint(x, y).click(); }"
"""Two presses on whatever stands at a place, one at once after the other, however busy the machine is."""
PAUSE = 850
"""After this a press on a button that has just changed its words counts again, ms."""


def test_ticks_are_kept_and_lead_to_the_next_piece(open_page: Opener) -> None:
    opened = open_page()
    page = opened.page
    assert page.locator("#next .mark").inner_text().split()[0] == "A1"
    page.get_by_label("A1 cut").check()
    page.locator("#next").get_by_role("button", name="Mark A1 laid").click()
    assert page.locator("#next .mark").inner_text().split()[0] == "A2"
    assert "over A1" in page.locator("#next").inner_text()
    assert opened.picked == "A2"
    page.wait_for_timeout(PAUSE)
    page.locator("#next").get_by_role("button", name="Mark A1 not laid").click()
    assert page.locator("#next .mark").inner_text().split()[0] == "A1"
    page.wait_for_timeout(PAUSE)
    page.locator("#next").get_by_role("button", name="Mark A1 laid").click()
    reload(page, lambda: page.locator("#progress").inner_text() == "Cut 1 of 13, laid 1 of 13.")
    assert page.get_by_label("A1 cut").is_checked()
    assert page.get_by_label("A1 laid").is_checked()
    assert not page.get_by_label("A2 cut").is_checked()
    assert page.locator("#progress").inner_text() == "Cut 1 of 13, laid 1 of 13."
    page.get_by_label("A1 laid").uncheck()
    reload(page, lambda: not page.get_by_label("A1 laid").is_checked())
    assert not page.get_by_label("A1 laid").is_checked()


def test_a_double_tap_marks_one_piece(open_page: Opener) -> None:
    page = open_page(size=(360, 740), has_touch=True, is_mobile=True).page
    laid = page.locator("#next button.main")
    laid.scroll_into_view_if_needed()
    box = laid.bounding_box()
    assert box is not None
    page.evaluate(TWICE, [box["x"] + 20, box["y"] + 20])
    assert laid.inner_text() == "Mark A2 laid"
    assert page.locator("#progress").text_content() == "Cut 0 of 13, laid 1 of 13."
    page.wait_for_timeout(PAUSE)
    laid.tap()
    assert laid.inner_text() == "Mark A3 laid"
    # the button beside the facts turns into its contrary
    page.wait_for_timeout(PAUSE)
    deed = page.locator("#piece .deed button")
    deed.scroll_into_view_if_needed()
    box = deed.bounding_box()
    assert box is not None
    page.evaluate(TWICE, [box["x"] + 20, box["y"] + 20])
    assert page.get_by_label("A3 laid").is_checked()


def test_a_piece_ticked_before_those_under_it_is_said_and_undone(open_page: Opener) -> None:
    page = open_page(size=(360, 740)).page
    words = page.locator("#notice-words")
    assert words.inner_text() == ""
    page.get_by_label("D1 laid").check()
    assert words.inner_text() == "D1 is marked laid, but A1 and C1 under it are not."
    row = page.locator("#list li", has=page.get_by_label("D1 laid")).locator(".outdated")
    assert row.inner_text() == words.inner_text()
    page.click("#undo")
    assert not page.get_by_label("D1 laid").is_checked()
    assert (words.inner_text(), row.inner_text()) == ("", "")
    page.get_by_label("D1 laid").check()
    page.click("#keep")
    assert page.get_by_label("D1 laid").is_checked()
    assert not page.locator("#undo").is_visible()
    for mark in ("A1", "B1", "C1"):
        page.get_by_label(f"{mark} laid").check()
    assert (words.inner_text(), row.inner_text()) == ("", "")
    page.get_by_label("C1 laid").uncheck()
    assert words.inner_text() == "C1 is not marked laid, but D1 over it is."


def test_the_facts_mark_a_piece_laid(open_page: Opener) -> None:
    page = open_page().page
    page.locator("#piece").get_by_role("button", name="Mark A1 laid").click()
    assert page.get_by_label("A1 laid").is_checked()
    assert page.locator("#said").inner_text().startswith("A1: 1st of 13, laid, ")
    page.wait_for_timeout(PAUSE)
    page.keyboard.press("Enter")
    assert not page.get_by_label("A1 laid").is_checked()


def test_a_changed_piece_is_no_longer_ticked(open_page: Opener, tmp_path: Path) -> None:
    path = write_page(tmp_path / "job", PLAN)
    page = open_page(path).page
    page.get_by_label("A1 cut").check()
    reload(page, page.get_by_label("A1 cut").is_checked)
    assert page.get_by_label("A1 cut").is_checked()
    assert "[lap]" not in PLAN
    write_page(tmp_path / "job", f"{PLAN}\n[lap]\nclearance = 2\n")
    first = page.locator("#list li").first
    reload(page, lambda: "changed since ticked cut" in first.inner_text())
    assert not page.get_by_label("A1 cut").is_checked()
    assert "changed since ticked cut" in first.inner_text()


def test_another_job_does_not_see_the_ticks(open_page: Opener, tmp_path: Path) -> None:
    page = open_page(write_page(tmp_path / "one", PLAN)).page
    page.get_by_label("A1 cut").check()
    assert 'title = "' in PLAN
    page.goto(write_page(tmp_path / "two", PLAN.replace('title = "', 'title = "Another ')).as_uri())
    assert not page.get_by_label("A1 cut").is_checked()


def test_where_nothing_is_kept_ticks_work_until_the_page_is_closed(open_page: Opener) -> None:
    page = open_page(before=BLOCKED).page
    assert "ticks are lost when it is closed" in page.locator("#kept").inner_text()
    page.get_by_label("A1 laid").check()
    assert page.locator("#next .mark").inner_text().split()[0] == "A2"
    page.click("#theme")
    assert page.locator("html").get_attribute("data-theme") == "dark"


def test_all_laid_is_said(open_page: Opener, tmp_path: Path) -> None:
    page = open_page(write_page(tmp_path / "job", PLAN)).page
    for box in page.locator('input[data-tick="laid"]').all():
        box.check()
    assert page.locator("#next").inner_text().count("All laid") == 1
