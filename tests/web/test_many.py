"""A frame of 400 pieces is picked, stepped through and ticked like any other."""

from __future__ import annotations

from pathlib import Path

from bench.terrace import terrace
from web_pages import Opener, reload

from platemodel.export.report import report
from platemodel.frame import decide
from platemodel.plan import read_plan
from platemodel.sheets import drawn
from platemodel.web import index_page


def test_four_hundred_pieces_are_picked_stepped_through_and_ticked(open_page: Opener, tmp_path: Path) -> None:
    (tmp_path / "plan.toml").write_text(terrace(103), "utf-8")
    frame = decide(read_plan(tmp_path / "plan.toml"))
    assert len(frame.pieces) == 400
    path = tmp_path / "index.html"
    path.write_text(index_page(frame, report(frame, [], None) | {"passed": True}, drawn(frame), []), "utf-8")
    opened = open_page(path)
    page = opened.page
    mark = opened.js("platemodel.pieces[249].mark")
    page.locator(f'#list .pick[data-mark="{mark}"]').click()
    assert opened.picked == mark
    assert page.locator("#said").inner_text().startswith(f"{mark}: 250th of 400, not laid, type ")
    page.locator("#step").fill("120")
    assert opened.js("platemodel.state.picked.order") == 120
    page.click("#on")
    assert opened.js("platemodel.state.picked.order") == 121
    assert ": 121st of 400, not laid, type " in page.locator("#said").inner_text()
    page.evaluate("platemodel.draw()")
    assert page.locator(".labels .picked").inner_text().split()[0] == opened.picked
    page.locator("#list li").nth(120).get_by_label("cut").check()
    assert page.locator("#progress").inner_text() == "Cut 1 of 400, laid 0 of 400."
    reload(page, lambda: page.locator("#progress").inner_text().startswith("Cut 1"))
    assert page.locator("#progress").inner_text() == "Cut 1 of 400, laid 0 of 400."
