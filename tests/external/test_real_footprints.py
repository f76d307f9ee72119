"""Footprints of real buildings, as surveyors of a free map drew them, become plans; one of them is proved.

Source: the package momepy 0.11.0 (PyPI), its data set 'bubenec'; (c) OpenStreetMap contributors, Open Database
Licence 1.0. Of two of its 144 buildings the bare shape is kept: moved to an origin of its own, and scaled by the cosine
of 50.1°, its latitude, since the file's projection stretches lengths by so much. In metres, to a millimetre.
"""

from __future__ import annotations

import math
import re
from pathlib import Path
from typing import Any

import pytest
from faulty import left
from shapely import LineString, Point, Polygon, from_wkt, hausdorff_distance

from platemodel.plan import read_plan

STEPPED = (
    "POLYGON ((20.929 5.756, 6.048 0, 5.398 1.748, 3.549 1.058, 0 10.51, 1.849 11.211, 1.135 13.137, "
    "1.314 13.204, 15.852 18.815, 20.929 5.756))"
)
NEARLY_STRAIGHT = "POLYGON ((5.056 0, 0 13.126, 15.981 19.082, 20.993 5.956, 20.458 5.744, 5.056 0))"


@pytest.fixture(autouse=True)
def here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def outline() -> Polygon:
    return Polygon([wall.start for wall in read_plan("made.toml").walls])


def drawn(text: str) -> Polygon:
    """The footprint in millimetres, its corners alone."""
    return Polygon([(x * 1000, y * 1000) for x, y in from_wkt(text).exterior.coords])


def test_a_stepped_house_keeps_its_shape_and_is_proved(capsys: Any) -> None:
    Path("house.wkt").write_text(STEPPED)
    assert left(["new", "made.toml", "--from", "house.wkt", "--unit", "m"], capsys)[0] == 0
    assert hausdorff_distance(outline(), drawn(STEPPED)) <= 5.0
    assert outline().area == pytest.approx(drawn(STEPPED).area, rel=1e-3)
    # one corner of its north wall is a hair off the straight
    assert len(outline().exterior.coords) == len(drawn(STEPPED).exterior.coords) - 1
    assert left(["check", "made.toml"], capsys)[0] == 0


def test_a_wall_in_two_parts_that_nearly_line_up_is_told_what_makes_it_one(capsys: Any) -> None:
    Path("house.wkt").write_text(NEARLY_STRAIGHT)
    command = ["new", "made.toml", "--from", "house.wkt", "--unit", "m"]
    code, _, err = left(command, capsys)
    by = LineString([(20993, 5956), (5056, 0)]).distance(Point(20458, 5744))
    first, second = math.atan2(5956 - 5744, 20993 - 20458), math.atan2(5744, 20458 - 5056)
    turn = math.degrees(abs(first - second))
    assert code == 2
    assert f"the corner at (20458.0, 5744.0) turns by {turn:.3g}°, {by:.1f} mm off the straight" in err
    told = re.search(r"with --tolerance (\d+) they are straight, and it makes a plan", err)
    assert told is not None
    assert float(told[1]) >= by
    assert left([*command, "--tolerance", told[1]], capsys)[0] == 0
    assert len(outline().exterior.coords) == 5
    assert by - 0.1 <= hausdorff_distance(outline(), drawn(NEARLY_STRAIGHT)) <= float(told[1])
