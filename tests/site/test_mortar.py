"""Mortar: the exact volume against a numeric one, cement and sand, and batches along the order of laying."""

from __future__ import annotations

import dataclasses
import itertools
import math
from typing import Any

import pytest
from bedded import HOUSE, TOPS, Case, bedded, frame_of, made
from hypothesis import HealthCheck, given, settings
from shapely import Polygon, box

from platemodel.frame import Frame
from platemodel.frame.runs import on_run
from platemodel.frame.values import Piece
from platemodel.plan.site_values import Bed
from platemodel.site.bedding import Bedding, bedding
from platemodel.site.mortar import SUCTION, quantities, rules

MANY = settings(max_examples=8, deadline=None, suppress_health_check=list(HealthCheck))
LEVEL = {name: ((0.0, 30.0), (HOUSE.wall_length(name), 30.0)) for name in HOUSE.names}


def underside(piece: Piece) -> Polygon:
    """What a piece stands on, in its strip's (s, t): its outline less where its lower half is cut away."""

    def across(low: tuple[float, float], high: tuple[float, float]) -> Polygon:
        return Polygon([(low[0], 0.0), (high[0], 0.0), (high[1], piece.laid.width), (low[1], piece.laid.width)])

    base = min(piece.low)
    shape = across(piece.low, piece.high)
    for cut in piece.laid.cuts:
        if not cut.upper:
            shape = shape.difference(across(*((a + base, b + base) for a, b in (cut.low, cut.high))))
    return shape


def level_at(frame: Frame, found: Bedding, wall: int, at: float) -> float:
    """The top at a place along a wall, by the walls' readings and lintels."""
    top = dict(found.walls)[frame.plan.walls[wall].name]
    level = top[0][1] if at < top[0][0] else top[-1][1]
    for (one, low), (two, high) in itertools.pairwise(top):
        if one <= at <= two:
            level = low + (high - low) * (at - one) / (two - one)
            break
    ups = [it.stands_up for it in frame.plan.openings if it.wall == wall and it.begin < at < it.end]
    return level + max(ups, default=0.0)


def numeric(frame: Frame, found: Bedding) -> float:
    """Litres of mortar by many thin strips across every piece that lies on one wall."""
    total = 0.0
    for piece in frame.pieces:
        run, shape = frame.runs[piece.run], underside(piece)
        walls = run.walls
        marks = {on_run(frame.plan, run, w, at) for w in walls for at, _ in dict(found.walls)[frame.plan.walls[w].name]}
        marks |= {on_run(frame.plan, run, it.wall, at) for it in frame.plan.openings for at in (it.begin, it.end)}
        low, _, high, _ = shape.bounds
        grid = sorted(
            {low, high, *(m for m in marks if low < m < high), *(low + (high - low) * n / 400 for n in range(400))}
        )
        for one, two in itertools.pairwise(grid):
            strip = shape.intersection(box(one, -1.0, two, piece.laid.width + 1.0))
            middle = (one + two) / 2
            begins = [on_run(frame.plan, run, w, 0.0) for w in walls]
            ends = [on_run(frame.plan, run, w, frame.plan.walls[w].length) for w in walls]
            inside = [n for n in range(len(walls)) if min(begins[n], ends[n]) <= middle <= max(begins[n], ends[n])]
            near = inside or [min(range(len(walls)), key=lambda n: min(abs(middle - begins[n]), abs(middle - ends[n])))]
            number = near[0]
            wall = walls[number]
            at = (middle - begins[number]) / (ends[number] - begins[number]) * frame.plan.walls[wall].length
            total += strip.area * (found.underside - level_at(frame, found, wall, at))
    return total / 1e6


@given(bedded())
@MANY
def test_the_volume_is_the_integral_of_the_bed_and_batches_add_up_to_it(case: Case) -> None:
    frame = case.frame
    found = bedding(frame)
    assert found is not None
    assert found.mortar.bed == pytest.approx(numeric(frame, found), rel=1e-5)
    wish, mortar = frame.plan.site.bed, found.mortar
    assert mortar.litres == pytest.approx(mortar.bed * (1.0 + wish.waste / 100.0), rel=1e-12)
    assert sum(it.litres for it in mortar.batches) == pytest.approx(mortar.bed, rel=1e-9)
    # what is left over of full batches is one more, but for less than a tenth of one: the others take that
    count, left = divmod(mortar.litres, wish.batch)
    spread = count >= 1 and 1e-9 < left / wish.batch < 0.1
    assert mortar.batch == pytest.approx(mortar.litres / count if spread else wish.batch, rel=1e-12)
    full = mortar.batch / (1.0 + wish.waste / 100.0)
    assert [it.litres for it in mortar.batches[:-1]] == pytest.approx([full] * (len(mortar.batches) - 1), rel=1e-9)
    assert mortar.batches[-1].litres <= full * (1.0 + 1e-9)
    assert len(mortar.batches) == math.ceil(mortar.litres / mortar.batch - 1e-9)
    marks = [span.mark for it in mortar.batches for span in it.spans]
    assert list(dict.fromkeys(marks)) == [piece.mark for piece in frame.laying]


def test_a_level_bed_under_a_ring_by_hand() -> None:
    # a ring of 9 x 6 m outside, 100 wide, its pieces without clearance: 2 x (9000 + 5800) x 100 x 10 mm
    spec = dataclasses.replace(HOUSE, clearance=0.0)
    found = made(spec, LEVEL)
    assert found.mortar.bed == pytest.approx(2 * (9000 + 5800) * 100 * 10 / 1e6)
    # clearances are left out: c at each shoulder of a piece that lies over, c by the plate's width
    loose = made(HOUSE, LEVEL)
    frame = HOUSE.frame()
    shoulders = sum(len([half for half in piece.halves if not half.under and half.ends]) for piece in frame.pieces)
    assert found.mortar.bed - loose.mortar.bed == pytest.approx(shoulders * 1.0 * 100 * 10 / 1e6)


def test_a_wedge_by_hand() -> None:
    from plans import Spec

    one = Spec(corners=((0, 0), (3000, 0)), names=("only",), closed=False, stock=(3600.0,))
    found = made(one, {"only": ((0.0, 10.0), (3000.0, 22.0))})
    # from 10 to 22 mm over 3 m: 16 mm on average
    assert found.mortar.bed == pytest.approx(3.0 * 0.1 * 16.0)
    assert found.mortar.litres == pytest.approx(3.0 * 0.1 * 16.0 * 1.1)
    assert [it.metres for it in found.mortar.batches] == [pytest.approx(3.0)]
    # half as much as fits: the first batch ends where the wedge is halved, not in the middle of the wall
    halved = made(one, {"only": ((0.0, 10.0), (3000.0, 22.0))}, {"batch": 2.64})
    first, second = halved.mortar.batches
    # 10 x + 2 x^2 = 24, x in metres of 4 mm a metre: the root of 2 x^2 + 10 x - 24
    assert first.metres == pytest.approx((-10.0 + math.sqrt(100.0 + 192.0)) / 4.0)
    assert (second.spans[0].begin, second.spans[0].end) == (pytest.approx(first.metres * 1000), pytest.approx(3000.0))


def test_a_last_batch_of_less_than_a_tenth_is_spread_over_the_others() -> None:
    from plans import Spec

    one = Spec(corners=((0, 0), (3000, 0)), names=("only",), closed=False, stock=(3600.0,))
    # a bed of 3 litres, 10 % more with waste: 3.3
    for batch, each in ((1.6, 1.65), (1.58, 1.65), (1.5, 1.5), (3.1, 3.3), (2.9, 2.9), (4.0, 4.0)):
        mortar = made(one, {"only": ((0.0, 16.0), (3000.0, 16.0))}, {"batch": batch}).mortar
        assert mortar.litres == pytest.approx(3.3)
        assert mortar.batch == pytest.approx(each)
        assert len(mortar.batches) == math.ceil(3.3 / each - 1e-9)
        assert mortar.each == quantities(mortar.batch / 1000.0, 4)
        assert min(it.litres for it in mortar.batches) * 1.1 >= min(0.1 * batch, 3.3)
        assert sum(it.litres for it in mortar.batches) == pytest.approx(3.0)


def test_cement_sand_and_bags_by_the_mix() -> None:
    one = made(HOUSE, LEVEL, {"mix": "1:3", "bag": 50.0, "waste": 0.0})
    need = quantities(one.mortar.litres / 1000.0, 3)
    assert one.mortar.total == need
    assert one.mortar.bags == math.ceil(need.cement_kg / 50.0)
    assert one.mortar.kind == "M12"
    assert one.mortar.each == quantities(0.025, 3)
    assert [made(HOUSE, LEVEL, {"mix": mix}).mortar.kind for mix in ("1:4", "1:5", "1:6")] == ["M6", "M4", "M4"]
    usual, *others = [kg for _, kg in rules(0.1, 6)]
    assert usual < min(others)
    assert max(others) / usual == pytest.approx(1.2, abs=0.01)
    assert len(rules(0.1, 4)) == 2


@pytest.mark.parametrize("kind", list(SUCTION))
def test_each_kind_of_wall_has_its_advice(kind: str) -> None:
    found = made(HOUSE, TOPS, {"wall": kind})
    suction, heat, frost, last = found.mortar.advice
    assert suction.lower().startswith(kind)
    assert ("wet the" in suction.lower()) == (kind in ("aerated block", "lightweight block", "clay brick"))
    assert "30 °C" in heat
    assert "3 °C" in frost
    assert "maker" in last


def test_every_kind_of_wall_and_mix_that_a_plan_may_name_is_known() -> None:
    from typing import get_args

    from platemodel.plan import site_model

    def choices(name: str) -> Any:
        return get_args(site_model.Bed.model_fields[name].annotation)

    assert set(choices("wall")) == set(SUCTION)
    for mix in choices("mix"):
        assert made(HOUSE, LEVEL, {"mix": mix}).mortar.bags >= 1
    assert Bed().wall in SUCTION


def test_a_damp_course_is_told_of_its_batch() -> None:
    door = {"name": "door", "wall": "back", "from": 100.0, "to": 700.0, "dpc": True}
    found = made(HOUSE, TOPS, {"batch": 5.0}, openings=[door])
    for batch in found.mortar.batches:
        over = any(
            span.wall == "back"
            and min(span.begin, span.end) < 700.0 - 1e-6
            and max(span.begin, span.end) > 100.0 + 1e-6
            for span in batch.spans
        )
        assert batch.dpc == over
    assert 0 < sum(it.dpc for it in found.mortar.batches) < len(found.mortar.batches)


def test_a_frame_is_bedded_with_the_same_batches_each_time() -> None:
    assert bedding(frame_of(HOUSE)) == bedding(frame_of(HOUSE))
