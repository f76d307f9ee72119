"""The plate level and the bed: the highest place, every place's thickness, what the staff must read, and faults."""

from __future__ import annotations

import dataclasses
import itertools
import json
import math
from typing import Any

import pytest
from bedded import HOUSE, TOPS, Case, bedded, frame_of, made
from hypothesis import HealthCheck, given, settings
from plans import Spec

from platemodel.faults import PlanError
from platemodel.frame.runs import on_run
from platemodel.site.bedding import Bedding, Place, bed, bedding
from platemodel.site.bedding_values import bedding_values
from platemodel.site.ground import ground, tops

MANY = settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))


def at(found: Bedding, wall: str, along: float) -> Place:
    return next(it for it in found.places if it.wall == wall and abs(it.at - along) < 1e-6)


def test_the_house_by_hand() -> None:
    found = made(HOUSE)
    # the wall top nearest the laser is the front's first corner, 30 mm down: the highest
    assert (found.highest.wall, found.highest.level, found.highest.lintel) == ("front", -30.0, "")
    assert found.highest.at == pytest.approx(0.0, abs=1e-6)
    assert (found.underside, found.top, found.must) == (-20.0, 30.0, -30.0)
    assert (found.least, found.most) == (10.0, 16.0)
    # straight between the places read, level beyond the last, corners shared
    for wall, along, thickness in [
        ("front", 0.0, 10.0),
        ("front", 1000.0, 11.5),
        ("front", 4000.0, 16.0),
        ("front", 9000.0, 14.0),
        ("right", 0.0, 14.0),
        ("right", 1000.0, 14.0 + 1 / 3),
        ("right", 3000.0, 15.0),
        ("right", 6000.0, 13.0),
        ("back", 0.0, 13.0),
        ("back", 9000.0, 11.0),
        ("left", 0.0, 11.0),
        ("left", 3000.0, 12.0),
        ("left", 6000.0, 10.0),
    ]:
        assert at(found, wall, along).bed == pytest.approx(thickness, abs=1e-6), (wall, along)
    assert found.thick == found.high == ()
    assert found.odd == ()


def test_every_metre_both_ends_and_each_lap_of_each_piece_are_told_in_the_order_of_laying() -> None:
    frame = frame_of(HOUSE)
    found = bedding(frame)
    assert found is not None
    assert list(dict.fromkeys(it.mark for it in found.places)) == [piece.mark for piece in frame.laying]
    for piece in frame.pieces:
        mine = [it for it in found.places if it.mark == piece.mark]
        assert sum("end" in it.what for it in mine) == 2
        laps = [word for it in mine for word in it.what if word.startswith("lap")]
        assert len(laps) == len(piece.halves)
        assert {word.split()[-1] for word in laps} == {frame.pieces[half.mate].mark for half in piece.halves}
        along = [it.at for it in mine]
        assert along == sorted(along)
        whole = range(math.ceil(along[0] / 1000), math.floor(along[-1] / 1000) + 1)
        assert all(any(abs(it - 1000 * metre) < 1e-6 for it in along) for metre in whole)
    assert {it.at for it in found.places if "read" in it.what} >= {4000.0, 3000.0}


def test_no_mortar_goes_where_a_half_lies_on_its_mate_nor_under_its_end() -> None:
    """Told by the undersides of the pieces: where they are cut away all across, they lie on another."""
    frame = frame_of(dataclasses.replace(HOUSE, crosses=(("spine", (4000.0, 0.0), (4000.0, 6000.0)),)))
    found = bedding(frame)
    assert found is not None
    dry = 0
    for piece in frame.pieces:
        base, run = min(piece.low), frame.runs[piece.run]
        cut = [(min(it.low) + base, max(it.high) + base) for it in piece.laid.cuts if not it.upper]
        for it in (it for it in found.places if it.mark == piece.mark):
            wall = next(n for n, wall in enumerate(frame.plan.walls) if wall.name == it.wall)
            s = on_run(frame.plan, run, wall, it.at)
            on = any(low - 1e-6 <= s <= high + 1e-6 for low, high in cut)
            assert bool(it.lies_on) == on, (it.mark, it.what)
            assert not on or f"lap, on {it.lies_on}" in [word for one in found.places for word in one.what]
            dry += on
        # both a lap's middle and the end in it
    assert dry >= 2 * sum(not half.under and half.ends for piece in frame.pieces for half in piece.halves)
    assert [it.mark for it in found.bedded] == [it.mark for it in found.places if not it.lies_on]


BOOK = (
    {"station": "TBM", "backsight": 1.600},
    {"station": "a", "intermediate": 1.300, "wall": "front", "at": 0.0},
    {"station": "b", "intermediate": 1.306, "wall": "front", "at": 9000.0},
    {"station": "c", "foresight": 1.308, "backsight": 1.412, "wall": "right", "at": 6000.0},
    {"station": "d", "intermediate": 1.405, "wall": "left", "at": 0.0},
    {"station": "TBM", "foresight": 1.700},
)


def test_a_book_gives_levels_and_what_the_staff_must_read_on_the_plates() -> None:
    found = made(HOUSE, book=BOOK, start=50.0)
    assert found.book is not None
    assert found.book.checks
    # second set-up: 50.000 + 1.600 - 1.308 + 1.412 = 51.704; highest a, 50.300; plate top 50.300 + 0.010 + 0.050
    assert found.line == pytest.approx(51704.0)
    assert (found.highest.wall, found.highest.level) == ("front", pytest.approx(50300.0))
    assert found.must == pytest.approx(1344.0)
    assert at(found, "right", 6000.0).bed == pytest.approx(18.0)
    # read again from where the instrument stands: 51.704 - 50.292
    assert at(found, "right", 6000.0).reading == pytest.approx(1412.0)


def test_a_misclosure_is_taken_out_of_the_walls_before_the_bed() -> None:
    plain, closed = made(HOUSE, book=BOOK, start=50.0), made(HOUSE, book=BOOK, start=50.0, close=50.008)
    # found 50.004, known 50.008: each of two set-ups takes 2 mm
    assert closed.book is not None
    assert str(closed.book.misclosure) == "-0.004"
    differ = [
        two.top - one.top for one, two in zip(plain.places, closed.places, strict=True) if "read as a" in one.what
    ]
    assert differ == pytest.approx([2.0] * len(differ))
    assert at(closed, "left", 0.0).top - at(plain, "left", 0.0).top == pytest.approx(4.0)
    # what is read is read: on the last set-up's stations the staff shows what was booked
    assert at(closed, "left", 0.0).reading == pytest.approx(1405.0)
    # the left wall's corner was 1 mm below the front's, and is 1 mm above it once the book is closed
    assert (at(plain, "left", 0.0).bed, at(closed, "left", 0.0).bed) == (pytest.approx(11.0), pytest.approx(10.0))
    assert (plain.highest.wall, closed.highest.wall) == ("front", "back")
    wide = made(HOUSE, book=BOOK, start=50.0, close=50.1)
    assert any("misses its closing level" in word for word in wide.odd)


def lintel(up: float, dpc: bool = False, wall: str = "front") -> dict[str, Any]:
    return {"name": "door", "wall": wall, "from": 2000.0, "to": 3000.0, "stands_up": up, "dpc": dpc}


def test_a_lintel_that_stands_up_is_counted_and_one_that_lies_low_too() -> None:
    found = made(HOUSE, openings=[lintel(9.0, True)])
    # the front falls 1.5 mm a metre: 33 mm down at 2000 less 9
    assert (found.highest.wall, found.highest.lintel) == ("front", "door")
    assert found.highest.level == pytest.approx(-24.0)
    assert found.most == pytest.approx(10.0 + 12.0)
    here = at(found, "front", 2500.0)
    assert (here.lintel, here.dpc, here.bed) == ("door", True, pytest.approx(10.75))
    assert at(found, "front", 3000.0).bed == pytest.approx(11.5)
    assert at(found, "front", 1000.0).bed == pytest.approx(17.5)
    # what is more than 34 mm down has more than 20: the front from the lintel on to its end, the right wall's middle
    thick, right = found.thick
    assert (thick.wall, right.wall, right.by) == ("front", "right", pytest.approx(1.0))
    assert (thick.begin, thick.by) == (pytest.approx(3000.0), pytest.approx(2.0))
    assert thick.end == pytest.approx(9000.0)
    assert "slate" in thick.remedy
    (high,) = found.high
    assert (high.lintel, high.by) == ("door", pytest.approx(2.0))
    assert "engineer" in high.remedy
    low = made(HOUSE, openings=[lintel(-3.0)])
    assert low.highest.lintel == ""
    assert at(low, "front", 2500.0).bed == pytest.approx(10.0 + 3.75 + 3.0)


def test_where_the_bed_is_too_thick_the_stretch_is_named_and_what_would_have_to_come_down() -> None:
    down = {**TOPS, "back": ((0.0, 60.0), (9000.0, 30.0))}
    found = made(HOUSE, down)
    # bed at the back: 40 mm at its first corner, 10 at its last: 20 at 6000
    thick = {it.wall: it for it in found.thick}
    assert (thick["back"].begin, thick["back"].end) == (pytest.approx(0.0), pytest.approx(6000.0))
    assert thick["back"].by == pytest.approx(20.0)
    # the right wall falls from 35 mm at 3000 to 60 at its end
    assert thick["right"].begin == pytest.approx(3000.0 + 3000.0 * 5 / 25)
    assert thick["right"].end == pytest.approx(6000.0)
    assert set(thick) == {"back", "right"}
    # or: all that is less than 60 - 10 = 50 mm down would come down
    high = {it.wall: it for it in found.high}
    assert high["front"].by == pytest.approx(20.0)
    assert high["back"].begin == pytest.approx(3000.0)
    worse = made(HOUSE, {**TOPS, "back": ((0.0, 75.0), (9000.0, 30.0))})
    assert any("course" in it.remedy for it in worse.thick)


def test_a_level_that_is_wished_rules_and_what_stands_too_high_for_it_is_told() -> None:
    found = made(HOUSE, bed={"level": 14.0})
    assert (found.least, found.underside) == (14.0, -16.0)
    assert found.high == ()
    low = made(HOUSE, bed={"level": 8.0})
    assert low.least == 8.0
    assert {(it.wall, round(it.by, 6)) for it in low.high} >= {("front", 2.0), ("left", 2.0)}
    (front,) = [it for it in low.high if it.wall == "front"]
    assert (front.begin, front.end) == (pytest.approx(0.0), pytest.approx(2000 / 1.5))


@pytest.mark.parametrize(
    ("down", "bed_wish", "key", "said"),
    [
        ({"front": TOPS["front"]}, {}, "site.levels", "no reading on the top of wall 'back'"),
        (
            {**TOPS, "right": ((3000.0, 1035.0),)},
            {},
            "site.levels",
            "wall tops 1005 mm apart: 'front' at 0 high, 'right'",
        ),
        ({**TOPS, "right": ((3000.0, 35.0), (3000.5, 44.0))}, {}, "site.levels", "'right' at 3000 was read 9 mm apart"),
        (TOPS, {"level": -3.0}, "site.bed.level", "would stand 3 mm up into the plate"),
        (TOPS, {"level": 100279.0}, "site.bed.level", "100279 mm of bed"),
        (TOPS, {"batch": 0.01}, "site.bed.batch", "batches of 0.01 l"),
        ({}, {}, "site.levels", "no readings"),
    ],
)
def test_a_bed_that_cannot_be_is_one_clear_error(down: Any, bed_wish: Any, key: str, said: str) -> None:
    frame = frame_of(HOUSE, down, bed_wish)
    with pytest.raises(PlanError) as caught:
        bedding(frame)
    text = str(caught.value)
    assert said in text
    assert f"{key}: " in text
    assert "; expected" in text
    assert ":" in text.split(" ")[0]


def test_a_bad_book_in_a_plan_names_its_line() -> None:
    rows = [dict(row) for row in BOOK]
    del rows[3]["foresight"]
    with pytest.raises(PlanError) as caught:
        bedding(frame_of(HOUSE, book=rows, start=50.0))
    (fault,) = caught.value.faults
    assert fault.path == ("site", "levels", "book", 3, "foresight")
    assert "a change point without a foresight 'c'" in fault.found
    assert fault.line is not None


def test_a_plan_without_levels_has_no_bed() -> None:
    assert bedding(HOUSE.frame()) is None


def test_corners_that_do_not_agree_and_walls_read_once_are_told() -> None:
    found = made(HOUSE, {**TOPS, "left": ((3000.0, 32.0), (6000.0, 40.0))})
    assert any("corner left/front: read 10 mm apart" in word for word in found.odd)
    lone = made(Spec(corners=((0, 0), (4000, 0)), names=("only",), closed=False), {"only": ((1000.0, 5.0),)})
    assert lone.odd == ("only: read at one place only, taken to be level; read its ends too",)
    assert {it.bed for it in lone.places} == {10.0}


def test_a_gap_has_no_bed_and_cannot_be_the_highest_place() -> None:
    spec = dataclasses.replace(HOUSE, gaps=(("front", 3000.0, 5000.0),))
    down = {**TOPS, "front": ((0.0, 30.0), (3500.0, 30.0), (4000.0, 10.0), (4500.0, 30.0), (9000.0, 34.0))}
    found = made(spec, down)
    assert found.highest.level == pytest.approx(-30.0)
    assert not any(it.wall == "front" and 3000.0 < it.at < 5000.0 for it in found.places)


def test_a_reading_at_a_meeting_of_walls_is_one_of_both() -> None:
    spec = dataclasses.replace(HOUSE, crosses=(("spine", (4000.0, 0.0), (4000.0, 6000.0)),))
    found = made(spec, {**TOPS, "back": (*TOPS["back"], (5000.0, 40.0))})
    spine = dict(found.walls)["spine"]
    assert spine == ((pytest.approx(50.0), -36.0), (pytest.approx(5950.0), -40.0))


@given(bedded())
@MANY
def test_the_highest_place_has_the_least_bed_and_every_bed_is_its_formula(case: Case) -> None:
    frame = case.frame
    found = bedding(frame)
    assert found is not None
    wish = frame.plan.site.bed
    levels = frame.plan.site.levels
    assert levels is not None
    known = tops(frame.plan, levels, sorted({wall for run in frame.runs for wall in run.walls}))
    for run in frame.runs:
        stretches = ground(frame.plan, run, known)
        assert stretches[0].low == min(run.low)
        assert stretches[-1].high == max(run.high)
        assert all(one.high == two.low for one, two in itertools.pairwise(stretches))
        # a dense walk along every run: nowhere less than the least, nowhere more than the most found
        for it in stretches:
            for part in range(11):
                thickness = found.underside - it.level(it.low + (it.high - it.low) * part / 10)
                assert wish.least - 1e-6 <= thickness <= found.most + 1e-6
    assert found.least == wish.least
    beds = [it.bed for it in found.places]
    assert min(beds) >= wish.least - 1e-6
    assert max(beds) <= found.most + 1e-6
    # where the walls allow it the bed lies between least and most; where not, it is told
    fits = found.highest.level - found.lowest.level <= wish.most - wish.least + 1e-6
    assert fits == (not found.thick)
    assert fits == (not found.high)
    for it in found.places:
        assert bed(it.reading, found.must, found.depth) == pytest.approx(it.bed, abs=1e-6)
    json.dumps(bedding_values(found))


@given(bedded())
@MANY
def test_from_a_higher_laser_every_bed_is_the_same(case: Case) -> None:
    frame = case.frame
    one = bedding(frame)
    levels = frame.plan.site.levels
    assert one is not None
    assert levels is not None
    laser = tuple(dataclasses.replace(it, down=it.down + 123.4) for it in levels.laser)
    site = dataclasses.replace(frame.plan.site, levels=dataclasses.replace(levels, laser=laser))
    two = bedding(dataclasses.replace(frame, plan=dataclasses.replace(frame.plan, site=site)))
    assert two is not None
    assert two.must == pytest.approx(one.must + 123.4)
    assert [it.bed for it in two.places] == pytest.approx([it.bed for it in one.places], abs=1e-6)
    assert two.mortar.litres == pytest.approx(one.mortar.litres, rel=1e-9)


def test_the_values_are_those_of_the_result() -> None:
    found = made(HOUSE, book=BOOK, start=50.0, close=50.002)
    values = bedding_values(found)
    assert values["top_of_plate_reads"] == found.must
    assert [it["bed"] for it in values["places"]] == [it.bed for it in found.places]
    assert values["book"]["stations"][1]["level"] == "50.300"
    assert values["book"]["misclosure"] == "0.002"
    assert values["mortar"]["litres"] == found.mortar.litres
