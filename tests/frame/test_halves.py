"""Halves, laying orders, marks and types."""

from __future__ import annotations

import dataclasses

import pytest
from plans import Spec

from platemodel.faults import PlanError
from platemodel.frame import decide
from platemodel.frame.boards import boards
from platemodel.frame.marks import run_letter
from platemodel.frame.shape import TURNS, Cut, Shape, Turn, compare
from platemodel.frame.timber import mass
from platemodel.frame.types import types
from platemodel.plan import parse_plan
from platemodel.plan.values import Stock, YardBoards

BOX = Spec(corners=((0, 0), (4000, 0), (4000, 3000), (0, 3000)), names=("front", "right", "back", "left"))


def order_of(spec: Spec) -> list[str]:
    """Walls in laying order."""
    return [" + ".join(piece.walls) for piece in spec.frame().laying]


def test_round_goes_round_from_the_start() -> None:
    assert order_of(BOX) == ["front", "right", "back", "left"]
    text = BOX.text().replace('method = "round"', 'method = "round"\nstart = "back"')
    assert [piece.walls[0] for piece in decide(parse_plan(text)).laying] == ["back", "right", "front", "left"]


def test_an_order_is_honoured_and_the_rest_follows() -> None:
    assert order_of(dataclasses.replace(BOX, order=("left", "right"))) == ["left", "right", "front", "back"]


def test_of_two_mates_the_one_laid_first_has_the_under_half() -> None:
    frame = dataclasses.replace(BOX, order=("back", "left", "right", "front")).frame()
    for joint in frame.joints:
        assert frame.pieces[joint.under].order < frame.pieces[joint.over].order
    role = {piece.walls[0]: piece.role for piece in frame.pieces}
    assert role == {"back": "under", "left": "both", "right": "both", "front": "over"}


def test_pairs_gives_pieces_only_unders_or_only_overs() -> None:
    frame = dataclasses.replace(BOX, method="pairs").frame()
    assert {piece.walls[0]: piece.role for piece in frame.pieces} == {
        "front": "under",
        "back": "under",
        "right": "over",
        "left": "over",
    }
    assert len(frame.types) == 2
    # and round makes four of the same rectangle
    assert len(BOX.frame().types) == 4


def test_pairs_refuses_an_order_that_lays_an_over_first() -> None:
    text = dataclasses.replace(BOX, order=("front", "right", "back", "left")).text()
    text = text.replace('method = "round"', 'method = "pairs"')
    with pytest.raises(PlanError, match=r"'back' comes before 'right'"):
        decide(parse_plan(text))


def test_letters_pass_over_those_that_read_as_something_else() -> None:
    letters = [run_letter(number) for number in range(60)]
    assert len(set(letters)) == 60
    assert not set("IOT") & set("".join(letters))


SKEW = Shape(100.0, 50.0, (0.0, 40.0), (1000.0, 900.0), (Cut((300.0, 340.0), (400.0, 440.0), True),))


def test_half_turns_are_a_group_and_keep_the_volume() -> None:
    for turn in TURNS:
        turned = SKEW.turned(turn)
        assert turned.volume == pytest.approx(SKEW.volume)
        assert turned.area == pytest.approx(SKEW.area)
        assert min(turned.low) == pytest.approx(0.0)
        assert compare(turned.turned(turn), SKEW) == 0


def test_a_half_turn_over_turns_the_corners_over() -> None:
    over = SKEW.turned(Turn(over=True))
    corners = sorted((x, SKEW.width - y, SKEW.depth - z) for x, y, z in SKEW.polyhedron()[0])
    assert sorted(over.polyhedron()[0]) == corners


def test_a_mirror_image_is_another_type() -> None:
    mirrored = Shape(100.0, 50.0, (40.0, 0.0), (900.0, 1000.0), (Cut((340.0, 300.0), (440.0, 400.0), True),))
    assert mirrored.volume == SKEW.volume
    solids, of_shape, turns = types([SKEW, SKEW.turned(Turn(True, True)), mirrored, SKEW.turned(Turn(over=True))])
    assert len(solids) == 2
    assert of_shape[0] == of_shape[1] == of_shape[3] != of_shape[2]
    for shape, kind, turn in zip([SKEW, SKEW.turned(Turn(True, True)), mirrored], of_shape, turns, strict=False):
        assert compare(shape.turned(turn), solids[kind]) == 0


def test_pieces_within_a_hundredth_of_a_micrometre_are_one_type_and_beyond_are_two() -> None:
    near = dataclasses.replace(SKEW, high=(1000.0 + 5e-6, 900.0))
    far = dataclasses.replace(SKEW, high=(1000.0 + 5e-5, 900.0))
    assert len(types([SKEW, near])[0]) == 1
    assert len(types([SKEW, far])[0]) == 2


def test_boards_hold_their_pieces_kerfs_and_trim() -> None:
    lengths = [3000.0, 2984.0, 1000.0, 997.0, 986.0]
    stock = Stock((3000.0, 4000.0, 6000.0), 3.0, trim=0.0)
    for trim in (0.0, 10.0):
        found, how = boards(lengths, 100.0, dataclasses.replace(stock, trim=trim))
        assert sorted(index for board in found for index in board.pieces) == [0, 1, 2, 3, 4]
        for board in found:
            used = trim + sum(lengths[index] for index in board.pieces) + 3.0 * (len(board.pieces) - 1)
            assert used <= board.length
            assert board.offcut == pytest.approx(max(0.0, board.length - used - 3.0))
        assert how.cost == sum(board.length for board in found) >= how.bound


def test_two_pieces_and_one_kerf_fill_a_board_to_the_end() -> None:
    assert [board.offcut for board in boards([2000.0, 1997.0], 100.0, Stock((4000.0,), 3.0))[0]] == [0.0]
    assert len(boards([2000.0, 1998.0], 100.0, Stock((4000.0,), 3.0))[0]) == 2


def test_boards_of_the_yard_come_first_and_are_not_bought() -> None:
    yard = (YardBoards(2500.0, 100.0, 1), YardBoards(9000.0, 75.0, 5))
    stock = Stock((3000.0,), 3.0, prices=(9.5,), yard=yard)
    found, how = boards([2400.0, 2400.0, 2400.0], 100.0, stock)
    assert sorted((board.length, board.yard, board.price) for board in found) == [
        (2500.0, True, 0.0),
        (3000.0, False, 9.5),
        (3000.0, False, 9.5),
    ]
    assert (how.cost, how.priced) == (19.0, True)


def test_a_mass() -> None:
    assert mass(38.0 * 100.0 * 4800.0, "C24") == pytest.approx(7.66, abs=0.005)
