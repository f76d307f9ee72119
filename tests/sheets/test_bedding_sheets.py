"""The bedding sheet and the long sections: sound layout, and the figures of the result, no others."""

from __future__ import annotations

import dataclasses
import re
from typing import Any

import pytest
from bedded import HOUSE, TOPS, Case, bedded, frame_of, made
from hypothesis import HealthCheck, given, settings
from layout import faults
from pages import clear_of_title_block, on, plan_texts, words

from platemodel.frame import Frame
from platemodel.frame.tape import whole
from platemodel.plan.site_values import LaserReading, Levels
from platemodel.sheets.bedding_sheet import bedding_sheets
from platemodel.sheets.long_section import long_sections
from platemodel.sheets.page import Page, Text
from platemodel.site.bedding import Bedding, bedding

PLANS = plan_texts()
BOOK = (
    {"station": "TBM by the gate", "backsight": 1.600},
    {"station": "a", "intermediate": 1.300, "wall": "front", "at": 0.0},
    {"station": "b", "intermediate": 1.306, "wall": "front", "at": 9000.0},
    {"station": "c", "foresight": 1.308, "backsight": 1.412, "wall": "right", "at": 6000.0},
    {"station": "d", "intermediate": 1.405, "wall": "left", "at": 0.0},
    {"station": "TBM", "foresight": 1.700},
)


def with_levels(frame: Frame, step: float = 7.0) -> Frame:
    """A frame whose walls are read with a laser at both ends and in their middles."""
    laser = tuple(
        LaserReading(number, wall.length * part, 30.0 + (number * 3 + part * 4) % step, ("site", "levels", "laser", 0))
        for number, wall in enumerate(frame.plan.walls)
        for part in (0.0, 0.5, 1.0)
    )
    site = dataclasses.replace(frame.plan.site, levels=Levels(0.0, None, (), laser))
    return dataclasses.replace(frame, plan=dataclasses.replace(frame.plan, site=site))


def both(frame: Frame) -> tuple[Bedding, list[Page], list[Page]]:
    found = bedding(frame)
    assert found is not None
    return found, bedding_sheets(frame, found), long_sections(frame, found)


def sound(pages: list[Page]) -> None:
    for page in pages:
        assert faults(page) == []
        clear_of_title_block(page)
        small = [mark for mark in page.marks if isinstance(mark, Text) and mark.height < 2.5]
        assert all(mark.at[1] > page.height - 34.0 for mark in small)


@pytest.mark.parametrize("size", ["A4", "A3"])
@pytest.mark.parametrize("name", sorted(PLANS))
def test_every_page_of_every_plan_is_sound(name: str, size: str) -> None:
    _, sheets, sections = both(with_levels(on(PLANS[name], size)))
    sound(sheets)
    sound(sections)


@given(bedded())
@settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
def test_random_beds_are_sound(case: Case) -> None:
    _, sheets, sections = both(case.frame)
    sound(sheets)
    sound(sections)


@pytest.mark.parametrize(
    ("down", "more"),
    [
        (TOPS, {}),
        ({wall: tuple((at, mm - 300.0) for at, mm in found) for wall, found in TOPS.items()}, {}),
        ({wall: tuple((at, mm + 30.0) for at, mm in found) for wall, found in TOPS.items()}, {}),
        ({wall: tuple((at, mm + 52.0) for at, mm in found) for wall, found in TOPS.items()}, {}),
        ({wall: tuple((at, mm + 1500.0) for at, mm in found) for wall, found in TOPS.items()}, {}),
        ({**TOPS, "back": ((0.0, 160.0), (9000.0, 30.0))}, {}),
        ({}, {"book": BOOK, "start": 50.0, "close": 50.002}),
        (TOPS, {"bed": {"level": 8.0}}),
        (TOPS, {"bed": {"batch": 1.5, "mix": "1:6"}}),
    ],
)
def test_lines_of_sight_thick_beds_books_and_many_batches_are_sound(down: Any, more: Any) -> None:
    door = {"name": "the door", "wall": "front", "from": 2000.0, "to": 3000.0, "stands_up": 4.0, "dpc": True}
    _, sheets, sections = both(frame_of(HOUSE, down, openings=[door], **more))
    sound(sheets)
    sound(sections)


def test_the_tables_hold_every_place_in_the_order_of_bedding_with_its_figures() -> None:
    frame = frame_of(HOUSE, book=BOOK, start=50.0, close=50.002)
    found, sheets, _ = both(frame)
    rows = []
    for page in sheets:
        # figures to the right and words, on one base line of one column: a row
        for column in (0, 1):
            lines: dict[float, list[Text]] = {}
            middle = (20.0 + page.width - 10.0) / 2
            for mark in page.marks:
                if isinstance(mark, Text) and mark.at[1] < page.height - 34.0 and (mark.at[0] > middle) == bool(column):
                    lines.setdefault(round(mark.at[1], 3), []).append(mark)
            for _, marks in sorted(lines.items()):
                figures = [mark.text for mark in sorted(marks, key=lambda it: it.at[0]) if mark.anchor == "end"]
                if len(figures) == 4 and re.fullmatch(r"-?\d\.\d{3}", figures[1]):
                    rows.append(figures)
    assert rows == [
        [
            f"{whole(it.at)}",
            f"{whole(it.reading) / 1000:.3f}",
            "–" if it.lies_on else f"{whole(it.bed)}",
            f"{whole(found.must) / 1000:.3f}",
        ]
        for it in found.places
    ]
    assert "–" in {row[2] for row in rows}
    text = words(sheets)
    assert f"{whole(found.must) / 1000:.3f} m on the staff" in text
    assert re.findall(r"(\d+)\. ([A-Z]+\d+) on", text) == [
        (str(number), piece.mark) for number, piece in enumerate(frame.laying, start=1)
    ]


def test_first_and_last_bed_mortar_batches_and_cautions_can_be_read() -> None:
    found, sheets, _ = both(frame_of(HOUSE))
    text = words(sheets)
    first, last = found.bedded[0], found.bedded[-1]
    # the last plate's end lies on another, where no mortar goes
    assert found.places[-1].lies_on == "A2"
    assert "end, on A2: no mortar" in text
    assert last is max((it for it in found.places if not it.lies_on), key=found.places.index)
    assert f"First bed: {first.mark} on {first.wall} at {whole(first.at)}: {whole(first.bed)} mm." in text
    assert f"Last bed: {last.mark} on {last.wall} at {whole(last.at)}: {whole(last.bed)} mm." in text
    assert "30 mm ABOVE the laser line" in text
    assert f"{found.mortar.litres:.0f} litres" in text
    assert "WET CEMENT BURNS" in text
    assert "6 to 15 mm (EN 1996-1-1, 8.1.5, from memory)" in text
    assert "Local codes and the engineer come first" in text
    for batch in found.mortar.batches:
        assert f"{batch.metres:.1f} {batch.litres:.1f}" in text


def test_what_does_not_fit_is_told_on_the_sheet() -> None:
    text = words(bedding_sheets(*_pair({**TOPS, "back": ((0.0, 60.0), (9000.0, 30.0))})))
    assert "The bed is too thick here" in text
    assert "back 0 to 6000: up to 20 mm thicker than 20; pack with slate in the mortar." in text
    assert "Or let this come down instead" in text
    low = words(bedding_sheets(*_pair(TOPS, {"level": 8.0})))
    assert "This stands too high" in low
    assert "front 0 to 1333: by up to 2 mm" in low


def _pair(*arguments: Any) -> tuple[Frame, Bedding]:
    return frame_of(HOUSE, *arguments), made(HOUSE, *arguments)


def test_sections_state_both_scales_and_show_each_wall_once_with_the_beds_of_the_result() -> None:
    frame = frame_of(HOUSE)
    found, _, sections = both(frame)
    text = words(sections)
    for name in HOUSE.names:
        assert len(re.findall(rf"\b{name} : bed", text)) == 1
    assert text.count("1:50 along, 1:2 up") == len(sections)
    assert "heights drawn 25 times too tall" in text
    assert "HIGHEST PLACE at 0" in text
    # the figures under the front, place by place
    page = sections[0]
    figures = [it for it in page.marks if isinstance(it, Text) and it.anchor == "middle" and it.height == 2.5]
    beds = [it for it in figures if it.bold and it.at[1] < 90.0]
    row = {}
    for bed in beds:
        below = min((it for it in figures if it.at[0] == bed.at[0] and it.at[1] > bed.at[1]), key=lambda it: it.at[1])
        row[below.text] = bed.text
    assert row["0"] == "10"
    assert row["4000"] == "16"
    assert row["9000"] == "14"
    for at, thickness in row.items():
        assert {f"{whole(it.bed)}" for it in found.places if it.wall == "front" and whole(it.at) == int(at)} == {
            thickness
        }


def test_a_bed_of_nothing_takes_no_mortar() -> None:
    level = {name: ((0.0, 30.0), (HOUSE.wall_length(name), 30.0)) for name in HOUSE.names}
    found, sheets, sections = both(frame_of(HOUSE, level, {"least": 0.0}))
    assert (found.mortar.bed, found.mortar.bags, found.mortar.batches) == (0.0, 0, ())
    sound(sheets)
    sound(sections)


def test_a_sheet_is_drawn_the_same_each_time() -> None:
    one, two = (both(frame_of(HOUSE)) for _ in range(2))
    assert [page.marks for page in one[1] + one[2]] == [page.marks for page in two[1] + two[2]]
