"""Trusses and joists: positions from the first corner, and those that land where they should not."""

from __future__ import annotations

import dataclasses
import math

import pytest
from houses import house
from hypothesis import HealthCheck, given, settings
from plans import Spec, specs

from platemodel.frame import decide
from platemodel.plan import parse_plan
from platemodel.site.landing import Landed, WallLandings, fixing_values, landings, nails_of
from platemodel.site.strapping import strapping

some = settings(
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)

HOUSE = house(stock="[9000]")
BEARING = '[[bearing]]\nname = "{}"\nwall = "{}"\nat = {}\nwidth = {}\n'


def landed(*more: str) -> tuple[WallLandings, ...]:
    frame = decide(parse_plan(HOUSE + "\n".join(more)))
    return landings(frame, strapping(frame))


def only(*more: str) -> Landed:
    ((one,),) = (wall.landed for wall in landed(*more))
    return one


def test_positions_run_from_the_first_corner_in_order() -> None:
    back, left = landed(
        BEARING.format("joist", "left", 3000, 50),
        BEARING.format("joist", "left", 1000, 50),
        BEARING.format("beam", "back", 500, 100),
    )
    assert (back.name, left.name) == ("back", "left")
    assert [(one.label, one.at) for one in left.landed] == [("joist no. 1", 1000), ("joist no. 2", 3000)]
    assert (back.landed[0].label, back.start, back.landed[0].place) == ("beam", (6000, 4000), (5500, 3950))
    assert [one.flags for one in (*back.landed, *left.landed)] == [[], [], []]
    # NHBC Standards 2020, 7.2.6: two nails each
    assert nails_of((back, left)) == (6, 0)


def test_one_on_a_lap_is_told_how_far_to_move() -> None:
    one = only(BEARING.format("truss", "front", 110, 40))
    # the corner lap ends at 101: 90 to 130 is 11 mm on it
    assert one.laps == ("A1-D1",)
    assert one.over == pytest.approx(11)
    assert one.move == pytest.approx(11)
    assert one.flags == ["lands on lap A1-D1: move it 11 on, to 121"]
    back = only(BEARING.format("truss", "front", 5900, 40))
    assert back.move == pytest.approx(-21)
    assert "move it 21 back, to 5879" in back.flags[0]


def test_a_move_is_rounded_away_from_the_lap() -> None:
    assert only(BEARING.format("truss", "front", 110.5, 40)).way == "move it 10.5 on, to 121"
    assert only(BEARING.format("truss", "front", 5889.7, 40)).way == "move it 10.7 back, to 5879"


def test_over_an_opening_and_on_a_strap() -> None:
    opening = '[[opening]]\nname = "door"\nwall = "front"\nfrom = 2500\nto = 3400\n'
    over = only(opening, BEARING.format("truss", "front", 2490, 40))
    assert over.flags == ["over the opening 'door': lintel by the engineer"]
    assert only(opening, BEARING.format("truss", "front", 2480, 40)).flags == []
    strap = only('[site.straps]\n[[strap]]\nwall = "front"\nat = 1010', BEARING.format("truss", "front", 1000, 40))
    assert strap.flags == ["hits the strap at 1010"]


@settings(some, max_examples=6)
@given(specs())
def test_what_lands_stays_where_it_is_however_the_walls_are_drawn(spec: Spec) -> None:
    def found(of: Spec) -> list[tuple[float, float, str, bool, str]]:
        return sorted(
            (round(one.place[0], 2), round(one.place[1], 2), one.opening, bool(one.laps), "" if one.piece else "none")
            for wall in landings(of.frame())
            for one in wall.landed
        )

    ours, theirs = found(spec), found(spec.drawn_back())
    assert [row[2:] for row in ours] == [row[2:] for row in theirs]
    assert all(math.dist(one[:2], other[:2]) < 0.05 for one, other in zip(ours, theirs, strict=True))


@settings(some, max_examples=6)
@given(specs())
def test_one_that_is_moved_is_clear(spec: Spec) -> None:
    frame = spec.frame()
    for wall in landings(frame):
        for one in wall.landed:
            if not one.laps or one.move is None:
                continue
            assert one.over > 0
            more = dataclasses.replace(spec, bearings=((wall.name, max(one.at + one.move, 0.0)),))
            moved = landings(more.frame())
            fixed = {joint.id for joint in frame.joints if joint.lap.kind != "splice"}
            ((there,),) = [walls.landed for walls in moved]
            assert not set(there.laps) & fixed or there.over < 1e-3


def test_values_for_the_report() -> None:
    more = '[site.straps]\ngables = ["left"]\n' + BEARING.format("truss", "front", 110, 40)
    frame = decide(parse_plan(HOUSE + more))
    straps = strapping(frame)
    values = fixing_values(frame, straps, landings(frame, straps))
    assert values["straps"]["new"] == sum(len(plate["straps"]) for plate in values["straps"]["plates"])
    assert values["landings"][0]["landed"][0]["flags"] == ["lands on lap A1-D1: move it 11 on, to 121"]
    assert values["screws"]["length"] == 45
    assert set(fixing_values(frame, None, [])) == {"words", "landings"}
