"""The page over many houses in a real browser: what can be read by whom, on a desk, on a phone and on paper."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from houses import house
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from platemodel.estate.page import estate_page
from platemodel.estate.pooling import pooled
from platemodel.estate.sharing import shared_types
from platemodel.estate.tables import Result
from platemodel.estate.values import House
from platemodel.frame import decide
from platemodel.plan import parse_plan

LONG = "plot-with-a-name-that-is-longer-than-most"


@pytest.fixture(scope="module")
def estate(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Houses good and bad, types that they share, boards for all: every part of the page."""
    texts = {"plot-1": house(), LONG: house(), "plot-3": house().replace("depth = 50", 'depth = 50\ngrade = "C24"')}
    houses = [(name, House.of(decide(parse_plan(text)), [])) for name, text in texts.items()]
    results = [Result(name, f"{name}.toml", one, folder=name) for name, one in houses]
    results.append(Result("plot-4", "plot-4.toml", None, (f"plans/{LONG}.toml:9: plate.depth: found -3",), kept=True))
    path = tmp_path_factory.mktemp("estate") / "index.html"
    path.write_text(estate_page("4 houses", results, shared_types(houses), pooled(houses), pages=True), "utf-8")
    return path


def faults(page: Page) -> list[tuple[str, str]]:
    """What axe finds against a page, minor faults too."""
    found = Axe().run(page, options={"resultTypes": ["violations"]}).response
    assert "color-contrast" in {rule["id"] for rule in found["passes"]}
    return [(fault["id"], fault["nodes"][0]["html"]) for fault in found["violations"]]


def test_all_can_read_it_on_a_desk_on_a_phone_in_the_dark_and_on_paper(browser: Browser, estate: Path) -> None:
    # axe is put into the page, which lets no script run
    context = browser.new_context(bypass_csp=True, viewport={"width": 1280, "height": 900})
    try:
        page = context.new_page()
        page.goto(estate.as_uri())
        assert faults(page) == []
        assert not page.locator(".cue").is_visible()

        page.set_viewport_size({"width": 360, "height": 740})
        page.emulate_media(color_scheme="dark")
        assert faults(page) == []
        assert page.evaluate("document.documentElement.scrollWidth") == 360
        assert page.locator(".cue").is_visible()
        # which houses are good is seen without a swipe
        results = page.locator("td .good, td .bad")
        assert results.count() == 4
        boxes = results.evaluate_all("(all) => all.map((one) => one.getBoundingClientRect().right)")
        assert max(boxes) <= 360

        page.emulate_media(media="print", color_scheme="light")
        # A4 less its margins, at 96 px to an inch
        page.set_viewport_size({"width": round((210 - 24) / 25.4 * 96), "height": 1000})
        wide = "(all) => all.map((one) => one.scrollWidth - one.clientWidth)"
        assert max(page.locator(".table").evaluate_all(wide)) <= 0
        assert not page.locator(".cue").is_visible()
        text = "\n".join(one.extract_text() for one in PdfReader(io.BytesIO(page.pdf(format="A4"))).pages)
        for words in ("Houses", LONG[:20], "metres", "advice", "Boards for the 3 good houses together", "the least"):
            assert words in text
    finally:
        context.close()
