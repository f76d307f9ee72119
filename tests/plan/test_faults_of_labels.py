"""A stock of labels that cannot be, told by its key; and one that is only just."""

from __future__ import annotations

import pytest
from faulty import fault, faults
from houses import house

from platemodel.plan import parse_plan


def plan(labels: str) -> str:
    return f"{house()}\n[labels]\n{labels}\n"


@pytest.mark.parametrize(
    ("labels", "key", "found"),
    [
        ("width = 40", "width", "40 mm has no room for code and words"),
        ("height = 20", "height", "20 mm has no room"),
        ("columns = 3", "columns", "3 labels of 99.1 mm, 101.6 mm apart, take 302.3 mm"),
        ("rows = 8", "rows", "8 labels of 38.1 mm, 38.1 mm apart, take 304.8 mm"),
        ("across = 90", "across", "the pitch of 90 mm is less than a label"),
        ("down = 30", "down", "the pitch of 30 mm is less than a label"),
        ("left = 20", "left", "end 10.7 mm off the paper"),
        ("top = 40", "top", "end 9.7 mm off the paper"),
        ("skip = 14", "skip", "a sheet has only 14 labels"),
        ('paper = "roll"\ncolumns = 1', "columns", 'stands beside paper = "roll"'),
        ('paper = "roll"\nskip = 1', "skip", 'stands beside paper = "roll"'),
        ('paper = "A5"', "paper", 'found "A5"'),
        ("each = 0", "each", "0"),
        ("colour = 1", "colour", "unknown key 'colour'"),
    ],
)
def test_a_stock_that_cannot_be_is_told_by_its_key(labels: str, key: str, found: str) -> None:
    one = fault(plan(labels))
    assert one.path == ("labels", key)
    assert found in one.found
    assert one.line is not None


def test_all_faults_of_a_stock_are_told_at_once() -> None:
    assert {one.path[1] for one in faults(plan("columns = 9\nrows = 40\nskip = 999"))} == {"columns", "rows", "skip"}


def test_what_is_not_given_is_even_on_the_paper_and_what_is_given_stands() -> None:
    stock = parse_plan(plan("")).labels
    assert stock is not None
    assert stock.first == pytest.approx((4.65, 15.15))
    full = parse_plan(plan("columns = 3\nrows = 8\nwidth = 70\nheight = 37.125\nacross = 70\nleft = 0\ntop = 0")).labels
    assert full is not None
    assert (full.first, full.pitch) == ((0.0, 0.0), (70.0, 37.125))
    assert parse_plan(house()).labels is None
