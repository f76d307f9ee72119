"""Every dimension of the cut sheets read back from the drawing's own marks, against the pieces in report.json.

Scales as in ISO 5455; figures and extension lines as in ISO 129-1; rounding for the tape is common practice:
a cut's length goes up to the next whole millimetre, so that the mate always goes in, and is set off from its
shoulder, or from the piece's end where it runs out at the far end.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
import re
from collections.abc import Iterator

import pytest
from built import Built
from cut_views import CHAIN, HIDDEN, WIDE, Figure, RowRead, TableRead, ZoneRead, rows, scale_of, table_below, undersides
from exact_pieces import ExactCut, ExactPiece, Pair, pieces, types
from svg_sheets import Sheet, read

ON_PAPER = 0.05
"""What a drawn line may be off, mm on paper."""
WHOLE = 0.5 + 1e-5
"""What a whole millimetre may be off (mm); report.json has ten millionths."""
AT_A_LAP = 12.0
"""No further from a lap's shoulder or end are its half depths dimensioned, mm on paper."""
NO_SAW_CAN_TELL = 0.02
"""A lap may be so much shorter than its exact length, and is never a whole millimetre longer (mm)."""


def pages(built: Built, kind: str) -> list[Sheet]:
    """The pages of a type's cut sheet, in order."""
    folder = built.folder / "sheets"
    names = [folder / f"{kind}.svg"]
    names += sorted(folder.glob(f"{kind}-*.svg"), key=lambda path: int(path.stem.split("-")[1]))
    return [read(path) for path in names]


def _cut_sheets(built: Built) -> Iterator[tuple[ExactPiece, list[Sheet]]]:
    for kind, piece in types(built.report).items():
        yield piece, pages(built, kind)


def _rows(piece: ExactPiece, sheets: list[Sheet]) -> list[RowRead]:
    return [row for sheet in sheets for row in rows(sheet, piece.width, piece.depth, piece.oblique)]


def _ordered(lines: list[tuple[Pair, str]]) -> list[tuple[Pair, str]]:
    return sorted(lines, key=lambda item: (sum(item[0]), item[1] == WIDE))


def expected_lines(piece: ExactPiece, upper: bool) -> list[tuple[Pair, str]]:
    """The lines across a view of the top (``upper``) or of the underside, in order, with their dashes."""
    lines = [(piece.low, WIDE), (piece.high, WIDE)]
    if upper and abs(piece.low[0] - piece.low[1]) > 0.05:
        # the board's end, squared
        lines.append(((0.0, 0.0), HIDDEN))
    for cut in piece.cuts:
        dashes = WIDE if cut.upper == upper else HIDDEN
        lines += [(line, dashes) for line in (cut.low, cut.high) if line not in (piece.low, piece.high)]
    return _ordered(lines)


def located(zones: list[ZoneRead], lines: list[tuple[Pair, str]], scale: float) -> list[tuple[ZoneRead, float]]:
    """Each zone with where the piece's zero would lie on paper, every line in it true to that."""
    drawn = [line for zone in zones for line in zone.lines]
    assert [line.dashes for line in drawn] == [dashes for _, dashes in lines]
    left = iter(lines)
    found = []
    for zone in zones:
        zeros = []
        for line in zone.lines:
            (near, far), _ = next(left)
            zeros += [line.near - near / scale, line.far - far / scale]
        assert zeros, "a zone without any line across it"
        assert max(zeros) - min(zeros) < ON_PAPER, zeros
        found.append((zone, zeros[0]))
    return found


def _placed(row_zones: list[tuple[ZoneRead, float]], figure: Figure, scale: float) -> float:
    """Where along the piece a figure's extension line stands (mm)."""
    (place,) = [(figure.at - zero) * scale for zone, zero in row_zones if zone.holds(figure.at)]
    return place


def expected_places(piece: ExactPiece, edge: int) -> list[tuple[float, str]]:
    """What is dimensioned along an edge: where it is exactly, and how its figure is rounded."""
    found = [(piece.low[edge], "end"), (piece.high[edge], "end")]
    for cut in piece.cuts:
        out = cut.high == piece.high
        if cut.low != piece.low:
            found.append((cut.low[edge], "earlier" if out else "fixed"))
        if not out:
            found.append((cut.high[edge], "later"))
    return sorted(found)


def _value_is_right(value: int, exact: float, kind: str) -> bool:
    # one end of a cut is rounded, the other takes up what its length is rounded up by, away from the first
    less, more = WHOLE, WHOLE
    if kind == "later":
        less, more = less + NO_SAW_CAN_TELL, more + 1.0 - NO_SAW_CAN_TELL
    elif kind == "earlier":
        less, more = less + 1.0 - NO_SAW_CAN_TELL, more + NO_SAW_CAN_TELL
    return -less <= value - exact <= more


def _figures_of(built: Built, piece: ExactPiece, sheets: list[Sheet], edge: int) -> list[tuple[float, int]]:
    """All figures of an edge: where each stands along the piece (mm), and what it says."""
    scale = scale_of(sheets[0])
    read_rows = _rows(piece, sheets)
    zones = [zone for row in read_rows for zone in row.zones]
    places = located(zones, expected_lines(piece, upper=True), scale)
    found = []
    for row in read_rows:
        mine = [(zone, zero) for zone, zero in places if any(zone is other for other in row.zones)]
        for figure in row.above if edge == 1 or not piece.oblique else row.below:
            found.append((_placed(mine, figure, scale), figure.value))
    return sorted(found)


def figures_by_place(built: Built, kind: str, edge: int) -> list[tuple[float, int]]:
    """The figures of a type's edge as read from its cut sheet."""
    piece = types(built.report)[kind]
    return _figures_of(built, piece, pages(built, kind), edge)


def test_all_pieces_of_a_type_have_its_lines(built: Built) -> None:
    found = pieces(built.report)
    for kind in built.report["types"]:
        first, *others = (found[mark] for mark in kind["marks"])
        for other in others:
            assert len(other.cuts) == len(first.cuts)
            for one, cut in zip(first.cuts, other.cuts, strict=True):
                assert cut.upper == one.upper
                assert [*cut.low, *cut.high] == pytest.approx([*one.low, *one.high], abs=1e-5)


def test_lines_across_the_top_lie_true_in_every_unbroken_stretch(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        scale = scale_of(sheets[0])
        assert all(scale_of(sheet) == scale for sheet in sheets)
        zones = [zone for row in _rows(piece, sheets) for zone in row.zones]
        located(zones, expected_lines(piece, upper=True), scale)


def test_lines_across_the_underside_lie_true_and_are_there_where_needed(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        zones = [zone for sheet in sheets for row in undersides(sheet, piece.width) for zone in row]
        needed = any(
            not cut.upper and max(abs(line[0] - line[1]) for line in (cut.low, cut.high)) > 0.05 for cut in piece.cuts
        )
        assert bool(zones) == needed
        if zones:
            located(zones, expected_lines(piece, upper=False), scale_of(sheets[0]))


def test_every_shoulder_and_end_has_its_figure_at_its_place(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        scale = scale_of(sheets[0])
        for edge in (0, 1) if piece.oblique else (1,):
            found = _figures_of(sheeted, piece, sheets, edge)
            _agree(piece, found, expected_places(piece, edge), scale)
            assert len(found) >= 2


def _agree(piece: ExactPiece, found: list[tuple[float, int]], wanted: list[tuple[float, str]], scale: float) -> None:
    """One figure a place and no other; where two places come to the same whole millimetre, one for both."""
    left = list(found)
    for exact, kind in wanted:
        near = [item for item in found if abs(item[0] - exact) <= ON_PAPER * scale]
        right = [item for item in near if _value_is_right(item[1], exact, kind)]
        assert right, (piece.type, exact, kind, found)
        for item in near:
            if item in left:
                left.remove(item)
    assert not left, f"{piece.type}: figures that belong to nothing: {left}"
    assert len(found) <= len(wanted)
    assert len(found) >= len({math.floor(exact + 0.5) for exact, _ in wanted})


def test_no_lap_is_taped_shorter_than_it_is_nor_a_whole_millimetre_longer(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        scale = scale_of(sheets[0])
        for edge in (0, 1) if piece.oblique else (1,):
            found = _figures_of(sheeted, piece, sheets, edge)
            for cut in piece.cuts:
                ends = [_figure_at(found, line[edge], scale) for line in (cut.low, cut.high)]
                exact = cut.high[edge] - cut.low[edge]
                assert exact - NO_SAW_CAN_TELL - 1e-6 <= ends[1] - ends[0] < exact + 1.0, (piece.type, ends, exact)


def _figure_at(found: list[tuple[float, int]], exact: float, scale: float) -> int:
    near = {value for place, value in found if abs(place - exact) <= ON_PAPER * scale}
    assert len(near) == 1, (exact, found)
    return near.pop()


def test_an_oblique_datum_end_is_taped_from_a_line_100_in(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        scale = scale_of(sheets[0])
        read_rows = _rows(piece, sheets)
        zones = [zone for row in read_rows for zone in row.zones]
        places = located(zones, expected_lines(piece, upper=True), scale)
        chains = [(chain, row) for row in read_rows for chain in row.chains]
        assert len(chains) == (1 if piece.taped_from_a_line else 0), CHAIN
        label = "tape 100: hold it here"
        labels = [words for sheet in sheets for words in sheet.words if words.text.startswith(label)]
        assert len(labels) == len(chains)
        # nor like a cut's figure
        assert not any(words.bold or words.turn for words in labels)
        for chain, row in chains:
            zero = next(zero for zone, zero in places if zone is row.zones[0])
            assert abs(chain - zero - 100.0 / scale) < ON_PAPER
            assert 0.0 < labels[0].at[0] - chain < 1.5
        # every further page repeats it
        said = [any("tape's 100 on the chain line" in words.text for words in sheet.words) for sheet in sheets[1:]]
        assert all(one == piece.taped_from_a_line for one in said)


def test_half_and_whole_depth_are_dimensioned_in_every_row(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        scale = scale_of(sheets[0])
        half = f"{piece.depth / 2:g}"
        read_rows = _rows(piece, sheets)
        places = located([zone for row in read_rows for zone in row.zones], expected_lines(piece, upper=True), scale)
        for row in read_rows:
            mine = [(zone, zero) for zone, zero in places if any(zone is other for other in row.zones)]
            # where on paper the laps of this row begin and end along the near edge
            laps = []
            for cut in piece.cuts:
                for zone, zero in mine:
                    ends = [zero + line[0] / scale for line in (cut.low, cut.high)]
                    laps += ends if all(zone.holds(x) for x in ends) else []
            # halves at a lap, and none where the whole timber is left
            assert sorted(depth.text for depth in row.depths) == sorted(
                [half, half] * bool(laps) + [f"{piece.depth:g}"]
            )
            for depth in row.depths:
                assert abs(depth.length - float(depth.text) / scale) < ON_PAPER
                if depth.text == half:
                    assert min(abs(depth.at - x) for x in laps) < AT_A_LAP, (piece.type, depth, laps)


def test_the_overall_length_is_that_of_the_piece(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        for sheet in sheets:
            (said,) = [m for words in sheet.words if (m := re.search(r"overall length (\d+)$", words.text))]
            assert abs(int(said[1]) - piece.length) <= WHOLE


# the table of cuts


def _table(sheets: list[Sheet]) -> list[dict[str, str]]:
    """The rows of the table of cuts, on however many pages it stands."""
    found = []
    for sheet in sheets:
        table: TableRead | None = table_below(sheet, "Cuts in sawing order")
        if table is not None:
            found += [dict(zip(table.heads, row, strict=True)) for row in table.rows]
    return found


def _plain(text: str) -> str:
    return text.replace("\u00a0", " ")


def _gauge(piece: ExactPiece, cut: ExactCut, length: int) -> str:
    """The name of a cut's gauge: its length, and how far its shoulder is off square."""
    lean = abs(cut.high[1] - cut.high[0])
    return f"{length}" if lean <= 0.05 else f"{length} / {math.degrees(math.atan2(lean, piece.width)):.1f}°"


def _slant(line: Pair, width: float, upper: bool) -> str:
    """The lean as seen on the face that is sawn: rolled over about a long edge, a line leans the other way."""
    if abs(line[1] - line[0]) <= 0.05:
        return "square"
    turned = -1.0 if not upper else 1.0
    sign = "/" if turned * (line[1] - line[0]) > 0.0 else chr(92)
    angle = math.degrees(math.atan2(abs(line[1] - line[0]), width))
    return f"{angle:.1f}° {sign} on {'top' if upper else 'underside'}"


def _gauged(built: Built, piece: ExactPiece, number: int) -> str:
    """From UP, as every piece of the type keeps its half: under, so much goes; over, so much is left."""
    halves = {one["laps"][number]["half"] for one in built.report["pieces"] if one["type"] == piece.type}
    depth = f"{piece.depth / 2:g}"
    if len(halves) == 2:
        return f"UNDER {depth} from UP; OVER leave {depth} under UP"
    return f"{depth} from UP" if halves == {"under"} else f"leave {depth} under UP"


def test_the_table_of_cuts_says_what_the_polygons_say(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        table = _table(sheets)
        cuts = [row for row in table if row["cut"] != "last"]
        # those in the top first, then those in the underside
        order = sorted(range(len(piece.cuts)), key=lambda number: not piece.cuts[number].upper)
        assert [row["cut"] for row in cuts] == [str(number + 1) for number in order]
        for number, row in zip(order, cuts, strict=True):
            cut = piece.cuts[number]
            assert row["SAW AWAY"] == ("TOP half" if cut.upper else "UNDERSIDE half")
            exact = cut.high[0] - cut.low[0]
            length = int(row["lap length along edge" if piece.oblique else "lap length"])
            assert exact - NO_SAW_CAN_TELL - 1e-6 <= length < exact + 1.0
            _ends_agree(piece, cut, row, length, sheeted, sheets)
            runs_out = (
                row["shoulder from"][:3] == "end" or row["shoulder to"][:3] == "end" if "shoulder from" in row else None
            )
            if runs_out:
                assert float(row["rip along half depth, in from each edge"]) == piece.width / 2
            else:
                # a housing between two shoulders cannot be ripped from an edge, nor a slanting lap
                assert row["rip along half depth, in from each edge"] in ("kerf, pare", f"{piece.width / 2:g}")
                assert runs_out is None or row["rip along half depth, in from each edge"] == "kerf, pare"
            assert _plain(row["gauge"]) == _gauge(piece, cut, length), piece.type
            assert _plain(row["saw depth"]) == _gauged(sheeted, piece, number)


def _ends_agree(
    piece: ExactPiece, cut: ExactCut, row: dict[str, str], length: int, built: Built, sheets: list[Sheet]
) -> None:
    """Froms and tos are the figures of the drawing, and their difference the length."""
    scale = scale_of(sheets[0])
    if piece.oblique:
        for edge, words in ((0, "near edge"), (1, "far edge")):
            begin, end = int(row[f"{words} from"]), int(row[f"{words} to"])
            found = _figures_of(built, piece, sheets, edge)
            assert begin == _figure_at(found, cut.low[edge], scale)
            assert end == _figure_at(found, cut.high[edge], scale)
            assert end - begin == length
        line = cut.high if cut.low == piece.low else cut.low
        assert _plain(row["lean, on the face you saw"]) == _slant(line, piece.width, cut.upper)
        return
    found = _figures_of(built, piece, sheets, 1)
    for head, line, at_end in (
        ("shoulder from", cut.low, cut.low == piece.low),
        ("shoulder to", cut.high, cut.high == piece.high),
    ):
        assert row[head] == ("end " if at_end else "") + str(_figure_at(found, line[0], scale))


def test_bevels_of_oblique_ends_stand_last_in_the_table(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        table = _table(sheets)
        bevels = [row for row in table if row["cut"] == "last"]
        assert table[len(table) - len(bevels) :] == bevels
        wanted = [
            (words, line)
            for words, line in (("bevel datum end", piece.low), ("bevel other end", piece.high))
            if abs(line[0] - line[1]) > 0.05
        ]
        assert [row["SAW AWAY"] for row in bevels] == [words for words, _ in wanted]
        for row, (_, line) in zip(bevels, wanted, strict=True):
            assert abs(int(row["near edge from"]) - line[0]) <= WHOLE
            assert abs(int(row["far edge from"]) - line[1]) <= WHOLE
            assert _plain(row["lean, on the face you saw"]) == _slant(line, piece.width, upper=True)


def test_a_type_without_cuts_says_so(sheeted: Built) -> None:
    for piece, sheets in _cut_sheets(sheeted):
        said = [m for words in sheets[0].words if (m := re.search(r"No cuts; crosscut to (\d+) mm", words.text))]
        assert bool(said) == (not piece.cuts)
        assert all(abs(int(match[1]) - piece.length) <= WHOLE for match in said)


# the checks can fail


def test_a_wrong_a_moved_a_missing_and_an_invented_figure_are_found(builder_of_one: Built) -> None:
    for piece, sheets in _cut_sheets(builder_of_one):
        scale = scale_of(sheets[0])
        for edge in (0, 1) if piece.oblique else (1,):
            found = _figures_of(builder_of_one, piece, sheets, edge)
            wanted = expected_places(piece, edge)
            _agree(piece, found, wanted, scale)
            spoiled = [found[1:], [*found, (piece.length / 2 + 3.0, round(piece.length / 2 + 3.0))]]
            for number, (place, value) in enumerate(found):
                for other in ((place, value + 3), (place, value - 3), (place + 1.5 * ON_PAPER * scale, value)):
                    spoiled.append([*found[:number], other, *found[number + 1 :]])
            for item in spoiled:
                with pytest.raises(AssertionError):
                    _agree(piece, sorted(item), wanted, scale)


def test_a_line_drawn_off_its_place_is_found(builder_of_one: Built) -> None:
    for piece, sheets in itertools.islice(_cut_sheets(builder_of_one), 3):
        scale = scale_of(sheets[0])
        zones = [zone for row in _rows(piece, sheets) for zone in row.zones]
        lines = expected_lines(piece, upper=True)
        zone = next(zone for zone in zones if len(zone.lines) > 1)
        zone.lines[-1] = dataclasses.replace(zone.lines[-1], far=zone.lines[-1].far + 2 * ON_PAPER)
        with pytest.raises(AssertionError):
            located(zones, lines, scale)
