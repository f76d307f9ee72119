"""The order: its figures are those of the frame's boards, it compares them rightly, and nothing collides.

Mean densities: EN 338:2016, table 1 (from memory; C16 370 and C24 420 kg/m3 are the same in the 2009 edition). Nails
and straps: NHBC Standards 2020, 7.2.6. Spare boards, screws and minutes: common practice.
"""

from __future__ import annotations

import csv
import dataclasses
import io
import math
import re
import tomllib
from collections import Counter
from collections.abc import Sequence

import pytest
import tomli_w
from bench.terrace import terrace
from hypothesis import HealthCheck, given, seed, settings
from layout import faults
from pages import ONE, assert_sound, clear_of_title_block, on, plan_texts, words
from plans import Spec, specs

from platemodel.export.buying import buying, gap_percent, sums, waste_percent
from platemodel.export.fixings import fixings
from platemodel.export.lists import buying_list
from platemodel.export.report import report
from platemodel.faults import PlanError
from platemodel.frame import Frame, decide
from platemodel.frame.values import Board, Purchase
from platemodel.plan import parse_plan
from platemodel.plan.values import Stock, YardBoards
from platemodel.sheets import drawn
from platemodel.sheets.batch_sheet import batch_sheets
from platemodel.sheets.buying_sheet import buying_sheets
from platemodel.sheets.page import Page, Text
from platemodel.site.screws import screw_length

PLANS = plan_texts()
both_sizes = pytest.mark.parametrize(("name", "size"), [(name, size) for name in PLANS for size in ("A4", "A3")])
HOUSE = Spec(corners=((0, 0), (9000, 0), (9000, 6000), (0, 6000)), names=("a", "b", "c", "d"))


def sound(pages: Sequence[Page]) -> None:
    for page in pages:
        assert_sound(page)
        clear_of_title_block(page)
        assert faults(page) == []


def with_stock(frame: Frame, **changes: object) -> Frame:
    stock: Stock = dataclasses.replace(frame.plan.stock, **changes)
    return dataclasses.replace(frame, plan=dataclasses.replace(frame.plan, stock=stock))


def with_boards(frame: Frame, boards: Sequence[Board], *purchases: Purchase, **stock: object) -> Frame:
    return with_stock(dataclasses.replace(frame, boards=tuple(boards), purchases=purchases), **stock)


def boards_of(frame: Frame, length: float, **values: object) -> list[Board]:
    """A board of its own for each piece."""
    return [Board(length, (index,), length - piece.length, **values) for index, piece in enumerate(frame.pieces)]


@both_sizes
def test_nothing_collides_and_the_figures_are_the_boards(name: str, size: str) -> None:
    frame = on(PLANS[name], size)
    pages = buying_sheets(frame)
    sound(pages)
    rows = _rows(pages)
    counts = Counter(f"{board.length:g}" for board in frame.boards)
    if len({piece.laid.width for piece in frame.pieces}) == 1:
        assert {length: int(row[1]) for length, row in rows.items() if length != "sum"} == counts
        # one of the length bought most
        assert sum(int(row[2]) for length, row in rows.items() if length != "sum") == 1
        if len(counts) > 1:
            assert int(rows["sum"][3]) == len(frame.boards) + 1
    found = fixings(frame)
    screws = {"wood screws": 2 * len(frame.joints)} if frame.joints and found.screw is not None else {}
    nails = {"round wire nails": 2 * len(frame.plan.bearings)} if frame.plan.bearings else {}
    assert _fixings(pages) == screws | nails


def _fixings(pages: Sequence[Page]) -> dict[str, int]:
    """How many of each fixing are ordered, read off the table's lines."""
    found = {}
    for page in pages:
        texts = [mark for mark in page.marks if isinstance(mark, Text)]
        for item in ("wood screws", "round wire nails"):
            for mark in texts:
                if mark.text == item:
                    line = [one for one in texts if one.anchor == "end" and abs(one.at[1] - mark.at[1]) < 1e-6]
                    found[item] = int(max(line, key=lambda one: one.at[0]).text)
    return found


def _rows(pages: Sequence[Page]) -> dict[str, list[str]]:
    """Rows of the tables by their first cell."""
    found: dict[str, list[str]] = {}
    for page in pages:
        by_line: dict[tuple[float, int], list[Text]] = {}
        for mark in page.marks:
            if isinstance(mark, Text) and mark.anchor == "end":
                by_line.setdefault((round(mark.at[1], 3), int(mark.at[0] > page.width / 2 + 8)), []).append(mark)
        for marks in by_line.values():
            cells = [mark.text for mark in sorted(marks, key=lambda mark: mark.at[0])]
            # a table of fixings has one column of figures
            if len(cells) > 3 and re.fullmatch(r"[\d.]+|sum", cells[0]):
                found[cells[0]] = cells
    return found


def test_nothing_collides_on_random_plans() -> None:
    @seed(40)
    @settings(max_examples=12, deadline=None, database=None, suppress_health_check=list(HealthCheck))
    @given(specs())
    def judge_one(spec: Spec) -> None:
        frame = spec.frame()
        sound(buying_sheets(frame))
        priced = [dataclasses.replace(board, price=1234.5) for board in frame.boards]
        sound(buying_sheets(dataclasses.replace(frame, boards=tuple(priced))))
        assert sum(line.count for line in buying(frame).lines) == len(frame.boards)

    judge_one()


@pytest.mark.parametrize("size", ["A4", "A3"])
def test_a_long_list_goes_on_further_pages(size: str) -> None:
    frame = on(terrace(60), size)
    lengthened = [
        dataclasses.replace(board, length=board.length + 7.0 * number, price=999_999.99, offcut=900.0 + number)
        for number, board in enumerate(frame.boards)
    ]
    frame = dataclasses.replace(frame, boards=tuple(lengthened))
    assert len(lengthened) > 80
    pages = buying_sheets(frame)
    assert len(pages) > 1
    sound(pages)
    assert {f"{board.length:g}" for board in lengthened} <= set(_rows(pages))


@pytest.mark.parametrize(("grade", "density"), [("C16", 370.0), ("C24", 420.0)])
def test_masses_are_volume_times_the_mean_density(grade: str, density: float) -> None:
    text = HOUSE.text().replace("[plate]", f'[plate]\ngrade = "{grade}"')
    found = buying(decide(parse_plan(text)))
    for line in found.lines:
        cubic_metres = (line.count + line.spare) * line.length * 100.0 * 50.0 * 1e-9
        assert line.volume == pytest.approx(cubic_metres, rel=1e-12)
        assert line.mass == pytest.approx(cubic_metres * density, rel=1e-12)
    total = sums(found.lines)
    assert total.mass == pytest.approx(total.metres * 0.1 * 0.05 * density, rel=1e-12)


def test_a_spare_is_one_of_the_length_bought_most_or_as_many_as_wished() -> None:
    frame = HOUSE.frame()
    one, *rest = boards_of(frame, 6000.0)
    mixed = [dataclasses.replace(one, length=7200.0), *rest]
    assert [(line.length, line.spare) for line in buying(with_boards(frame, mixed)).lines] == [(6000, 1), (7200, 0)]
    assert [line.spare for line in buying(with_boards(frame, mixed, spare=5)).lines] == [5, 0]
    assert [line.spare for line in buying(with_boards(frame, mixed, spare=0)).lines] == [0, 0]
    two = [*mixed[:1], dataclasses.replace(rest[0], length=7200.0), *rest[1:3]]
    assert len(two) == 4
    # as many of each: the longer can stand for the shorter
    assert [line.spare for line in buying(with_boards(frame, two)).lines] == [0, 1]


def test_boards_of_the_yard_are_listed_apart_and_not_bought() -> None:
    frame = HOUSE.frame()
    boards = boards_of(frame, 6000.0, price=20.0)
    boards[0] = dataclasses.replace(boards[0], length=6100.0, yard=True, price=None)
    frame = with_boards(frame, boards, yard=(YardBoards(6100.0, 100.0, 1),))
    found = buying(frame)
    assert [(line.length, line.count, line.spare, line.price) for line in found.yard] == [(6100.0, 1, 0, None)]
    assert sum(line.count for line in found.lines) == len(boards) - 1
    assert sums(found.lines).price == pytest.approx(20.0 * len(boards))
    assert "6100" not in buying_list(frame)
    pages = buying_sheets(frame)
    sound(pages)
    text = words(pages)
    assert "From the yard, not bought: 100 × 50, C16" in text
    assert f"{20.0 * len(boards):.2f}" in text
    assert "6100" in text
    everything = with_boards(frame, [dataclasses.replace(board, yard=True, price=None) for board in boards])
    assert "the yard has them all" in words(buying_sheets(everything))
    assert buying(everything).lines == ()
    assert len(list(csv.reader(io.StringIO(buying_list(everything))))) == 1


def test_the_csv_adds_up_and_has_its_columns() -> None:
    frame = on(PLANS["bungalow"], "A4")
    frame = dataclasses.replace(frame, boards=tuple(dataclasses.replace(b, price=b.length / 250) for b in frame.boards))
    rows = list(csv.DictReader(io.StringIO(buying_list(frame))))
    assert list(rows[0]) == [
        *("width_mm", "depth_mm", "grade", "length_mm", "count", "spare", "metres", "volume_m3", "mass_kg"),
        *("price_each", "price_total", "pieces_a_board"),
    ]
    assert sum(int(row["count"]) for row in rows) == len(frame.boards)
    assert sum(int(row["spare"]) for row in rows) == 1
    total = sums(buying(frame).lines)
    assert sum(float(row["metres"]) for row in rows) == pytest.approx(total.metres, abs=0.006 * len(rows))
    assert total.price == pytest.approx(total.metres * 4.0)
    assert sum(float(row["price_total"]) for row in rows) == pytest.approx(total.price, abs=0.006 * len(rows))
    cut = Counter(mark for row in rows for mark in re.split(r" \+ |; ", row["pieces_a_board"]))
    assert cut == Counter(piece.mark for piece in frame.pieces)


def test_waste_is_what_is_not_in_the_pieces() -> None:
    assert waste_percent(8000.0, 6000.0) == 25.0
    assert waste_percent(0.0, 0.0) == 0.0
    frame = ONE.frame()
    (piece,) = frame.pieces
    assert piece.length == 2000.0
    purchase = Purchase(100.0, 4000.0, 2500.0, 8000.0, False, False, "by hand", "no effort was left", 2000.0)
    frame = with_boards(frame, [Board(4000.0, (0,), 1997.0)], purchase)
    found = buying(frame)
    (waste,) = found.wastes
    assert found.waste == 50.0
    assert waste.bound is not None
    assert waste.first_fit is not None
    assert (waste.percent(waste.bound), waste.percent(waste.first_fit)) == (20.0, 75.0)
    assert gap_percent(purchase) == pytest.approx(60.0)
    text = words(buying_sheets(frame))
    assert "Waste: 50.0 %" in text
    assert "the least possible is 20.0 % or more; first fit would waste 75.0 %" in text.lower()
    assert "no effort was left" in text
    assert "Splices in other places could save 50.0 % at most." in text
    assert "proved least." not in text.replace("Not proved least", "")
    values = report(frame, [], None)
    assert values["cutting"] == [
        {
            "width": 100.0,
            "cost": 4000.0,
            "bound": 2500.0,
            "gap_percent": pytest.approx(60.0),
            "bound_anywhere": 2000.0,
            "first_fit": 8000.0,
            "priced": False,
            "proved": False,
            "method": "by hand",
            "note": "no effort was left",
        }
    ]
    assert values["buying"]["waste_percent"] == 50.0
    assert values["buying"]["waste"][0]["percent_at_bound"] == 20.0
    assert values["buying"]["boards"][0]["total"] == 2


def test_where_prices_are_known_money_is_compared() -> None:
    board = Board(4000.0, (0,), 1997.0, price=30.0)
    dear = Purchase(100.0, 30.0, 30.0, 45.0, True, True, "by hand", "")
    text = words(buying_sheets(with_boards(ONE.frame(), [board], dear)))
    assert "Bought for 30.00, proved least for these pieces; first fit would come to 45.00, 50.0 % more." in " ".join(
        text.split()
    )
    (waste,) = buying(with_boards(ONE.frame(), [board], dear)).wastes
    assert (waste.bound, waste.first_fit) == (None, None)


def test_offcuts_are_kept_from_the_wished_length_on() -> None:
    frame = HOUSE.frame()
    boards = [
        dataclasses.replace(board, offcut=offcut)
        for board, offcut in zip(boards_of(frame, 6000.0), (599.9, 600.0, 600.4, 1200.0), strict=False)
    ]
    found = buying(with_boards(frame, boards))
    assert [(offcut.length, offcut.count) for offcut in found.offcuts] == [(1200.0, 1), (600.0, 2)]
    assert "1200; 2 of 600: 2.4 m in all" in words(buying_sheets(with_boards(frame, boards)))
    assert buying(with_boards(frame, boards, keep=1200.5)).offcuts == ()


@pytest.mark.parametrize(
    ("depth", "longest"), [(10.0, None), (38.0, 30), (45.0, 40), (50.0, 45), (75.0, 70), (74.9, 60), (900.0, None)]
)
def test_a_screw_stops_short_of_the_underside(depth: float, longest: int | None) -> None:
    assert screw_length(depth, 5.0) == longest


def test_screws_nails_and_minutes() -> None:
    frame = on(PLANS["bungalow"], "A4")
    found = fixings(frame)
    laps, bearings = len(frame.joints), len(frame.plan.bearings)
    assert (found.screws, found.nails) == (2 * laps, 2 * bearings)
    text = words(buying_sheets(frame))
    assert _fixings(buying_sheets(frame)) == {"wood screws": 2 * laps, "round wire nails": 2 * bearings}
    assert "4.5 × 100" in text
    assert "5 × 45" in text
    assert f"{2 * laps} halves" in text
    hours, minutes = divmod(4 * laps, 60)
    assert f"{hours} h {minutes:02d} min with one at work" in text
    values = tomllib.loads(PLANS["bungalow"])
    values.setdefault("lap", {})["screws"] = 0
    values.setdefault("laying", {})["crew"] = 2
    fewer = decide(parse_plan(tomli_w.dumps(values)))
    assert fixings(fewer).screws == 0
    assert "Screws in laps: none." in words(buying_sheets(fewer))
    assert f"{2 * laps} min with 2 at work" in words(buying_sheets(fewer))
    assert "2 min for each half (common practice)" in text
    assert "and the rips" in text
    values["laying"]["minutes"] = 3.5
    slower = words(buying_sheets(decide(parse_plan(tomli_w.dumps(values)))))
    assert f"3.5 min for each half: about {_hours(math.ceil(3.5 * laps))} with 2 at work" in slower


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return f"{hours} h {rest:02d} min" if hours else f"{rest} min"


@pytest.mark.parametrize("name", ["bungalow", "canted-bay", "two-shells", "crossing"])
def test_boards_used_to_their_ends_are_told_to_the_merchant(name: str) -> None:
    frame = on(PLANS[name], "A4")
    trim = frame.plan.stock.trim
    tight = Counter(f"{board.length:g}" for board in frame.boards if board.offcut + trim < 10.0)
    said = re.search(r"Full length needed, not a millimetre short: ([^.]*)[.]", words(buying_sheets(frame)))
    assert bool(said) == bool(tight)
    found = Counter[str]()
    for count, length in re.findall(r"(\d+) of (\d+)", said[1] if said else ""):
        found[length] += int(count)
    assert found == tight
    assert sum(tight.values()) == words(batch_sheets(frame)).count("MEASURE IT FIRST")


def test_no_strap_or_nail_is_counted_where_no_bearing_is_known() -> None:
    text = words(buying_sheets(HOUSE.frame()))
    assert "4.5 × 100" not in text
    assert "by the engineer's or the local rule" in text


@pytest.mark.parametrize(("key", "value"), [("screws", -1), ("screws", 13), ("crew", 0), ("crew", 21)])
def test_settings_have_bounds(key: str, value: int) -> None:
    table = "[lap]" if key == "screws" else "[laying]"
    with pytest.raises(PlanError):
        parse_plan(HOUSE.text().replace(table, f"{table}\n{key} = {value}"))


def test_the_sheet_stands_between_the_gauges_and_the_batch() -> None:
    firsts = list(dict.fromkeys(name.partition("-")[0] for name in drawn(HOUSE.frame())))
    at = firsts.index("buying")
    assert (firsts[at - 1], firsts[at + 1]) == ("gauge", "batch")
