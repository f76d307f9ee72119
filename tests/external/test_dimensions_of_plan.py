"""Every dimension of the plan sheet read back from its own marks, against the pieces in report.json and the plan file.

Dimension lines end in oblique strokes of 45° (ISO 129-1) and are true to the sheet's scale (ISO 5455).
"""

from __future__ import annotations

import collections
import dataclasses
import functools
import itertools
import math
import re
from collections.abc import Callable, Sequence
from typing import Any

import pytest
from built import Built
from cut_views import scale_of
from exact_pieces import ExactPiece, pieces
from shapely import LineString, Polygon, unary_union
from shapely import Point as Place
from svg_sheets import Point, Sheet, Stroke, Words, read
from test_dimensions_of_cuts import WHOLE, figures_by_place

ON_PAPER = 0.05
"""What a drawn line may be off, mm on paper."""
KEY = 70.0
"""The key and the margin take this much at the right (mm)."""
DIAGONAL = "6 1 0.6 1"
SAME = 0.01
"""Corners of plates that are one place lie within this (mm)."""


@dataclasses.dataclass(frozen=True)
class Dimension:
    """A dimension line: its ends on paper, its figure."""

    ends: tuple[Point, Point]
    figure: Words

    @property
    def value(self) -> int:
        return int(self.figure.text)


def _plan(built: Built) -> Sheet:
    # these frames are small enough for one sheet
    assert not list((built.folder / "sheets").glob("plan-*.svg"))
    return read(built.folder / "sheets" / "plan.svg")


def _mid(one: Point, other: Point) -> Point:
    return (one[0] + other[0]) / 2, (one[1] + other[1]) / 2


def _ticks(sheet: Sheet, half: float, width: float) -> list[tuple[Point, Point]]:
    """Strokes of a length that leads a half across and up at 45°, by their ends."""
    found = []
    for stroke in sheet.strokes:
        if len(stroke.points) == 2 and stroke.width == width and not stroke.dashed and not stroke.hatching:
            one, other = stroke.points
            if abs(math.dist(one, other) - 2 * half * math.sqrt(2)) < 0.006:
                found.append((one, other))
    return found


def _has(ticks: list[tuple[Point, Point]], place: Point, line: Stroke) -> bool:
    """Whether a stroke at 45° to a line has its middle at a place (ISO 129-1)."""
    return any(
        math.dist(_mid(*tick), place) < 0.005 and abs(_between(tick, line.points) - 45.0) < 0.5 for tick in ticks
    )


def _between(one: Sequence[Point], other: Sequence[Point]) -> float:
    """The acute angle between two lines, degrees."""
    ways = [math.atan2(line[1][1] - line[0][1], line[1][0] - line[0][0]) for line in (one, other)]
    turn = math.degrees(ways[0] - ways[1]) % 180.0
    return min(turn, 180.0 - turn)


def dimensions(sheet: Sheet, half: float, stroke_width: float, line_width: float, capitals: float) -> list[Dimension]:
    """Lines with oblique strokes at both ends, each with the bold figure nearest to its middle."""
    ticks = _ticks(sheet, half, stroke_width)
    lines = [
        stroke
        for stroke in sheet.strokes
        if len(stroke.points) == 2
        and stroke.width == line_width
        and not stroke.dashed
        and math.dist(*stroke.points) > 1e-6
        and all(_has(ticks, point, stroke) for point in stroke.points)
    ]
    figures = [
        words for words in sheet.words if words.bold and words.text.isdigit() and words.capitals < capitals + 0.1
    ]
    found = []
    for line in lines:
        near = min(figures, key=lambda words: _aside(line, words.middle))
        assert _aside(line, near.middle) < 4.0, line
        found.append(Dimension((line.points[0], line.points[1]), near))
    return found


def _aside(line: Stroke, place: Point) -> float:
    return math.dist(_mid(line.points[0], line.points[1]), place)


def _extent(built: Built) -> tuple[float, float]:
    corners = [corner for piece in pieces(built.report).values() for corner in piece.corners]
    assert min(x for x, _ in corners) == pytest.approx(0.0, abs=1e-5)
    assert min(y for _, y in corners) == pytest.approx(0.0, abs=1e-5)
    return max(x for x, _ in corners), max(y for _, y in corners)


def _overall(built: Built, sheet: Sheet) -> tuple[Dimension, Dimension]:
    """The overall dimensions: level and upright."""
    found = dimensions(sheet, 1.2, 0.5, 0.25, 3.5)
    assert len(found) == 2
    level = [one for one in found if abs(one.ends[0][1] - one.ends[1][1]) < 0.002]
    upright = [one for one in found if abs(one.ends[0][0] - one.ends[1][0]) < 0.002]
    assert (len(level), len(upright)) == (1, 1)
    return level[0], upright[0]


def on_paper(built: Built, sheet: Sheet) -> Callable[[Point], Point]:
    """From the building to paper: the overall dimensions' lines begin and end where the plates do."""
    level, upright = _overall(built, sheet)
    scale = scale_of(sheet)
    left = min(x for x, _ in level.ends)
    bottom = max(y for _, y in upright.ends)
    return lambda place: (left + place[0] / scale, bottom - place[1] / scale)


def test_overall_dimensions_are_those_of_the_plates(sheeted: Built) -> None:
    sheet = _plan(sheeted)
    scale = scale_of(sheet)
    for dimension, extent in zip(_overall(sheeted, sheet), _extent(sheeted), strict=True):
        assert abs(dimension.value - extent) <= WHOLE
        assert abs(math.dist(*dimension.ends) - extent / scale) < ON_PAPER


def test_plates_lie_where_the_overall_dimensions_say(sheeted: Built) -> None:
    sheet = _plan(sheeted)
    paper = on_paper(sheeted, sheet)
    closed = [stroke.points for stroke in sheet.strokes if stroke.closed and len(stroke.points) >= 4]
    for piece in pieces(sheeted.report).values():
        wanted = [paper(corner) for corner in piece.corners]
        # a plate's outline is drawn with its own corners
        assert any(
            all(min(math.dist(corner, point) for point in points) < ON_PAPER for corner in wanted) for points in closed
        ), piece.mark


# from shoulder to shoulder


@dataclasses.dataclass(frozen=True)
class Stretch:
    """Whole timber of a piece along an edge: its ends in the building, exact length, and length by the cut sheet."""

    piece: ExactPiece
    edge: int
    ends: tuple[Point, Point]
    exact: float
    taped: int


def _stretches(built: Built) -> list[Stretch]:
    @functools.cache
    def figures(kind: str, edge: int) -> list[tuple[float, int]]:
        return figures_by_place(built, kind, edge)

    def taped(piece: ExactPiece, edge: int, along: float) -> int:
        near = [value for place, value in figures(piece.type, edge) if abs(place - along) < 0.5]
        assert len(set(near)) == 1, (piece.mark, along)
        return near[0]

    found = []
    for piece in pieces(built.report).values():
        for edge in (0, 1):
            for begin, end in piece.whole(edge):
                ends = piece.in_plan(begin, edge), piece.in_plan(end, edge)
                length = taped(piece, edge, end) - taped(piece, edge, begin)
                found.append(Stretch(piece, edge, ends, end - begin, length))
    return found


def _fits(dimension: Dimension, stretch: Stretch, paper: Callable[[Point], Point]) -> bool:
    """Whether a dimension line lies beside a stretch, its ends square to the stretch's own, away from the piece."""
    a, b = (paper(end) for end in stretch.ends)
    other = paper(stretch.piece.in_plan(0.0, 1 - stretch.edge))
    base = paper(stretch.piece.in_plan(0.0, stretch.edge))
    across = stretch.piece.width / math.dist(base, other)
    away = (base[0] - other[0]) / math.dist(base, other), (base[1] - other[1]) / math.dist(base, other)
    assert across > 0.0
    for p, q in (dimension.ends, dimension.ends[::-1]):
        offs = []
        for drawn, wanted in ((p, a), (q, b)):
            dx, dy = drawn[0] - wanted[0], drawn[1] - wanted[1]
            offs.append(dx * away[0] + dy * away[1])
            if abs(dx * away[1] - dy * away[0]) > ON_PAPER:
                break
        else:
            return abs(offs[0] - offs[1]) < ON_PAPER and 1.0 < offs[0] < 15.0
    return False


def test_every_dimension_from_shoulder_to_shoulder_is_right(sheeted: Built) -> None:
    sheet = _plan(sheeted)
    paper, stretches = on_paper(sheeted, sheet), _stretches(sheeted)
    found = _clear(sheet)
    assert found
    for dimension in found:
        fitting = [stretch for stretch in stretches if _fits(dimension, stretch, paper)]
        assert fitting, dimension
        for stretch in fitting:
            # taken off the cut sheets' figures, so never more than two roundings from the exact length
            assert dimension.value == stretch.taped, (dimension, stretch)
            assert abs(dimension.value - stretch.exact) < 2.0


def _clear(sheet: Sheet) -> list[Dimension]:
    # every bold figure beside the plates belongs to one line, and every line has one
    lines = [stroke for stroke in sheet.strokes if stroke.width == 0.18 and len(stroke.points) == 2]
    assert lines
    found = []
    ticks = _ticks(sheet, 0.9, 0.25)
    for line in lines:
        if line.points[0][0] > sheet.width - KEY or line.dashed or line.hatching:
            continue
        if math.dist(*line.points) > 1e-6 and all(_has(ticks, point, line) for point in line.points):
            near = [
                words
                for words in sheet.words
                if words.bold and words.text.isdigit() and _aside(line, words.middle) < words.capitals / 2 + 1.0
            ]
            assert len(near) == 1, (line, near)
            found.append(Dimension((line.points[0], line.points[1]), near[0]))
    figures = [
        words
        for words in sheet.words
        if words.bold and words.text.isdigit() and words.capitals < 2.6 and words.at[0] < sheet.width - KEY
    ]
    figures = [words for words in figures if words.at[1] < sheet.height - 34.0]
    assert sorted(id(one.figure) for one in found) == sorted(id(words) for words in figures)
    return found


def test_every_stretch_is_dimensioned_or_listed(sheeted: Built) -> None:
    sheet = _plan(sheeted)
    paper, stretches = on_paper(sheeted, sheet), _stretches(sheeted)
    found = _clear(sheet)
    key = [words for words in sheet.words if words.at[0] > sheet.width - KEY]
    listed = collections.Counter(
        (name.text.partition(",")[0], int(figure.text))
        for name, figure in itertools.product(key, key)
        if figure.bold and figure.text.isdigit() and name.at[1] == figure.at[1] and ", " in name.text
    )
    full = any(re.match(r"and \d+ more", words.text) for words in key)
    for mark, group in itertools.groupby(stretches, key=lambda stretch: stretch.piece.mark):
        both = list(group)
        edges = [[stretch for stretch in both if stretch.edge == edge and stretch.taped >= 1] for edge in (0, 1)]
        # at a slant, a stretch may be gone on one edge: then it is not known which belong together
        if len(edges[0]) != len(edges[1]):
            continue
        for pair in zip(*edges, strict=True):
            drawn = any(_fits(one, stretch, paper) for one in found for stretch in pair)
            assert drawn or full or any(listed[mark, stretch.taped] for stretch in pair), (mark, pair)


# diagonals


def _diagonals(sheet: Sheet) -> list[Stroke]:
    return [stroke for stroke in sheet.strokes if stroke.dashes == DIAGONAL and stroke.width == 0.18]


def _corners(built: Built) -> list[tuple[Point, set[str]]]:
    """Places on the outside of the frame where edges of two plates meet, with the marks of all that meet there."""
    found: list[tuple[Point, set[str]]] = []
    known = pieces(built.report)
    union = unary_union([Polygon(piece.corners).buffer(1e-4) for piece in known.values()])
    outside = [part.exterior for part in _parts(union)]
    for joint in built.report["joints"]:
        one, other = (known[mark] for mark in joint["pieces"])
        for first, second in itertools.product((0, 1), repeat=2):
            place = _crossing(_edge(one, first), _edge(other, second))
            # a re-entrant corner is on both outer edges but no plate's own corner
            if place is None or min(ring.distance(Place(place)) for ring in outside) > SAME:
                continue
            near = next((marks for at, marks in found if math.dist(at, place) < SAME), None)
            if near is None:
                found.append((place, {one.mark, other.mark}))
            else:
                near |= {one.mark, other.mark}
    return found + _free_ends(built)


def _free_ends(built: Built) -> list[tuple[Point, set[str]]]:
    """The corners of plates at the two ends of a shell that does not close, each on its wall's outer side."""
    found: list[tuple[Point, set[str]]] = []
    for shell in built.plan["shell"]:
        if shell.get("closed", True):
            continue
        names = shell["walls"]
        for name, other in ((names[0], names[1]), (names[-1], names[-2])) if len(names) > 1 else ():
            ends = [piece for piece in pieces(built.report).values() if name in built.pieces[piece.mark]["walls"]]
            beside = [piece for piece in pieces(built.report).values() if other in built.pieces[piece.mark]["walls"]]
            # of the wall's corners the farthest from the next wall's middle: an outer one is farther than an inner
            middle = _mean([corner for piece in beside for corner in piece.corners])
            corners = [(corner, piece.mark) for piece in ends for corner in piece.corners]
            corners.sort(key=lambda item: -math.dist(item[0], middle))
            found.append((corners[0][0], {corners[0][1]}))
    return found


def _mean(places: Sequence[Point]) -> Point:
    return sum(x for x, _ in places) / len(places), sum(y for _, y in places) / len(places)


def _edge(piece: ExactPiece, edge: int) -> LineString:
    return LineString([piece.in_plan(piece.low[edge], edge), piece.in_plan(piece.high[edge], edge)])


def _parts(shape: Any) -> list[Any]:
    return list(getattr(shape, "geoms", [shape]))


def _crossing(one: LineString, other: LineString) -> Point | None:
    """Where two edges meet, both reaching there within a hundredth of a millimetre."""
    (ax, ay), (bx, by) = one.coords
    (cx, cy), (dx, dy) = other.coords
    sine = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if abs(sine) < 1e-6 * one.length * other.length:
        return None
    part = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / sine
    place = ax + part * (bx - ax), ay + part * (by - ay)
    return place if max(line.distance(Place(place)) for line in (one, other)) < SAME else None


def test_diagonals_lead_from_corner_to_corner_and_their_figures_are_right(sheeted: Built) -> None:
    sheet = _plan(sheeted)
    paper, corners = on_paper(sheeted, sheet), _corners(sheeted)
    lengths = []
    for line in _diagonals(sheet):
        ends = []
        for point in line.points:
            near = [(place, marks) for place, marks in corners if math.dist(paper(place), point) < ON_PAPER]
            assert len(near) == 1, (line, near)
            ends.append(near[0])
        lengths.append((math.dist(ends[0][0], ends[1][0]), ends[0][1] | ends[1][1], line))
    figures = [words for words in sheet.words if words.text.isdigit() and not words.bold and 2.4 < words.capitals < 2.6]
    for words in figures:
        # the line that runs through the figure's middle, and along it
        on = [item for item in lengths if _through(item[2], words)]
        assert any(abs(int(words.text) - length) <= WHOLE for length, _, _ in on), words
    listed = _listed(sheet)
    # the key gives each, with marks that meet at its ends
    left = list(lengths)
    for names, value in listed:
        fitting = [item for item in left if abs(item[0] - value) <= WHOLE and names <= item[1]]
        assert fitting, (names, value)
        left.remove(fitting[0])
    assert not left or any(re.match(r"and \d+ more", words.text) for words in sheet.words)
    closed = [shell for shell in sheeted.plan["shell"] if shell.get("closed", True)]
    # three legs that do not close are squared from their free ends
    legs = [shell for shell in sheeted.plan["shell"] if not shell.get("closed", True) and len(shell["walls"]) == 3]
    assert len(lengths) >= 2 * len(closed) + 2 * len(legs)


def _through(line: Stroke, words: Words) -> bool:
    (ax, ay), (bx, by) = line.points
    x, y = words.middle
    length = math.dist((ax, ay), (bx, by))
    off = abs((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / length
    turn = math.degrees(math.atan2(ay - by, bx - ax)) - words.turn
    return off < 0.3 and abs((turn + 90.0) % 180.0 - 90.0) < 0.5


def _listed(sheet: Sheet) -> list[tuple[set[str], int]]:
    found = []
    for words in sheet.words:
        match = re.fullmatch(r"(\w+)(?:/(\w+)| end) to (\w+)(?:/(\w+)| end)", words.text)
        if match:
            (value,) = [
                int(other.text)
                for other in sheet.words
                if other.bold and other.text.isdigit() and other.at[1] == words.at[1] and other.at[0] > words.at[0]
            ]
            found.append(({mark for mark in match.groups() if mark}, value))
    return found


# lengths of walls


def _wall_lengths(shell: dict[str, Any]) -> list[float]:
    """Lengths of a shell's walls along its outer faces, as the plan file has them."""
    if "walk" in shell:
        return [float(step) for step in shell["walk"][::2]]
    corners = shell["corners"]
    following = [*corners[1:], corners[0]] if shell.get("closed", True) else corners[1:]
    return [math.dist(one, other) for one, other in zip(corners, following, strict=False)]


def test_walls_are_named_with_their_lengths(sheeted: Built) -> None:
    sheet = _plan(sheeted)
    named = 0
    for shell in sheeted.plan["shell"]:
        for name, length in zip(shell["walls"], _wall_lengths(shell), strict=True):
            said = [match for words in sheet.words if (match := re.fullmatch(rf"{re.escape(name)}  (\d+)", words.text))]
            assert len(said) <= 1
            if said:
                assert abs(int(said[0][1]) - length) <= WHOLE, name
                named += 1
    assert named >= len(sheeted.plan["shell"])
    # no other text ends in a length
    names = {name for shell in sheeted.plan["shell"] for name in shell["walls"]}
    for words in sheet.words:
        match = re.fullmatch(r"(.+)  \d+", words.text)
        assert match is None or match[1] in names, words.text


# the checks can fail


def test_a_figure_or_a_line_off_its_place_is_found(builder_of_one: Built) -> None:
    sheet = _plan(builder_of_one)
    paper, stretches = on_paper(builder_of_one, sheet), _stretches(builder_of_one)
    for dimension in _clear(sheet):
        (ax, ay), other = dimension.ends
        moved = dataclasses.replace(dimension, ends=((ax + 0.08, ay + 0.08), other))
        assert any(_fits(dimension, stretch, paper) for stretch in stretches)
        assert not any(_fits(moved, stretch, paper) for stretch in stretches)


def test_a_figure_without_a_line_is_found(builder_of_one: Built) -> None:
    sheet = _plan(builder_of_one)
    lone = dataclasses.replace(_clear(sheet)[0].figure, at=(60.0, 60.0), text="1234")
    with pytest.raises(AssertionError):
        _clear(dataclasses.replace(sheet, words=(*sheet.words, lone)))
