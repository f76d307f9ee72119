"""Narrow screens, the keyboard alone, paper, and what can be read by whom."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from pypdf import PdfReader
from web_pages import ROOT, Opened, Opener, reload, until

from platemodel.solid.colours import ROLE_COLOUR

CSS = (ROOT / "platemodel" / "web" / "page.css").read_text("utf-8")
PAIRS = [(ink, ground) for ground in ("ground", "card") for ink in ("ink", "soft", "accent", "good", "bad")] + [
    ("accent-ink", "accent"),
    ("alarm-ink", "alarm"),
    ("picked-ink", "picked"),
    ("warn-ink", "warn"),
]
"""Letters on grounds as the style sheet has them."""


def properties(theme: str) -> dict[str, str]:
    """The custom properties of a theme: those of the light one, with the dark one's over them."""
    blocks = re.findall(r'^:root(\[data-theme="dark"\])? \{(.*?)^\}', CSS, flags=re.DOTALL | re.MULTILINE)
    found: dict[str, str] = {}
    for dark, body in blocks:
        if not dark or theme == "dark":
            found |= dict(re.findall(r"--([\w-]+): (#\w{6});", body))
    return found


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2: https://www.w3.org/TR/WCAG22/#dfn-relative-luminance."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    """Contrast ratio, WCAG 2.2: https://www.w3.org/TR/WCAG22/#dfn-contrast-ratio."""
    dark, light = sorted((luminance(one), luminance(other)))
    return (light + 0.05) / (dark + 0.05)


def test_the_formula_gives_the_known_ends() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_letters_stand_out_from_their_ground(theme: str) -> None:
    colours = properties(theme)
    assert {name for pair in PAIRS for name in pair} <= set(colours)
    poor = {pair: contrast(colours[pair[0]], colours[pair[1]]) for pair in PAIRS}
    # 4.5 for text (1.4.3), 3 for controls' edges (1.4.11)
    assert {pair: ratio for pair, ratio in poor.items() if ratio < 4.5} == {}
    assert contrast(colours["control"], colours["card"]) >= 3.0


@pytest.mark.parametrize("role", list(ROLE_COLOUR))
def test_a_roles_letter_stands_out_from_its_colour(role: str) -> None:
    colour = "#" + "".join(f"{round(part * 255):02x}" for part in ROLE_COLOUR[role])
    assert contrast(properties("light")["chip-ink"], colour) >= 4.5


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_no_serious_fault_of_access(open_page: Opener, theme: str) -> None:
    page = open_page(color_scheme=theme, reduced_motion="reduce").page
    assert page.locator("html").get_attribute("data-theme") == theme
    page.locator("#licences").evaluate("one => { one.open = true; }")
    found = Axe().run(page).response["violations"]
    assert [
        (fault["id"], fault["nodes"][0]["html"]) for fault in found if fault["impact"] in ("serious", "critical")
    ] == []


def test_the_chosen_theme_is_kept(open_page: Opener) -> None:
    page = open_page(color_scheme="light").page
    page.click("#theme")
    page.wait_for_selector("html[data-theme=dark]")
    reload(page, lambda: page.locator("html").get_attribute("data-theme") == "dark")
    assert page.locator("html").get_attribute("data-theme") == "dark"
    assert page.locator("#theme").inner_text() == "Light"


def test_a_phone_shows_all_without_scrolling_sideways(open_page: Opener) -> None:
    opened = open_page(size=(360, 740), has_touch=True, is_mobile=True)
    assert opened.js("document.documentElement.scrollWidth") == 360
    # the laps in words need no swipe; their figures do, and say so
    assert opened.js("document.getElementById('joints-scroll').scrollWidth") < 360
    assert not opened.page.locator("#joints .cue").is_visible()
    # WCAG 2.2, 2.5.5: 44 px; those in the legend and drawings apart
    small = opened.js(
        """[...document.querySelectorAll("button, select, label.tick, summary, #bar a, .files a, input[type=range]")]
          .filter((one) => one.checkVisibility())
          .map((one) => [one.textContent || one.id, one.getBoundingClientRect()])
          .filter(([, box]) => box.width < 43.9 || box.height < 43.9)
          .map(([words]) => words)"""
    )
    assert small == []
    opened.page.locator('#list .pick[data-mark="D1"]').tap()
    assert opened.picked == "D1"
    shift = opened.js(
        "new Promise((done) => new PerformanceObserver((list) => done(list.getEntries()"
        ".filter((one) => !one.hadRecentInput).reduce((sum, one) => sum + one.value, 0)))"
        ".observe({ type: 'layout-shift', buffered: true }) || setTimeout(() => done(0), 200))"
    )
    assert shift < 0.02
    opened.page.locator("#figures").tap()
    assert opened.js("document.getElementById('joints-scroll').scrollWidth") > 360
    assert opened.page.locator("#joints .cue").is_visible()


def test_a_phone_shows_each_laps_proof_and_few_marks(open_page: Opener) -> None:
    opened = open_page(size=(360, 740), has_touch=True, is_mobile=True)
    opened.page.locator("#joints").scroll_into_view_if_needed()
    box = opened.page.locator("#joints-scroll td.good").first.bounding_box()
    assert box is not None
    assert 0 < box["x"] < box["x"] + box["width"] < 360
    opened.js("platemodel.pick('C1'); platemodel.draw()")
    shown = opened.page.locator(".labels span:not([hidden])").all_text_contents()
    assert {text.split()[0] for text in shown} == {"C1", "B1", "D1"}


def test_a_finger_either_scrolls_the_page_or_turns_the_view(open_page: Opener) -> None:
    opened = open_page(size=(360, 740), has_touch=True, is_mobile=True, reduced_motion="reduce")
    page = opened.page
    touch = page.context.new_cdp_session(page)
    place = """() => {
      const at = platemodel.onScreen("D1");
      const box = document.getElementById("canvas").getBoundingClientRect();
      return [Math.round(at.x - box.left), Math.round(at.y - box.top)];
    }"""

    def drag(across: int, along: int) -> None:
        page.locator("#canvas").scroll_into_view_if_needed()
        box = page.locator("#canvas").bounding_box()
        assert box is not None
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        touch.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
        for step in range(1, 9):
            at = {"x": x + across * step / 8, "y": y + along * step / 8}
            touch.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [at]})
        touch.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        page.wait_for_timeout(150)

    page.locator("#canvas").scroll_into_view_if_needed()
    before, height = page.evaluate(place), opened.js("scrollY")
    drag(5, -80)
    assert page.evaluate(place) == before
    assert opened.js("scrollY") > height + 30
    page.locator("#canvas").scroll_into_view_if_needed()
    height = opened.js("scrollY")
    drag(80, 5)
    assert page.evaluate(place) != before
    assert opened.js("scrollY") == height


def test_what_has_the_focus_is_clear_of_the_bar(open_page: Opener) -> None:
    opened = open_page(size=(360, 740), reduced_motion="reduce")
    covered = """() => {
      const one = document.activeElement;
      const bar = document.getElementById("bar");
      return bar.contains(one) || one.getBoundingClientRect().top < 0
        || Math.min(one.getBoundingClientRect().bottom, one.getBoundingClientRect().top + 60)
          <= bar.getBoundingClientRect().top ? "" : one.outerHTML.slice(0, 90);
    }"""
    found = set()
    opened.page.get_by_label("D1 laid").check()
    opened.page.locator(".skip").focus()
    for _ in range(32):
        opened.page.keyboard.press("Tab")
        opened.page.wait_for_timeout(20)
        found.add(opened.page.evaluate(covered))
    opened.page.locator('#list .pick[data-mark="A1"]').focus()
    for _ in range(12):
        opened.page.keyboard.press("ArrowDown")
        opened.page.wait_for_timeout(20)
        found.add(opened.page.evaluate(covered))
    assert found == {""}


def test_the_keyboard_alone_does_everything(opened: Opened) -> None:
    page = opened.page
    press = page.keyboard.press
    page.locator(".skip").focus()
    press("Enter")
    assert opened.js("document.activeElement.id") == "next"
    page.locator("#plan-paper").focus()
    press("ArrowRight")
    press("ArrowDown")
    assert opened.picked == "A3"
    press("End")
    assert opened.picked == "G2"
    press("Home")
    page.locator('#list .pick[data-mark="A1"]').focus()
    press("ArrowDown")
    assert opened.js("document.activeElement.dataset.mark") == "A2" == opened.picked
    press("Tab")
    press("Space")
    assert page.get_by_label("A2 cut").is_checked()
    press("Space")
    assert not page.get_by_label("A2 cut").is_checked()
    # the list is one row in the tab order, the laps one button
    assert page.locator('#list [tabindex="0"]').count() == 3
    assert page.locator('#joints-scroll button[tabindex="0"]').count() == 1
    page.locator('#joints-scroll button[tabindex="0"]').focus()
    press("ArrowRight")
    press("Enter")
    assert opened.picked == "B1"
    page.locator("#canvas").focus()
    before = opened.js("platemodel.onScreen('D1')")
    for key in ("ArrowLeft", "ArrowUp", "+"):
        press(key)
        after = opened.js("platemodel.onScreen('D1')")
        assert after != before
        before = after
    press("0")
    press("n")
    assert opened.js("platemodel.state.step") == 1
    press("h")
    assert page.locator("#hidden-words").inner_text() == "Hidden: A1"
    press("s")
    assert page.locator("#hidden-words").inner_text() == "Nothing is hidden."
    assert opened.js("getComputedStyle(document.activeElement).outlineStyle") == "solid"


def test_paper_has_rules_plan_pieces_and_laps_and_no_controls(opened: Opened) -> None:
    page = opened.page
    page.emulate_media(media="print")
    try:
        for seen in ("h1", "#plan-paper svg", "#plan .legend", "#list", "#joints table", ".on-paper"):
            assert page.locator(seen).first.is_visible()
        for gone in ("#theme", "#bar", "#space", "#next", "#sheets", "#sheet-paper", ".skip", "#files", ".for-screen"):
            assert not page.locator(gone).first.is_visible()
        assert page.locator("body").evaluate("one => getComputedStyle(one).color") == "rgb(0, 0, 0)"
        # the plate that is picked is painted as any other
        fills = "(all) => [...new Set(all.map((one) => getComputedStyle(one).fill))]"
        assert "rgb(255, 213, 0)" not in page.locator("#plan-paper .picked polygon").evaluate_all(fills)
    finally:
        page.emulate_media(media="null")
    pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    # A4 is 595 by 842 points, and all pages are alike
    assert {(round(float(one.mediabox.width)), round(float(one.mediabox.height))) for one in pages} == {(595, 842)}
    words = [one.extract_text() for one in pages]
    for word in ("Bungalow, plot 4", "G2", "A1-B1", "proved", "press Print all sheets"):
        assert word in "".join(words)
    for number, text in enumerate(words, start=1):
        assert f"page {number} of {len(words)}" in text
        assert "Bungalow, plot 4 · job " in text
        assert len(text) > 300


def test_all_sheets_are_printed_each_on_paper_of_its_own(open_page: Opener) -> None:
    opened = open_page(before="window.print = () => { window.printed = true; };")
    page = opened.page
    page.click("#print-all")
    until(page, "Boolean(window.printed)")
    assert not page.locator("#all-sheets").is_visible()
    sheets = opened.js("[...document.querySelectorAll('#all-sheets svg')].map((one) => one.getAttribute('aria-label'))")
    assert len(sheets) == len(set(sheets)) == opened.js("document.querySelectorAll('#sheet option').length")
    page.emulate_media(media="print")
    # at true size, 96 px to an inch, for gauges are cut out
    wide = page.locator("#all-sheets svg").evaluate_all("all => all.map((one) => one.getBoundingClientRect().width)")
    assert wide == pytest.approx([297 / 25.4 * 96] * len(sheets), abs=0.1)
    # printing tells the page when it is over, so it is printed once
    pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert {(round(float(one.mediabox.width)), round(float(one.mediabox.height))) for one in pages} == {(842, 595)}
    assert len(pages) == len(sheets)
    page.evaluate("window.dispatchEvent(new Event('afterprint'))")
    assert page.locator("#all-sheets svg").count() == 0
    assert "all-sheets" not in opened.js("document.documentElement.className")


def test_the_shown_sheet_is_printed_alone_at_true_size(open_page: Opener) -> None:
    opened = open_page(before="window.print = () => { window.printed = true; };")
    page = opened.page
    page.locator("#sheet").select_option("gauge")
    assert "Print on A4 or A3 at 100 %" in page.locator("#sheets").inner_text()
    page.get_by_role("button", name="Print this sheet").click()
    until(page, "Boolean(window.printed)")
    page.emulate_media(media="print")
    wide = page.locator("#all-sheets svg").evaluate_all("all => all.map((one) => one.getBoundingClientRect().width)")
    assert wide == pytest.approx([297 / 25.4 * 96], abs=0.1)
    pages = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True))).pages
    assert [(round(float(one.mediabox.width)), round(float(one.mediabox.height))) for one in pages] == [(842, 595)]
    assert "gauge sheet" in pages[0].extract_text()


def test_no_two_buttons_that_lead_on_have_one_name(opened: Opened) -> None:
    names = opened.js(
        """["back", "on", "sheet-back", "sheet-on", "bar-back", "bar-on", "all", "show", "hide", "print-this",
            "print-all", "look", "larger", "smaller", "plan-larger", "plan-smaller", "figures"]
          .map((id) => document.getElementById(id))
          .concat([...document.querySelectorAll("[data-do]")])
          .map((one) => one.getAttribute("aria-label") || one.textContent.trim())"""
    )
    # building up says what comes off or on, the bar what is picked
    building, picking = ["− Take off G2", "Start with A1"], ["‹ first", "Pick A2 ›"]
    assert names[:6] == [*building, "Sheet before", "Sheet after", *picking]
    assert len(names) == len(set(names))


def test_motion_is_only_for_those_who_want_it() -> None:
    assert "@media (prefers-reduced-motion: no-preference) { html { scroll-behavior: smooth; } }" in CSS
    assert "transition" not in CSS
    assert "animation" not in CSS
    assert not any("setInterval" in path.read_text("utf-8") for path in Path(ROOT / "platemodel/web").glob("view.js"))
