"""Labels as they are printed: every code read off the rendered PDF by a reader that shares nothing with the writer.

The codes are QR, ISO/IEC 18004, read with zxing-cpp (https://github.com/zxing-cpp/zxing-cpp) from a picture that
PDFium makes at the resolution of a plain label printer, 203 dots an inch.
"""

from __future__ import annotations

import cmath
import io
import itertools
import math
import re
from pathlib import Path

import pdfplumber
import pypdfium2
import pytest
import zxingcpp
from shapely import MultiPoint, Point

from platemodel.frame import Frame, decide
from platemodel.frame.values import Piece
from platemodel.plan import parse_plan
from platemodel.sheets.pdf import pdf
from platemodel.sheets.piece_labels import label_outline, label_pages

ROOT = Path(__file__).parents[2]
POINTS = 72 / 25.4
DOTS = 203

STOCKS = {
    # labels, paper, example
    # two columns of seven, the first five used up: over two sheets
    "sheet": ("[labels]\nskip = 5\n", (210.0, 297.0), "canted-bay"),
    "narrow": (
        "[labels]\ncolumns = 3\nrows = 8\nwidth = 63.5\nheight = 33.9\nacross = 66\n",
        (210.0, 297.0),
        "garden-room",
    ),
    "roll": ('[labels]\npaper = "roll"\nwidth = 100\nheight = 50\neach = 2\n', (100.0, 50.0), "garden-room"),
    "least": ('[labels]\npaper = "roll"\nwidth = 50\nheight = 25\n', (50.0, 25.0), "crossing"),
}


def frame_with(labels: str, example: str = "garden-room") -> Frame:
    text = (ROOT / "examples" / f"{example}.toml").read_text("utf-8")
    return decide(parse_plan(f"{text}\n{labels}"))


def printed(frame: Frame, passed: bool = True) -> bytes:
    assert frame.plan.labels is not None
    return pdf(list(label_outline(label_pages(frame, frame.plan.labels, passed))), "Labels", None, "Labels")


def codes(raw: bytes) -> list[str]:
    """What the codes say, page by page, from the top left down."""
    document = pypdfium2.PdfDocument(raw)
    found = []
    for page in document:
        image = page.render(scale=DOTS / 72).to_pil().convert("L")
        read = zxingcpp.read_barcodes(image, formats=zxingcpp.BarcodeFormat.QRCode)
        read.sort(key=lambda code: (round(code.position.top_left.y / DOTS), code.position.top_left.x))
        found += [code.text for code in read]
    document.close()
    return found


@pytest.mark.parametrize("stock", STOCKS)
def test_every_code_is_read_and_says_mark_type_and_solid(stock: str) -> None:
    labels, paper, example = STOCKS[stock]
    frame = frame_with(labels, example)
    assert frame.plan.labels is not None
    raw = printed(frame)
    assert raw == printed(frame)
    read = codes(raw)
    each = frame.plan.labels.each
    wanted = [piece for piece in frame.laying for _ in range(each)]
    assert [code.split(" ")[:2] for code in read] == [[piece.mark, frame.types[piece.type].name] for piece in wanted]
    # one solid one code, two solids two
    by_type = {(code.split(" ")[1], code.split(" ")[2]) for code in read}
    assert len(by_type) == len({name for name, _ in by_type}) == len({solid for _, solid in by_type})
    assert all(len(solid) == 16 and int(solid, 16) >= 0 for _, solid in by_type)
    with pdfplumber.open(io.BytesIO(raw)) as document:
        assert all((page.width, page.height) == pytest.approx([s * POINTS for s in paper]) for page in document.pages)


SIDES = {"north": 90, "south": 270, "east": 0, "west": 180, "NE": 45, "NW": 135, "SW": 225, "SE": 315}
"""Degrees anticlockwise from the x axis."""


def off_side(piece: Piece, side: str) -> float:
    """How far the datum end, which is at x = 0 of the piece frame, lies off a side of the plan from the middle (°)."""
    angle = math.radians(piece.place.angle)
    # the middle of the end and of the piece: a half-turn about the long axis leaves both, a shift is the same for both
    ends = [complex(x, piece.shape.width / 2) * cmath.exp(1j * angle) for x in (0.0, piece.length / 2)]
    seen = math.degrees(cmath.phase(ends[0] - ends[1]))
    return abs((seen - SIDES[side] + 180) % 360 - 180)


def at_end(frame: Frame, piece: Piece) -> set[str]:
    """The pieces whose solids, in plan, lie over the middle of a piece's datum end."""
    place, shape = piece.place, piece.shape
    # a hair inside the end; the half-turn about the long axis leaves what is at half width
    inside = complex(sum(shape.low) / 2 + 0.5, shape.width / 2) * cmath.exp(1j * math.radians(place.angle))
    end = Point(place.x + inside.real, place.y + inside.imag)
    outlines = {
        other.mark: MultiPoint([(x, y) for x, y, _ in other.vertices]).convex_hull
        for other in frame.pieces
        if other is not piece
    }
    return {mark for mark, outline in outlines.items() if outline.covers(end)}


@pytest.mark.parametrize("stock", STOCKS)
def test_words_stand_each_on_their_own_label_clear_of_the_code(stock: str) -> None:
    labels, _, example = STOCKS[stock]
    frame = frame_with(labels, example)
    given = frame.plan.labels
    assert given is not None
    seen = 0
    with pdfplumber.open(io.BytesIO(printed(frame))) as document:
        for page in document.pages:
            words = page.extract_words(keep_blank_chars=True)
            for row, column in itertools.product(range(given.rows), range(given.columns)):
                left, top = (
                    (first + number * pitch) * POINTS
                    for first, number, pitch in zip(given.first, (column, row), given.pitch, strict=True)
                )
                right, bottom = left + given.label[0] * POINTS, top + given.label[1] * POINTS
                own = [word for word in words if left <= word["x0"] < right and top <= word["top"] < bottom]
                dark = [rect for rect in page.curves + page.rects if left <= rect["x0"] < right]
                dark = [rect for rect in dark if top <= rect["top"] < bottom]
                if not own:
                    assert not dark
                    continue
                assert max(word["x1"] for word in own) < min(rect["x0"] for rect in dark)
                assert max(rect["x1"] for rect in dark) < right
                assert max(word["bottom"] for word in own) < bottom
                said = " ".join(word["text"] for word in own)
                piece = frame.laying[seen // given.each]
                assert said.split(" ")[0] == piece.mark
                assert f"{piece.length:.0f} mm" in said
                assert f"laying no. {piece.order} of {len(frame.pieces)}" in said
                assert ("underside of" in said) == piece.place.turned_over
                (datum,) = (word["text"] for word in own if "datum end" in word["text"])
                said_of = re.fullmatch(r"datum end (?:at (\S+), )?plan (\S+)", datum)
                assert said_of, datum
                assert off_side(piece, said_of[2]) <= 22.5 + 1e-9
                assert at_end(frame, piece) == ({said_of[1]} if said_of[1] else set())
                seen += 1
    assert seen == len(frame.pieces) * given.each


def test_labels_of_a_frame_that_is_not_proved_have_no_code() -> None:
    frame = frame_with("[labels]\n")
    raw = printed(frame, passed=False)
    assert codes(raw) == []
    with pdfplumber.open(io.BytesIO(raw)) as document:
        text = "\n".join(page.extract_text() for page in document.pages)
    assert text.count("NOT PROVED") == text.count("DO NOT CUT") == len(frame.pieces)
