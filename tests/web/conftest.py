"""The page of the bungalow in a real browser, offline, drawn by software."""

from __future__ import annotations

import dataclasses
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from making import proved
from playwright.sync_api import Browser, sync_playwright
from web_pages import NO_SPACE, ROOT, Opened, Opener, page_of, watched

from platemodel.export.report import report
from platemodel.frame import Frame, decide
from platemodel.plan import read_plan
from platemodel.sheets import drawn, svg

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
SOFTWARE = (
    "--no-sandbox",
    "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader",
    "--ignore-gpu-blocklist",
    # a machine that draws by software may be slow, and may have little shared memory
    "--disable-gpu-watchdog",
    "--disable-dev-shm-usage",
)


@pytest.fixture(scope="session")
def bungalow() -> Frame:
    # spliced in ready-cut mode, so that marks and types stand whatever comes to the least timber
    plan = read_plan(ROOT / "examples" / "bungalow.toml")
    return decide(dataclasses.replace(plan, stock=dataclasses.replace(plan.stock, ready=True)))


@pytest.fixture(scope="session")
def bungalow_report(bungalow: Frame, tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    folder = tmp_path_factory.mktemp("solids") / "frame"
    return report(bungalow, [], proved(bungalow, folder))


@pytest.fixture(scope="session")
def built(bungalow: Frame, bungalow_report: dict[str, Any], tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page in a folder with the plan's sheet beside it."""
    folder = tmp_path_factory.mktemp("page")
    (folder / "sheets").mkdir()
    (folder / "sheets" / "plan.svg").write_text(svg(drawn(bungalow)["plan"]), "utf-8")
    path = folder / "index.html"
    path.write_text(page_of(bungalow, bungalow_report), "utf-8")
    return path


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    found = next((path for name in BROWSERS if (path := shutil.which(name))), None)
    if found is None:
        pytest.fail(f"the page's tests need a browser: none of {', '.join(BROWSERS)} is installed", pytrace=False)
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=found, args=list(SOFTWARE))
        yield browser
        browser.close()


@pytest.fixture
def open_page(browser: Browser, built: Path, request: pytest.FixtureRequest) -> Iterator[Opener]:
    """Open a page of its own; at the end of the test none may have complained.

    A module that says FLAT gets it in a browser without a 3D view, which by software takes long to begin.
    """
    opened: list[Opened] = []
    flat = getattr(request.module, "FLAT", False)

    def opener(path: Path = built, before: str = "", size: tuple[int, int] = (1280, 1300), **options: Any) -> Opened:
        context = browser.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        for script in (NO_SPACE if flat else "", before):
            if script:
                context.add_init_script(script)
        found = watched(context.new_page())
        opened.append(found)
        found.page.goto(path.as_uri())
        found.begun()
        return found

    yield opener
    complaints = [complaint for one in opened for complaint in one.complaints]
    for one in opened:
        one.page.context.close()
    assert complaints == []


@pytest.fixture(scope="session")
def bungalow_page(browser: Browser, built: Path) -> Opened:
    found = watched(browser.new_page(viewport={"width": 1280, "height": 1300}, reduced_motion="reduce"))
    found.page.goto(built.as_uri())
    found.begun()
    return found


@pytest.fixture
def opened(bungalow_page: Opened) -> Iterator[Opened]:
    """The bungalow's page as it is when it has just been opened; it is shared, to spare loading it."""
    bungalow_page.js(
        """() => {
          platemodel.showAll();
          platemodel.setApart(0);
          platemodel.showLaid();
          platemodel.pick("A1");
          platemodel.whole();
          document.activeElement.blur();
        }"""
    )
    yield bungalow_page
    assert bungalow_page.complaints == []
