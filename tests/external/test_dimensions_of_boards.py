"""Boards and gauges read back from their sheets' own marks, against report.json: lengths on paper, and figures.

A board is taped once from its end, a saw cut's width after each piece (common practice); gauges and check bars are
at 1:1 (an inch is 25.4 mm: international yard and pound agreement of 1959).
"""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import pytest
from built import Built
from cut_views import scale_of
from exact_pieces import ExactPiece, pieces
from svg_sheets import Sheet, Stroke, read
from test_dimensions_of_cuts import NO_SAW_CAN_TELL, WHOLE

ON_PAPER = 0.05
"""What a drawn line may be off, mm on paper."""


def _pages(built: Built, name: str) -> list[Sheet]:
    folder = built.folder / "sheets"
    further = sorted(folder.glob(f"{name}-*.svg"), key=lambda path: int(path.stem.split("-")[1]))
    return [read(path) for path in (folder / f"{name}.svg", *further)]


@dataclass(frozen=True)
class Bar:
    """A board as drawn: its words, its bar's left and right, its pieces' bars, its figures by mark, its offcut."""

    number: int
    words: str
    left: float
    right: float
    pieces: tuple[tuple[float, float], ...]
    figures: dict[str, tuple[int, int]]
    offcut: int
    scale: float


def _box(stroke: Stroke) -> tuple[float, float, float, float]:
    xs, ys = [x for x, _ in stroke.points], [y for _, y in stroke.points]
    return min(xs), min(ys), max(xs), max(ys)


def bars(built: Built) -> Iterator[Bar]:
    """Every board of the batch sheets, in order."""
    for sheet in _pages(built, "batch"):
        names = [words for words in sheet.words if re.fullmatch(r"board \d+", words.text) and words.bold]
        if not names:
            continue
        scale = scale_of(sheet)
        names.sort(key=lambda words: words.at[1])
        ends = [*(words.at[1] - 6.0 for words in names[1:]), sheet.height - 34.0]
        for name, bottom in zip(names, ends, strict=True):
            top = name.at[1] - 6.0
            boxes = [(stroke, _box(stroke)) for stroke in sheet.strokes if stroke.closed and len(stroke.points) == 4]
            inside = [(stroke, box) for stroke, box in boxes if top < (box[1] + box[3]) / 2 < bottom]
            inside = [(stroke, box) for stroke, box in inside if abs(box[3] - box[1] - 7.5) < 0.01]
            (outer,) = [box for stroke, box in inside if stroke.width == 0.25]
            parts = sorted((box[0], box[2]) for stroke, box in inside if stroke.width == 0.5)
            below = [words for words in sheet.words if top < words.at[1] < bottom]
            figures = {}
            for words in below:
                match = re.fullmatch(r"(\d+) to (\d+)", words.text)
                if match:
                    # the mark stands left of its figures, after a box to tick
                    left = [o for o in below if o.bold and o.at[1] == words.at[1] and o.at[0] < words.at[0]]
                    mark = max(left, key=lambda other: other.at[0]).text
                    figures[mark] = int(match[1]), int(match[2])
            (offcut,) = [int(m[1]) for words in below if (m := re.fullmatch(r"offcut (\d+)", words.text))]
            (section,) = [words.text for words in below if "×" in words.text]
            number = int(name.text.split()[1])
            yield Bar(number, section, outer[0], outer[2], tuple(parts), figures, offcut, scale)


def test_every_board_is_drawn_once_and_true_in_length(sheeted: Built) -> None:
    found = list(bars(sheeted))
    boards = sheeted.report["boards"]
    assert [bar.number for bar in found] == list(range(1, len(boards) + 1))
    known = pieces(sheeted.report)
    for bar, board in zip(found, boards, strict=True):
        assert abs((bar.right - bar.left) - board["length"] / bar.scale) < ON_PAPER
        first = known[board["pieces"][0]]
        assert bar.words == f"{board['length']:g} × {first.width:g} × {first.depth:g}"
        assert len(bar.pieces) == len(board["pieces"])


def test_bars_of_pieces_are_as_long_as_the_pieces_a_saw_cut_apart(sheeted: Built) -> None:
    kerf = sheeted.plan.get("stock", {}).get("kerf", 3)
    for bar, board in zip(bars(sheeted), sheeted.report["boards"], strict=True):
        _bars_are_true(bar, board, pieces(sheeted.report), kerf)


def _bars_are_true(bar: Bar, board: dict[str, Any], known: dict[str, ExactPiece], kerf: float) -> None:
    reached = bar.left
    for (left, right), mark in zip(bar.pieces, board["pieces"], strict=True):
        assert abs(left - reached) < ON_PAPER
        assert abs((right - left) - known[mark].length / bar.scale) < ON_PAPER
        reached = right + kerf / bar.scale
    assert bar.pieces[-1][1] < bar.right + ON_PAPER


def test_figures_along_boards_lead_from_piece_to_piece(sheeted: Built) -> None:
    kerf = sheeted.plan.get("stock", {}).get("kerf", 3)
    for bar, board in zip(bars(sheeted), sheeted.report["boards"], strict=True):
        _figures_lead_on(bar, board, pieces(sheeted.report), kerf)


def _figures_lead_on(bar: Bar, board: dict[str, Any], known: dict[str, ExactPiece], kerf: float) -> None:
    assert set(bar.figures) == set(board["pieces"])
    reached = 0.0
    for count, mark in enumerate(board["pieces"]):
        begin, end = bar.figures[mark]
        # whole millimetres; a saw cut may be counted up by less than one
        assert begin == (math.ceil(reached - 1e-6) if count else 0)
        assert abs(end - begin - known[mark].length) <= WHOLE
        reached = end + kerf
    assert bar.figures[board["pieces"][-1]][1] <= board["length"]
    assert board["offcut"] - 1.0 < bar.offcut <= board["offcut"] + 1e-6


# gauges


TOO_LARGE = re.compile(r"(\d+) along the edge, half depth [^,]+(?:, shoulder leaning (\S+) over the width of (\S+))?")
"""A gauge that the paper has no room for, in words."""


def _above(sheet: Sheet, x: float, y: float) -> Stroke:
    """The figure whose lower edge is next above a place, at its left."""
    boxes = [(stroke, _box(stroke)) for stroke in sheet.strokes if stroke.closed and stroke.width == 0.25]
    near = [(stroke, box) for stroke, box in boxes if abs(box[0] - x) < 0.01 and 0.0 < y - box[3] < 40.0]
    return max(near, key=lambda item: item[1][3])[0]


def _wanted(built: Built) -> set[tuple[int, float, float]]:
    """Length along the edge, lean and width (both 0 for square ones) of every cut of the frame."""
    found = set()
    for piece in pieces(built.report).values():
        for cut in piece.cuts:
            lean = abs(cut.high[1] - cut.high[0])
            length = math.ceil(cut.high[0] - cut.low[0] - NO_SAW_CAN_TELL)
            found.add((length, round(lean, 1), piece.width) if lean > 0.05 else (length, 0.0, 0.0))
    return found


def test_gauges_are_as_long_and_lean_as_far_as_they_say(sheeted: Built) -> None:
    found: set[tuple[int, float, float]] = set()
    for sheet in _pages(sheeted, "gauge"):
        assert scale_of(sheet) == 1.0
        for words in sheet.words:
            match = re.fullmatch(r"exactly (\d+) along the edge(?:, leaning (\S+) over (\S+))?", words.text)
            if not match:
                # what is too large for the paper is told in words
                match = TOO_LARGE.search(words.text)
                if match:
                    found.add((int(match[1]), float(match[2] or 0.0), float(match[3] or 0.0)))
                continue
            stroke = _above(sheet, *words.at)
            length, lean, high = int(match[1]), float(match[2] or 0.0), float(match[3] or 0.0)
            low = sorted(stroke.points, key=lambda point: (-point[1], point[0]))
            assert abs(low[1][0] - low[0][0] - length) < ON_PAPER
            assert abs(low[3][0] - low[2][0] - length) < ON_PAPER
            assert abs(low[2][0] - low[0][0] - lean) < 0.05 + ON_PAPER
            if lean:
                assert abs(low[0][1] - low[2][1] - high) < ON_PAPER
            found.add((length, lean, high))
    assert found == _wanted(sheeted)


def test_half_depths_on_gauges_are_half_the_depth(sheeted: Built) -> None:
    seen = 0
    for sheet in _pages(sheeted, "gauge"):
        dashed = [stroke for stroke in sheet.strokes if stroke.dashes == "3 1" and stroke.level]
        for line in dashed:
            boxes = [_box(stroke) for stroke in sheet.strokes if stroke.closed and stroke.width == 0.25]
            (left, y), (right, _) = sorted(line.points)
            # on a leaning gauge the line stands in from both ends of the box about it
            around = [box for box in boxes if box[0] < left + 0.01 and right - 0.01 < box[2] and box[1] < y < box[3]]
            (box,) = around
            assert abs(y - box[1] - sheeted.depth / 2) < ON_PAPER
            seen += 1
        for words in sheet.words:
            match = re.fullmatch(r"half depth (\S+)", words.text)
            assert match is None or float(match[1]) == sheeted.depth / 2
    square = {length for length, lean, _ in _wanted(sheeted) if not lean}
    # a leaning gauge is as high as its piece is wide
    leaning = [high for _, lean, high in _wanted(sheeted) if lean and sheeted.depth / 2 < high - 1.0]
    assert seen == len(square) + len(leaning)


def test_check_bars_are_as_long_as_they_say(sheeted: Built) -> None:
    for sheet in _pages(sheeted, "gauge"):
        for text, length, step in (("100 mm", 100.0, 10.0), ("4 inches, 101.6 mm", 101.6, 25.4)):
            (words,) = [words for words in sheet.words if words.text == text]
            middle = words.middle[0]
            boxes = [_box(stroke) for stroke in sheet.strokes]
            centred = [box for box in boxes if abs((box[0] + box[2]) / 2 - middle) < 0.01]
            assert any(abs(box[2] - box[0] - length) < 0.01 for box in centred), text
            # the division: upright lines above the words
            uprights = [stroke.points[0] for stroke in sheet.strokes if stroke.upright]
            near = {round(x, 3) for x, y in uprights if abs(x - middle) < length / 2 + 0.01 and y < words.at[1]}
            ticks = sorted(near)
            assert all(abs(b - a - step) < 0.01 for a, b in itertools.pairwise(ticks)), ticks
            assert len(ticks) >= length / step - 1


def test_a_bar_a_figure_and_a_gauge_off_their_lengths_are_found(builder_of_one: Built) -> None:
    bar, board = next(iter(zip(bars(builder_of_one), builder_of_one.report["boards"], strict=True)))
    known = pieces(builder_of_one.report)
    _bars_are_true(bar, board, known, 3)
    _figures_lead_on(bar, board, known, 3)
    (left, right), *rest = bar.pieces
    with pytest.raises(AssertionError):
        _bars_are_true(dataclasses.replace(bar, pieces=((left, right + 2 * ON_PAPER), *rest)), board, known, 3)
    mark = board["pieces"][0]
    begin, end = bar.figures[mark]
    for figures in ((begin, end + 1), (begin + 1, end + 1)):
        with pytest.raises(AssertionError):
            _figures_lead_on(dataclasses.replace(bar, figures=bar.figures | {mark: figures}), board, known, 3)
