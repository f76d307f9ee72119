"""Ticks stay in the browser, are lost with a changed piece, and work where nothing is kept."""

from __future__ import annotations

from pathlib import Path

from web_pages import ROOT, Opener, write_page

BLOCKED = """
Object.defineProperty(window, "localStorage", { get() { throw new DOMException("no", "SecurityError"); } });
"""
PLAN = (ROOT / "examples" / "garden-room.toml").read_text("utf-8")


def test_ticks_are_kept_and_lead_to_the_next_piece(open_page: Opener) -> None:
    opened = open_page()
    page = opened.page
    assert page.locator("#next .mark").inner_text().split()[0] == "A1"
    page.get_by_label("A1 cut").check()
    page.get_by_role("button", name="A1 is laid").click()
    assert page.locator("#next .mark").inner_text().split()[0] == "A2"
    assert "over A1" in page.locator("#next").inner_text()
    assert opened.picked == "A2"
    page.reload()
    assert page.get_by_label("A1 cut").is_checked()
    assert page.get_by_label("A1 laid").is_checked()
    assert not page.get_by_label("A2 cut").is_checked()
    assert page.locator("#progress").inner_text() == "Cut 1 of 13, laid 1 of 13."
    page.get_by_label("A1 laid").uncheck()
    page.reload()
    assert not page.get_by_label("A1 laid").is_checked()


def test_a_changed_piece_is_no_longer_ticked(open_page: Opener, tmp_path: Path) -> None:
    path = write_page(tmp_path / "job", PLAN)
    page = open_page(path).page
    page.get_by_label("A1 cut").check()
    page.reload()
    assert page.get_by_label("A1 cut").is_checked()
    assert "[lap]" not in PLAN
    write_page(tmp_path / "job", f"{PLAN}\n[lap]\nclearance = 2\n")
    page.reload()
    assert not page.get_by_label("A1 cut").is_checked()
    assert "changed since ticked cut" in page.locator("#list li").first.inner_text()


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
