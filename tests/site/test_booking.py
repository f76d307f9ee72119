"""Levelling books: both ways of booking, checks, misclosure, and the books that are refused."""

from __future__ import annotations

import dataclasses
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from platemodel.site.booking import Row, bad_rows, book, exact, number, written

BOOK = (
    Row("BM", Decimal("1.500")),
    Row("A", None, Decimal("1.200")),
    Row("CP", Decimal("0.900"), None, Decimal("1.700")),
    Row("B", None, Decimal("-0.300")),
    Row("TBM", None, None, Decimal("0.650")),
)


@st.composite
def books(draw: st.DrawFn) -> list[Row]:
    sight = st.integers(-5000, 5000).map(lambda mm: Decimal(mm) / 1000)
    rows = [Row("first", draw(sight))]
    for index in range(draw(st.integers(0, 25))):
        if draw(st.booleans()):
            rows.append(Row(f"i{index}", None, draw(sight)))
        else:
            rows.append(Row(f"c{index}", draw(sight), None, draw(sight)))
    return [*rows, Row("last", None, None, draw(sight))]


@given(books(), st.integers(-(10**7), 10**7), st.integers(-50, 50))
@settings(max_examples=60, deadline=None)
def test_both_ways_agree_and_a_book_closes_where_it_is_known_to(rows: list[Row], start_mm: int, off_mm: int) -> None:
    start = Decimal(start_mm) / 1000
    assert bad_rows(rows) == []
    plain = book(rows, start)
    assert plain.checks
    assert [item.adjusted for item in plain.stations] == [item.level for item in plain.stations]
    # the level of each station by hand: back up through the change points
    level, line = start, Decimal(0)
    for row, item in zip(rows, plain.stations, strict=True):
        sight = row.intermediate if row.intermediate is not None else row.foresight
        if sight is not None:
            level = line - sight
        assert item.level == level
        if row.backsight is not None:
            line = level + row.backsight
            assert item.collimation == line
    close = plain.stations[-1].level - Decimal(off_mm) / 1000
    closed = book(rows, start, close)
    assert closed.misclosure == Decimal(off_mm) / 1000
    assert closed.stations[0].adjusted == start
    assert closed.stations[-1].adjusted == close
    for item in closed.stations[1:]:
        assert abs(item.adjusted - item.level + closed.misclosure * item.set_up / closed.set_ups) <= Decimal("1e-6")


def test_the_misclosure_is_shared_out_by_set_ups() -> None:
    made = book(BOOK, Decimal("10.000"), Decimal("9.990"))
    # 10.000 + 1.500 - 1.700 + 0.900 - 0.650 = 10.050
    assert made.stations[-1].level == Decimal("10.050")
    assert made.misclosure == Decimal("0.060")
    shares = [item.adjusted - item.level for item in made.stations]
    assert shares == [0, Decimal("-0.030"), Decimal("-0.030"), Decimal("-0.060"), Decimal("-0.060")]
    assert made.lines == (Decimal("11.470"), Decimal("10.640"))
    # what was read from a set-up is its line less the reading
    assert made.stations[3].adjusted == made.lines[1] + Decimal("0.300")
    assert not made.closes
    assert book(BOOK, Decimal("10.000"), Decimal("10.045")).closes
    assert book(BOOK, Decimal("10.000")).misclosure is None


def test_a_station_as_high_as_the_one_before_is_a_rise_of_nothing() -> None:
    made = book([Row("a", Decimal("1")), Row("b", None, None, Decimal("1.000"))], Decimal(5))
    assert (made.stations[1].rise, made.stations[1].fall) == (0, None)
    assert written(made.stations[1].rise, made.places) == "0.000"


def _without(index: int, **change: Decimal | None) -> list[Row]:
    rows = list(BOOK)
    rows[index] = dataclasses.replace(rows[index], **change)
    return rows


@pytest.mark.parametrize(
    ("rows", "row", "column", "found"),
    [
        ([], 0, "station", "no row"),
        (BOOK[:1], 0, "station", "one row"),
        (_without(0, backsight=None), 0, "backsight", "no backsight at the first station"),
        (_without(0, foresight=Decimal(1)), 0, "foresight", "a foresight at the first station"),
        (_without(0, backsight=None, intermediate=Decimal(1)), 0, "backsight", "no backsight"),
        (_without(2, foresight=None), 2, "foresight", "a change point without a foresight"),
        (_without(2, backsight=None), 2, "backsight", "a change point without a backsight"),
        (_without(1, backsight=Decimal(1)), 1, "intermediate", "an intermediate sight beside a backsight"),
        (_without(1, foresight=Decimal(1)), 1, "intermediate", "an intermediate sight beside a foresight"),
        (_without(1, intermediate=None), 1, "intermediate", "no reading"),
        (_without(4, foresight=None), 4, "foresight", "no foresight at the last station"),
        (_without(4, backsight=Decimal(1)), 4, "backsight", "a backsight at the last station"),
        (_without(1, intermediate=Decimal("1200")), 1, "intermediate", "1200 is off the staff"),
        (_without(1, intermediate=Decimal("-5.001")), 1, "intermediate", "-5.001 is off the staff"),
    ],
)
def test_a_bad_book_is_refused_with_its_row(rows: list[Row], row: int, column: str, found: str) -> None:
    faults = bad_rows(rows)
    assert (faults[0].row, faults[0].column) == (row, column)
    assert found in faults[0].found
    assert faults[0].expected.startswith("expected")
    assert len(faults) == 1


def test_the_longest_staff_may_be_read_to_its_end() -> None:
    assert bad_rows(_without(1, intermediate=Decimal(5))) == []
    assert bad_rows(_without(1, intermediate=Decimal(-5))) == []
    (fault,) = bad_rows(_without(1, intermediate=Decimal("1.2E3")))
    assert "is this millimetres?" in fault.expected


@pytest.mark.parametrize(
    ("text", "value"), [("1.605", "1.605"), (" -0.3 ", "-0.3"), ("+2", "2"), (".5", "0.5"), ("2.", "2")]
)
def test_numbers_are_read_as_they_are_written(text: str, value: str) -> None:
    assert number(text) == Decimal(value)


@pytest.mark.parametrize("text", ["", "1,605", "1.2.3", "nan", "inf", "1e3", "1 605", "x", "--1", "١.٥", "1.6055555"])
def test_what_is_no_number_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="expected"):
        number(text)


def test_figures_come_out_as_written() -> None:
    assert written(exact(0.1 + 0.2), 3) == "0.300"
    assert written(Decimal("-0.0001"), 3) == "0.000"
    assert written(Decimal("-1.0005"), 3) == "-1.001"
    assert written(None, 3) == ""
    # a tenth has no binary fraction: a sum of floats would miss
    rows = [
        Row("a", exact(0.1)),
        *(Row(f"{n}", exact(0.1), None, exact(0.3)) for n in range(50)),
        Row("z", None, None, Decimal(0)),
    ]
    assert book(rows, Decimal(0)).stations[-1].level == Decimal("-9.9")
