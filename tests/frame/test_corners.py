"""Corners, tees, crosses and splices worked out by hand."""

from __future__ import annotations

import dataclasses
import math

import pytest
from plans import Spec

from platemodel.faults import PlanError
from platemodel.frame import Frame, decide
from platemodel.plan import parse_plan

BOX = Spec(corners=((0, 0), (4000, 0), (4000, 3000), (0, 3000)), names=("front", "right", "back", "left"))
ELL = Spec(
    corners=((0, 0), (5000, 0), (5000, 2000), (2500, 2000), (2500, 4500), (0, 4500)),
    names=("a", "b", "c", "d", "e", "f"),
)


def piece_on(frame: Frame, wall: str):  # noqa: ANN201
    return next(piece for piece in frame.pieces if wall in piece.walls)


def test_a_square_corner_is_the_mate_s_width_and_the_clearance_long() -> None:
    frame = BOX.frame()
    front = piece_on(frame, "front")
    assert front.length == 4000.0
    assert [(half.low, half.high) for half in front.halves] == [
        ((0.0, 0.0), (101.0, 101.0)),
        ((3899.0, 3899.0), (4000.0, 4000.0)),
    ]
    assert front.laid.volume == 4000 * 100 * 50 - 2 * 101 * 100 * 25
    assert [joint.gap_expected for joint in frame.joints] == [5000.0] * 4


def test_a_setback_moves_the_plates_in() -> None:
    frame = dataclasses.replace(BOX, setback=20.0).frame()
    assert piece_on(frame, "front").length == 3960.0
    assert piece_on(frame, "left").length == 2960.0
    assert frame.origin == (20.0, 20.0)


def test_at_a_reflex_corner_both_plates_reach_the_far_edge() -> None:
    frame = ELL.frame()
    # c comes from x = 5000 to the far edge of d's plate, which lies west of x = 2500
    assert piece_on(frame, "c").length == pytest.approx(5000 - 2400)
    assert piece_on(frame, "d").length == pytest.approx(4500 - 1900)
    joint = next(
        j for j in frame.joints if {frame.pieces[j.under].walls, frame.pieces[j.over].walls} == {("c",), ("d",)}
    )
    assert joint.at == pytest.approx((2450, 1950))


def test_an_oblique_corner_has_its_shoulder_a_clearance_square_off_the_mate() -> None:
    turn = math.radians(45.0)
    spec = Spec(
        corners=((0, 0), (3000, 0), (3000 + 2000 * math.cos(turn), 2000 * math.sin(turn))),
        names=("one", "other"),
        closed=False,
    )
    frame = spec.frame()
    one = piece_on(frame, "one")
    cut = one.laid.cuts[0]
    slope = 100.0  # a plate 100 wide cut at 45 degrees gains its width from edge to edge
    assert abs(cut.low[0] - cut.low[1]) == pytest.approx(slope)
    # along the plate the void is (mate's width + clearance) / sin 45
    assert cut.high[0] - cut.low[0] == pytest.approx(101.0 * math.sqrt(2))
    assert frame.joints[0].lap.area == pytest.approx(100 * 100 * math.sqrt(2))
    assert frame.joints[0].gap_expected == pytest.approx(1.0 * 100 * math.sqrt(2) * 50)


def test_a_tee_is_a_housing_half_a_clearance_wider_on_each_side() -> None:
    spec = dataclasses.replace(BOX, crosses=(("spine", (1500, 0), (1500, 3000)),))
    frame = spec.frame()
    front, spine = piece_on(frame, "front"), piece_on(frame, "spine")
    housing = next(half for half in front.halves if half.kind == "tee")
    assert {housing.low[0], housing.high[0]} <= {1449.5, 1550.5, 4000 - 1449.5, 4000 - 1550.5}
    assert housing.high[0] - housing.low[0] == 101.0
    assert not housing.ends
    assert spine.length == 3000.0
    assert [half.high[0] - half.low[0] for half in spine.halves] == [101.0, 101.0]


def test_inside_walls_that_cross_both_carry_on() -> None:
    spec = dataclasses.replace(BOX, crosses=(("one", (0, 1500), (4000, 1500)), ("other", (2000, 0), (2000, 3000))))
    frame = spec.frame()
    kinds = sorted(joint.lap.kind for joint in frame.joints)
    assert kinds == ["corner"] * 4 + ["cross"] + ["tee"] * 4


def test_a_spine_that_carries_on_along_a_return_is_one_run() -> None:
    spec = dataclasses.replace(ELL, crosses=(("spine", (2450, 0), (2450, 2000)),))
    frame = spec.frame()
    spine = piece_on(frame, "spine")
    assert set(spine.walls) == {"spine", "d"}
    assert spine.length == 4500.0
    met = next(half for half in piece_on(frame, "c").halves if half.mate == frame.pieces.index(spine))
    assert met.kind == "tee"


def test_a_corner_of_180_degrees_carries_the_run_on() -> None:
    spec = dataclasses.replace(
        BOX,
        corners=((0, 0), (2000, 0), (4000, 0), (4000, 3000), (0, 3000)),
        names=("west", "east", "right", "back", "left"),
    )
    frame = spec.frame()
    assert piece_on(frame, "west").walls == ("west", "east") or piece_on(frame, "west").walls == ("east", "west")
    assert len(frame.pieces) == 4


@pytest.mark.parametrize("angle", [29.9, 150.1, 179.0])
def test_an_angle_that_cannot_be_lapped_is_refused(angle: float) -> None:
    turn = math.radians(180.0 - angle)
    spec = Spec(
        corners=((0, 0), (3000, 0), (3000 + 2000 * math.cos(turn), 2000 * math.sin(turn))),
        names=("one", "other"),
        closed=False,
    )
    with pytest.raises(PlanError, match=r"'one' and 'other' meet at .*30° to 150°"):
        spec.frame()


@pytest.mark.parametrize(("face", "length"), [("outer", 3000.0), ("inner", 2860.0)])
def test_where_a_gap_takes_a_corner_away_the_neighbour_ends_square(face: str, length: float) -> None:
    text = BOX.text().replace("gap = []\n", "")
    frame = decide(parse_plan(text + f'\n[[gap]]\nwall = "front"\nfrom = 0\nto = 900\nend = "{face}"\n'))
    left = piece_on(frame, "left")
    assert left.length == length
    assert len(left.halves) == 1
    assert piece_on(frame, "front").length == 3100.0


def test_a_whole_wall_without_a_plate() -> None:
    text = BOX.text() + '\n[[gap]]\nwall = "right"\nwhole = true\n'
    text = text.replace("gap = []\n", "")
    frame = decide(parse_plan(text))
    assert sorted(piece.walls[0] for piece in frame.pieces) == ["back", "front", "left"]
    assert piece_on(frame, "front").length == 4000.0


def test_a_cross_wall_against_a_wall_without_a_plate_ends_square() -> None:
    text = dataclasses.replace(BOX, crosses=(("spine", (0, 1500), (4000, 1500)),)).text()
    text = text.replace("gap = []\n", "") + '\n[[gap]]\nwall = "right"\nwhole = true\nend = "inner"\n'
    frame = decide(parse_plan(text))
    assert piece_on(frame, "spine").length == 4000.0 - 140.0


def test_an_open_shell_ends_square_at_its_first_and_last_corner() -> None:
    spec = Spec(corners=((0, 0), (0, -2000), (3000, -2000)), names=("west", "south"), closed=False, left=True)
    frame = spec.frame()
    west = piece_on(frame, "west")
    assert west.length == 2000.0
    assert len(west.halves) == 1
    assert piece_on(frame, "south").length == 3000.0


def test_plates_of_two_widths() -> None:
    text = BOX.text().replace('name = "shell"', 'name = "shell"\nplate_width = 150')
    text = text.replace("leaf = 140.0", "leaf = 160.0")
    frame = decide(parse_plan(text))
    assert {piece.laid.width for piece in frame.pieces} == {150.0}
    text = dataclasses.replace(BOX, crosses=(("spine", (1500, 0), (1500, 3000)),)).text()
    text = text.replace('name = "spine"', 'name = "spine"\nplate_width = 75')
    frame = decide(parse_plan(text))
    tee = next(joint for joint in frame.joints if joint.lap.kind == "tee")
    assert tee.lap.area == 75 * 100
    assert tee.gap_expected == pytest.approx(1.0 * 50 * (75 + 100) / 2)
    assert {frame.pieces[board.pieces[0]].laid.width for board in frame.boards} == {75.0, 100.0}


def test_walls_that_stray_from_their_line_by_steps_are_refused() -> None:
    spec = Spec(
        corners=((0, 0), (2400, 0), (4800, 1), (7200, 3), (9600, 6), (9600, 6000), (0, 6000)),
        names=("a", "b", "c", "d", "right", "back", "left"),
    )
    with pytest.raises(PlanError, match=r"strays from the line of|carry straight on"):
        spec.frame()


@pytest.mark.parametrize(("apart", "built"), [(0.4, True), (40.0, False), (400.0, True)])
def test_what_two_gaps_leave_is_a_plate_or_nothing(apart: float, built: bool) -> None:
    spec = dataclasses.replace(BOX, gaps=(("front", 1000.0, 2000.0), ("front", 2000.0 + apart, 3000.0)))
    if built:
        pieces = sum(piece.walls == ("front",) for piece in spec.frame().pieces)
        assert pieces == (3 if apart > 100 else 2)
    else:
        with pytest.raises(PlanError, match=r"only 40\.0 mm of 'front' is left between its gaps"):
            spec.frame()
