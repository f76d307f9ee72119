"""What every sheet must keep to, whatever it shows."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from plans import Spec

from platemodel.frame import decide
from platemodel.plan import parse_plan, read_plan
from platemodel.sheets import drawn, svg
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import Line, Page, Text
from platemodel.sheets.tape import shoulders, whole

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
MANY = Spec(
    corners=((0, 0), (30_000, 0), (30_000, 4000), (0, 4000)),
    names=("front of the very long barn by the old road", "right", "back", "left"),
    crosses=tuple((f"x{n}", (n * 700.0, 0.0), (n * 700.0, 4000.0)) for n in range(1, 42)),
    stock=(7200.0,),
)


def sheets_of(example: Path) -> dict[str, Page]:
    return drawn(decide(read_plan(example)), proved=True)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_nothing_is_drawn_off_the_paper_or_over_its_frame(example: Path) -> None:
    for name, page in sheets_of(example).items():
        _inside(name, page)


def test_a_piece_with_many_laps_and_a_type_of_many_pieces_fit_too() -> None:
    pages = drawn(MANY.frame(), proved=True)
    assert any("-2" in name for name in pages)
    for name, page in pages.items():
        _inside(name, page)
    cuts = max(len(kind.shape.cuts) for kind in MANY.frame().types)
    text = " ".join(m.text for page in pages.values() for m in page.marks if isinstance(m, Text))
    assert f" {cuts} " in text


def _inside(name: str, page: Page) -> None:
    for mark in page.marks:
        if isinstance(mark, Text):
            size = width(mark.text, mark.height, mark.bold)
            x, y = mark.at
            before = {"start": 0.0, "middle": size / 2, "end": size}[mark.anchor]
            if mark.turn == 90.0:
                spans = [(x - mark.height, x), (y - size + before, y + before)]
            elif mark.turn == 0.0:
                spans = [(x - before, x - before + size), (y - mark.height, y)]
            else:
                continue
            (left, right), (top, bottom) = spans
            assert left >= 20.0, (name, mark)
            assert right <= page.width - 10.0 + 1e-6, (name, mark)
            assert top >= 10.0, (name, mark)
            assert bottom <= page.height - 10.0, (name, mark)
        elif isinstance(mark, Line):
            for x, y in mark.points:
                assert 19.9 <= x <= page.width - 9.9, (name, mark)
                assert 9.9 <= y <= page.height - 9.9, (name, mark)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_upright_texts_do_not_collide(example: Path) -> None:
    for name, page in sheets_of(example).items():
        _apart(name, page)


def test_marks_do_not_collide_on_a_crowded_plan() -> None:
    for name, page in drawn(MANY.frame(), proved=True).items():
        _apart(name, page)


def _apart(name: str, page: Page) -> None:
    boxes = []
    for mark in page.marks:
        if isinstance(mark, Text) and mark.turn in (0.0, 90.0):
            size = width(mark.text, mark.height, mark.bold)
            before = {"start": 0.0, "middle": size / 2, "end": size}[mark.anchor]
            x, y = mark.at
            box = (
                (x - before, y - mark.height, x - before + size, y)
                if mark.turn == 0.0
                else (x - mark.height, y - size + before, x, y + before)
            )
            boxes.append((box, mark.text))
    for number, (one, text) in enumerate(boxes):
        for other, word in boxes[number + 1 :]:
            apart = one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]
            assert apart, (name, text, word)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_every_cut_and_mark_stands_on_its_type_s_sheet(example: Path) -> None:
    frame = decide(read_plan(example))
    pages = drawn(frame, proved=True)
    for kind in frame.types:
        texts = [
            mark.text
            for name, page in pages.items()
            if name.split("-")[0] == kind.name
            for mark in page.marks
            if isinstance(mark, Text)
        ]
        for index in kind.pieces:
            assert frame.pieces[index].mark in texts
            assert str(frame.pieces[index].order) in texts
        for cut in kind.shape.cuts:
            ends_high = cut.high == kind.shape.high
            for edge in (0, 1):
                begin, end = shoulders(cut.low[edge], cut.high[edge], ends_high)
                if cut.low != kind.shape.low:
                    assert str(begin) in texts
                if not ends_high:
                    assert str(end) in texts


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_the_svg_is_sound_and_says_millimetres(example: Path) -> None:
    for page in sheets_of(example).values():
        root = ElementTree.fromstring(svg(page))
        assert root.get("width") == f"{page.width:g}mm"
        assert root.get("viewBox") == f"0 0 {page.width:g} {page.height:g}"


def test_a_failed_proof_stands_across_every_sheet() -> None:
    for page in drawn(decide(read_plan(EXAMPLES[0])), proved=False).values():
        assert any(isinstance(mark, Text) and mark.text.startswith("NOT PROVED") for mark in page.marks)
    for page in drawn(decide(read_plan(EXAMPLES[0])), proved=True).values():
        assert not any(isinstance(mark, Text) and "NOT PROVED" in mark.text for mark in page.marks)


def test_a_title_cannot_break_the_svg() -> None:
    text = MANY.text().replace("Made by a test", 'A <b>& title, \\"quoted\\"')
    page = drawn(decide(parse_plan(text)), proved=True)["plan"]
    ElementTree.fromstring(svg(page))


@pytest.mark.parametrize(
    ("low", "high", "ends_high", "expected"),
    [
        (3999.5, 4100.5, False, (3999, 4100)),
        (0.0, 101.0, False, (0, 101)),
        (5299.0, 5400.0, True, (5299, 5400)),
        (2298.5857, 2441.4213, True, (2298, 2441)),
        (3147.75, 3246.25, False, (3148, 3247)),
    ],
)
def test_a_lap_is_never_rounded_short(low: float, high: float, ends_high: bool, expected: tuple[int, int]) -> None:
    begin, end = shoulders(low, high, ends_high)
    assert (begin, end) == expected
    assert end - begin >= high - low - 0.5
    assert abs(begin - low) <= 1.0
    assert abs(end - high) <= 1.0


def test_whole_millimetres_round_halves_up() -> None:
    assert [whole(value) for value in (0.0, 0.49, 0.5, 1.5, 2.5, 999.9999999)] == [0, 0, 1, 2, 3, 1000]


def test_lettering_is_cut_and_wrapped_to_its_room() -> None:
    text = "a rather long line of words for a narrow place"
    assert width(fitted(text, 2.5, 30.0), 2.5) <= 30.0
    assert fitted("short", 2.5, 30.0) == "short"
    lines = wrapped(text, 2.5, 30.0)
    assert " ".join(lines) == text
    assert all(width(line, 2.5) <= 30.0 for line in lines)
    assert re.sub(r"\s", "", "".join(lines)) == re.sub(r"\s", "", text)
