"""Stepping through the laying order, lifting apart, hiding, and a browser without 3D."""

from __future__ import annotations

from web_pages import NO_SPACE, Opened, Opener, shows

SLIDE = "(one, value) => { one.value = value; one.dispatchEvent(new Event('input', { bubbles: true })); }"


def shown(opened: Opened) -> list[str]:
    """The marks of the pieces that can be hit in the 3D view."""
    found = opened.js(
        """platemodel.pieces.map((piece) => {
          const at = platemodel.onScreen(piece.mark);
          return at && platemodel.markAt(at.x, at.y);
        })"""
    )
    return sorted({mark for mark in found if mark})


def test_the_first_steps_show_only_what_is_laid(opened: Opened) -> None:
    page = opened.page
    page.locator("#step").evaluate(SLIDE, "3")
    assert (
        page.locator("#sentence").inner_text()
        == "Shown: 1 to 3 of 13. A3: 3rd of 13, not laid, type T7, over A2, under F1."
    )
    shows(opened, "A3", "T7")
    assert shown(opened) == ["A1", "A2", "A3"]
    assert page.locator("#on").inner_text() == "+ Put on B1"
    page.click("#on")
    assert page.locator("#said").inner_text() == "B1: 4th of 13, not laid, type T3, over A1, under C1."
    assert page.locator("#back").inner_text() == "− Take off B1"
    assert shown(opened) == ["A1", "A2", "A3", "B1"]
    page.click("#back")
    page.click("#back")
    assert shown(opened) == ["A1", "A2"]
    later = page.locator("#plan-paper g.later").evaluate_all("all => new Set(all.map((one) => one.dataset.of)).size")
    assert later == 11
    page.click("#all")
    assert len(shown(opened)) == 13
    # the same words wherever a piece is told, whether it was picked or put on
    assert page.locator("#said").inner_text() == "A2: 2nd of 13, not laid, type T11, over A1, under A3."
    assert page.locator("#sentence").inner_text().endswith(page.locator("#said").inner_text())


def test_a_picked_piece_that_is_not_laid_yet_is_laid_by_then(opened: Opened) -> None:
    opened.page.locator("#step").evaluate(SLIDE, "2")
    opened.page.locator('#list .pick[data-mark="D1"]').click()
    assert opened.js("platemodel.state.step") == 6


def test_the_slider_lifts_pieces_apart_in_laying_order(opened: Opened) -> None:
    # seen from the side, each piece stands over those laid before it
    opened.js("platemodel.orbit(0, -1.04)")
    heights = "platemodel.pieces.map((piece) => -platemodel.onScreen(piece.mark).y)"
    before = opened.js(heights)
    assert before != sorted(before)
    opened.page.locator("#apart").evaluate(SLIDE, "100")
    after = opened.js(heights)
    assert after == sorted(after)
    # and the whole is still in the view
    assert opened.page.locator("#canvas").evaluate("one => one.clientHeight") > after[-1] - after[0] > 100


def test_a_piece_is_hidden_and_shown_again(opened: Opened) -> None:
    page = opened.page
    page.locator('#list .pick[data-mark="D1"]').click()
    page.click("#hide")
    assert "D1" not in shown(opened)
    assert page.locator("#hidden-words").inner_text() == "Hidden: D1"
    assert page.locator("#sentence").inner_text().startswith("Shown: all 13 without D1. ")
    page.locator("#step").evaluate(SLIDE, "5")
    # laid later, it is not among the five
    assert page.locator("#sentence").inner_text().startswith("Shown: 1 to 5 of 13. ")
    page.locator("#step").evaluate(SLIDE, "6")
    assert page.locator("#step").get_attribute("aria-valuetext") == "Shown: 1 to 6 of 13 without D1"
    page.click("#all")
    assert page.locator("#hide").inner_text() == "Show D1"
    page.click("#hide")
    assert "D1" in shown(opened)
    page.click("#hide")
    page.get_by_role("button", name="Show hidden").click()
    assert "D1" in shown(opened)
    for mark in ("A1", "A2", "A3", "B1", "C1", "D1"):
        opened.js(f"platemodel.pick('{mark}'); platemodel.hidePicked()")
    assert "Shown: all 13 without A1, A2, A3, B1 and 2 more. " in page.locator("#sentence").inner_text()


def test_without_3d_the_page_says_so_and_the_rest_works(open_page: Opener) -> None:
    opened = open_page(before=NO_SPACE)
    assert "cannot draw in 3D" in opened.page.locator("#space").inner_text()
    opened.page.locator("#step").evaluate(SLIDE, "4")
    shows(opened, "B1", "T3")


def test_the_frame_is_drawn_with_stripes_that_tell_the_halves(opened: Opened) -> None:
    picture = """() => {
      platemodel.draw();
      const canvas = document.getElementById("canvas");
      const flat = document.createElement("canvas");
      flat.width = canvas.width; flat.height = canvas.height;
      const on = flat.getContext("2d");
      on.drawImage(canvas, 0, 0);
      const bytes = on.getImageData(0, 0, flat.width, flat.height).data;
      const found = new Set();
      for (let at = 0; at < bytes.length; at += 4) found.add((bytes[at] << 16) | (bytes[at + 1] << 8) | bytes[at + 2]);
      return found.size;
    }"""
    assert opened.page.evaluate(picture) > 50
    words = opened.page.locator("#space .legend span").all_inner_texts()
    assert [text.split()[0] for text in words] == ["U", "O", "UO", "picked:", "its"]


def test_every_button_of_the_view_leaves_the_frame_in_sight(opened: Opened) -> None:
    names = opened.js("[...document.querySelectorAll('[data-do]')].map((one) => one.dataset.do)")
    assert {"in", "out", "left", "right", "up", "down", "reset"} <= set(names)
    everything = shown(opened)
    assert len(everything) == 13
    for name in [*names, "in", "out"]:
        opened.page.locator(f"[data-do={name}]").evaluate("(one) => one.click()")
        # closer by a fifth may leave the outermost marks beyond the picture, but never most of them
        assert len(shown(opened)) >= 7, name
