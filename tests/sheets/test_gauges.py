"""The gauge sheet: every gauge once, at its size or in words, with check bars on each page."""

from __future__ import annotations

import math
import re

import pytest
from pages import assert_sound, clear_of_title_block, on, plan_texts, words

from platemodel.frame import Frame
from platemodel.frame.gauges import Gauge, gauges
from platemodel.sheets.gauge_sheet import gauge_sheets
from platemodel.sheets.page import HIDDEN, NARROW, XY, Line, Page

PLANS = plan_texts()
CASES = [(name, size) for name in PLANS for size in ("A4", "A3")]


def drawn(name: str, size: str) -> tuple[Frame, list[Page]]:
    frame = on(PLANS[name], size)
    return frame, gauge_sheets(frame)


@pytest.mark.parametrize(("name", "size"), CASES)
def test_nothing_collides_and_every_gauge_stands_once(name: str, size: str) -> None:
    frame, pages = drawn(name, size)
    outlines = [_sides(mark.points) for page in pages for mark in page.marks if isinstance(mark, Line) and mark.closed]
    text = words(pages)
    drawn_count = 0
    for gauge in gauges(frame):
        laps = f"gauge {gauge.name}, {len(gauge.halves)} lap"
        shown = [sides for sides in outlines if _fits(sides, gauge)]
        # drawn at its size, or listed with its figures, never both
        listed = re.findall(re.escape(laps) + "s?: ([^•]*)", text)
        if listed:
            assert len(listed) == 1
            assert f"{gauge.length} along the edge, half depth {gauge.depth:g}" in listed[0]
            if gauge.lean:
                assert f"leaning {gauge.lean:.1f} over the width of {gauge.width:g}" in listed[0]
        else:
            assert f" gauge {gauge.name}: {len(gauge.halves)} lap" in text
            assert shown, gauge
            drawn_count += 1
    strips = len(re.findall(r" gauge \d+(?: / [\d.]+°)?: \d+ laps?", text))
    assert strips == drawn_count
    for page in pages:
        assert_sound(page)
        clear_of_title_block(page)
        assert "PRINT AT 100 %" in words([page])
        assert "the figures rule" in words([page])
        assert " 1:1 " in words([page])
        for length in (100.0, 101.6):
            assert any(math.isclose(_sides(mark.points)[0], length) for mark in _closed(page))


def _closed(page: Page) -> list[Line]:
    return [mark for mark in page.marks if isinstance(mark, Line) and mark.closed and mark.pen == NARROW]


def _sides(points: tuple[XY, ...]) -> list[float]:
    return [math.dist(one, other) for one, other in zip(points, (*points[1:], points[0]), strict=True)]


def _fits(sides: list[float], gauge: Gauge) -> bool:
    """Whether an outline is as long along two edges as the gauge, its other edges as a shoulder is."""
    if len(sides) != 4 or not math.isclose(sides[0], gauge.length, abs_tol=1e-9):
        return False
    return not gauge.lean or math.isclose(sides[1], math.hypot(gauge.lean, gauge.width), abs_tol=1e-9)


def test_what_the_paper_does_not_hold_is_said_in_words() -> None:
    _, pages = drawn("broad", "A4")
    text = words(pages)
    assert "Too large for this paper" in text
    assert "depth gauge: half depth 100, whole depth 200" in text
    _, pages = drawn("bungalow", "A4")
    assert "Too large" not in words(pages)


def test_the_depth_gauge_has_steps_of_half_and_whole_depth() -> None:
    frame, pages = drawn("two-shells", "A3")
    depth = frame.plan.plate.depth
    (steps,) = [mark for mark in _closed(pages[0]) if len(mark.points) == 6]
    sides = _sides(steps.points)
    assert sides[1] == pytest.approx(depth / 2)
    assert sides[5] == pytest.approx(depth)


def test_a_leaning_gauge_leans_as_its_shoulder() -> None:
    frame, pages = drawn("canted-bay", "A4")
    (gauge,) = [gauge for gauge in gauges(frame) if gauge.lean]
    (outline,) = [mark.points for page in pages for mark in _closed(page) if _fits(_sides(mark.points), gauge)]
    (ax, ay), (bx, by), (cx, cy), (dx, dy) = outline
    assert ay == by
    assert cy == dy
    assert cx - bx == pytest.approx(gauge.lean)
    assert dx - ax == pytest.approx(gauge.lean)
    assert ay - dy == pytest.approx(gauge.width)
    # half the depth below its upper edge, from one slanting edge to the other
    (page,) = [page for page in pages if any(mark.points == (*outline,) for mark in _closed(page))]
    (half,) = [m.points for m in page.marks if isinstance(m, Line) and m.pen == HIDDEN and m.points[0][1] > dy + 1.0]
    assert [y - dy for _, y in half] == pytest.approx([gauge.depth] * 2)
    shift = gauge.lean * (1.0 - gauge.depth / gauge.width)
    assert [x for x, _ in half] == pytest.approx([ax + shift, bx + shift])
    assert "UP edge" in words([page])
    # the mates' lines of 45 degrees: the lap of a plate 100 wide, clearance 1 square to it
    assert gauge.length == math.ceil(101 * math.sqrt(2) - 0.02)
