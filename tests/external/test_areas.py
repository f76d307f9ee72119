"""Areas by the surveyor's formula, and the volumes of pieces from the cutting list alone."""

from __future__ import annotations

import math
from collections.abc import Sequence

import pytest
from built import Built

from platemodel.frame.shape import face_area

Point = tuple[float, float]


def surveyor(points: Sequence[Point]) -> float:
    """Half the sum of cross products of neighbouring corners, anticlockwise positive."""
    pairs = zip(points, [*points[1:], points[0]], strict=True)
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairs) / 2


def heron(a: float, b: float, c: float) -> float:
    """Area of a triangle from its sides."""
    s = (a + b + c) / 2
    return math.sqrt(s * (s - a) * (s - b) * (s - c))


# A. M. Chandra, Higher Surveying, example 3.3, p. 53: a braced quadrilateral. Observed sides and diagonals
# adjusted by least squares with equal weights (our computation), and the corners that they give, in metres.
QUADRILATERAL = [(0.0, 0.0), (1525.5370, 0.0), (2305.8540, 2032.4089), (632.3419, 2316.7870)]
AB, BC, CD, AD, AC, BD = 1525.5370, 2177.0578, 1697.5022, 2401.5325, 3073.7028, 2483.0021

# https://github.com/whigg/spatial_adjustment, adjustment1.m: points of a small net and the distances between them
NET = {1: (100.103, 100.011), 2: (111.601, 109.003), 3: (122.181, 144.013), 4: (116.692, 168.014)}
DISTANCES = {(1, 2): 14.5967, (1, 3): 49.2302, (1, 4): 69.9973, (2, 3): 36.5734, (2, 4): 59.2302, (3, 4): 24.6209}


def test_the_yardstick_on_a_published_quadrilateral() -> None:
    # three ways that share no formula: corners; two triangles' sides; diagonals and sides (Bretschneider)
    by_corners = surveyor(QUADRILATERAL)
    by_triangles = heron(AB, BC, AC) + heron(AC, CD, AD)
    by_diagonals = math.sqrt(4 * (AC * BD) ** 2 - (AB**2 - BC**2 + CD**2 - AD**2) ** 2) / 4
    # lengths and corners are given to 0.1 mm: 0.05 mm on a perimeter of 7.8 km is 0.4 m2
    assert by_corners == pytest.approx(by_triangles, abs=0.4)
    assert by_corners == pytest.approx(by_diagonals, abs=0.4)


@pytest.mark.parametrize("corners", [(1, 2, 3), (1, 2, 4), (1, 3, 4), (2, 3, 4)])
def test_the_yardstick_on_a_published_net(corners: tuple[int, int, int]) -> None:
    one, two, three = corners
    sides = DISTANCES[one, two], DISTANCES[two, three], DISTANCES[one, three]
    # residuals of this net are below 0.1 mm; a thin triangle's area is that times half its perimeter, and
    # its height, found from its sides, is worse by side over height
    area = abs(surveyor([NET[corner] for corner in corners]))
    height = 2 * area / max(sides)
    bound = 1e-4 * sum(sides) / 2 * max(1.0, max(sides) / height)
    assert area == pytest.approx(heron(*sides), abs=bound)


def test_face_areas_are_the_surveyor_s() -> None:
    flat = [(x, y, 7.0) for x, y in QUADRILATERAL]
    upright = [(x, -3.0, y) for x, y in QUADRILATERAL]
    for points in (flat, upright):
        assert face_area(points, (0, 1, 2, 3)) == pytest.approx(surveyor(QUADRILATERAL), rel=1e-12)
    # with a side vertex more, and from another corner, it is the same area
    middle = tuple((a + b) / 2 for a, b in zip(flat[1], flat[2], strict=True))
    assert face_area([*flat, middle], (1, 4, 2, 3, 0)) == pytest.approx(surveyor(QUADRILATERAL), rel=1e-12)


ROUNDED = 0.0005
"""The list gives thousandths of a millimetre, so each of its lines may be half of one off."""


def _layers(row: dict[str, str]) -> tuple[list[list[Point]], list[list[Point]], float]:
    """Outlines of a piece and of what its cuts take, from a row of the list: whole, cuts, and its width.

    A piece's ends are square unless an end lap gives their slant.
    """
    length, width = float(row["length_mm"]), float(row["width_mm"])
    cuts = []
    low, high = (0.0, 0.0), (length, length)
    for number in range(1, int(row["laps"]) + 1):
        begin = float(row[f"lap{number}_from_y0"]), float(row[f"lap{number}_from_yw"])
        end = float(row[f"lap{number}_to_y0"]), float(row[f"lap{number}_to_yw"])
        if min(begin) < 2 * ROUNDED:
            low = begin
        if max(end) > length - 2 * ROUNDED:
            high = end
        cuts.append([(begin[0], 0.0), (end[0], 0.0), (end[1], width), (begin[1], width)])
    return [[(low[0], 0.0), (high[0], 0.0), (high[1], width), (low[1], width)]], cuts, width


def test_volumes_follow_from_the_cutting_list_alone(built: Built) -> None:
    assert [row["mark"] for row in built.cutting_list] == list(built.pieces)
    for row in built.cutting_list:
        whole, cuts, width = _layers(row)
        half_depth = float(row["depth_mm"]) / 2
        halves = [row[f"lap{number}_half"] for number in range(1, int(row["laps"]) + 1)]
        # an under half has lost the upper layer there, an over half the lower one
        lost = {
            layer: [surveyor(cut) for cut, half in zip(cuts, halves, strict=True) if half == keeps]
            for layer, keeps in (("upper", "under"), ("lower", "over"))
        }
        assert all(area > 0 for areas in lost.values() for area in areas)
        upper, lower = (surveyor(whole[0]) - sum(lost[layer]) for layer in ("upper", "lower"))
        bound = half_depth * width * 2 * ROUNDED * (2 + len(cuts))
        assert built.pieces[row["mark"]]["volume"] == pytest.approx(half_depth * (upper + lower), abs=bound)


def test_the_cutting_list_says_what_the_report_says(built: Built) -> None:
    for row in built.cutting_list:
        piece = built.pieces[row["mark"]]
        assert float(row["length_mm"]) == pytest.approx(piece["length"], abs=ROUNDED * 1.001)
        assert row["type"] == piece["type"]
        assert int(row["laying_order"]) == piece["order"]
        assert row["turned_over"] == ("yes" if piece["place"]["turned_over"] else "no")
        assert float(row["mass_kg"]) == pytest.approx(piece["mass"], abs=0.00501)
        assert int(row["laps"]) == len(piece["laps"])
        for number, lap in enumerate(piece["laps"], start=1):
            assert [row[f"lap{number}_{part}"] for part in ("kind", "half", "mate")] == [
                lap["kind"],
                lap["half"],
                lap["mate"],
            ]
            for part, edge, value in (("from", "y0", 0), ("from", "yw", 1), ("to", "y0", 0), ("to", "yw", 1)):
                given = float(row[f"lap{number}_{part}_{edge}"])
                assert given == pytest.approx(lap[part][value], abs=ROUNDED * 1.001)
