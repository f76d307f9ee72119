"""Boards as bars: what is sawn from each, taped once from the board's end."""

from __future__ import annotations

import math
from collections.abc import Sequence

from platemodel.export.buying import buying
from platemodel.frame.saving import SQUARING
from platemodel.frame.tape import DUST, offcut, whole
from platemodel.frame.values import Board, Frame
from platemodel.sheets.flow import BODY, BODY_LINE, Columns, inner
from platemodel.sheets.form import SIZES, Room, part_name, scale_for, sheet
from platemodel.sheets.lettering import fitted, width, wrapped
from platemodel.sheets.page import EXTRA, NARROW, WIDE, Page

BAR_LEFT = 46.0
"""Room for what each board is, left of its bar, mm."""
BAR = 7.5
"""Height of a bar, mm on paper: only lengths are to scale."""
ROW = 6.2
FIGURE = 3.5
OFFCUT_WORDS = 36.0


def positions(frame: Frame, board: Board) -> list[tuple[int, int]]:
    """Where each piece of a board begins and ends, from the board's squared end, in whole mm.

    Every piece is as long on the tape as on its cut sheet, and kerfs are counted between pieces. A board so
    full that rounding would lead off its end is taped by exact places instead, each rounded once.
    """
    lengths = [frame.pieces[index].length for index in board.pieces]
    kerf = frame.plan.stock.kerf
    found: list[tuple[int, int]] = []
    reached = 0
    for count, length in enumerate(lengths):
        begin = math.ceil(reached + count * kerf - DUST)
        found.append((begin, begin + whole(length)))
        reached += whole(length)
    if found[-1][1] <= board.length - frame.plan.stock.trim + DUST:
        return found
    exact = [sum(lengths[:count]) + count * kerf for count in range(len(lengths))]
    return [(whole(begin), whole(begin + length)) for begin, length in zip(exact, lengths, strict=True)]


def full(frame: Frame, board: Board) -> bool:
    """Whether a board is used to its ends, so that nothing is left to square them."""
    return board.offcut + frame.plan.stock.trim < SQUARING


def board_pages(frame: Frame) -> list[Page]:
    """The pages of boards, the first ones of the batch sheet."""
    job = frame.plan.job
    longest = max(board.length for board in frame.boards)
    room = SIZES[job.sheet][0] - 30.0 - 6.0 - BAR_LEFT - OFFCUT_WORDS
    scale = scale_for(longest, room)

    def begin(number: int) -> tuple[Page, Room]:
        page, free = sheet(job, "batch sheet", "boards to saw", f"1:{scale:g} along boards", part_name("batch", number))
        top = _head(page, free, frame, first=number == 1)
        return page, inner(free, top)

    flow = Columns(begin, 1)
    for number, board in enumerate(frame.boards, start=1):
        _board(flow, frame, number, board, scale)
    return flow.pages


def _head(page: Page, room: Room, frame: Frame, first: bool) -> float:
    """What to know before sawing; gives how far it reaches below the frame line, mm."""
    left, wide = room.left + 3.0, room.width - 6.0
    page.text(left, room.top + 8.0, "BOARDS" if first else "BOARDS, continued", 5.0, bold=True)
    if not first:
        return 12.0
    plate = frame.plan.plate
    found = buying(frame)
    buy = "; ".join(
        f"{line.count} of {line.length:g} × {line.width:g} × {line.depth:g}"
        + (" from the yard" if line in found.yard else "")
        for line in (*found.lines[::-1], *found.yard[::-1])
    )
    offset = width("BOARDS", 5.0, bold=True) + 5.0
    page.text(left + offset, room.top + 8.0, fitted(f"{plate.grade}: {buy}", 2.5, wide - offset), 2.5, bold=True)
    y = room.top + 13.5
    for note in _notes(frame):
        for number, line in enumerate(wrapped(note, BODY, wide - 4.0)):
            page.text(left + (0.0 if number == 0 else 3.0), y, ("• " if number == 0 else "") + line, BODY)
            y += BODY_LINE
    page.line([(room.left, y - 1.0), (room.right, y - 1.0)], NARROW)
    return y + 1.5 - room.top


def _notes(frame: Frame) -> Sequence[str]:
    kerf, trim = frame.plan.stock.kerf, frame.plan.stock.trim
    square = f"square one end, at most {trim:g} off (hatched)" if trim else "its end square"
    return (
        f"Check that the board is as long and as wide as said and {square}. Hook the tape on that end once and "
        f"mark every figure from it; thick strokes are saw cuts, {kerf:g} wide, beyond the figure. Write the mark on "
        "each piece before the next one is sawn.",
        "Sight the board first: no knot, shake or wane in a lap. So that knots miss the laps, the pieces of a board "
        "may slide along it, up to its offcut in all: add the slide to every figure of the board, never to those of a "
        "cut sheet, and saw the board's end square first, that cut's kerf inside the slide. Pieces may change places "
        "too: then tape anew.",
        "CAUTION: eye and ear protection and a mask; board on trestles, offcut free to fall, cable behind you; unplug "
        "the saw or take its battery out before touching the blade.",
    )


def _board(flow: Columns, frame: Frame, number: int, board: Board, scale: float) -> None:
    """One board: what it is, its bar, and a box to tick with the figures of each piece."""
    taped = positions(frame, board)
    short = full(frame, board)
    room = flow.width - BAR_LEFT
    # where the board must be measured, words stand right of its bar
    rows = _rows(frame, board, taped, board.length / scale if short else room)
    flow.need(BAR + 2.4 + ROW * len(rows) + 2.5)
    page, x, y = flow.page, flow.x, flow.y
    across = frame.pieces[board.pieces[0]].laid.width
    page.box(x, y + 1.4, 4.6, 4.6)
    page.text(x + 6.2, y + 5.6, f"board {number}", FIGURE, bold=True)
    # the section goes under it, where the bar has its rows
    words = f"{board.length:g} × {across:g} × {frame.plan.plate.depth:g}"
    page.text(x, y + BAR + 4.7, fitted(words, FIGURE, BAR_LEFT - 2.0, bold=True), FIGURE, bold=True)
    _bar(page, x + BAR_LEFT, y, frame, board, scale)
    end = x + BAR_LEFT + board.length / scale + 2.0
    page.text(end, y + (3.6 if short else 5.6), f"offcut {offcut(board)}", FIGURE)
    warning = ("MEASURE IT FIRST:", "short? a longer one;", f"long? saw at {taped[-1][1]}")
    for line, words in enumerate(warning if short else ()):
        page.text(end, y + 7.4 + 3.4 * line, words, BODY, bold=True)
    y += BAR + 1.6
    for row in rows:
        for offset, index, figures in row:
            piece = frame.pieces[index]
            at = x + BAR_LEFT + offset
            page.box(at, y + 0.2, 4.2, 4.2)
            page.text(at + 5.4, y + 4.0, piece.mark, FIGURE, bold=True)
            at += 6.6 + width(piece.mark, FIGURE, bold=True)
            kind = frame.types[piece.type].name
            page.text(at, y + 4.0, kind, BODY)
            page.text(at + width(kind, BODY) + 1.8, y + 4.0, figures, FIGURE, bold=True)
        y += ROW
    page.line([(x, y + 0.4), (x + flow.width, y + 0.4)], NARROW)
    flow.y = y + 2.6


def _rows(
    frame: Frame, board: Board, taped: Sequence[tuple[int, int]], room: float
) -> list[list[tuple[float, int, str]]]:
    """The pieces of a board put into rows: how far in, which piece, its figures."""
    rows: list[list[tuple[float, int, str]]] = [[]]
    used = 0.0
    for index, (begin, end) in zip(board.pieces, taped, strict=True):
        piece = frame.pieces[index]
        figures = f"{begin} to {end}"
        needed = 8.4 + width(piece.mark, FIGURE, bold=True) + width(frame.types[piece.type].name, BODY)
        needed += width(figures, FIGURE, bold=True)
        if rows[-1] and used + needed > room:
            rows.append([])
            used = 0.0
        rows[-1].append((used, index, figures))
        used += needed + 5.0
    return rows


def _bar(page: Page, x: float, y: float, frame: Frame, board: Board, scale: float) -> None:
    """The board: pieces with their marks, saw cuts between them, the offcut hatched."""
    kerf, s = frame.plan.stock.kerf, frame.plan.stock.trim
    if s / scale > 0.3:
        page.hatch([(x, y), (x + s / scale, y), (x + s / scale, y + BAR), (x, y + BAR)])
    for index in board.pieces:
        piece = frame.pieces[index]
        end = min(s + piece.length, board.length)
        with page.about(piece.mark):
            page.box(x + s / scale, y, (end - s) / scale, BAR, WIDE)
            for height in (3.5, 2.5):
                if width(piece.mark, height, bold=True) + 1.6 <= (end - s) / scale:
                    page.text(x + (s + end) / 2 / scale, y + BAR / 2 + height / 2, piece.mark, height, "middle", True)
                    break
        if end < board.length - DUST:
            cut = x + (end + min(kerf, board.length - end) / 2) / scale
            page.line([(cut, y - 1.0), (cut, y + BAR + 1.0)], EXTRA)
        s = min(end + kerf, board.length)
    if board.offcut / scale > 0.3:
        left, right = x + s / scale, x + board.length / scale
        page.hatch([(left, y), (right, y), (right, y + BAR), (left, y + BAR)])
    page.box(x, y, board.length / scale, BAR, NARROW)
