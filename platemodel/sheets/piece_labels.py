"""Labels to stick on the pieces, on sheets of labels or on a roll, a label a piece in laying order.

A label goes on the face that is up as laid, either way round: at which mate and to which side of the plan the datum end
lies it says in words, as the cut sheet does. Its code holds mark, type and the solid's code, with spaces between.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from platemodel.frame.shape import solid_code
from platemodel.frame.values import Frame, Piece
from platemodel.plan.values import LabelStock
from platemodel.sheets.code_2d import draw_code, qr
from platemodel.sheets.cut_tables import FACE_UP, datum_text
from platemodel.sheets.form import NOT_PROVED, RED
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import Page

PAD = 2.0
"""White at the edge of a label, mm: printers feed labels a little askew."""

MOST_TEXT = 4.0
MARK = 2.4
"""A mark is so many times as high as the other words."""

PITCH = 1.75
"""From line to line, in heights of capitals."""

LINES = 6
CODE = 0.36
"""The most of a label's width that the code takes."""


def code_text(frame: Frame, piece: Piece) -> str:
    """What the code of a piece's label holds: mark, type, the solid's code in capitals."""
    return f"{piece.mark} {frame.types[piece.type].name} {solid_code(piece.shape).upper()}"


def label_pages(frame: Frame, stock: LabelStock, passed: bool) -> list[Page]:
    """The labels of a frame as pages of a stock's paper; without their codes, and saying so, where the proof failed."""
    wanted = [piece for piece in frame.laying for _ in range(stock.each)]
    lay = _Layout.of(frame, *stock.label)
    on_page = stock.columns * stock.rows
    pages: list[Page] = []
    for number, piece in enumerate(wanted, start=stock.skip):
        if number % on_page == 0 or not pages:
            pages.append(Page(*stock.paper, f"{frame.plan.job.title}: labels, page {len(pages) + 1}"))
        row, column = divmod(number % on_page, stock.columns)
        left = stock.first[0] + column * stock.pitch[0]
        top = stock.first[1] + row * stock.pitch[1]
        with pages[-1].about(piece.mark):
            _label(pages[-1], left, top, lay, frame, piece, passed)
    return pages


def label_outline(pages: Sequence[Page]) -> Iterator[tuple[str, Page]]:
    """Each page with its words in an outline."""
    for number, page in enumerate(pages, start=1):
        yield f"Labels {number}", page


@dataclass(frozen=True)
class _Layout:
    """How labels of a size are laid out: the code's side, and the words' room and height, alike on all (mm)."""

    wide: float
    high: float
    side: float
    room: float
    text: float

    @staticmethod
    def of(frame: Frame, wide: float, high: float) -> _Layout:
        side = min(high - 2 * PAD, wide * CODE)
        room = wide - side - 3 * PAD
        most = min((high - 2 * PAD) / (MARK + LINES * PITCH), MOST_TEXT)
        whole = [_whole(frame, piece) for piece in frame.pieces]
        text = min(_shrunk(size, most, room) for size, *_ in whole)
        return _Layout(
            wide, high, side, room, min(_shrunk(line, text, room, False) for _, *rest in whole for line in rest)
        )


def _whole(frame: Frame, piece: Piece) -> tuple[str, str, str, str]:
    """What may not be cut short: length and section, when it is laid, which face is then up, where the datum end is."""
    plate = frame.plan.plate
    face = "underside" if piece.place.turned_over else "top"
    return (
        f"{piece.length:.0f} mm, {piece.shape.width:g} × {plate.depth:g} {plate.grade}",
        f"laying no. {piece.order} of {len(frame.pieces)}",
        f"up: {FACE_UP[piece.place.turned_over]} {face} of {frame.types[piece.type].name}",
        f"datum end {datum_text(frame, piece, short=True)}",
    )


def _label(page: Page, left: float, top: float, lay: _Layout, frame: Frame, piece: Piece, passed: bool) -> None:
    if passed:
        corner = left + lay.wide - PAD - lay.side, top + (lay.high - lay.side) / 2
        draw_code(page, *corner, lay.side, qr(code_text(frame, piece)))
    else:
        _not_proved(page, left + lay.wide - PAD - lay.side / 2, top + lay.high / 2, lay.side)
    text = lay.text
    x, y = left + PAD, top + (lay.high - text * (MARK + LINES * PITCH)) / 2 + MARK * text
    kind = frame.types[piece.type].name
    big = _shrunk(f"{piece.mark}  {kind}", MARK * text, lay.room)
    page.text(x, y, piece.mark, big, bold=True)
    page.text(x + width(f"{piece.mark}  ", big, bold=True), y, kind, 0.6 * big)
    size, laid, up, datum = _whole(frame, piece)
    walls, job = (fitted(words, text, lay.room) for words in (" + ".join(piece.walls), _job(frame)))
    for number, words in enumerate((size, walls, laid, up, datum, job), start=1):
        page.text(x, y + number * PITCH * text, words, text, bold=words == size)


def _not_proved(page: Page, x: float, y: float, side: float) -> None:
    """Say in place of the code, about its middle, that the proof failed."""
    lines = NOT_PROVED.split(" – ")
    height = min(_shrunk(line, MOST_TEXT, side) for line in lines)
    for number, line in enumerate(lines):
        page.text(x, y + (2 * number - 1) * height + height / 2, line, height, "middle", bold=True, colour=RED)


def _job(frame: Frame) -> str:
    """Which job a piece is for, its number first: a title may be cut short."""
    job = frame.plan.job
    return " ".join(str(part) for part in (job.number, job.title) if part is not None)


def _shrunk(text: str, height: float, room: float, bold: bool = True) -> float:
    """A height at which a text keeps to its room, for words that may not be cut short."""
    long = width(text, height, bold=bold)
    return height if long <= room else height * room / long
