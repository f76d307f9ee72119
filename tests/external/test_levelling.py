"""Published levelling books, reproduced to the last digit by both ways of booking; misprints are named."""

from __future__ import annotations

from decimal import Decimal

import pytest

from platemodel.site.booking import Book, Row, bad_rows, book, written

# IASRI/TNAU e-course, problem 3, http://ecoursesonline.iasri.res.in/mod/page/view.php?id=145286: the readings and
# the sums of the page are published; the level of each station was computed from them independently.
# station, backsight, intermediate, foresight, rise, fall, collimation, level
COURSE = """
BM 2.228 - - - - 434.612 432.384
1 - 1.606 - 0.622 - - 433.006
2 2.090 - 0.988 0.618 - 435.714 433.624
3 - 2.864 - - 0.774 - 432.850
4 0.602 - 1.262 1.602 - 435.054 434.452
5 1.044 - 1.982 - 1.380 434.116 433.072
6 - - 2.684 - 1.640 - 431.432
"""

# Student field book with an inverted staff, https://www.scribd.com/document/485328766/ss-report-1-calculation-docx,
# as printed: station, backsight, intermediate, foresight, collimation, level
FIELD = """
1 2.415 - - 22.415 22.000
2 3.600 - 1.819 26.196 22.596
3 - 4.680 - - 21.516
4 - 1.900 - - 24.296
5 - 1.817 - - 24.379
6 1.680 - 0.919 26.957 25.277
7 - 2.131 - - 24.826
8 - 2.797 - - 24.160
9 - 2.400 - - 24.557
10 3.100 - 3.670 26.387 23.287
11 - 3.801 - - 22.586
12 - 1.677 - - 24.710
13 0.700 - 1.980 25.107 24.407
14 2.708 - 1.001 26.814 24.106
15 - -1.500 - - 28.314
16 - 1.165 - - 25.665
17 - - 3.999 - 22.815
"""


def _table(text: str) -> list[list[str]]:
    return [line.split() for line in text.strip().splitlines()]


def _rows(table: list[list[str]]) -> list[Row]:
    return [Row(line[0], *(None if cell == "-" else Decimal(cell) for cell in line[1:4])) for line in table]


def _worked_out(text: str, start: str) -> Book:
    rows = _rows(_table(text))
    assert bad_rows(rows) == []
    return book(rows, Decimal(start))


def _shown(value: Decimal | None) -> str:
    return written(value, 3) or "-"


def test_the_course_book_to_its_last_digit() -> None:
    made = _worked_out(COURSE, "432.384")
    found = [[_shown(it) for it in (one.rise, one.fall, one.collimation, one.level)] for one in made.stations]
    assert found == [line[4:] for line in _table(COURSE)]
    sums = [_shown(it) for it in (made.backsights, made.foresights, made.rises, made.falls)]
    assert sums == ["5.964", "6.916", "2.842", "3.794"]
    assert [_shown(it) for it in made.differences] == ["-0.952"] * 3
    assert made.checks


def test_the_level_that_subtracts_across_change_points_is_wrong() -> None:
    # a web answer to the same readings from 150.250 ends at 149.794: it takes each reading from the one before,
    # also across the change points; the instrument was moved after the 3rd, 6th and 8th reading
    made = _worked_out(COURSE, "150.250")
    assert _shown(made.stations[-1].level) == "149.298"
    readings = [Decimal(cell) for line in _table(COURSE) for cell in (line[2], line[3], line[1]) if cell != "-"]
    straight_across = Decimal("150.250") + readings[0] - readings[-1]
    assert _shown(straight_across) == "149.794"


def test_the_field_book_to_its_last_digit_but_for_two_misprints() -> None:
    made = _worked_out(FIELD, "22.000")
    table = _table(FIELD)
    found = [[_shown(one.collimation), _shown(one.level)] for one in made.stations]
    differ = {
        (line[0], printed, own)
        for line, figures in zip(table, found, strict=True)
        for printed, own in zip(line[4:], figures, strict=True)
        if printed != own
    }
    # printed 22.415 cannot be: 22.000 + 2.415 = 24.415, from which the page's own next levels follow;
    # printed 25.665 cannot be: 26.814 - 1.165 = 25.649, and the page's own sums agree with that
    assert differ == {("1", "22.415", "24.415"), ("16", "25.665", "25.649")}
    assert Decimal("24.415") - Decimal("1.819") == Decimal(table[1][5])
    sums = [_shown(it) for it in (made.backsights, made.foresights, made.rises, made.falls)]
    assert sums == ["14.203", "13.388", "11.086", "10.271"]
    assert [_shown(it) for it in made.differences] == ["0.815"] * 3
    assert made.checks


def test_an_inverted_staff_read_as_an_upright_one_is_seen_in_no_sum_but_three_metres_low() -> None:
    # the ceiling at station 15 of the field book: -1.500, not 1.500
    wrong = _worked_out(FIELD.replace("-1.500", "1.500"), "22.000")
    right = _worked_out(FIELD, "22.000")
    levels = [one.stations[14].level for one in (right, wrong)]
    assert levels[0] - levels[1] == Decimal("3.000")
    assert right.stations[-1].level == wrong.stations[-1].level


@pytest.mark.parametrize(("text", "start"), [(COURSE, "432.384"), (FIELD, "22.000")])
def test_both_ways_of_booking_agree_at_every_station(text: str, start: str) -> None:
    made = _worked_out(text, start)
    assert [one.level for one in made.stations] == [one.by_rise for one in made.stations]
