"""What a fresh carpenter missed on cut sheets: how pieces lie, mates of different form, and room on the paper."""

from __future__ import annotations

import re
from collections.abc import Sequence

import pytest
from pages import on, plan_texts, text_box, words

from platemodel.frame import Frame
from platemodel.frame.values import Type
from platemodel.sheets.cut_sheet import Batch, cut_sheets
from platemodel.sheets.cut_tables import FACE_UP
from platemodel.sheets.mates import mates_of
from platemodel.sheets.page import WIDE, Line, Page, Text

PLANS = plan_texts()
HOUSES = ("bungalow", "canted-bay", "crossing", "garden-room", "two-shells")


def sheets(name: str) -> tuple[Frame, list[tuple[Type, list[Page]]]]:
    frame = on(PLANS[name], "A4")
    batch = Batch.of(frame)
    return frame, [(kind, cut_sheets(frame, kind, batch)) for kind in frame.types]


def texts(pages: Sequence[Page]) -> list[Text]:
    return [mark for page in pages for mark in page.marks if isinstance(mark, Text)]


@pytest.mark.parametrize("name", HOUSES)
def test_pieces_that_lie_turned_over_are_told_in_the_header_and_at_the_views(name: str) -> None:
    frame, drawn = sheets(name)
    for kind, pages in drawn:
        pieces = [frame.pieces[index] for index in kind.pieces]
        over = [piece for piece in pieces if piece.place.turned_over]
        for page in pages:
            said = [mark for mark in texts([page]) if "turned over: " in mark.text]
            assert len(said) == bool(over)
            for mark in said:
                assert mark.bold
                assert mark.height == 3.5
                assert all(re.search(rf"\b{piece.mark}\b", mark.text) for piece in over)
        for piece in pieces if over else []:
            (tick,) = [m for m in texts(pages) if m.text == piece.mark and m.height == 3.5]
            beside = [m for m in texts(pages) if m.at[1] == tick.at[1] and 0.0 < m.at[0] - text_box(tick)[2] < 2.0]
            assert [(m.text, m.bold) for m in beside] == [(FACE_UP[piece.place.turned_over], True)]
        stays = [mark.text for mark in texts(pages) if re.match(r"(LOWER|UPPER)\b.*STAYS", mark.text)]
        assert all(text.endswith("as drawn") == bool(over) for text in stays)


def test_there_are_types_whose_pieces_lie_differently() -> None:
    found = set()
    for name in ("bungalow", "two-shells"):
        frame, drawn = sheets(name)
        for kind, _ in drawn:
            if len({frame.pieces[index].place.turned_over for index in kind.pieces}) == 2:
                found.add((name, kind.name))
    assert {("bungalow", "T4"), ("two-shells", "T5")} <= found


@pytest.mark.parametrize("name", HOUSES)
def test_a_mate_s_picture_is_that_of_the_pieces_it_is_drawn_for(name: str) -> None:
    frame, drawn = sheets(name)
    for kind, pages in drawn:
        said = [mark.text for mark in texts(pages)]
        for number, mate in enumerate(mates_of(frame, kind)):
            assert sorted(mark for form in mate.forms for mark in form.marks) == sorted(
                frame.pieces[index].mark for index in kind.pieces
            )
            # an end of the mate and a housing in it are of different form
            ends = {_mate_ends(frame, index, number) for index in kind.pieces}
            assert len(mate.forms) >= len(ends)
            for form in mate.forms if len(mate.forms) > 1 else ():
                whose = {", ".join(form.names), f"for {', '.join(form.marks)}"}
                assert whose & set(said) or "mates differ:" in said


def _mate_ends(frame: Frame, index: int, number: int) -> bool:
    half = frame.pieces[index].halves[number]
    return next(other.ends for other in frame.pieces[half.mate].halves if other.joint == half.joint)


def test_mates_of_different_form_are_each_drawn() -> None:
    _, drawn = sheets("bungalow")
    pages = {kind.name: pages for kind, pages in drawn}
    assert "for A3, E1" in words(pages["T4"])
    assert "G1: D2 (T1)" in words(pages["T4"])
    assert "D1: A2 (T6)" in words(pages["T8"])
    assert "F1: A3 (T4)" in words(pages["T8"])


@pytest.mark.parametrize("name", HOUSES)
def test_words_at_the_views_keep_clear_of_the_frame_and_the_depths(name: str) -> None:
    _, drawn = sheets(name)
    for _, pages in drawn:
        for page in pages:
            for mark in texts([page]):
                if mark.turn == 90.0:
                    assert text_box(mark)[0] >= 20.0 + 2.0 - 1e-6, mark
                if "STAYS" not in mark.text:
                    continue
                left, top, right, _ = text_box(mark)
                for line in page.marks:
                    # dimension lines and break lines stand beside the views and reach below them
                    if isinstance(line, Line) and line.pen.width < WIDE.width:
                        xs, ys = zip(*line.points, strict=True)
                        upright = max(xs) - min(xs) < 3.0 and max(ys) - min(ys) > 3.0
                        if upright and max(ys) > top and min(ys) < top:
                            # where it is lowest: a break line's zigzag is well above
                            x = max(line.points, key=lambda point: point[1])[0]
                            assert not left <= x <= right, (page.title, mark.text, line.points)


def test_oblique_types_stand_on_one_sheet_where_they_can_be_read_so() -> None:
    _, drawn = sheets("canted-bay")
    assert {kind.name for kind, pages in drawn if len(pages) > 1} == {"T9", "T10"}
    for _, pages in drawn:
        # the rule for the tape and the way to roll the board stand beside the drawing
        first = words(pages[:1])
        assert "hook" in first
        assert "CAUTION" in first
        assert "roll the near edge" in first or "near edge rolled" not in words(pages)
        assert first.count("datum end") >= 2
