"""Rules of the shell as built, of the frame set on it and of its bed: what is found is what geometry says."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest
from houses import house

from platemodel.frame import decide
from platemodel.plan import parse_plan, read_plan
from platemodel.site import onwall
from platemodel.site.onwall import OnWall, as_it_is_built, on_the_wall
from platemodel.site.rules import Verdict

XY = tuple[float, float]
CORNERS = ("left/front", "front/right", "right/back", "back/left")
# as designed 6000 × 4000; as built the right wall leans out by 24 mm at the back, and the back is longer with it
SKEWED: dict[str, XY] = dict(zip(CORNERS, [(0.0, 0.0), (6000.0, 0.0), (6024.0, 4000.0), (0.0, 4000.0)], strict=True))


def surveyed(places: Mapping[str, XY], points: Sequence[tuple[str, str, float]] = ()) -> str:
    """Readings of every length between some places, free of error; ``points`` are named by wall and place on it."""
    text = "[site.survey]\nsd = 1\n"
    for name, wall, at in points:
        text += f'[[site.survey.point]]\nname = "{name}"\nwall = "{wall}"\nat = {at}\n'
    for one, other in itertools.combinations(places, 2):
        length = math.dist(places[one], places[other])
        text += f'[[site.survey.tape]]\nfrom = "{one}"\nto = "{other}"\nlength = {length!r}\n'
    return text


def on_wall(text: str, folder: Path | None = None, rules: str = "") -> OnWall:
    if folder is None:
        plan = parse_plan(text)
    else:
        (folder / "ours.toml").write_text(rules, "utf-8")
        (folder / "house.toml").write_text(text + '[rules]\nfile = "ours.toml"\n', "utf-8")
        plan = read_plan(folder / "house.toml")
    built, survey = as_it_is_built(plan)
    return on_the_wall(decide(built), survey)


def of(wall: OnWall, words: str) -> list[Verdict]:
    found = [verdict for verdict in wall.verdicts if words in verdict.rule]
    assert found, words
    return found


def figure(verdict: Verdict) -> float:
    return float(verdict.found.split()[0])


def test_a_shell_out_of_square_is_told_corner_by_corner() -> None:
    wall = on_wall(house() + surveyed(SKEWED))
    square = of(wall, "out of square")
    # 24 mm in the 4 m of the right wall, at both of its corners, and nowhere else
    assert sorted(verdict.where.split(",")[0] for verdict in square) == ["corner 'front/right'", "corner 'right/back'"]
    assert [figure(verdict) for verdict in square] == pytest.approx([4000 * 24 / math.hypot(4000, 24)] * 2, abs=0.06)
    (diagonal,) = of(wall, "diagonals of the shell")
    differ = math.dist(SKEWED["left/front"], SKEWED["right/back"]) - math.dist(
        SKEWED["front/right"], SKEWED["back/left"]
    )
    assert figure(diagonal) == pytest.approx(differ, abs=0.06)
    assert diagonal.passed == (differ <= 20.0)
    (parallel,) = of(wall, "out of parallel")
    assert "'right' and 'left', wider at 'back/left'" in parallel.where
    assert figure(parallel) == pytest.approx(24.0, abs=0.1)
    (length,) = of(wall, "longer or shorter")
    assert "'back', longer" in length.where
    assert figure(length) == pytest.approx(24.0, abs=0.06)
    assert {v.source for v in (*square, diagonal, parallel, length)} == {"common practice"}
    assert all(v.level == "advice" for v in wall.verdicts)


def test_the_frame_on_the_shell_is_judged_by_the_plan_s_settings() -> None:
    text = house() + surveyed(SKEWED)
    (off,) = of(on_wall(text), "off the setback")
    # shifted as one the frame shares the 24 mm between the left wall and the right one
    assert off.passed
    assert figure(off) == pytest.approx(12.0, abs=0.15)
    strict = on_wall(text + '[site.placing]\nouter = 2\nhold = ["front"]\n')
    (outer,) = of(strict, "outer face of the leaf")
    assert (outer.limit, outer.source) == ("at most 2 mm", "site.placing.outer of the plan; by itself common practice")
    # the plates are as wide as 100 of the leaf's 140: nothing stands past the inner face
    (inner,) = of(strict, "inner face of the leaf")
    assert (inner.passed, inner.found) == (True, "none stands past it")
    (held,) = of(strict, "walls that are held")
    assert (held.passed, held.found) == (True, "1 wall, exact")
    # 40 mm too short a shell: plates stand 20 past it at both ends
    short = {name: (x and 5960.0, y) for name, (x, y) in SKEWED.items()}
    over = of(on_wall(house() + surveyed(short)), "outer face of the leaf")
    assert {verdict.where.split("'")[1] for verdict in over} == {"left", "right"}
    assert [figure(verdict) for verdict in over] == pytest.approx([20.0] * 4, abs=0.15)
    assert not any(verdict.passed for verdict in over)
    missing = dict(itertools.islice(SKEWED.items(), 3))
    (loose,) = of(on_wall(house() + surveyed(missing) + '[site.placing]\nhold = ["left"]\n'), "walls that are held")
    assert loose.where == "'left': its outer face was not measured"


def test_a_plate_wider_than_its_leaf_may_stand_past_it_as_it_does_by_design() -> None:
    narrow = house().replace("leaf = 140", "leaf = 80")
    assert narrow != house()
    (inner,) = of(on_wall(narrow + surveyed(SKEWED)), "inner face of the leaf")
    assert inner.limit == "at most 20 mm"


@pytest.mark.parametrize(
    ("long", "marks", "found", "over"),
    [
        # a wall of 4 m: one place 9 mm out of line, in the middle
        (4000.0, {2000.0: 9.0}, 9.0, "4.0 m"),
        # of 9 m: three places; the middle one is 16 mm off the wall's line, but 8 mm off that of those 2 m beside it
        (9000.0, {2500.0: 8.0, 4500.0: 16.0, 6500.0: 8.0}, 8.0, "4.0 m"),
        # nothing near enough on either side: judged over what there is
        (9000.0, {4500.0: 9.0}, 9.0, "9.0 m"),
    ],
)
def test_a_wall_is_straight_within_any_5_m(long: float, marks: dict[float, float], found: float, over: str) -> None:
    corners: list[XY] = [(0.0, 0.0), (long, 0.0), (long, 4000.0), (0.0, 4000.0)]
    points = [(f"p{number}", "front", at) for number, at in enumerate(marks)]
    places: dict[str, XY] = dict(zip(CORNERS, corners, strict=True))
    places |= {name: (at, -marks[at]) for name, _, at in points}
    text = house(str([list(corner) for corner in corners])) + surveyed(places, points)
    (straight,) = of(on_wall(text), "off straight")
    assert figure(straight) == pytest.approx(found, abs=0.06)
    assert over in (straight.where or straight.found)
    assert (straight.limit, straight.source) == ("at most 8 mm", "NHBC Standards 2011, 1.2-S1")
    assert straight.passed == (found <= 8.0)


def test_wall_tops_are_level_in_proportion_to_their_length() -> None:
    tops = {"front": (0, 9), "right": (0, 7), "back": (0, 0), "left": (0, 6)}
    lengths = {"front": 6000, "right": 4000, "back": 6000, "left": 4000}
    text = house() + "[site.bed]\nmost = 15\n"
    for name, (near, far) in tops.items():
        for at, down in ((500, near), (lengths[name] - 500, far)):
            text += f'[[site.levels.laser]]\nwall = "{name}"\nat = {at}\ndown = {300 + down}\n'
    wall = on_wall(text)
    # NHBC Standards 2011, 1.2-S1: 8 mm in 5 m, so 6.4 mm in 4 m, and 12 mm over more than 5 m
    short = of(wall, "bed joints off level in 5 m")
    assert [(verdict.passed, verdict.where) for verdict in short] == [(False, "'right', 7.0 mm in 4.0 m: 8.8 mm")]
    (long,) = of(wall, "over more than 5 m")
    assert (long.passed, long.found) == (True, "9.0 mm at worst, 'front'")
    bed = of(wall, "the bed is as thick")
    assert [verdict.passed for verdict in bed] == [False] * len(bed)
    assert "too thick" in bed[0].where


def test_a_plan_s_own_rule_set_judges_the_shell(tmp_path: Path) -> None:
    (square,) = of(on_wall(house() + surveyed(SKEWED), tmp_path, "shell_square = 30\n"), "out of square")
    assert (square.passed, square.limit, square.source) == (True, "at most 30 mm", "rule set ours.toml")
    text = '[shell_square]\nvalue = 10\nlevel = "must"\nsource = "the truss maker"\n'
    square, _ = of(on_wall(house() + surveyed(SKEWED), tmp_path, text), "out of square")
    assert (square.passed, square.level, square.source) == (False, "must", "the truss maker")


def test_nothing_is_judged_of_a_shell_that_was_not_measured() -> None:
    wall = on_wall(house())
    assert wall.verdicts
    assert not [
        verdict.rule for verdict in wall.verdicts if "the shell" in verdict.rule or "plates as set" in verdict.rule
    ]


def test_a_frame_fitted_to_the_shell_is_surveyed_once_and_told_against_the_design(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    calls = []
    adjusted = onwall.adjusted
    monkeypatch.setattr(onwall, "adjusted", lambda plan: calls.append(plan) or adjusted(plan))
    wall = on_wall(house() + surveyed(SKEWED) + '[site.placing]\nfit = "shell"\n')
    assert len(calls) == 1
    # the walls of the plan are those as built by now, and still the shell is out of square with its design
    assert wall.survey is not None
    assert wall.survey.plan is calls[0]
    assert {round(figure(verdict)) for verdict in of(wall, "out of square")} == {24}
