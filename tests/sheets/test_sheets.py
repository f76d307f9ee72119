"""What every sheet must keep to, whatever it shows."""

from __future__ import annotations

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from bench.terrace import terrace
from houses import plain_bungalow
from hypothesis import HealthCheck, given, seed, settings
from layout import faults
from plans import Spec, specs

from platemodel.frame import decide
from platemodel.frame.tape import shoulders, whole
from platemodel.frame.values import Frame
from platemodel.plan import parse_plan, read_plan
from platemodel.sheets import drawn, finished, plan_figure, svg, unshown
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import WIDE, Page, Text
from platemodel.sheets.plan_dims import clear_lengths
from platemodel.site.rules import judge

ROOT = Path(__file__).parents[2]
EXAMPLES = sorted((ROOT / "examples").glob("*.toml"))
LONG = "The old coach house at the end of the lane behind the church"
MANY = Spec(
    corners=((0, 0), (30_000, 0), (30_000, 4000), (0, 4000)),
    names=("front of the very long barn by the old road", "right", "back", "left"),
    crosses=tuple((f"x{n}", (n * 700.0, 0.0), (n * 700.0, 4000.0)) for n in range(1, 42)),
    stock=(7200.0, 30_000.0),
)


def sheets_of(frame: Frame) -> dict[str, Page]:
    """Every sheet of a frame, cover and all, as for a proof that has not been made."""
    return finished(frame, drawn(frame), None, judge(frame), passed=True)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_no_text_of_an_example_collides_or_leaves_its_sheet(example: Path) -> None:
    frame = decide(read_plan(example))
    assert all_faults(frame) == []


@pytest.mark.parametrize("sheet", ["A4", "A3"])
def test_many_laps_on_a_piece_and_long_names_stay_apart(sheet: str) -> None:
    text = MANY.text().replace('title = "Made by a test"', f'title = "{LONG}"\nsheet = "{sheet}"\nowner = "{LONG}"')
    frame = decide(parse_plan(text))
    assert frame.plan.job.sheet == sheet
    assert all_faults(frame) == []
    words = " ".join(m.text for page in drawn(frame).values() for m in page.marks if isinstance(m, Text))
    most = max(len(kind.shape.cuts) for kind in frame.types)
    assert most >= 40
    assert f" {most} " in words


@pytest.mark.parametrize("bays", [1, 60])
def test_a_terrace_stays_legible(bays: int) -> None:
    assert all_faults(decide(parse_plan(terrace(bays)))) == []


def test_one_piece_alone_has_its_sheets() -> None:
    frame = Spec(corners=((0, 0), (900, 0)), names=("only",), closed=False).frame()
    assert len(frame.pieces) == 1
    assert all_faults(frame) == []
    assert {"plan", "laying", "T1"} <= set(drawn(frame))


CROWDED = {
    "name at the sheet's edge": Spec(
        corners=((0, 0), (1248.7, 0), (3138.0, -3834.9), (2782.4, -8095.0), (8969.8, -12930.2)),
        names=("w1", "w2", "w3", "w4"),
        closed=False,
        left=False,
        width=150.0,
        leaf=190.0,
        clearance=3.0,
        stock=(2400.0, 3000.0),
    ),
    "mark below a bay": Spec(
        corners=(
            *((0.0, 0.0), (0.0, 7559.7), (17779.439, 7559.7), (17779.439, 0.0)),
            *((10219.739, 0.0), (9556.67, -1154.269), (8222.77, -1154.269), (7559.7, 0.0)),
        ),
        names=("w8", "w7", "w6", "w5", "w4", "w3", "w2", "w1"),
        crosses=(("x1", (9756.509, -806.389), (7838.846, -485.936)),),
        order=("w4", "x1", "w3", "w6", "w1", "w2", "w5", "w7", "w8"),
        width=75.0,
        depth=47.0,
        leaf=115.0,
        setback=20.0,
        clearance=0.5,
        splice=200.0,
        stock=(2400.0, 3000.0),
    ),
    "wide slanting plates": Spec(
        corners=((0, 0), (2420.9, 0), (2420.9, 2420.9), (0, 2420.9)),
        names=("w1", "w2", "w3", "w4"),
        crosses=(("x1", (2057.765, 0), (0, 1428.0143)), ("x2", (493.1692, 0), (0, 434.7288))),
        gaps=(("w2", 1857.5, 2420.9),),
        order=("w1", "w3", "w2", "w4", "x1", "x2"),
        width=150.0,
        depth=47.0,
        leaf=190.0,
        setback=20.0,
        clearance=3.0,
        splice=200.0,
        stock=(2400.0, 3000.0),
    ),
    "thin plate beside a bay": Spec(
        corners=(
            *((0.0, 0.0), (4788.6, 0.0), (5358.41, -1959.743), (6344.21, -1959.743)),
            *((6914.02, 0.0), (7899.82, 0.0), (7899.82, 3863.6), (0.0, 3863.6)),
        ),
        names=("w1", "w2", "w3", "w4", "w5", "w6", "w7", "w8"),
        crosses=(("x1", (5225.378, -1502.208), (7090.964, 0.0)),),
        width=150.0,
        depth=38.0,
        leaf=190.0,
        clearance=0.5,
        stock=(3600.0, 4800.0, 6000.0),
        method="pairs",
    ),
    "one steep plate short of its wall": Spec(
        corners=((-1143.822, 0.0), (-1044.276, 3619.631)),
        names=("w1",),
        closed=False,
        gaps=(("w1", 2321.97, 3621.0),),
        width=75.0,
        depth=38.0,
        leaf=115.0,
        setback=3.0,
        stock=(2400.0, 3000.0),
    ),
}
"""Random plans on whose sheets a label once found a place where there was none."""


@pytest.mark.parametrize("name", CROWDED)
def test_no_label_is_set_where_there_is_no_room(name: str) -> None:
    assert all_faults(CROWDED[name].frame()) == []


@pytest.mark.parametrize("chunk", range(4))
def test_no_text_of_a_random_plan_collides_or_leaves_its_sheet(chunk: int) -> None:
    @seed(chunk)
    @settings(max_examples=25, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(specs())
    def judge_one(spec: Spec) -> None:
        assert all_faults(spec.frame()) == []

    judge_one()


def all_faults(frame: Frame) -> list[str]:
    found = [f"{name}: {fault}" for name, page in sheets_of(frame).items() for fault in faults(page)]
    return found + [f"figure: {fault}" for fault in faults(plan_figure(frame), framed=False)]


def test_the_check_of_layouts_finds_what_is_wrong() -> None:
    page = Page(297.0, 210.0, "spoiled")
    page.text(50, 50, "one")
    page.text(51, 50.5, "other")
    page.text(100, 50, "crossed")
    page.line([(90, 49), (140, 49)], WIDE)
    page.text(150, 50, "hidden")
    page.area([(140, 45), (170, 45), (170, 52), (140, 52)], (1.0, 1.0, 1.0))
    page.text(2, 2, "off")
    page.hatch([(200, 40), (220, 40), (220, 60), (200, 60)])
    page.text(205, 50, "hatched")
    kinds = {fault.split(":")[0] for fault in faults(page)}
    assert kinds == {"overlap", "crossed by a thick line", "hidden", "off the frame", "hatched"}


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda path: path.stem)
def test_every_cut_and_mark_stands_on_its_type_s_sheet(example: Path) -> None:
    frame = decide(read_plan(example))
    pages = drawn(frame)
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
    for page in sheets_of(decide(read_plan(example))).values():
        root = ElementTree.fromstring(svg(page))
        assert root.get("width") == f"{page.width:g}mm"
        assert root.get("viewBox") == f"0 0 {page.width:g} {page.height:g}"


def test_a_failed_proof_stands_across_every_sheet() -> None:
    frame = decide(read_plan(EXAMPLES[0]))
    for page in finished(frame, drawn(frame), None, [], passed=False).values():
        assert any(isinstance(mark, Text) and mark.text.startswith("NOT PROVED – DO NOT CUT") for mark in page.marks)
    for page in finished(frame, drawn(frame), None, [], passed=True).values():
        assert not any(isinstance(mark, Text) and mark.text.startswith("NOT PROVED – DO") for mark in page.marks)


def test_every_page_says_which_it_is() -> None:
    pages = sheets_of(decide(read_plan(EXAMPLES[0])))
    for number, page in enumerate(pages.values(), start=1):
        assert any(isinstance(mark, Text) and mark.text == f"{number} of {len(pages)}" for mark in page.marks)


def test_letters_that_the_font_lacks_are_boxes_and_told() -> None:
    plan = parse_plan(MANY.text().replace("Made by a test", "Haus 漢 ok"))
    (verdict,) = [found for found in unshown(plan) if not found.passed]
    assert "job.title" in verdict.where
    assert "'漢'" in verdict.where
    words = [mark.text for mark in drawn(decide(plan))["plan"].marks if isinstance(mark, Text)]
    assert "Haus □ ok" in words
    assert all(found.passed for found in unshown(read_plan(EXAMPLES[0])))


def test_a_wall_s_letters_that_the_font_lacks_are_told_with_their_own_line() -> None:
    text = plain_bungalow().replace('"porch"', '"漢"')
    (verdict,) = [found for found in unshown(parse_plan(text)) if not found.passed]
    line = 1 + text[: text.index("漢")].count("\n")
    assert f":{line}: shell[0].walls[2]: '漢'" in verdict.where


def test_the_parts_of_a_large_plan_show_every_piece_and_every_stretch() -> None:
    frame = decide(parse_plan(terrace(30)))
    parts = [page for name, page in drawn(frame).items() if name.startswith("plan-")]
    assert len(parts) > 1
    texts = [mark.text for page in parts for mark in page.marks if isinstance(mark, Text)]
    assert not any(text.startswith("and ") for text in texts)
    shown = {text.split()[0] for text in texts if text}
    assert {piece.mark for piece in frame.pieces} <= shown
    for piece in frame.pieces:
        # along one edge or the other, each stretch has its figure on some part
        assert any(all(str(clear.length) in texts for clear in clear_lengths(frame, piece, edge)) for edge in (0, 1))


def test_a_title_cannot_break_the_svg() -> None:
    text = MANY.text().replace("Made by a test", 'A <b>& title, \\"quoted\\"')
    page = drawn(decide(parse_plan(text)))["plan"]
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
