"""The figures to set plates out by, and the sheets that show them."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from layout import faults
from plans import Spec, specs
from test_fitting import HOUSE, built, faces

from platemodel.frame import Frame, decide
from platemodel.frame.tape import whole
from platemodel.plan import parse_plan, read_plan
from platemodel.sheets.page import Text
from platemodel.sheets.setting_out_drawing import MINUS, mm
from platemodel.sheets.setting_out_sheet import setting_out_sheets
from platemodel.site.faces import Line
from platemodel.site.fitting import place
from platemodel.site.rule_set import default_set
from platemodel.site.setting_out import setting_out
from platemodel.site.setting_out_values import Limits, SettingOut, setting_out_values
from platemodel.site.triangles import triangle

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))

ONE = """
[job]
title = "One plate"
[plate]
width = 100
depth = 50
[[shell]]
leaf = 100
closed = false
corners = [[0, 0], [3000, 0]]
"""


def rows(result: SettingOut, letter: str) -> list[tuple[int, int, int, int, str]]:
    """A plate's marks as they stand in the table: along, taped, setback, to the inner face, what."""
    plate = next(item for item in result.plates if item.letter == letter)
    return [(whole(m.along), whole(m.taped), whole(m.setback), whole(m.inner), ", ".join(m.what)) for m in plate.marks]


def terrace(bays: int) -> Frame:
    """A terrace of party walls 3600 apart on a spine."""
    long = 3600 * bays
    text = f"""
[job]
title = "Terrace"
[plate]
width = 100
depth = 50
[[shell]]
name = "terrace"
leaf = 100
corners = [[0, 0], [{long}, 0], [{long}, 11000], [0, 11000]]
walls = ["front", "east", "back", "west"]
[[cross]]
name = "spine"
leaf = 100
from = [0, 5200]
to = [{long}, 5200]
"""
    for number in range(1, bays):
        text += f"""
[[cross]]
name = "party {number}"
leaf = 100
from = [{3600 * number}, 0]
to = [{3600 * number}, 11000]
"""
    return decide(parse_plan(text))


def test_marks_of_a_plate_worked_out_by_hand() -> None:
    """A leaf of 140, a plate of 97 set 3 in: 40 left to the inner face; the plate ends 3 from each corner."""
    spec = Spec(
        corners=((0, 0), (4000, 0), (4000, 3000), (0, 3000)), names=("front", "right", "back", "left"), width=97.0,
        leaf=140.0, setback=3.0,
    )  # fmt: skip
    result = setting_out(spec.frame())
    found = {plate.letter: plate for plate in result.plates}
    assert {plate.length for plate in found.values()} == {3994.0, 2994.0}
    for letter, plate in found.items():
        figures = rows(result, letter)
        assert {(setback, inner) for _, _, setback, inner, _ in figures} == {(3, 40)}
        length = whole(plate.length)
        assert [row[0] for row in figures] == [0, *range(1000, length, 1000), length]
        # taped from the corner, the plate begins 3 in
        assert [row[1] for row in figures] == [row[0] + 3 for row in figures]
        assert figures[0][4].startswith("end, lap ")
    numbers = [mark.number for plate in result.plates for mark in plate.marks]
    assert numbers == list(range(1, len(numbers) + 1))


def test_setbacks_on_a_shell_out_of_square() -> None:
    """The right end 20 too wide: 10 in on front and back there, 0 at the left end, a fair line between."""
    frame = HOUSE.frame()
    result = setting_out(frame, place(frame, faces(frame.plan, {(9000.0, 6000.0): (0.0, 20.0)})))
    for plate in result.plates:
        wall = frame.plan.walls[plate.walls[0]].name
        if wall not in ("front", "back"):
            continue
        ends = [plate.marks[0], plate.marks[-1]]
        right, left = sorted(ends, key=lambda mark: -mark.place[0])
        assert (whole(right.setback), whole(left.setback)) == (10, 0)
        for mark in plate.marks:
            share = abs(mark.place[0] - left.place[0]) / 9000.0
            # on a straight face a straight edge
            assert mark.setback == pytest.approx(left.setback + share * (right.setback - left.setback), abs=1e-2)
            # the leaf is as wide as the plate
            assert mark.inner == pytest.approx(-mark.setback, abs=1e-2)


CROSSED = """
[job]
title = "Crossed"
[plate]
width = 100
depth = 50
[[shell]]
leaf = 140
corners = [[0, 0], [9000, 0], [9000, 6000], [0, 6000]]
walls = ["front", "right", "back", "left"]
[[cross]]
name = "spine"
leaf = 120
from = { wall = "front", at = 5000 }
to = [5000, 5900]
[[cross]]
name = "hall"
leaf = 100
from = { wall = "spine", at = 3000 }
to = [100, 3000]
[laying]
start = "left"
"""


def test_marks_are_taped_from_the_first_corner_of_their_wall_in_increasing_order() -> None:
    """Whichever wall the work begins with, and however far out the shell is."""
    for start in ("front", "back", "left"):
        frame = decide(parse_plan(CROSSED.replace('start = "left"', f'start = "{start}"')))
        result = setting_out(frame, place(frame, faces(frame.plan, {(9000.0, 6000.0): (0.0, 20.0)})))
        assert frame.plan.walls[result.plates[0].walls[0]].name == start
        for plate in result.plates:
            taped = [mark.taped for mark in plate.marks]
            assert taped == sorted(taped)
            for mark in plate.marks:
                wall = frame.plan.walls[mark.wall]
                ux, uy = wall.direction
                x, y = mark.place[0] - wall.start[0], mark.place[1] - wall.start[1]
                # as far along as designed, but for the some mm by which the shell is out
                assert mark.taped == pytest.approx(x * ux + y * uy, abs=25.0)
        starts = {frame.plan.walls[it.wall].name: it.corner for plate in result.plates for it in plate.starts}
        # a corner is named by the wall that ends there, then the one that begins
        assert {starts[wall.name] for wall in frame.plan.walls if wall.shell is not None} == {
            "corner left/front", "corner front/right", "corner right/back", "corner back/left"
        }  # fmt: skip


def test_a_cross_walls_tape_is_held_where_it_begins_and_shows_what_it_shows_on_the_shell_as_built() -> None:
    frame = decide(parse_plan(CROSSED))
    plain = setting_out(frame)
    starts = {frame.plan.walls[it.wall].name: it.corner for plate in plain.plates for it in plate.starts}
    assert starts["spine"] == "its S end, the outer face of 'front'"
    # the hall's line begins in the middle of the spine's 120
    assert starts["hall"] == "its E end, 60 behind the face of 'spine': hold the tape's 60 there"
    # the front stands 12 mm farther out than by design; the frame is held to the back
    corners = {(0.0, 0.0): (0.0, -12.0), (9000.0, 0.0): (0.0, -12.0)}
    held = decide(parse_plan(CROSSED + '[site.placing]\nhold = ["back"]\n'))
    built_so = setting_out(held, place(held, faces(held.plan, corners)))

    def marks(result: SettingOut, wall: str) -> list[int]:
        found = [mark for plate in result.plates for mark in plate.marks if frame.plan.walls[mark.wall].name == wall]
        return [whole(mark.taped) for mark in found]

    assert marks(built_so, "spine") == [at + 12 for at in marks(plain, "spine")]
    assert marks(built_so, "hall") == marks(plain, "hall")


def test_the_order_begins_with_the_datum_wall() -> None:
    frame = decide(parse_plan(HOUSE.text().replace("[laying]", '[laying]\nstart = "right"')))
    result = setting_out(frame)
    names = [frame.plan.walls[plate.walls[0]].name for plate in result.plates]
    assert names[0] == "right"
    assert set(names[1:3]) == {"front", "back"}
    assert names[3] == "left"
    words = [step.words.split(":")[0] for step in result.steps]
    assert words[:3] == ["Datum", "Square", "Parallel"]
    longest = setting_out(HOUSE.frame())
    assert frame.plan.walls[longest.plates[0].walls[0]].name in ("front", "back")


def test_diagonals_of_bays_and_shells_by_hand() -> None:
    frame = terrace(2)
    result = setting_out(frame)
    shell, *bays = result.loops
    assert [whole(check.figure) for check in shell.diagonals] == [whole(math.hypot(7200, 11000))] * 2
    # clear openings, less a plate and a half: of 3600, and of 5200 and 5800
    clear = {(3450, 5650), (3450, 5050)}
    sizes = {tuple(sorted(whole(check.figure) for check in bay.sides[:2])) for bay in bays}
    assert sizes == clear
    assert len(bays) == 4
    for bay in bays:
        assert bay.right
        one, other = sorted(whole(check.figure) for check in bay.sides[:2])
        assert [whole(check.figure) for check in bay.diagonals] == [whole(math.hypot(one, other))] * 2


def test_spans_between_plates_that_carry() -> None:
    text = HOUSE.text().replace("bearing = []\n", "") + "".join(
        f'\n[[bearing]]\nname = "truss"\nwall = "{wall}"\nevery = 600\nfrom = 600\nto = 8400\nwidth = 35\n'
        for wall in ("front", "back")
    )
    frame = decide(parse_plan(text))
    (span,) = setting_out(frame).spans
    assert {frame.plan.walls[frame.runs[run].walls[0]].name for run in (span.one, span.other)} == {"front", "back"}
    assert span.clear == pytest.approx((5800.0, 5800.0))
    assert span.overall == pytest.approx((6000.0, 6000.0))
    assert span.carries == "truss"


def test_a_second_shell_is_set_out_from_the_first() -> None:
    frame = decide(read_plan(next(path for path in EXAMPLES if path.stem == "two-shells")))
    result = setting_out(frame)
    (apart,) = result.aparts
    # workshop: plates to x = 7190; the extension begins at x = 10000
    assert apart.gap == pytest.approx(2810.0)
    # the workshop's north plate, 10 in: from (10, 4790); extension's south corners at (10000, 2400), (14800, 2400)
    assert [(whole(along), whole(out)) for _, along, out in apart.offsets] == [(9990, -2390), (14790, -2390)]
    assert sorted(whole(tie.figure) for tie in apart.ties) == sorted(
        whole(math.dist(one, other)) for one in ((10, 4790), (7190, 4790)) for other in ((10000, 2400), (14800, 2400))
    )
    open_shell = next(loop for loop in result.loops if not loop.closed)
    assert [whole(check.figure) for check in open_shell.diagonals] == [6000, 6000, 4800]


def test_triangles() -> None:
    """3-4-5, its multiples and that the larger is the better: boulderlibrary.net, framing, checking reference."""
    found = triangle("c", ("A", "B"), (0.0, 0.0), (1200.0, 0.0), (0.0, 1700.0))
    assert found is not None
    assert (found.legs, found.closing, found.right) == ((1200.0, 1600.0), 2000.0, True)
    small = triangle("c", ("A", "B"), (0.0, 0.0), (95.0, 0.0), (0.0, 125.0))
    assert small is not None
    assert (small.legs, small.closing) == ((90.0, 120.0), 150.0)
    # equilateral: the closing side is as long as the legs
    turn = math.radians(60.0)
    oblique = triangle("c", ("A", "B"), (0.0, 0.0), (4000.0, 0.0), (5000.0 * math.cos(turn), 5000.0 * math.sin(turn)))
    assert oblique is not None
    assert (oblique.legs, oblique.right) == ((3000.0, 3000.0), False)
    assert oblique.closing == pytest.approx(3000.0)
    assert triangle("c", ("A", "B"), (0.0, 0.0), (20.0, 0.0), (0.0, 20.0)) is None


@settings(max_examples=40, deadline=None)
@given(st.floats(400, 60000), st.floats(400, 60000), st.floats(0, 360))
def test_a_right_angled_triangle_is_the_largest_that_fits(one: float, other: float, degrees: float) -> None:
    turn = math.radians(degrees)
    ux, uy = math.cos(turn), math.sin(turn)
    found = triangle("c", ("A", "B"), (0.0, 0.0), (one * ux, one * uy), (-other * uy, other * ux))
    assert found is not None
    assert found.right
    a, b = found.legs
    assert a <= one + 1e-5
    assert b <= other + 1e-5
    assert a * a + b * b == pytest.approx(found.closing**2)
    assert math.dist(*found.to) == pytest.approx(found.closing)
    # one size up fits neither way about, or is longer than a tape
    more = found.closing / 5.0 + 100.0
    fits = any(p * more <= one and q * more <= other for p, q in ((3, 4), (4, 3)))
    assert not fits or 5.0 * more > 30_000.0


@settings(max_examples=15, deadline=None)
@given(built())
def test_every_plate_has_marks_that_agree_with_the_placing(case: tuple[Frame, dict[int, Line]]) -> None:
    frame, lines = case
    placed = place(frame, lines)
    result = setting_out(frame, placed)
    assert sorted(plate.run for plate in result.plates) == list(range(len(frame.runs)))
    for plate in result.plates:
        along = [mark.along for mark in plate.marks]
        assert along == sorted(along)
        assert along[0] == pytest.approx(0.0, abs=1e-6)
        assert along[-1] == pytest.approx(plate.length, abs=1e-6)
        words = [word for mark in plate.marks for word in mark.what]
        # every lap of the plate is marked once, a splice too
        laps = sum(any(side.run == plate.run for side in joint.lap.sides) for joint in frame.joints)
        assert sum(word.startswith(("lap ", "splice ")) for word in words) == laps
        for mark in plate.marks:
            wall = frame.plan.walls[mark.wall]
            if wall.shell is None:
                continue
            # setback + plate + rest = leaf, but for the turn of the plate against the face
            width = frame.runs[plate.run].strip.width
            assert mark.setback + width + mark.inner == pytest.approx(wall.leaf[1] - wall.leaf[0], abs=0.5)
    for loop in result.loops:
        for check in (*loop.sides, *loop.diagonals):
            assert check.figure > 0.0
    json.dumps(setting_out_values(result), allow_nan=False)


def test_report_values_are_those_of_the_sheet() -> None:
    frame = HOUSE.frame()
    rules = default_set()
    figures = [replace(rules[key], value=value) for key, value in (("set_diagonal", 4.0), ("set_span", 7.0))]
    limits = Limits(figures[0], figures[1], rules["shell_straight"])
    result = setting_out(frame, place(frame, faces(frame.plan, {(9000.0, 6000.0): (0.0, 20.0)})), limits)
    found = setting_out_values(result)
    assert found["limits"] == {"diagonal": 4.0, "span": 7.0, "source": "common practice"}
    texts = [mark.text for page in setting_out_sheets(frame, result) for mark in page.marks if isinstance(mark, Text)]
    for plate in found["plates"]:
        for mark in plate["marks"]:
            for figure in (mark["mark"], mark["taped"], mark["setback"], mark["inner"]):
                assert mm(figure) in texts
    for loop in found["loops"]:
        for check in loop["diagonals"]:
            assert mm(check["length"]) in texts
    assert any("within 4 mm" in text for text in texts)
    assert found["order"] == [step.words for step in result.steps]


def judged(frame: Frame, result: SettingOut) -> list[str]:
    pages = setting_out_sheets(frame, result)
    assert len({page.title for page in pages}) == len(pages)
    small = [
        m.text for p in pages for m in p.marks if isinstance(m, Text) and m.height < 2.5 and m.at[1] < p.height - 34
    ]
    assert small == []
    return [fault for page in pages for fault in faults(page)]


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_sheets_of_the_examples_are_legible(path: Path) -> None:
    frame = decide(read_plan(path))
    assert judged(frame, setting_out(frame)) == []
    out = {point: (point[1] * 0.002, point[0] * 0.002) for wall in frame.plan.walls for point in (wall.start, wall.end)}
    assert judged(frame, setting_out(frame, place(frame, faces(frame.plan, out)))) == []


@pytest.mark.parametrize("bays", [0, 25], ids=["one plate", "terrace"])
def test_sheets_of_small_and_large_frames_are_legible(bays: int) -> None:
    frame = terrace(bays) if bays else decide(parse_plan(ONE))
    assert judged(frame, setting_out(frame)) == []


@settings(max_examples=6, deadline=None)
@given(specs())
def test_sheets_of_random_plans_are_legible(spec: Spec) -> None:
    frame = spec.frame()
    assert judged(frame, setting_out(frame)) == []


@settings(max_examples=6, deadline=None)
@given(built(25.0))
def test_sheets_of_random_shells_are_legible(case: tuple[Frame, dict[int, Line]]) -> None:
    frame, lines = case
    assert judged(frame, setting_out(frame, place(frame, lines))) == []


def test_figures_below_0_are_shown_with_a_dash_that_the_font_has() -> None:
    from platemodel.sheets.lettering import letters

    assert MINUS in letters()
    assert mm(-3.4) == f"{MINUS}3"
    assert mm(-0.4) == "0"
