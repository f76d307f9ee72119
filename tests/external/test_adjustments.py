"""Least squares adjustments as published, to the last digit that is printed, and against other solvers.

What is printed of the results was worked out independently from the published readings (Gauss-Newton, converged to
1e-12); the readings and the control points are the sources' own.
"""

from __future__ import annotations

import csv
import math
import random
from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np
import pytest
from faulty import left

from platemodel.site.adjusting import Datum, Net, adjust, held
from platemodel.site.readings import XY, Distance
from platemodel.site.starting_places import starting_places

# C. D. Ghilani and P. R. Wolf, Adjustment Computations, Example 14.2, feet; the readings as they stand in
# https://www.geolabsolutions.com/s/TheoryCourseResourceszip.001
CONTROL = {"A": (865.40, 4527.15), "B": (2432.55, 2047.25), "C": (2865.22, 27.15)}
RAYS = {"A": 6049.00, "B": 4736.83, "C": 5446.49}

# A. M. Chandra, Higher Surveying, Example 3.3, p. 53, metres. The book shifts angles instead, so its own answers
# are not those of least squares.
QUADRILATERAL = {"AB": 1525.456, "BC": 2176.945, "CD": 1697.435, "AD": 2401.435, "AC": 3073.845, "BD": 2483.115}

# GitHub whigg/spatial_adjustment, adjustment1.m: places and lengths without errors, metres
BUILDING = {"1": (100.103, 100.011), "2": (111.601, 109.003), "3": (122.181, 144.013), "4": (116.692, 168.014)}
SIDES = {"12": 14.5967, "13": 49.2302, "14": 69.9973, "23": 36.5734, "24": 59.2302, "34": 24.6209}


def rays(sds: Mapping[str, float]) -> list[Distance]:
    return [Distance(name, "U", value, sds[name]) for name, value in RAYS.items()]


def to_one_point(sds: Mapping[str, float], start: XY, known: bool) -> Net:
    return adjust(rays(sds), {**CONTROL, "U": start}, Datum(frozenset(CONTROL), {}), known)


@pytest.mark.parametrize("start", [(6861.5, 3728.9), (5000.0, 3000.0), (3000.0, 5000.0)])
def test_three_distances_of_equal_weight(start: XY) -> None:
    net = to_one_point(dict.fromkeys("ABC", 1.0), start, known=False)
    place = net.points["U"]
    assert (f"{place.x:.4f}", f"{place.y:.4f}") == ("6861.3168", "3727.8186")
    assert [f"{item.residual:+.4f}" for item in net.readings] == ["-0.0374", "+0.0768", "-0.0474"]
    assert (net.freedom, f"{net.s0:.4f}") == (1, "0.0977")
    assert (f"{place.sx:.4f}", f"{place.sy:.4f}") == ("0.0775", "0.1542")


def test_three_distances_weighted() -> None:
    """The same with standard errors of 1 mm + 2 ppm: GitHub rafimt/Adjustment-Calculation, ex11_1.m, in metres."""
    net = to_one_point({name: 0.001 + 2e-6 * value for name, value in RAYS.items()}, (6861.5, 3728.9), known=True)
    place = net.points["U"]
    assert (f"{place.x:.4f}", f"{place.y:.4f}") == ("6861.3040", "3727.8240")
    assert [f"{item.residual:+.4f}" for item in net.readings] == ["-0.0508", "+0.0667", "-0.0531"]
    assert f"{net.s0:.3f}" == "8.692"


def quadrilateral() -> tuple[list[Distance], dict[str, XY], Datum]:
    lengths = [Distance(ends[0], ends[1], value) for ends, value in QUADRILATERAL.items()]
    starts = dict(starting_places(lengths, {}, ("A", "B")).places)
    return lengths, starts, held("A", "B", starts)


def test_braced_quadrilateral() -> None:
    net = adjust(*quadrilateral(), known=False)
    residuals = {"".join(item.reading.points): f"{item.residual:+.4f}" for item in net.readings}
    assert residuals == {
        "AB": "+0.0810",
        "BC": "+0.1128",
        "CD": "+0.0672",
        "AD": "+0.0975",
        "AC": "-0.1422",
        "BD": "-0.1129",
    }
    values = {"".join(item.reading.points): f"{item.value:.4f}" for item in net.readings}
    assert values == {
        "AB": "1525.5370",
        "BC": "2177.0578",
        "CD": "1697.5022",
        "AD": "2401.5325",
        "AC": "3073.7028",
        "BD": "2483.0021",
    }
    found = {name: (f"{place.x:.4f}", f"{place.y:.4f}") for name, place in net.points.items()}
    assert found == {
        "A": ("0.0000", "0.0000"),
        "B": ("1525.5370", "0.0000"),
        "C": ("2305.8540", "2032.4089"),
        "D": ("632.3419", "2316.7870"),
    }
    assert (net.freedom, f"{net.s0:.4f}") == (1, "0.2574")


def test_set_of_a_building_has_no_errors() -> None:
    lengths = [Distance(ends[0], ends[1], value) for ends, value in SIDES.items()]
    net = adjust(lengths, BUILDING, held("1", "2", BUILDING), known=False, onto=BUILDING)
    assert all(abs(item.residual) < 1e-4 for item in net.readings)
    for name, place in BUILDING.items():
        # which are given to the millimetre
        assert net.points[name].xy == pytest.approx(place, abs=5e-4)


def test_published_sets_as_a_user_has_them(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    tape, control = tmp_path / "tape.csv", tmp_path / "control.csv"
    tape.write_text("from,to,length\n" + "".join(f"{name},U,{value}\n" for name, value in RAYS.items()))
    control.write_text("point,x,y\n" + "".join(f"{name},{x},{y}\n" for name, (x, y) in CONTROL.items()))
    code, out, err = left(["survey", str(tape), "--fixed", str(control), "-o", str(tmp_path / "one")], capsys)
    assert (code, err) == (0, "")
    assert "0.0977" in out
    with open(tmp_path / "one" / "points.csv", newline="") as stream:
        place = {row["point"]: row for row in csv.DictReader(stream)}["U"]
    assert [f"{float(place[key]):.4f}" for key in ("x", "y", "sx", "sy")] == [
        "6861.3168",
        "3727.8186",
        "0.0775",
        "0.1542",
    ]
    tape.write_text("from,to,length\n" + "".join(f"{e[0]},{e[1]},{v}\n" for e, v in QUADRILATERAL.items()))
    code, _, err = left(["survey", str(tape), "--hold", "A", "--along", "B", "-o", str(tmp_path / "two")], capsys)
    assert (code, err) == (0, "")
    with open(tmp_path / "two" / "points.csv", newline="") as stream:
        places = {row["point"]: (f"{float(row['x']):.4f}", f"{float(row['y']):.4f}") for row in csv.DictReader(stream)}
    assert places["C"] == ("2305.8540", "2032.4089")
    assert places["D"] == ("632.3419", "2316.7870")


def braced(seed: int, across: int = 4, high: int = 3) -> tuple[list[Distance], dict[str, XY]]:
    """A grid of braced bays with random errors and standard errors, mm."""
    random_ = random.Random(seed)
    places = {
        f"{i}.{j}": (3000.0 * i + random_.uniform(-200, 200), 2500.0 * j + random_.uniform(-200, 200))
        for i in range(across)
        for j in range(high)
    }
    lengths = []
    for i in range(across):
        for j in range(high):
            for right, up in ((1, 0), (0, 1), (1, 1), (1, -1)):
                other = f"{i + right}.{j + up}"
                if other in places:
                    sd = random_.uniform(1.0, 5.0)
                    value = math.dist(places[f"{i}.{j}"], places[other]) + random_.gauss(0.0, sd)
                    lengths.append(Distance(f"{i}.{j}", other, value, sd))
    return lengths, places


def residuals_of(lengths: Sequence[Distance], names: Sequence[str], values: Sequence[float]) -> np.ndarray:
    """Weighted misfits with the first point at 0, 0 and the second on the x axis; the unknowns follow by name."""
    at = {names[0]: (0.0, 0.0), names[1]: (values[0], 0.0)}
    at |= {name: (values[1 + 2 * k], values[2 + 2 * k]) for k, name in enumerate(names[2:])}
    return np.array([(math.dist(at[item.begin], at[item.end]) - item.value) / item.sd for item in lengths])


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_same_as_a_general_solver(seed: int) -> None:
    """scipy.optimize.least_squares on the same sum of squares; standard errors by its own Jacobian."""
    from scipy.optimize import least_squares

    lengths, _ = braced(seed)
    starts = dict(starting_places(lengths, {}, ("0.0", "1.0")).places)
    net = adjust(lengths, starts, held("0.0", "1.0", starts))
    names = ["0.0", "1.0", *(name for name in starts if name not in ("0.0", "1.0"))]
    first = [starts["1.0"][0], *(part for name in names[2:] for part in starts[name])]
    other = least_squares(lambda x: residuals_of(lengths, names, x), first, x_scale="jac", xtol=1e-14, gtol=1e-14)
    freedom = len(lengths) - len(first)
    assert net.s0 == pytest.approx(math.sqrt(2.0 * other.cost / freedom), rel=1e-8)
    deviations = np.sqrt(np.diag(np.linalg.inv(other.jac.T @ other.jac)) * 2.0 * other.cost / freedom)
    for k, name in enumerate(names[2:]):
        place = net.points[name]
        assert place.xy == pytest.approx(tuple(other.x[1 + 2 * k : 3 + 2 * k]), abs=1e-3)
        assert (place.sx, place.sy) == pytest.approx(tuple(deviations[1 + 2 * k : 3 + 2 * k]), rel=1e-3)
    hat = other.jac @ np.linalg.inv(other.jac.T @ other.jac) @ other.jac.T
    assert [item.redundancy for item in net.readings] == pytest.approx(list(1.0 - np.diag(hat)), abs=1e-5)


def test_same_as_a_fitting_library() -> None:
    """lmfit, which is given the net as a model like any other."""
    import lmfit

    lengths, _ = braced(4, 3, 2)
    starts = dict(starting_places(lengths, {}, ("0.0", "1.0")).places)
    net = adjust(lengths, starts, held("0.0", "1.0", starts))
    names = ["0.0", "1.0", *(name for name in starts if name not in ("0.0", "1.0"))]
    parameters = lmfit.Parameters()
    first = [starts["1.0"][0], *(part for name in names[2:] for part in starts[name])]
    for number, value in enumerate(first):
        parameters.add(f"p{number}", value=value)
    result = lmfit.minimize(
        lambda p: residuals_of(lengths, names, [p[f"p{n}"].value for n in range(len(first))]),
        parameters,
        xtol=1e-13,
        ftol=1e-13,
    )
    assert net.freedom == result.nfree
    assert net.s0 == pytest.approx(math.sqrt(result.redchi), rel=1e-7)
    for k, name in enumerate(names[2:]):
        place, x, y = net.points[name], result.params[f"p{1 + 2 * k}"], result.params[f"p{2 + 2 * k}"]
        assert place.xy == pytest.approx((x.value, y.value), abs=2e-3)
        assert (place.sx, place.sy) == pytest.approx((x.stderr, y.stderr), rel=2e-3)
