"""What the page's tests share: how a page is written and opened, and what a picked piece looks like."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, expect

from platemodel.export.report import report
from platemodel.frame import Frame, decide
from platemodel.plan import read_plan
from platemodel.sheets import drawn
from platemodel.web import index_page

ROOT = Path(__file__).parents[2]
NO_SPACE = """
const real = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, ...rest) {
  return kind.startsWith("webgl") ? null : real.call(this, kind, ...rest);
};
"""
"""With this a page finds no 3D view."""


def page_of(frame: Frame, values: dict[str, Any], files: list[tuple[str, str]] | None = None) -> str:
    """The page of a frame with its sheets."""
    return index_page(frame, values, drawn(frame), files or [("sheets/plan.svg", "the plan")])


def write_page(folder: Path, plan: str, passed: bool = True) -> Path:
    """The page of a plan's text, without a proof's figures, in a new folder."""
    folder.mkdir(exist_ok=True)
    (folder / "plan.toml").write_text(plan, "utf-8")
    frame = decide(read_plan(folder / "plan.toml"))
    path = folder / "index.html"
    path.write_text(page_of(frame, report(frame, [], None) | {"passed": passed}), "utf-8")
    return path


@dataclass
class Opened:
    """A page in the browser, what it asked for and what it complained of."""

    page: Page
    asked: list[str] = field(default_factory=list)
    complaints: list[str] = field(default_factory=list)

    def js(self, text: str) -> Any:
        """What an expression comes to in the page."""
        return self.page.evaluate(text)

    def begun(self) -> None:
        """Wait until the 3D view is unpacked, or the page has said that it cannot be."""
        self.page.evaluate("platemodel.begun")

    @property
    def picked(self) -> str:
        """The mark of the picked piece."""
        return str(self.js("platemodel.state.picked.mark"))

    def press_piece(self, mark: str) -> None:
        """Press a piece in the 3D view, where its label stands."""
        self.page.locator("#canvas").scroll_into_view_if_needed()
        at = self.js(f"platemodel.onScreen('{mark}')")
        self.page.mouse.click(at["x"], at["y"])


def watched(page: Page) -> Opened:
    """A page with what it asks for and complains of written down."""
    found = Opened(page)
    page.on("request", lambda request: found.asked.append(request.url))
    page.on("console", lambda said: found.complaints.append(f"{said.type}: {said.text}"))
    page.on("pageerror", lambda error: found.complaints.append(str(error)))
    return found


Opener = Callable[..., Opened]


def reload(page: Page, seen: Callable[[], bool]) -> None:
    """Load a page anew until what it has stored is seen, if ever: a busy browser stores later than it answers."""
    for _ in range(10):
        page.wait_for_timeout(200)
        page.reload()
        if seen():
            return


def until(page: Page, expression: str) -> None:
    """Wait until an expression holds in the page, asked from outside: its policy lets nothing in it evaluate text."""
    for _ in range(300):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"{expression} does not come to hold")


def shows(opened: Opened, mark: str, kind: str) -> None:
    """Check that every part of the page shows a piece, and the sheet its type."""
    page = opened.page
    assert opened.picked == mark
    assert page.locator("#plan-paper g.picked").evaluate_all(
        "all => [...new Set(all.map((one) => one.dataset.of))]"
    ) == [mark]
    assert page.locator('#list [aria-pressed="true"] .mark').all_text_contents() == [mark]
    pressed = page.locator('#joints-scroll [aria-pressed="true"]').all_inner_texts()
    assert pressed
    assert set(pressed) == {mark}
    assert page.locator("#piece-head").inner_text() == f"Piece {mark}"
    said = page.locator("#said").inner_text()
    assert said.startswith(f"{mark}: ")
    assert f", type {kind}, " in said
    expect(page.locator("#sheet-paper svg")).to_have_attribute("aria-label", re.compile(rf"type {kind}\b"))
    assert page.locator("#sheet").input_value() == kind
    if page.locator("#canvas").is_visible():
        page.evaluate("platemodel.draw()")
        assert page.locator(".labels .picked").inner_text().split()[0] == mark
