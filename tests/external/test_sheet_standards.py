"""The sheets against the drawing standards, read from the SVG files.

Scales: ISO 5455:1979. Sheets: ISO 216 and ISO 5457:1999 (margins and frame line from memory). Title
block: ISO 7200:2004 (its width from memory). Lines: ISO 128-2:2020.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from xml.etree import ElementTree

from built import Built
from meshes_outside import placed
from svg_sheets import SVG, Sheet, Stroke, read

ISO_5455 = [factor * 10**power for power in range(4) for factor in (1, 2, 5)] + [10_000]
ISO_216 = {"A4": (210.0, 297.0), "A3": (297.0, 420.0)}
ISO_128 = (0.13, 0.18, 0.25, 0.35, 0.5, 0.7, 1.0, 1.4, 2.0)
ISO_7200 = {
    "legal owner": "owner",
    "identification no.": "number",
    "date of issue": "date",
    "sheet": None,
    "title": "title",
    "approved by": "approver",
    "created by": "creator",
    "document type": None,
}
"""The mandatory fields, and where the plan gives their value."""

BLOCK_WIDTH = 180.0
DRAWN = 0.0011
"""Coordinates in a sheet are thousandths of a millimetre."""


def sheets(built: Built) -> dict[str, Sheet]:
    return {path.stem: read(path) for path in sorted((built.folder / "sheets").glob("*.svg"))}


def test_a_sheet_for_the_plan_and_for_each_type(built: Built) -> None:
    assert {"plan", *(kind["type"] for kind in built.report["types"])} <= set(sheets(built))
    for kind in built.report["types"]:
        assert Path(kind["sheet"]) == Path("sheets") / f"{kind['type']}.svg"


def test_sizes_are_of_iso_216(built: Built) -> None:
    size = ISO_216[built.plan["job"].get("sheet", "A4")]
    for sheet in sheets(built).values():
        assert sorted((sheet.width, sheet.height)) == sorted(size)


def _frame(sheet: Sheet) -> Stroke:
    boxes = [stroke for stroke in sheet.strokes if stroke.closed and len(stroke.points) == 4]
    return max(boxes, key=lambda box: max(x for x, _ in box.points) - min(x for x, _ in box.points))


def test_the_frame_line_leaves_20_mm_at_the_left_and_10_elsewhere(built: Built) -> None:
    for sheet in sheets(built).values():
        frame = _frame(sheet)
        xs, ys = ({point[axis] for point in frame.points} for axis in (0, 1))
        assert xs == {20.0, sheet.width - 10.0}
        assert ys == {10.0, sheet.height - 10.0}
        assert frame.width == 0.7


KINDS = ("cover", "plan", "laying", "laps", "gauge", "buying", "batch", "rules")
"""Sheets that every frame has, beside those of its types."""

ON_THE_WALL = ("survey", "setting", "bedding", "section", "fixing")
"""Sheets of a plan that says how its shell was built."""


def test_every_kind_of_sheet_is_there(built: Built) -> None:
    first = {name.split("-")[0] for name in sheets(built)}
    # a frame without laps has none to show
    needed = set(KINDS) if built.report["joints"] else set(KINDS) - {"laps"}
    needed |= set(ON_THE_WALL) if "site" in built.report else set()
    assert first >= needed
    assert first <= needed | {kind["type"] for kind in built.report["types"]}


def test_scales_are_of_iso_5455(built: Built) -> None:
    for name, sheet in sheets(built).items():
        said = sheet.under("scale")
        match = re.fullmatch(r"1:(\d+(?:\.\d+)?)(, broken| along boards)?", said)
        assert match is None or float(match[1]) in ISO_5455, (name, said)
        first, _, further = name.partition("-")
        boards = any(re.fullmatch(r"board \d+", words.text) for words in sheet.words)
        if first == "laps":
            # each view has its own beside it
            assert said == "as noted"
        elif (
            first == "buying"
            or (first == "cover" and further)
            or (first == "batch" and not boards)
            or sheet.has("Laying list")
        ):
            # only words and tables
            assert said in ("–", "none")
        elif first == "section":
            both = re.fullmatch(r"1:(\S+) along, 1:(\S+) up", said)
            assert both is not None, (name, said)
            assert {float(scale) for scale in both.groups()} <= set(ISO_5455)
        elif first in ("bedding", "rules") or (first in ON_THE_WALL and further):
            # words, tables, and drawings that say their own scales beside them
            assert match or said in ("–", "as noted")
        else:
            assert match, (name, said)
        for words in sheet.words:
            beside = re.fullmatch(r"1:(\S+)", words.text)
            assert beside is None or float(beside[1]) in ISO_5455, (name, words)


def test_each_exploded_lap_says_its_scale(built: Built) -> None:
    for name, sheet in sheets(built).items():
        if name.split("-")[0] == "laps":
            kinds = [words for words in sheet.words if words.bold and words.text.startswith("1st: ")]
            scales = [words for words in sheet.words if re.fullmatch(r"1:\d+", words.text)]
            assert len(kinds) == len(scales) > 0


def test_gauges_are_true_to_size(built: Built) -> None:
    for name, sheet in sheets(built).items():
        if name.split("-")[0] == "gauge":
            assert sheet.under("scale") == "1:1"


def test_sheets_are_xml_with_their_size_on_paper(built: Built) -> None:
    for path in sorted((built.folder / "sheets").glob("*.svg")):
        root = ElementTree.fromstring(path.read_bytes())
        assert root.tag == f"{SVG}svg"
        assert re.fullmatch(r"\d+mm", root.attrib["width"])
        assert re.fullmatch(r"\d+mm", root.attrib["height"])
        assert (root.findtext(f"{SVG}title") or "").startswith(built.plan["job"]["title"])


def test_each_page_says_which_of_how_many_it_is(built: Built) -> None:
    said = sorted(sheet.under("page") for sheet in sheets(built).values())
    count = len(said)
    assert said == sorted(f"{number} of {count}" for number in range(1, count + 1))


def test_the_title_block_is_180_wide_and_has_the_fields_of_iso_7200(built: Built) -> None:
    for name, sheet in sheets(built).items():
        left = sheet.width - 10.0 - BLOCK_WIDTH
        bottom = sheet.height - 10.0
        for label, key in ISO_7200.items():
            (words,) = [word for word in sheet.words if word.text == label and word.at[1] > bottom - 40.0]
            assert left < words.at[0] < sheet.width - 10.0
            value = None if key is None else built.plan["job"].get(key)
            if key is not None:
                # a field that the plan does not give is left for handwriting
                assert sheet.under(label) == ("" if value is None else str(value))
        assert sheet.under("document type")
        assert sheet.under("sheet").startswith(name.split("-")[0])
        edges = [
            stroke
            for stroke in sheet.strokes
            if len(stroke.points) == 2 and all(abs(x - left) < DRAWN for x, _ in stroke.points)
        ]
        assert any(abs(max(y for _, y in stroke.points) - bottom) < DRAWN for stroke in edges)


def test_line_widths_are_of_iso_128(built: Built) -> None:
    for sheet in sheets(built).values():
        widths = {stroke.width for stroke in sheet.strokes}
        assert len(widths) >= 2
        assert widths <= set(ISO_128)


def test_wide_lines_are_at_least_twice_the_narrow_ones(built: Built) -> None:
    # hidden edges are dashed narrow, visible edges wide. A further page may hold nothing but tables; a cover shows no
    # edges, a laying sheet plates as areas of colour; gauges are cut on the middle of their own narrow lines
    seen = 0
    for name, sheet in sheets(built).items():
        # nor do the rules and the sheets of work on the wall show edges of pieces
        if "-" in name or name in ("cover", "gauge", "laying", "rules", *ON_THE_WALL):
            continue
        inside = [stroke for stroke in sheet.strokes if stroke is not _frame(sheet)]
        wide = max(stroke.width for stroke in inside if not stroke.dashed)
        assert all(stroke.width * 2 <= wide for stroke in inside if stroke.dashed), name
        assert min(stroke.width for stroke in inside) * 2 <= wide, name
        seen += 1
    # plan, order and batch, laps where there are some, and the types
    assert seen == 3 + bool(built.report["joints"]) + len(built.report["types"])


def test_edges_of_gauges_are_narrow_and_their_half_depths_dashed(built: Built) -> None:
    for name, sheet in sheets(built).items():
        if name.split("-")[0] == "gauge":
            inside = [stroke for stroke in sheet.strokes if stroke is not _frame(sheet)]
            assert {stroke.width for stroke in inside} <= {0.18, 0.25}, name


def _outlines(built: Built) -> list[list[tuple[float, float]]]:
    """The outline of each piece in plan, in the frame's axes, from its STL file."""
    found = []
    for piece in placed(built).values():
        (outline,) = piece.project().hull().to_polygons()
        found.append([(float(x), float(y)) for x, y in outline])
    return found


def test_plates_are_drawn_where_they_lie_true_to_scale(built: Built) -> None:
    sheet = sheets(built)["plan"]
    scale = float(sheet.under("scale").split(":")[1])
    # y of the frame is up, of the paper down
    outlines = [[(x / scale, -y / scale) for x, y in outline] for outline in _outlines(built)]
    closed = [stroke.points for stroke in sheet.strokes if stroke.closed and stroke is not _frame(sheet)]
    # the first piece may be found in several places, but one place of the paper must do for all
    places = [(min(x for x, _ in drawn), max(y for _, y in drawn)) for drawn in closed]
    low = min(x for x, _ in outlines[0]), max(y for _, y in outlines[0])
    fitting = [
        (left - low[0], bottom - low[1])
        for left, bottom in places
        if _all_drawn(outlines, (left - low[0], bottom - low[1]), closed)
    ]
    assert fitting
    assert all(math.dist(place, fitting[0]) < 2 * DRAWN for place in fitting)
    if len(built.plan["shell"]) == 1:
        east = max(x for outline in outlines for x, _ in outline)
        north = -min(y for outline in outlines for _, y in outline)
        level = _dimension(sheet, (east, 0.0), f"{_whole(east * scale)}")
        upright = _dimension(sheet, (0.0, north), f"{_whole(north * scale)}")
        assert abs(min(x for x, _ in level.points) - fitting[0][0]) < 2 * DRAWN
        assert abs(max(y for _, y in upright.points) - fitting[0][1]) < 2 * DRAWN


def _all_drawn(
    outlines: list[list[tuple[float, float]]], by: tuple[float, float], closed: list[tuple[tuple[float, float], ...]]
) -> bool:
    return all(
        any(_same(drawn, [(x + by[0], y + by[1]) for x, y in outline]) for drawn in closed) for outline in outlines
    )


def _whole(value: float) -> int:
    # half a float32 step of the mesh must not turn a half up into a half down
    return math.floor(round(value, 2) + 0.5)


def _dimension(sheet: Sheet, reach: tuple[float, float], text: str) -> Stroke:
    """The line of a dimension: of the length that its scale makes, with its figure near its middle."""
    found = []
    for stroke in sheet.strokes:
        if len(stroke.points) != 2 or stroke.dashed:
            continue
        (ax, ay), (bx, by) = stroke.points
        if abs(abs(ax - bx) - reach[0]) > 2 * DRAWN or abs(abs(ay - by) - reach[1]) > 2 * DRAWN:
            continue
        middle = (ax + bx) / 2, (ay + by) / 2
        if any(words.text == text and math.dist(words.at, middle) < 5.0 for words in sheet.words):
            found.append(stroke)
    assert len(found) == 1, text
    return found[0]


def _same(points: tuple[tuple[float, float], ...], wanted: list[tuple[float, float]]) -> bool:
    if len(points) != len(wanted):
        return False
    apart = [min(math.dist(one, other) for other in points) for one in wanted]
    return max(apart) < 2 * DRAWN
