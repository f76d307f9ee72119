"""The batch sheet: every piece and every cut once, figures of the piece's own lines, positions that add up."""

from __future__ import annotations

import dataclasses
import math
import re
from collections import Counter
from collections.abc import Sequence

import pytest
from pages import assert_sound, clear_of_title_block, on, plan_texts, words

from platemodel.frame import Frame
from platemodel.frame.gauges import gauges
from platemodel.frame.tape import whole
from platemodel.frame.values import Board, Piece
from platemodel.sheets.batch_sheet import batch_sheets
from platemodel.sheets.board_bars import positions
from platemodel.sheets.lap_stacks import lap_row, stacks
from platemodel.sheets.page import Hatch, Page, Text

PLANS = plan_texts()
DRAWN: dict[tuple[str, str], tuple[Frame, list[Page]]] = {}


def drawn(name: str, size: str) -> tuple[Frame, list[Page]]:
    if (name, size) not in DRAWN:
        frame = on(PLANS[name], size)
        DRAWN[name, size] = frame, batch_sheets(frame)
    return DRAWN[name, size]


both_sizes = pytest.mark.parametrize(
    ("name", "size"), [(name, size) for name in PLANS for size in ("A4", "A3") if (name, size) != ("terrace", "A3")]
)


@both_sizes
def test_nothing_collides_or_leaves_the_frame(name: str, size: str) -> None:
    _, pages = drawn(name, size)
    for page in pages:
        assert_sound(page)
        clear_of_title_block(page)


@both_sizes
def test_every_cut_stands_once_with_the_figures_of_its_piece(name: str, size: str) -> None:
    frame, pages = drawn(name, size)
    read = Counter(row for page in pages for row in _rows(page))
    wanted = Counter(
        _wanted(frame, index, number) for index, piece in enumerate(frame.pieces) for number in range(len(piece.halves))
    )
    assert read == wanted


def _rows(page: Page) -> list[tuple[str, ...]]:
    """What each row of a gauge's list says: all the texts drawn for one piece, in order."""
    found: list[tuple[str, ...]] = []
    row: list[Text] = []
    for mark in page.marks:
        if isinstance(mark, Text) and mark.of and "boards" not in page.title:
            # a row begins with its own mark, which no mate's equals
            if row and mark.text == mark.of:
                found.append(tuple(text.text for text in row))
                row = []
            row.append(mark)
    return [*found, tuple(text.text for text in row)] if row else found


def _wanted(frame: Frame, index: int, number: int) -> tuple[str, ...]:
    """The row of a cut, from the piece's polygons: no figure further off than the tape's rounding."""
    piece = frame.pieces[index]
    half = piece.halves[number]
    row = lap_row(frame, index, number)
    for edge, (begin, end) in enumerate((row.near, row.far)):
        assert abs(begin - half.low[edge]) <= 1.0 + 1e-4
        assert abs(end - half.high[edge]) <= 1.0 + 1e-4
        # never shorter than the lap, and by less than a millimetre longer
        assert -0.03 <= end - begin - (half.high[edge] - half.low[edge]) < 1.0
    up = "⬓ underside" if piece.place.turned_over else "⬒ top"
    first = (piece.mark, frame.types[piece.type].name, str(number + 1), up, "UNDER" if half.under else "OVER")
    mate = frame.pieces[half.mate].mark
    if abs(half.high[1] - half.high[0]) > 0.05:
        figures = (row.near[0], row.far[0], row.near[1], row.far[1])
        return (*first, *_lean(piece, number), "near", "far", *map(str, figures), half.kind, mate)
    return (*first, *map(str, row.near), half.kind, mate)


def _lean(piece: Piece, number: int) -> tuple[str, str]:
    """How a slanting lap leans on the face sawn: which way the far edge's shoulder is shifted, the board turned so."""
    half, upper = piece.halves[number], piece.shape.cuts[number].upper
    shift = half.high[1] - half.high[0]
    angle = math.degrees(math.atan2(abs(shift), piece.laid.width))
    # with the board rolled over, the far edge is the nearer one to who saws: a shift to the right leans back
    sign = "/" if (shift > 0.0) is upper else chr(92)
    return f"{angle:.1f}°\u00a0{sign}", "on\u00a0top" if upper else "on\u00a0underside"


@pytest.mark.parametrize("name", PLANS)
def test_a_half_is_sawn_from_the_face_that_its_solid_lacks(name: str) -> None:
    frame, _ = drawn(name, "A4")
    for index, piece in enumerate(frame.pieces):
        for number, half in enumerate(piece.halves):
            # the solid as drawn lacks the upper half; the piece may lie on that face
            assert lap_row(frame, index, number).into_top == piece.shape.cuts[number].upper
            assert piece.shape.cuts[number].low == pytest.approx(half.low, abs=1e-4)


@pytest.mark.parametrize("name", PLANS)
def test_stacks_are_alike_in_stop_and_face(name: str) -> None:
    frame, pages = drawn(name, "A4")
    said = Counter(re.findall(r"(\d+) alike: (?:clamp side by side|mark each singly)", words(pages)))
    counts: Counter[str] = Counter()
    for gauge in gauges(frame):
        found = stacks(frame, gauge)
        assert sorted((row.piece, row.cut) for alike in found for row in alike) == sorted(gauge.halves)
        unders = [alike[0].under for alike in found]
        assert unders == sorted(unders, reverse=True)
        for alike in found:
            assert len({(row.under, row.near, row.ends) for row in alike}) == 1
            if gauge.lean > 0.0:
                assert len({(row.far, row.into_top) for row in alike}) == 1
        counts.update(str(len(alike)) for alike in found if len(alike) > 1)
        for alike in found:
            # no more are held by a clamp than can be
            if len(alike) > 4 and gauge.lean == 0.0:
                assert f"{len(alike)} alike: clamp side by side, " in words(pages)
    assert said == counts
    lots = re.findall(r"(\d+) alike: clamp side by side(?:, (\d+) at a time)?", words(pages))
    assert all(int(lot or count) <= 4 for count, lot in lots)


@pytest.mark.parametrize("name", PLANS)
def test_types_alike_in_length_are_told_apart(name: str) -> None:
    frame, pages = drawn(name, "A4")
    text = words(pages)
    for kind in frame.types:
        for other in frame.types:
            same = kind.shape.width == other.shape.width
            if kind is not other and same and abs(kind.shape.length - other.shape.length) < 15.0:
                (group,) = [g for g in _groups(text) if kind.name in g]
                assert other.name in group


def _groups(text: str) -> list[set[str]]:
    said = re.search(r"NOT the same, though alike in length: ([^.]*)\.", text)
    assert said
    return [set(re.findall(r"T\d+", group)) for group in said[1].split(";")]


@both_sizes
def test_every_piece_stands_once_on_its_board_with_the_figures_of_the_tape(name: str, size: str) -> None:
    frame, pages = drawn(name, size)
    boards = [page for page in pages if "boards" in page.title]
    text = words(boards)
    read = Counter(re.findall(r"(\S+) (T\d+) (\d+) to (\d+)(?= |$)", text))
    wanted: Counter[tuple[str, ...]] = Counter()
    for board in frame.boards:
        for index, (begin, end) in zip(board.pieces, positions(frame, board), strict=True):
            piece = frame.pieces[index]
            wanted[piece.mark, frame.types[piece.type].name, str(begin), str(end)] += 1
    assert read == wanted
    assert sum(wanted.values()) == len(frame.pieces)
    assert re.findall(r"board (\d+) ", text) == [str(number) for number in range(1, len(frame.boards) + 1)]
    hatched = sum(isinstance(mark, Hatch) for page in boards for mark in page.marks)
    scale = float(re.findall(r"1:(\d+) along boards", text)[0])
    assert hatched == sum(board.offcut / scale > 0.3 for board in frame.boards)
    assert re.findall(r"offcut (\d+) ", text) == [str(math.floor(board.offcut + 1e-6)) for board in frame.boards]


@pytest.mark.parametrize("name", PLANS)
def test_positions_on_a_board_add_up(name: str) -> None:
    frame, _ = drawn(name, "A4")
    for board in frame.boards:
        _add_up(frame, board, positions(frame, board))


def _add_up(frame: Frame, board: Board, taped: Sequence[tuple[int, int]]) -> None:
    lengths = [frame.pieces[index].length for index in board.pieces]
    kerf = frame.plan.stock.kerf
    assert taped[0][0] == 0
    assert taped[-1][1] <= board.length + 0.5
    for number, (begin, end) in enumerate(taped):
        assert abs((end - begin) - lengths[number]) <= 1.0
        # each place is where pieces and cuts before it lead, but for half a millimetre a piece
        assert abs(begin - sum(lengths[:number]) - number * kerf) <= 0.5 * number + 1.0
        if number:
            assert begin - taped[number - 1][1] >= math.floor(kerf)
    used = sum(lengths) + (len(lengths) - 1) * kerf
    # what is left after the last piece's own cut, or nothing where it ends with the board
    assert board.offcut == pytest.approx(max(0.0, board.length - used - kerf), abs=1e-3)


def test_a_board_is_taped_as_its_pieces_are_said_to_be_long() -> None:
    frame, _ = drawn("canted-bay", "A4")
    for board in frame.boards:
        for index, (begin, end) in zip(board.pieces, positions(frame, board), strict=True):
            assert end - begin == whole(frame.pieces[index].length)


def test_a_full_board_is_never_taped_beyond_its_end() -> None:
    # seven pieces of 999.6 and no kerf: rounded one by one they would make 7000
    frame = on(PLANS["one"].replace("2000", "999.6"), "A4")
    piece = frame.pieces[0]
    full = Board(6997.2, (0,) * 7, 0.0)
    assert piece.length == pytest.approx(999.6)
    taped = positions(_without_kerf(frame), full)
    assert taped[-1][1] == 6997
    assert [begin for begin, _ in taped] == [whole(999.6 * count) for count in range(7)]


def _without_kerf(frame: Frame) -> Frame:
    plan = dataclasses.replace(frame.plan, stock=dataclasses.replace(frame.plan.stock, kerf=0.0))
    return dataclasses.replace(frame, plan=plan)


def test_depths_of_the_saw_are_half_the_depth_and_half_of_each_width() -> None:
    frame, pages = drawn("two-shells", "A4")
    text = words(pages)
    said = r"UNDER: saw (\S+) deep\. OVER: saw \(board's own depth less (\S+)\) deep, leave (\S+) ends: rip ([\d.]+) in"
    assert re.findall(said, text) == [("37.5", "37.5", "37.5", rip) for rip in ("50", "62.5")]
    # a hand-held saw reaches 50 and not 62.5
    assert "rip 50 in from each edge; housings" in text
    assert "rip 62.5 in from each edge, deeper than many hand-held saws: finish with a hand saw; housings" in text
    frame, pages = drawn("bungalow", "A4")
    for gauge in gauges(frame):
        assert f"GAUGE {gauge.name} {len(gauge.halves)} laps" in words(pages)


def test_a_gauge_that_serves_two_widths_gives_a_rip_for_each() -> None:
    text = PLANS["long names"].replace("[[cross]]", "[[cross]]\nplate_width = 150.0", 1)
    frame = on(text.replace("leaf = 140.0", "leaf = 160.0"), "A4")
    said = words(batch_sheets(frame))
    # four corners, two splices, and the cross wall's ends, which are as long as its mates are wide
    first = "ends: rip 50 in from each edge; housings: kerf and pare"
    saw = "UNDER: saw 25 deep. OVER: saw (board's own depth less 25) deep, leave 25"
    assert f"GAUGE 101 14 laps {saw} 100 wide: {first}; 150 wide: ends: rip 75 in from" in said
    assert f"GAUGE 151 2 laps {saw} ends: rip 50 in from each edge" in said


def test_a_frame_without_laps_has_boards_only() -> None:
    _, pages = drawn("one", "A4")
    assert len(pages) == 1
    assert "GAUGE" not in words(pages)


def test_sheets_are_named_in_order() -> None:
    _, pages = drawn("terrace", "A4")
    for number, page in enumerate(pages, start=1):
        assert page.title.endswith(" batch" if number == 1 else f" batch-{number}")
