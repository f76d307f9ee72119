"""Nets made of true places and known errors: what comes back, what cannot, and which reading is wrong."""

from __future__ import annotations

import itertools
import math
import random

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from platemodel.site.adjusting import Datum, NotDeterminedError, NotSettledError, adjust, held, rigid
from platemodel.site.readings import XY, Angle, Distance, Offset, Reading
from platemodel.site.snooping import CRITICAL, critical, find_blunders
from platemodel.site.starting_places import starting_places

HOUSE = {"A": (0.0, 0.0), "B": (9600.0, 0.0), "C": (9600.0, 6600.0), "D": (0.0, 6600.0), "E": (4800.0, 0.0)}
SD = 3.0


def all_lengths(places: dict[str, XY], seed: int | None = None, sd: float = SD) -> list[Reading]:
    """Every length between places, with random errors of a standard error where a seed is given."""
    random_ = random.Random(seed)
    return [
        Distance(a, b, math.dist(places[a], places[b]) + (random_.gauss(0.0, sd) if seed is not None else 0.0), sd)
        for a, b in itertools.combinations(places, 2)
    ]


def as_read(reading: Reading, places: dict[str, XY], error: float = 0.0) -> Reading:
    """A reading as it is read at true places, with an error."""
    value = reading.model([places[name] for name in reading.points])[0] + error
    return type(reading)(*reading.points, value, reading.sd)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "reading", [Distance("P", "Q", 1.0), Angle("P", "Q", "R", 100.0), Offset("P", "Q", "R", 1.0)], ids=lambda r: r.words
)
def test_derivatives_are_those_of_the_values(reading: Reading) -> None:
    at = [(120.0, 340.0), (-410.0, 90.0), (700.0, -260.0)][: len(reading.points)]
    _, slopes = reading.model(at)
    for number, slope in enumerate(slopes):
        values = []
        for step in (-1e-3, 1e-3):
            flat = [part for place in at for part in place]
            flat[number] += step
            values.append(reading.model(list(zip(flat[::2], flat[1::2], strict=True)))[0])
        assert slope == pytest.approx((values[1] - values[0]) / 2e-3, rel=1e-6, abs=1e-9)


def test_angles_and_offsets_by_hand() -> None:
    assert Angle("P", "Q", "R", 80.0).model([(0, 0), (10, 0), (0, 5)])[0] == pytest.approx(90.0)
    assert Angle("P", "R", "Q", 280.0).model([(0, 0), (0, 5), (10, 0)])[0] == pytest.approx(270.0)
    assert Offset("P", "Q", "R", 0.0).model([(3, 4), (0, 0), (10, 0)])[0] == pytest.approx(4.0)
    assert Offset("P", "Q", "R", 0.0).model([(3, -4), (0, 0), (10, 0)])[0] == pytest.approx(-4.0)


@st.composite
def nets(draw: st.DrawFn) -> dict[str, XY]:
    """Places of four to seven points, about a middle as a shell's corners are."""
    count = draw(st.integers(4, 7))
    places = {}
    for number in range(count):
        turn = math.radians(360.0 * number / count + draw(st.floats(-10.0, 10.0)))
        reach = draw(st.floats(3000.0, 5000.0))
        places[f"P{number}"] = (reach * math.cos(turn), 2.0 * reach * math.sin(turn))
    return places


@settings(max_examples=30, deadline=None)
@given(nets(), st.integers(0, 10**6))
def test_true_places_come_back_within_their_standard_errors(places: dict[str, XY], seed: int) -> None:
    """The misfit of all unknowns together, over their covariance, is chi-square: beyond 1e-9 only by a fault.

    Each coordinate alone is so within 6.1 of its standard errors (the same chance), by known standard errors.
    """
    from scipy.special import chdtri

    readings = all_lengths(places, seed)
    datum = held("P0", "P1", places)
    net = adjust(readings, places, datum)
    at = {name: place.xy for name, place in net.points.items()}
    assert net.s0 is not None
    assert net.s0**2 * net.freedom < chdtri(net.freedom, 1e-9)
    fixed = (places["P1"][1] - places["P0"][1], places["P0"][0] - places["P1"][0])
    size = math.hypot(*fixed)
    off = (at["P1"][0] - places["P0"][0]) * fixed[0] + (at["P1"][1] - places["P0"][1]) * fixed[1]
    assert off / size == pytest.approx(0.0, abs=1e-6)
    for name, place in net.points.items():
        for found, true, spread in zip(place.xy, places[name], (place.sx, place.sy), strict=True):
            assert spread is not None
            assert abs(found - true) <= 6.1 * spread / net.s0 + 1e-6


def test_nine_hundred_and_ninety_seven_of_a_thousand_lie_within_three_standard_errors() -> None:
    """Of 400 surveys of one house, by known standard errors: the share within 1, 2 and 3 is the normal law's."""
    ratios = []
    for seed in range(400):
        net = adjust(all_lengths(HOUSE, seed), HOUSE, held("A", "B", HOUSE))
        assert net.s0 is not None
        for name in ("C", "D"):
            place = net.points[name]
            assert place.sx is not None
            assert place.sy is not None
            ratios += [
                (place.x - HOUSE[name][0]) / place.sx * net.s0,
                (place.y - HOUSE[name][1]) / place.sy * net.s0,
            ]
    sizes = np.abs(ratios)
    # of 1600 figures the share within 1 has a standard error of 1.2 %, more as they hang together
    assert np.mean(sizes <= 1.0) == pytest.approx(0.6827, abs=0.05)
    assert np.mean(sizes <= 2.0) == pytest.approx(0.9545, abs=0.025)
    assert np.mean(sizes <= 3.0) > 0.99


@settings(max_examples=25, deadline=None)
@given(nets(), st.integers(0, 10**6), st.floats(-180, 180), st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_moving_and_turning_a_survey_changes_nothing_but_its_position(
    places: dict[str, XY], seed: int, degrees: float, east: float, north: float
) -> None:
    cos, sin = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))

    def moved(place: XY) -> XY:
        return cos * place[0] - sin * place[1] + east, sin * place[0] + cos * place[1] + north

    readings = all_lengths(places, seed)
    other = {name: moved(place) for name, place in places.items()}
    one = adjust(readings, places, held("P0", "P1", places), onto=places)
    two = adjust(readings, other, held("P0", "P1", other), onto=other)
    three = adjust(readings, places, held("P2", "P3", places), onto=places)
    for name, place in one.points.items():
        assert two.points[name].xy == pytest.approx(moved(place.xy), abs=1e-5)
        # nor does it matter what was held, once it is fitted: coordinates and standard errors
        assert three.points[name].xy == pytest.approx(place.xy, abs=1e-5)
        assert (three.points[name].sx, three.points[name].sy) == pytest.approx((place.sx, place.sy), rel=1e-5)
    for first, second in zip(one.readings, two.readings, strict=True):
        assert second.residual == pytest.approx(first.residual, abs=1e-5)
        assert second.redundancy == pytest.approx(first.redundancy, abs=1e-5)
    assert sum(item.redundancy for item in one.readings) == pytest.approx(one.freedom, abs=1e-6)


def test_standard_errors_about_a_fit_are_those_of_a_free_net() -> None:
    """By the pseudoinverse of the singular normal equations, as free nets are adjusted."""
    places = {name: place for name, place in HOUSE.items() if name != "E"}
    readings = all_lengths(places, 5)
    net = adjust(readings, places, held("A", "B", places), onto=places)
    names = list(places)
    design = np.zeros((len(readings), 2 * len(names)))
    for row, reading in enumerate(readings):
        _, slopes = reading.model([net.points[name].xy for name in reading.points])
        for number, name in enumerate(reading.points):
            column = 2 * names.index(name)
            design[row, column : column + 2] = np.array(slopes[2 * number : 2 * number + 2]) / reading.sd
    spread = np.sqrt(np.diag(np.linalg.pinv(design.T @ design))) * net.s0
    for number, name in enumerate(names):
        place = net.points[name]
        assert (place.sx, place.sy) == pytest.approx(tuple(spread[2 * number : 2 * number + 2]), rel=1e-4)


def test_angles_and_offsets_carry_a_net() -> None:
    exact: list[Reading] = [
        Distance("A", "B", 0.0, SD),
        Distance("A", "D", 0.0, SD),
        Angle("A", "B", "D", 0.0, 0.02),
        Distance("B", "C", 0.0, SD),
        Angle("B", "C", "A", 0.0, 0.02),
        Distance("A", "E", 0.0, SD),
        Offset("E", "A", "B", 0.0, 2.0),
        Distance("C", "D", 0.0, SD),
    ]
    true = {**HOUSE, "C": (9610.0, 6620.0), "E": (4800.0, 14.0)}
    readings = [as_read(reading, true) for reading in exact]
    net = adjust(readings, HOUSE, held("A", "B", HOUSE))
    for name, place in true.items():
        assert net.points[name].xy == pytest.approx(place, abs=1e-6)
    assert net.freedom == 1


@pytest.mark.parametrize("gone", ["CD", "AC", "AB"])
def test_what_is_short_is_told_with_the_length_that_would_do(gone: str) -> None:
    places = {name: place for name, place in HOUSE.items() if name != "E"}
    needed = [("A", "B"), ("B", "C"), ("C", "D"), ("A", "D"), ("A", "C")]
    kept = [Distance(a, b, math.dist(places[a], places[b]), SD) for a, b in needed if a + b != gone]
    datum = held("A", "B", places)
    with pytest.raises(NotDeterminedError) as caught:
        adjust(kept, places, datum)
    assert "cannot be determined: add the length" in str(caught.value)
    assert len(caught.value.loose.add) == 1
    ((one, other),) = caught.value.loose.add
    # with it, the net is determined
    adjust([*kept, Distance(one, other, math.dist(places[one], places[other]), SD)], places, datum)


def test_every_length_that_is_missing_is_told_at_once() -> None:
    places = {**HOUSE, "F": (2000.0, 9000.0), "G": (5000.0, 9000.0)}
    tied = [*itertools.combinations(HOUSE, 2), ("F", "G")]
    readings: list[Reading] = [Distance(a, b, math.dist(places[a], places[b]), SD) for a, b in tied]
    datum = held("A", "B", places)
    with pytest.raises(NotDeterminedError) as caught:
        adjust(readings, places, datum)
    loose = caught.value.loose
    assert set(loose.points) == {"F", "G"}
    assert len(loose.add) == 3
    adjust([*readings, *(Distance(a, b, math.dist(places[a], places[b]), SD) for a, b in loose.add)], places, datum)


def test_point_in_line_with_all_it_is_tied_to_is_not_determined() -> None:
    readings = [r for r in all_lengths(HOUSE) if "E" not in r.points or set(r.points) <= {"A", "B", "E"}]
    with pytest.raises(NotDeterminedError) as caught:
        adjust(readings, HOUSE, held("A", "B", HOUSE))
    assert caught.value.loose.points == ("E",)
    assert {"C", "D"} & {name for pair in caught.value.loose.add for name in pair}


# each length is checked by lengths that other lengths check in turn
CHECKED = {**{name: HOUSE[name] for name in "ABCD"}, "P": (3000.0, 2500.0), "Q": (7000.0, 4200.0)}


@pytest.mark.parametrize("error", [-1000.0, -60.0, 60.0, 1000.0])
@pytest.mark.parametrize("wrong", range(15))
def test_a_slip_is_told_from_errors_of_reading(wrong: int, error: float) -> None:
    readings = all_lengths(CHECKED, 7)
    spoiled = list(readings)
    spoiled[wrong] = Distance(*readings[wrong].points, readings[wrong].value + error, SD)
    datum = held("A", "B", CHECKED)
    found = find_blunders(adjust(spoiled, CHECKED, datum), CHECKED, datum)
    assert len(found) == 1
    assert found[0].standardised > CRITICAL
    assert wrong in found[0].readings
    # of some centimetres, a few cannot be told from a neighbour; a metre can always
    assert len(found[0].readings) == 1 or (abs(error) < 100.0 and len(found[0].readings) == 2)
    assert found[0].excess == pytest.approx(error, abs=25.0) or len(found[0].readings) == 2


def test_two_slips_are_told() -> None:
    readings = all_lengths(CHECKED, 8)
    for wrong, error in ((3, 1000.0), (11, -200.0)):
        readings[wrong] = Distance(*readings[wrong].points, readings[wrong].value + error, SD)
    datum = held("A", "B", CHECKED)
    found = find_blunders(adjust(readings, CHECKED, datum), CHECKED, datum)
    assert [item.readings for item in found] == [(3,), (11,)]


def test_readings_that_only_check_each_other_are_named_together() -> None:
    """E lies on the line from A to B: how far off it only lengths from C and D tell; that takes up their errors."""
    readings = all_lengths(HOUSE, 7)
    number = next(k for k, reading in enumerate(readings) if reading.points == ("C", "E"))
    readings[number] = Distance("C", "E", readings[number].value + 60.0, SD)
    datum = held("A", "B", HOUSE)
    (found,) = find_blunders(adjust(readings, HOUSE, datum), HOUSE, datum)
    assert {readings[k].points for k in found.readings} == {("C", "E"), ("D", "E")}


def test_sound_readings_are_not_blamed() -> None:
    datum = held("A", "B", HOUSE)
    blamed = sum(
        bool(find_blunders(adjust(all_lengths(HOUSE, seed), HOUSE, datum), HOUSE, datum)) for seed in range(200)
    )
    # one reading of ten in a thousand by chance: two surveys of 200, and hardly ever more than eight
    assert blamed <= 8


def test_slip_that_cannot_be_told_names_all_that_it_may_be() -> None:
    places = {name: place for name, place in HOUSE.items() if name != "E"}
    readings = all_lengths(places, 3)
    readings[2] = Distance("A", "D", readings[2].value + 1000.0, SD)
    datum = held("A", "B", places)
    net = adjust(readings, places, datum)
    (found,) = find_blunders(net, places, datum)
    assert 2 in found.readings
    assert len(found.readings) == 6
    assert found.excess is None


def test_critical_value_where_standard_errors_are_weights() -> None:
    """Pope's tau from Student's t of one degree less; for many readings it comes to that of the normal law."""
    assert critical(1, False) == math.inf
    # t(0.9995; 1) = 636.619, any table: tau of two degrees is t √2 / √(1 + t²)
    assert critical(2, False) == pytest.approx(636.619 * math.sqrt(2.0) / math.sqrt(1.0 + 636.619**2), abs=1e-6)
    assert critical(100_000, False) == pytest.approx(3.2905, abs=1e-3)


def test_points_are_placed_anticlockwise_of_the_base() -> None:
    starts = starting_places(all_lengths(HOUSE), {}, ("A", "B"))  # type: ignore[arg-type]
    assert not starts.unplaced
    for name, place in HOUSE.items():
        assert starts.places[name] == pytest.approx(place, abs=300.0)
    turned = starting_places(all_lengths(HOUSE), {}, ("B", "A"))  # type: ignore[arg-type]
    assert turned.places["C"][1] > 6000.0
    assert turned.places["C"][0] == pytest.approx(0.0, abs=1.0)


def test_base_that_was_not_taped_itself() -> None:
    lengths = [r for r in all_lengths(HOUSE) if r.points != ("A", "B")]
    starts = starting_places(lengths, {}, ("A", "B"))  # type: ignore[arg-type]
    net = adjust(lengths, starts.places, held("A", "B", starts.places))
    for name, place in HOUSE.items():
        assert net.points[name].xy == pytest.approx(place, abs=1e-5)


def test_fit_is_the_best_of_all_turns() -> None:
    random_ = random.Random(2)
    places = {name: (x + random_.gauss(0, 30), y + random_.gauss(0, 30)) for name, (x, y) in HOUSE.items()}
    turn, middle, target = rigid(places, HOUSE)

    def cost(angle: float) -> float:
        cos, sin = math.cos(angle), math.sin(angle)
        total = 0.0
        for name, (x, y) in places.items():
            dx, dy = x - middle[0], y - middle[1]
            total += (target[0] + cos * dx - sin * dy - HOUSE[name][0]) ** 2
            total += (target[1] + sin * dx + cos * dy - HOUSE[name][1]) ** 2
        return total

    assert all(cost(turn) <= cost(turn + step) for step in (-1e-2, -1e-4, 1e-4, 1e-2, 1.0, math.pi))


def test_a_thousand_points() -> None:
    """A terrace of a thousand points, long and thin: the hardest of its kind; sparse, or it would not end."""
    random_ = random.Random(1)
    places = {
        f"{i}.{j}": (3000.0 * i + random_.gauss(0, 20), 3000.0 * j + random_.gauss(0, 20))
        for i in range(500)
        for j in range(2)
    }
    tied = []
    for i in range(500):
        tied.append((f"{i}.0", f"{i}.1"))
        if i < 499:
            tied += [(f"{i}.{a}", f"{i + 1}.{b}") for a in range(2) for b in range(2)]
    readings = [Distance(a, b, math.dist(places[a], places[b]) + random_.gauss(0.0, SD), SD) for a, b in tied]
    net = adjust(readings, places, held("0.0", "0.1", places), onto=places)
    assert net.freedom == len(tied) - 1997
    assert net.s0 == pytest.approx(1.0, abs=0.1)
    for name in ("0.0", "250.1", "499.1"):
        place = net.points[name]
        assert place.sx is not None
        assert place.sy is not None
        assert abs(place.x - places[name][0]) < 5.0 * place.sx
        assert abs(place.y - places[name][1]) < 5.0 * place.sy


def grid(slip: float) -> tuple[list[Reading], dict[str, XY]]:
    """Braced bays, 18 by 18, and one side of one that is read too long."""
    random_ = random.Random(1)
    places = {
        f"{i}.{j}": (3000.0 * i + random_.gauss(0, 20), 3000.0 * j + random_.gauss(0, 20))
        for i in range(18)
        for j in range(18)
    }
    readings: list[Reading] = []
    for i, j, (right, up) in itertools.product(range(18), range(18), ((1, 0), (0, 1), (1, 1), (1, -1))):
        other = f"{i + right}.{j + up}"
        if other in places:
            length = math.dist(places[f"{i}.{j}"], places[other]) + random_.gauss(0.0, SD)
            readings.append(Distance(f"{i}.{j}", other, length, SD))
    readings[600] = Distance(*readings[600].points, readings[600].value + slip, SD)
    return readings, places


def test_a_slip_of_a_metre_among_twelve_hundred_lengths() -> None:
    readings, places = grid(1000.0)
    datum = held("0.0", "1.0", places)
    found = find_blunders(adjust(readings, places, datum), places, datum)
    assert found[0].readings == (600,)
    assert found[0].excess == pytest.approx(1000.0, abs=20.0)
    assert len(found) <= 3


def test_what_cannot_be_adjusted_is_told_with_the_reading_to_check_first() -> None:
    """A side of three metres that is read as thirteen folds its bay over: no sum of squares is plainly least."""
    readings, places = grid(10_000.0)
    with pytest.raises(NotSettledError, match=f"check them for slips, first {readings[600].words}"):
        adjust(readings, places, held("0.0", "1.0", places))


def test_known_points_stay_where_they_are() -> None:
    net = adjust(all_lengths(HOUSE, 4), HOUSE, Datum(frozenset("ABC"), {}))
    for name in "ABC":
        place = net.points[name]
        assert place.xy == pytest.approx(HOUSE[name], abs=1e-9)
        assert (place.sx, place.sy) == (0.0, 0.0)
