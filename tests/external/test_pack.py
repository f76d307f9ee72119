"""The pack as PDF against the sheets as SVG, read with two readers that know nothing of platemodel.

poppler's pdfinfo, pdffonts and pdftotext; pypdf and pdfplumber. PDF: ISO 32000-1, 7.5 (documents), 9.9 (embedded
fonts), 12.3.3 (outline), 12.4.2 (page labels). Paper sizes: ISO 216; selectable text and no scripts: common practice.
"""

from __future__ import annotations

import dataclasses
import functools
import math
import re
import shutil
import subprocess
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pdfplumber
import pypdf
import pytest
from built import Builder, Built
from pdfminer.layout import LTChar, LTCurve
from svg_sheets import SVG, Point, Sheet, read

MM = 25.4 / 72.0
ISO_216 = {"A4": (297.0, 210.0), "A3": (420.0, 297.0)}
AGREE = 0.1
"""Positions of texts agree within this (mm)."""
LINES = 0.01
"""Coordinates of lines agree within this (mm): both writers round to thousandths or finer."""


def _poppler(tool: str, *arguments: str) -> str:
    found = shutil.which(tool)
    assert found is not None, f"{tool} of poppler-utils is missing: install it to read the pack with a second reader"
    done = subprocess.run([found, *arguments], check=True, capture_output=True, timeout=60)
    return done.stdout.decode("utf-8")


def _pack(built: Built) -> Path:
    return built.folder / "pack.pdf"


@functools.cache
def _sheets_in_order(folder: Path) -> list[tuple[str, Sheet]]:
    """The sheets by the numbers in their title blocks."""
    found = []
    for path in (folder / "sheets").glob("*.svg"):
        sheet = read(path)
        (number,) = [
            int(match[1])
            for words in sheet.words
            if (match := re.fullmatch(r"(\d+) of \d+", words.text))
            and words.at[0] > sheet.width - 35.0
            and words.at[1] > sheet.height - 16.0
        ]
        found.append((number, path.stem, sheet))
    found.sort()
    return [(name, sheet) for _, name, sheet in found]


@dataclass(frozen=True)
class Drawn:
    """A path as drawn: its points, mm from the paper's top left corner, its line's width and dashes, or filled."""

    points: tuple[Point, ...]
    closed: bool
    width: float | None
    dashes: tuple[float, ...]


@dataclass(frozen=True)
class Letter:
    """A letter: its baseline's beginning and end, mm from the paper's top left corner, and its weight."""

    letter: str
    begin: Point
    end: Point
    bold: bool


@functools.cache
def _played(pack: Path) -> list[tuple[list[Drawn], list[Letter]]]:
    """For each page its paths and its letters, each in the order in which they are drawn."""
    with pdfplumber.open(pack) as document:
        return [_page(page) for page in document.pages]


def _page(page: Any) -> tuple[list[Drawn], list[Letter]]:
    high = float(page.height)

    def on_paper(x: float, y: float) -> Point:
        return x * MM, (high - y) * MM

    paths, letters = [], []
    for item in page.layout:
        if isinstance(item, LTChar):
            a, b, _, _, x, y = item.matrix
            end = x + item.adv * a, y + item.adv * b
            letters.append(Letter(item.get_text(), on_paper(x, y), on_paper(*end), "Bold" in item.fontname))
        elif isinstance(item, LTCurve):
            # the path as written: pts are put in another order for rectangles
            closed = item.original_path[-1][0] == "h"
            points = [on_paper(*step[1]) for step in item.original_path if step[0] in "ml"]
            width = item.linewidth * MM if item.stroke else None
            dashes = tuple(item.dashing_style[0]) if item.stroke and item.dashing_style else ()
            paths.append(Drawn(tuple(points), closed, width, dashes))
    return paths, letters


def _drawn(path: Path) -> list[Drawn]:
    """The paths of an SVG sheet, in order."""
    found = []
    for item in ElementTree.parse(path).getroot().iter():
        kind = item.tag.removeprefix(SVG)
        if kind not in ("polyline", "polygon", "path"):
            continue
        width = float(item.attrib["stroke-width"]) if "stroke-width" in item.attrib else None
        dashes = tuple(float(dash) for dash in item.attrib.get("stroke-dasharray", "").split())
        if kind == "path":
            texts = [f"{a},{b} {c},{d}" for a, b, c, d in re.findall(r"M(\S+) (\S+?)L(\S+) ([^M]+)", item.attrib["d"])]
        else:
            texts = [item.attrib["points"]]
        for text in texts:
            points = [(float(x), float(y)) for x, y in (pair.split(",") for pair in text.split())]
            found.append(Drawn(tuple(points), kind == "polygon", width, dashes))
    return found


def _texts_agree(sheet: Sheet, letters: list[Letter]) -> None:
    """Every text of a sheet, letter by letter and in order, at the same place, as long and as high."""
    assert "".join(words.text for words in sheet.words) == "".join(letter.letter for letter in letters)
    at = 0
    for words in sheet.words:
        mine = letters[at : at + len(words.text)]
        at += len(words.text)
        before = words.length * {"start": 0.0, "middle": 0.5, "end": 1.0}[words.anchor]
        cos, sin = math.cos(math.radians(words.turn)), math.sin(math.radians(words.turn))
        for reach, place in ((-before, mine[0].begin), (words.length - before, mine[-1].end)):
            wanted = words.at[0] + reach * cos, words.at[1] - reach * sin
            assert math.dist(wanted, place) < AGREE, (words, place)
        assert {letter.bold for letter in mine} == {words.bold}


def _paths_agree(drawn: list[Drawn], played: list[Drawn]) -> None:
    assert len(drawn) == len(played)
    for one, other in zip(drawn, played, strict=True):
        assert len(one.points) == len(other.points), (one, other)
        # a filled area is closed either way
        assert one.width is None or one.closed == other.closed, (one, other)
        for point, place in zip(one.points, other.points, strict=True):
            assert math.dist(point, place) < LINES, (one, other)
        if one.width is None or other.width is None:
            assert one.width is other.width, (one, other)
        else:
            assert one.width == pytest.approx(other.width, abs=1e-3), (one, other)
            assert one.dashes == pytest.approx(other.dashes, abs=1e-3), (one, other)


COMPARED = ("canted-bay", "skew", "garden-room")
"""Plans whose packs are compared with their sheets mark by mark: on A4 and on A3, with leaning laps and without."""


@pytest.mark.parametrize("name", COMPARED)
def test_every_text_of_the_pdf_is_that_of_the_svg_at_its_place(name: str, builder: Builder) -> None:
    built = builder(name)
    sheets, pages = _sheets_in_order(built.folder), _played(_pack(built))
    assert len(sheets) == len(pages)
    for (_, sheet), (_, letters) in zip(sheets, pages, strict=True):
        assert letters
        _texts_agree(sheet, letters)


@pytest.mark.parametrize("name", COMPARED)
def test_every_line_and_area_of_the_pdf_is_that_of_the_svg(name: str, builder: Builder) -> None:
    built = builder(name)
    pages = _played(_pack(built))
    for (stem, _), (paths, _) in zip(_sheets_in_order(built.folder), pages, strict=True):
        assert paths
        _paths_agree(_drawn(built.folder / "sheets" / f"{stem}.svg"), paths)


def test_a_letter_and_a_line_off_their_places_are_found(builder: Builder) -> None:
    built = builder("garden-room")
    (stem, sheet), *_ = [item for item in _sheets_in_order(built.folder) if item[0] == "T1"]
    number = [name for name, _ in _sheets_in_order(built.folder)].index(stem)
    paths, letters = _played(_pack(built))[number]
    drawn = _drawn(built.folder / "sheets" / f"{stem}.svg")
    _texts_agree(sheet, letters)
    _paths_agree(drawn, paths)
    one = letters[0]
    moved = dataclasses.replace(one, begin=(one.begin[0] + 2 * AGREE, one.begin[1]))
    wrong = dataclasses.replace(one, letter="ß")
    for spoiled in ([moved, *letters[1:]], [wrong, *letters[1:]], letters[1:]):
        with pytest.raises(AssertionError):
            _texts_agree(sheet, spoiled)
    (x, y), *rest = paths[-1].points
    off = dataclasses.replace(paths[-1], points=((x, y + 2 * LINES), *rest))
    thick = dataclasses.replace(paths[0], width=0.5)
    for wrong_paths in ([*paths[:-1], off], [thick, *paths[1:]], paths[:-1]):
        with pytest.raises(AssertionError):
            _paths_agree(drawn, wrong_paths)


def test_a_page_a_sheet_and_each_says_which_it_is(sheeted: Built) -> None:
    sheets = _sheets_in_order(sheeted.folder)
    count = len(list((sheeted.folder / "sheets").glob("*.svg")))
    assert len(pypdf.PdfReader(_pack(sheeted)).pages) == len(sheets) == count
    pages = re.search(r"^Pages:\s+(\d+)$", _poppler("pdfinfo", str(_pack(sheeted))), re.M)
    assert pages
    assert int(pages[1]) == count
    texts = _poppler("pdftotext", str(_pack(sheeted)), "-").split("\f")
    assert texts.pop() == ""
    for number, text in enumerate(texts, start=1):
        assert f"{number} of {count}" in text, sheets[number - 1][0]
    assert len(texts) == count


def test_pages_are_of_iso_216_on_their_long_side(sheeted: Built) -> None:
    # the plan on A3 of a plan that says nothing is known by its name
    size = "A3" if sheeted.folder.name.endswith("-on-A3") else sheeted.plan["job"].get("sheet", "A4")
    wide, high = ISO_216[size]
    for page in pypdf.PdfReader(_pack(sheeted)).pages:
        assert float(page.mediabox.width) * MM == pytest.approx(wide, abs=0.1)
        assert float(page.mediabox.height) * MM == pytest.approx(high, abs=0.1)
        assert page.rotation == 0
    last = str(len(_sheets_in_order(sheeted.folder)))
    info = _poppler("pdfinfo", "-f", "1", "-l", last, str(_pack(sheeted)))
    found = re.findall(r"^Page\s+\d+ size:\s+(\S+) x (\S+) pts", info, re.M)
    assert len(found) == int(last)
    for width, height in found:
        assert float(width) * MM == pytest.approx(wide, abs=0.1)
        assert float(height) * MM == pytest.approx(high, abs=0.1)


def test_fonts_are_embedded_and_subset(sheeted: Built) -> None:
    lines = _poppler("pdffonts", str(_pack(sheeted))).splitlines()[2:]
    assert lines
    for line in lines:
        match = re.fullmatch(r"(\S+)\s+(.+?)\s{2,}(\S+)\s+(yes|no)\s+(yes|no)\s+(yes|no)\s+\d+\s+\d+\s*", line)
        assert match, line
        # a subset's name begins with six capitals and a plus sign
        assert re.match(r"[A-Z]{6}\+", match[1]), line
        assert (match[4], match[5], match[6]) == ("yes", "yes", "yes"), line
    data = _pack(sheeted).read_bytes()
    assert b"Helvetica" not in data
    fonts = set()
    for page in pypdf.PdfReader(_pack(sheeted)).pages:
        for font in page["/Resources"]["/Font"].values():
            font = font.get_object()
            fonts.add(str(font["/BaseFont"]))
            assert "Helvetica" not in font["/BaseFont"]
            holder = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
            assert "/FontFile2" in holder["/FontDescriptor"]
            assert "/ToUnicode" in font
    assert fonts


def test_nothing_runs_and_nothing_leads_out(sheeted: Built) -> None:
    reader = pypdf.PdfReader(_pack(sheeted))
    info = _poppler("pdfinfo", str(_pack(sheeted)))
    assert re.search(r"^JavaScript:\s+no$", info, re.M)
    assert re.search(r"^Encrypted:\s+no$", info, re.M)
    assert not _keys(reader.trailer) & {"/JavaScript", "/JS", "/Launch", "/URI", "/OpenAction", "/AA", "/EmbeddedFiles"}


def _keys(root: Any) -> set[str]:
    """All keys and kinds of action of everything that a document's trailer leads to."""
    found: set[str] = set()
    seen: set[tuple[int, int]] = set()
    left = [root]
    while left:
        value = left.pop()
        if isinstance(value, pypdf.generic.IndirectObject):
            if (value.idnum, value.generation) in seen:
                continue
            seen.add((value.idnum, value.generation))
            value = value.get_object()
        if isinstance(value, dict):
            found |= {str(key) for key in value} | {str(value.raw_get("/S")) if "/S" in value else ""}
            left += [value.raw_get(key) for key in value]
        elif isinstance(value, list):
            left += list(value)
    assert "/MediaBox" in found
    return found


def test_each_page_has_its_bookmark_and_its_label(sheeted: Built) -> None:
    reader = pypdf.PdfReader(_pack(sheeted))
    names = [name for name, _ in _sheets_in_order(sheeted.folder)]
    assert len(reader.outline) == len(names)
    titles = []
    for number, (name, item) in enumerate(zip(names, reader.outline, strict=True)):
        assert not isinstance(item, list)
        assert reader.get_destination_page_number(item) == number
        first, _, further = name.partition("-")
        titles.append(str(item.title))
        # a cut sheet's words have its type, a further page its number
        if first.startswith("T"):
            assert re.search(rf"\b{first}\b", item.title), (name, item.title)
        assert item.title.endswith(f"({further})") == bool(further), (name, item.title)
    assert len(set(titles)) == len(titles)
    assert list(reader.page_labels) == [str(number) for number in range(1, len(names) + 1)]


def test_the_document_has_its_title(sheeted: Built) -> None:
    title = str(sheeted.plan["job"]["title"])
    reader = pypdf.PdfReader(_pack(sheeted))
    assert reader.metadata is not None
    assert title in str(reader.metadata.title)
    said = re.search(r"^Title:\s+(.*)$", _poppler("pdfinfo", str(_pack(sheeted))), re.M)
    assert said
    assert title in said[1]
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/DisplayDocTitle"]


def test_text_can_be_searched_for_title_marks_and_types(sheeted: Built) -> None:
    text = _poppler("pdftotext", str(_pack(sheeted)), "-")
    words = set(re.findall(r"[^\W_]+", text))
    assert sheeted.plan["job"]["title"] in " ".join(text.split())
    assert {piece["mark"] for piece in sheeted.report["pieces"]} <= words
    assert {kind["type"] for kind in sheeted.report["types"]} <= words
    assert "ZZ9" not in words


def test_the_main_example_is_light_enough_to_send(builder: Builder) -> None:
    assert _pack(builder("bungalow")).stat().st_size < 2_000_000
