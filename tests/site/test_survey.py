"""The shell as built, found again from lengths made of known corners, and every way in which a survey falls short."""

from __future__ import annotations

import itertools
import math
import random

import pytest
from houses import house

from platemodel.faults import PlanError
from platemodel.plan import Plan, parse_plan
from platemodel.site.as_built import AsBuilt
from platemodel.site.survey import adjusted

HOUSE = house("[[1000, 500], [10600, 500], [10600, 7100], [1000, 7100]]")
CLOCKWISE = house(
    "[[1000, 500], [1000, 7100], [10600, 7100], [10600, 500]]", walls='["left", "back", "right", "front"]'
)
CORNERS = {
    "left/front": (1000.0, 500.0),
    "front/right": (10600.0, 500.0),
    "right/back": (10600.0, 7100.0),
    "back/left": (1000.0, 7100.0),
}
POINTS = {"door": (4000.0, 500.0), "porch": (8000.0, 500.0)}
ON_WALL = '\n[[site.survey.point]]\nname = "{}"\nwall = "front"\nat = {}\n'
GATE = '\n[[site.survey.point]]\nname = "gate"\nwall = "right"\nat = {}\n'

AS_BUILT = {**CORNERS, "right/back": (10620.0, 7100.0), "door": (4000.0, 488.0), "porch": (8000.0, 500.0)}
AS_BUILT["gate"] = (10600.0 + 20.0 * 2500.0 / 6600.0, 3000.0)
"""The corner of right and back stands 20 mm too far east, the front bulges 12 mm out at the door."""


def taped(a: str, b: str, length: float, sd: float = 2.0) -> str:
    return f'\n[[site.survey.tape]]\nfrom = "{a}"\nto = "{b}"\nlength = {length!r}\nsd = {sd}\n'


def tape(
    places: dict[str, tuple[float, float]], slips: dict[tuple[str, str], float] | None = None, seed: int = 0
) -> str:
    """Every length between places, with errors of 1 mm (none for seed 0) and slips."""
    noise = random.Random(seed)
    text = ""
    for a, b in itertools.combinations(places, 2):
        length = math.dist(places[a], places[b]) + (noise.gauss(0.0, 1.0) if seed else 0.0)
        text += taped(a, b, length + (slips or {}).get((a, b), 0.0))
    return text


def as_built(*more: str, house: str = HOUSE) -> AsBuilt:
    found = adjusted(parse_plan(house + "".join(more), "p.toml"))
    assert found is not None
    return found


def with_points(slips: dict[tuple[str, str], float] | None = None, seed: int = 0) -> AsBuilt:
    points = "".join(ON_WALL.format(name, x - 1000.0) for name, (x, _) in POINTS.items()) + GATE.format(2500)
    return as_built(points, tape(AS_BUILT, slips, seed))


def test_no_survey_nothing_found() -> None:
    assert adjusted(parse_plan(HOUSE)) is None


def test_shell_as_designed_is_found_as_designed() -> None:
    found = as_built(tape(CORNERS))
    for name, place in CORNERS.items():
        assert found.points[name].at == pytest.approx(place, abs=1e-6)
    assert set(found.walls) == {0, 1, 2, 3}
    assert found.walls[0][0] == pytest.approx(CORNERS["left/front"], abs=1e-6)
    assert found.walls[0][1] == pytest.approx(CORNERS["front/right"], abs=1e-6)
    assert max(abs(item.by) for item in (*found.squares, *found.parallels, *found.legs, *found.diagonals)) < 1e-6
    assert (found.freedom, found.words) == (1, ())
    # lengths that agree to the last digit are still no better than a tape
    assert all(1.0 < point.sx < 3.0 and 1.0 < point.sy < 3.0 for point in found.points.values())


def test_one_corner_out_by_hand() -> None:
    """All figures worked out by hand from the places as built."""
    found = with_points()
    squares = {item.corner: item for item in found.squares}
    turn = math.degrees(math.atan2(20.0, 6600.0))
    # the right wall leans outward at the back: wider at the front, narrower at the back
    assert squares["front/right"].degrees == pytest.approx(turn, abs=1e-6)
    assert squares["right/back"].degrees == pytest.approx(-turn, abs=1e-6)
    assert squares["back/left"].degrees == pytest.approx(0.0, abs=1e-6)
    assert squares["front/right"].by == pytest.approx(20.0, abs=1e-3)
    assert squares["front/right"].over == pytest.approx(math.hypot(20.0, 6600.0), abs=1e-6)
    legs = {item.wall: item.by for item in found.legs}
    assert [legs[number] for number in range(4)] == pytest.approx([0.0, 0.0303, 20.0, 0.0], abs=1e-4)
    (diagonals,) = found.diagonals
    assert diagonals.by == pytest.approx(math.hypot(9620.0, 6600.0) - math.hypot(9600.0, 6600.0), abs=1e-6) or (
        diagonals.by == pytest.approx(math.hypot(9600.0, 6600.0) - math.hypot(9620.0, 6600.0), abs=1e-6)
    )
    longer = max(zip(diagonals.lengths, (diagonals.one, diagonals.other), strict=True))[1]
    assert set(longer) == {"left/front", "right/back"}
    parallels = {item.walls: item for item in found.parallels}
    assert set(parallels) == {(0, 2), (1, 3)}
    assert parallels[0, 2].by == pytest.approx(0.0, abs=1e-6)
    assert parallels[1, 3].by == pytest.approx(20.0, abs=1e-3)
    assert parallels[1, 3].wider_at == "right/back" or parallels[1, 3].wider_at == "back/left"
    off = {item.point: item.by for item in found.off_line}
    assert off == pytest.approx({"door": 12.0, "porch": 0.0, "gate": 0.0}, abs=1e-6)


def test_shell_drawn_the_other_way_round_is_the_same() -> None:
    one, other = with_points(), None
    points = "".join(ON_WALL.format(name, 10600.0 - x) for name, (x, _) in POINTS.items()) + GATE.format(4100)
    names = {name: name for name in AS_BUILT} | {
        "left/front": "front/left",
        "front/right": "right/front",
        "right/back": "back/right",
        "back/left": "left/back",
    }
    places = {names[name]: place for name, place in AS_BUILT.items()}
    other = as_built(points, tape(places), house=CLOCKWISE)
    for name, point in one.points.items():
        assert other.points[names[name]].at == pytest.approx(point.at, abs=1e-5)
    first = {frozenset(item.corner.split("/")): (item.degrees, item.by) for item in one.squares}
    second = {frozenset(item.corner.split("/")): (item.degrees, item.by) for item in other.squares}
    for corner, figures in first.items():
        assert second[corner] == pytest.approx(figures, abs=1e-5)
    assert {item.point: item.by for item in other.off_line} == pytest.approx(
        {"door": 12.0, "porch": 0.0, "gate": 0.0}, abs=1e-5
    )


def test_shell_built_turned_is_fitted_onto_the_design() -> None:
    """Only the shape is measured: a shell that stands turned and shifted as a whole comes back as designed."""
    cos, sin = math.cos(0.3), math.sin(0.3)
    moved = {name: (cos * x - sin * y + 5e5, sin * x + cos * y) for name, (x, y) in CORNERS.items()}
    found = as_built(tape(moved))
    for name, place in CORNERS.items():
        assert found.points[name].at == pytest.approx(place, abs=1e-5)


@pytest.mark.parametrize("slip", [1000.0, -1000.0, 150.0])
def test_slip_is_named_left_out_and_the_rest_holds(slip: float) -> None:
    found = with_points({("left/front", "right/back"): slip}, seed=3)
    marked = [row for row in found.rows if row.mark == "take again"]
    assert [row.points for row in marked] == [("left/front", "right/back")]
    assert marked[0].left_out
    assert marked[0].residual == pytest.approx(-slip, abs=8.0)
    assert found.words[0].startswith("take again reading 2, the length from left/front to right/back: it is ")
    assert ("more" if slip > 0.0 else "less") in found.words[0]
    assert {item.point: item.by for item in found.off_line}["door"] == pytest.approx(12.0, abs=8.0)
    assert {item.corner: item.by for item in found.squares}["front/right"] == pytest.approx(20.0, abs=8.0)


def test_slip_that_cannot_be_told_names_all_it_may_be() -> None:
    found = as_built(tape(CORNERS, {("left/front", "right/back"): 1000.0}))
    assert {row.mark for row in found.rows} == {"one of these"}
    assert not any(row.left_out for row in found.rows)
    assert "take all of them again, or tape one more diagonal" in found.words[0]


def test_slip_that_nothing_checks_is_asked_about() -> None:
    five = list(itertools.combinations(CORNERS, 2))[:5]
    lengths = "".join(taped(a, b, math.dist(CORNERS[a], CORNERS[b])) for a, b in five[1:])
    lengths += taped(*five[0], math.dist(CORNERS[five[0][0]], CORNERS[five[0][1]]) + 1000.0)
    found = as_built(lengths)
    assert found.freedom == 0
    assert found.s0 is None
    assert "it is 1000 mm more than designed, and no other reading checks it" in found.words[0]
    assert "no reading checks another" in found.words[1]


def test_readings_worse_than_they_say() -> None:
    places = {**CORNERS, "door": (4000.0, 500.0), "porch": (8000.0, 500.0), "gate": (10600.0, 3000.0)}
    noise = random.Random(206)
    text = ON_WALL.format("door", 3000) + ON_WALL.format("porch", 7000)
    text += GATE.format(2500)
    for a, b in itertools.combinations(places, 2):
        text += taped(a, b, math.dist(places[a], places[b]) + noise.choice((-9.0, 9.0)), 4.0)
    found = as_built(text)
    assert found.s0 is not None
    assert found.s0 > 1.7
    assert any("times worse than their standard errors say" in words for words in found.words)


def test_corners_not_measured_are_said_and_their_walls_left_out() -> None:
    places = {name: CORNERS[name] for name in ("left/front", "front/right", "right/back")}
    found = as_built(tape(places))
    assert set(found.walls) == {0, 1}
    assert found.words[-1] == "not measured, so not known as built: back/left"


def test_angles_and_offsets_serve_too() -> None:
    places = {**CORNERS, "door": (4000.0, 490.0)}
    text = ON_WALL.format("door", 3000)
    for a, b in (("left/front", "front/right"), ("front/right", "right/back"), ("left/front", "back/left")):
        text += taped(a, b, math.dist(places[a], places[b]))
    text += '\n[[site.survey.tape]]\nfrom = "left/front"\nto = "door"\nlength = 3000.0\n'
    text += '\n[[site.survey.angle]]\nat = "left/front"\nfrom = "front/right"\nto = "back/left"\ndegrees = 90.0\n'
    text += '\n[[site.survey.angle]]\nat = "front/right"\nfrom = "right/back"\nto = "left/front"\ndegrees = 90.0\n'
    text += '\n[[site.survey.offset]]\npoint = "door"\nfrom = "left/front"\nto = "front/right"\ndistance = -10.0\n'
    found = as_built(text)
    assert {row.kind for row in found.rows} == {"distance", "angle", "offset"}
    assert found.off_line[0].by == pytest.approx(10.0, abs=1e-6)
    assert max(abs(item.degrees) for item in found.squares) < 1e-6


def fault(*more: str, house: str = HOUSE) -> str:
    plan: Plan = parse_plan(house + "".join(more), "p.toml")
    with pytest.raises(PlanError) as caught:
        adjusted(plan)
    (found,) = caught.value.faults
    return found.text("p.toml")


def test_too_few_ties_are_told_at_the_reading_with_what_to_add() -> None:
    walls = tape(CORNERS).split("\n[[site.survey.tape]]")
    sides = "\n[[site.survey.tape]]".join(
        part
        for part in walls
        if not ("left/front" in part and "right/back" in part) and not ("front/right" in part and "back/left" in part)
    )
    said = fault(sides)
    assert said.startswith("p.toml:")
    assert "site.survey.tape[" in said
    assert "cannot be determined" in said
    assert "add the length from" in said


def test_point_on_a_line_with_its_corners_is_told() -> None:
    text = tape(CORNERS) + ON_WALL.format("door", 3000)
    for corner in ("left/front", "front/right"):
        text += taped("door", corner, math.dist(POINTS["door"], CORNERS[corner]))
    said = fault(text)
    assert "door cannot be determined" in said
    assert "site.survey.tape[6]" in said


def test_point_of_a_single_straight_wall_wants_an_offset() -> None:
    house = HOUSE.replace("leaf = 140", "leaf = 140\nclosed = false").replace(", [10600, 7100], [1000, 7100]]", "]")
    house = house.replace('["front", "right", "back", "left"]', '["front"]')
    text = taped("front start", "front end", 9600.0) + ON_WALL.format("door", 3000)
    text += taped("front start", "door", 3000.0) + taped("front end", "door", 6600.0)
    said = fault(text, house=house)
    assert "door cannot be determined" in said
    assert "measure offsets from the line" in said
    offset = '\n[[site.survey.offset]]\npoint = "door"\nfrom = "front start"\nto = "front end"\ndistance = -7.0\n'
    assert as_built(text, offset, house=house).off_line[0].by == pytest.approx(7.0, abs=0.1)


def test_angles_alone_have_no_size() -> None:
    said = fault('\n[[site.survey.angle]]\nat = "left/front"\nfrom = "front/right"\nto = "back/left"\ndegrees = 90.0\n')
    assert "found no taped length" in said
    assert "site.survey" in said


def test_empty_survey() -> None:
    assert "found no taped length" in fault("\n[site.survey]\nsd = 2.0\n")
