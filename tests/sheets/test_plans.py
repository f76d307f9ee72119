"""The plan, laying and laps sheets and the key plan: what must be told apart is, and is said."""

from __future__ import annotations

import itertools
import math
import re

import pytest
from pages import on, plan_texts, words
from shapely import LineString, Polygon

from platemodel.sheets.form import Room
from platemodel.sheets.key_plan import KeyPlan, draw_key_plan
from platemodel.sheets.lap_sheet import lap_sheets
from platemodel.sheets.laying_sheet import PLATE, laying_sheets
from platemodel.sheets.page import BLACK, CHAIN_THIN, NARROW, Area, Line, Page, Text
from platemodel.sheets.plan_dims import diagonals
from platemodel.sheets.plan_sheet import plan_sheets
from platemodel.site.rules import judge

PLANS = plan_texts()
DRAWN = ["bungalow", "canted-bay", "two-shells", "crossing", "garden-room"]


def plan_of(name: str) -> Page:
    return plan_sheets(on(PLANS[name], "A3" if name == "two-shells" else "A4"))[0]


def test_the_place_of_the_plates_on_their_walls_is_said() -> None:
    assert "Outer face of wall to plate: workshop 10, extension 0 (flush)" in words([plan_of("two-shells")])
    assert "Outer face of wall to plate: 3 Lengths" in words([plan_of("crossing")])
    assert "Outer face of wall to plate: 0 (flush)" in words([plan_of("bungalow")])


@pytest.mark.parametrize(("setback", "there"), [(3, False), (80, True)])
def test_the_outer_face_is_drawn_where_it_can_be_told_apart(setback: int, there: bool) -> None:
    text = PLANS["crossing"].replace("leaf = 100\nsetback = 3", f"leaf = 200\nsetback = {setback}")
    page = plan_sheets(on(text, "A4"))[0]
    texts = [mark.text for mark in page.marks if isinstance(mark, Text)]
    assert ("outer face of the wall" in texts) == there
    size = 7000 / 50
    faces = [
        mark
        for mark in page.marks
        if isinstance(mark, Line) and mark.pen == NARROW and abs(math.dist(*mark.points[:2]) - size) < 1e-6
    ]
    assert len([face for face in faces if len(face.points) == 2 and not face.closed]) == (2 if there else 0)


def test_an_open_shell_is_squared_from_its_free_ends() -> None:
    found = {(item.one.name, item.other.name): item.figure for item in diagonals(on(PLANS["two-shells"], "A3"))}
    # legs of 3600 and a width of 4800 along the outer faces
    for ends in (("F1 end", "G1/H1"), ("F1/G1", "H1 end")):
        assert found[ends] == pytest.approx(math.hypot(3600.0, 4800.0))


@pytest.mark.parametrize("name", DRAWN)
def test_figures_from_shoulder_to_shoulder_are_lettered_alike(name: str) -> None:
    page = plan_of(name)
    heights = {
        mark.height
        for mark in page.marks
        if isinstance(mark, Text) and mark.bold and mark.text.isdigit() and mark.height != 3.5
    }
    assert heights == {2.5}


@pytest.mark.parametrize("name", DRAWN)
def test_flags_are_apart_and_off_diagonals(name: str) -> None:
    page = plan_of(name)
    key = page.width - 10.0 - 60.0
    flags = [
        Polygon(mark.outline)
        for mark in page.marks
        if isinstance(mark, Area) and mark.colour == BLACK and len(mark.outline) == 3 and mark.outline[0][0] < key
    ]
    frame = on(PLANS[name], "A4")
    assert len(flags) == len(frame.pieces)
    for one, other in itertools.combinations(flags, 2):
        assert one.distance(other) > 0.5
    for mark in page.marks:
        if isinstance(mark, Line) and mark.pen == CHAIN_THIN:
            assert all(flag.distance(LineString(mark.points)) > 0.0 for flag in flags)


def test_slanting_shoulders_say_at_which_edge_they_are_measured() -> None:
    said = "Shoulder to shoulder: at the edge of the plate beside the line"
    assert said in words([plan_of("canted-bay")])
    assert said not in words([plan_of("bungalow")])
    assert "differences of tape figures: may differ by 1" in words([plan_of("bungalow")])


def test_a_bearing_leads_out_of_its_plate() -> None:
    page, frame = plan_of("bungalow"), on(PLANS["bungalow"], "A4")
    # 100 mm at 1:100 is 1 mm: out of a label's box, which is 4.1 mm high
    ticks = [
        mark
        for mark in page.marks
        if isinstance(mark, Line)
        and mark.pen == NARROW
        and len(mark.points) == 2
        and abs(math.dist(*mark.points) - 3.3) < 1e-6
    ]
    assert len(ticks) == len(frame.plan.bearings)


@pytest.mark.parametrize("name", ["canted-bay", "bungalow", "crossing", "garden-room", "two-shells"])
def test_laying_numbers_are_of_one_height_and_plates_of_one_grey(name: str) -> None:
    frame = on(PLANS[name], "A4")
    page = laying_sheets(frame)[0]
    orders = {str(piece.order) for piece in frame.pieces}
    numbers = [mark for mark in page.marks if isinstance(mark, Text) and mark.text in orders and mark.height > 2.5]
    assert {mark.text for mark in numbers} == orders
    assert {mark.height for mark in numbers} == {5.0}
    marks = {mark.text: mark.height for mark in page.marks if isinstance(mark, Text)}
    # a piece that lies turned over has the sign of it beside its mark
    named = [piece.mark + (" ⬓" if piece.place.turned_over else "") for piece in frame.pieces]
    assert {marks[name] for name in named} == {3.5}
    colours = {mark.colour for mark in page.marks if isinstance(mark, Area)}
    assert colours <= {PLATE, (1.0, 1.0, 1.0), BLACK}


@pytest.mark.parametrize("name", DRAWN)
def test_all_laps_have_one_scale_and_a_larger_sheet_a_larger_one(name: str) -> None:
    scales = []
    for size in ("A4", "A3"):
        said = {
            int(match[1])
            for page in lap_sheets(on(PLANS[name], size))
            for mark in page.marks
            if isinstance(mark, Text) and (match := re.fullmatch(r"1:(\d+)", mark.text))
        }
        assert len(said) == 1
        scales.append(said.pop())
    assert scales[1] <= scales[0]
    assert name not in ("bungalow", "canted-bay") or scales[1] < scales[0]


@pytest.mark.parametrize("name", DRAWN)
def test_the_key_plan_keeps_flags_and_marks_apart_and_off_its_edges(name: str) -> None:
    frame = on(PLANS[name], "A4")
    room = Room(20.0, 176.0, 107.0, 200.0)
    key = KeyPlan.of(frame, room)
    for kind in frame.types:
        page = Page(297.0, 210.0, "key")
        draw_key_plan(page, key, kind.pieces)
        shown = [mark for mark in page.marks if isinstance(mark, Text)]
        assert {frame.pieces[index].mark for index in kind.pieces} <= {mark.text for mark in shown}
        assert "N" in {mark.text for mark in shown}
        black = [Polygon(mark.outline) for mark in page.marks if isinstance(mark, Area) and mark.colour == BLACK]
        for shape in black:
            left, top, right, bottom = shape.bounds
            assert room.left + 0.5 < left < right < room.right - 0.5
            assert room.top + 0.5 < top < bottom < room.bottom - 0.5
        flags = [shape for shape in black if len(shape.exterior.coords) == 4]
        for one, other in itertools.combinations(flags, 2):
            assert not one.intersects(other)


def test_a_rule_s_places_are_short_and_its_figures_those_of_the_sheets() -> None:
    frame = on(PLANS["canted-bay"], "A4")
    where = {verdict.where for verdict in judge(frame) if not verdict.passed}
    assert "A1 2541 mm, no bearings" in where
    left = [int(match[1]) for place in where if (match := re.search(r"leaves (\d+) mm", place))]
    assert sorted(left) == sorted(
        math.floor(board.offcut + 1e-6) for board in frame.boards if board.offcut + frame.plan.stock.trim < 10.0
    )
