"""Room for labels: of two that both found room, however they are turned, neither hides a letter of the other."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely import Polygon

from platemodel.sheets.labels import Taken, boxes_along
from platemodel.sheets.plan_labels import turned_box

Label = tuple[str, float, float, tuple[float, float]]
"""A text, its height, its turn and its middle."""

PAD = 0.8
"""Room about a boxed label, mm, as plans have it."""

turns = st.floats(-90, 90, exclude_min=True)
heights = st.sampled_from([1.4, 1.8, 2.5, 3.0, 4.0])
texts = st.sampled_from(["A1", "F2", "A12 UO", "B3"])
away = st.floats(-12.0, 12.0)


def hidden(text: str, height: float, turn: float, place: tuple[float, float], box: Polygon) -> float:
    """How much of a text about a place a box covers, mm²."""
    return float(box.intersection(Polygon(turned_box(*place, text, height, turn, 0.0))).area)


@given(texts, texts, heights, heights, turns, turns, away, away)
def test_no_box_lies_over_another_text(
    one: str, other: str, high: float, low: float, turn: float, slant: float, east: float, south: float
) -> None:
    taken = Taken()
    assert taken.claim_all(boxes_along(100, 100, one, high, turn, pad=PAD))
    assume(taken.claim_all(boxes_along(100 + east, 100 + south, other, low, slant, pad=PAD)))
    box = Polygon(turned_box(100 + east, 100 + south, other, low, slant, PAD))
    assert hidden(one, high, turn, (100, 100), box) <= 1e-3


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (("F2", 4.0, 3.9086, (153.0647, 60.6808)), ("J1", 4.0, -26.2197, (156.0246, 66.1252))),
        (("C1", 2.0, -38.2163, (79.7893, 111.148)), ("B1", 4.0, -73.7945, (80.374, 104.3974))),
    ],
    ids=["one corner", "a small one"],
)
def test_labels_that_meet_at_a_corner_alone_find_no_room_together(one: Label, other: Label) -> None:
    for (text, height, turn, place), (word, high, slant, (x, y)) in ((one, other), (other, one)):
        taken = Taken()
        assert taken.claim_all(boxes_along(*place, text, height, turn, pad=PAD))
        assert not taken.claim_all(boxes_along(x, y, word, high, slant, pad=PAD))
    covered = [
        hidden(text, height, turn, place, Polygon(turned_box(x, y, word, high, slant, PAD)))
        for (text, height, turn, place), (word, high, slant, (x, y)) in ((one, other), (other, one))
    ]
    assert max(covered) > 1e-3
