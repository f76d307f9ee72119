"""What the tests of sheets measure on pages, and the plans they draw."""

from __future__ import annotations

import dataclasses
import functools
from collections.abc import Iterable
from pathlib import Path

from bench.terrace import terrace
from plans import Spec, decided

from platemodel.frame import Frame
from platemodel.sheets.lettering import width
from platemodel.sheets.page import Area, Hatch, Line, Page, Text

ROOT = Path(__file__).parents[2]
Box = tuple[float, float, float, float]

LONG_NAMES = Spec(
    corners=((0, 0), (9000, 0), (9000, 6000), (0, 6000)),
    names=tuple(f"{word:-<60}" for word in ("front 漢", "right", "back", "left")),
    crosses=(("W" * 60, (4500, 0), (4500, 6000)),),
)
ONE = Spec(corners=((0, 0), (2000, 0)), names=("only",), closed=False)
MANY_LAPS = Spec(
    corners=((0, 0), (30_000, 0), (30_000, 4000), (0, 4000)),
    names=("front", "right", "back", "left"),
    crosses=tuple((f"x{n}", (n * 700.0, 0.0), (n * 700.0, 4000.0)) for n in range(1, 42)),
    stock=(31_000.0,),
)
"""Forty-odd laps on one piece, figures of five places."""

SHORT_PIECES = Spec(
    corners=((0, 0), (7000, 0), (7000, 900), (0, 900)),
    names=("front", "right", "back", "left"),
    crosses=tuple((f"x{n}", (n * 450.5, 0.0), (n * 450.5, 900.0)) for n in range(1, 15)),
    stock=(7000.0,),
)
"""Many short pieces on a board."""

TINY = Spec(
    corners=((0, 0), (900, 0), (900, 600), (0, 600)),
    names=("a", "b", "c", "d"),
    width=10.0,
    depth=10.0,
    leaf=20.0,
)
"""Gauges too small for words inside them."""

BROAD = Spec(
    corners=((0, 0), (9000, 0), (6000, 6000)),
    names=("a", "b", "c"),
    width=300.0,
    depth=200.0,
    leaf=340.0,
    apart=10.0,
)
"""Gauges larger than the paper."""


def on(text: str, size: str) -> Frame:
    """The decided frame of a plan's text, its sheets of a size."""
    frame = decided("\n".join(line for line in text.splitlines() if not line.startswith("sheet =")))
    job = frame.plan.job.model_copy(update={"sheet": size})
    return dataclasses.replace(frame, plan=dataclasses.replace(frame.plan, job=job))


@functools.cache
def plan_texts() -> dict[str, str]:
    """Every example, and plans that are hard to draw."""
    found = {path.stem: path.read_text("utf-8") for path in sorted((ROOT / "examples").glob("*.toml"))}
    found |= {"one": ONE.text(), "many laps": MANY_LAPS.text(), "long names": LONG_NAMES.text()}
    found |= {"broad": BROAD.text(), "short pieces": SHORT_PIECES.text(), "tiny": TINY.text(), "terrace": terrace(20)}
    return found


def text_box(mark: Text) -> Box:
    """Left, top, right and bottom of a level text or one that reads upwards."""
    assert mark.turn in (0.0, 90.0), mark
    size = width(mark.text, mark.height, mark.bold)
    before = {"start": 0.0, "middle": size / 2, "end": size}[mark.anchor]
    x, y = mark.at
    if mark.turn == 90.0:
        return x - mark.height, y - size + before, x, y + before
    return x - before, y - mark.height, x - before + size, y


def assert_sound(page: Page) -> None:
    """Nothing leaves the frame line, no text meets another, and nothing is too small to be read."""
    inside(page)
    apart([mark for mark in page.marks if isinstance(mark, Text)])
    title_block = page.height - 34.0
    small = [mark for mark in page.marks if isinstance(mark, Text) and mark.height < 2.5]
    assert all(mark.at[1] > title_block for mark in small), small


def inside(page: Page) -> None:
    for mark in page.marks:
        if isinstance(mark, Text):
            left, top, right, bottom = text_box(mark)
            points = [(left, top), (right, bottom)]
        elif isinstance(mark, Line):
            points = list(mark.points)
        else:
            assert isinstance(mark, (Area, Hatch)), mark
            points = list(mark.outline)
        for x, y in points:
            assert 20.0 - 1e-6 <= x <= page.width - 10.0 + 1e-6, (page.title, mark)
            assert 10.0 - 1e-6 <= y <= page.height - 10.0 + 1e-6, (page.title, mark)


def apart(texts: Iterable[Text]) -> None:
    boxes = sorted((text_box(mark), mark.text) for mark in texts)
    for number, (one, text) in enumerate(boxes):
        for other, word in boxes[number + 1 :]:
            # sorted by their left edges: none further on begins before this one ends
            if other[0] >= one[2]:
                break
            assert other[3] <= one[1] or one[3] <= other[1], (text, word, one, other)


def clear_of_title_block(page: Page) -> None:
    """No text above the title block reaches into it."""
    top = page.height - 34.0
    for mark in page.marks:
        if isinstance(mark, Text) and text_box(mark)[1] < top:
            assert text_box(mark)[3] <= top + 1e-6, mark


def words(pages: Iterable[Page]) -> str:
    """All texts of pages in drawing order, with single spaces."""
    return " ".join(mark.text for page in pages for mark in page.marks if isinstance(mark, Text))
