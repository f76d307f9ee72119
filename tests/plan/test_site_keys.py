"""What a plan says of the shell as built: points by name, places on walls, and every fault told at its line."""

from __future__ import annotations

import math
import re

import pytest
from houses import house

from platemodel.faults import PlanError
from platemodel.plan import Plan, parse_plan

HOUSE = house()
OPEN = HOUSE.replace("leaf = 140", "leaf = 140\nclosed = false").replace(', "left"]', "]")


def plan(*more: str, house: str = HOUSE) -> Plan:
    return parse_plan(house + "\n".join(more))


def faults(*more: str) -> list[str]:
    with pytest.raises(PlanError) as caught:
        plan(*more)
    return [fault.text(caught.value.file) for fault in caught.value.faults]


TAPE = '[[site.survey.tape]]\nfrom = "{}"\nto = "{}"\nlength = {}'


def test_nothing_said_is_nothing_asked() -> None:
    site = plan().site
    assert (site.survey, site.levels, site.straps, site.built, site.rules) == (None, None, None, (), None)
    assert (site.bed.least, site.bed.most, site.placing.outer, site.placing.fit) == (10.0, 20.0, 15.0, "design")


def test_corners_are_named_by_their_walls_either_way_round() -> None:
    found = plan(TAPE.format("front/right", "back/left", 7211), TAPE.format("right/front", "right/back", 4000)).site
    assert found.survey is not None
    first, second = found.survey.tapes
    assert (first.begin, second.begin) == ("front/right", "front/right")
    assert second.end == "right/back"
    points = found.survey.points
    assert points["front/right"].design == (6000.0, 0.0)
    assert points["back/left"].design == (0.0, 4000.0)
    assert math.dist(points[first.begin].design, points[first.end].design) == pytest.approx(7211.1, abs=0.01)
    assert {first.sd, second.sd} == {3.0}


def test_open_ends_and_points_have_names() -> None:
    found = plan(
        TAPE.format("front start", "back end", 4000),
        TAPE.format("door", "back end", 4123),
        '[[site.survey.point]]\nname = "door"\nwall = "front"\nat = 1000',
        house=OPEN,
    ).site.survey
    assert found is not None
    assert found.points["front start"].design == (0.0, 0.0)
    assert found.points["door"].design == (1000.0, 0.0)
    assert found.points["back end"].design == (0.0, 4000.0)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (TAPE.format("front/right", "front/back", 4000), "there is no point 'front/back'"),
        (TAPE.format("front/right", "right/front", 4000), "stands twice"),
        (TAPE.format("front/right", "right/back", 4.0), "is this metres?"),
        ('[[site.survey.point]]\nname = "p"\nwall = "porch"\nat = 1', "there is no wall 'porch'"),
        ('[[site.survey.point]]\nname = "p"\nwall = "front"\nat = 6500', "beyond the end of 'front'"),
        ('[[site.survey.point]]\nname = "front/right"\nwall = "front"\nat = 1', "is used twice"),
        ('[[site.levels.laser]]\nwall = "front"\nat = 7000\ndown = 1200', "beyond the end of 'front'"),
        ('[[site.levels.book]]\nstation = "a"\nbacksight = 1.2\nwall = "front"', "found one of wall and at"),
        ('[[site.levels.book]]\nstation = "a"\nbacksight = 12.5', "site.levels.book[0].backsight"),
        ("[site.bed]\nleast = 20\nmost = 10", "less than least"),
        ('[site.placing]\nhold = ["bakc"]', "there is no wall 'bakc'"),
        ('[site.straps]\ngables = ["bakc"]', "there is no wall 'bakc'"),
        ('[[strap]]\nwall = "front"\nat = 6100', "beyond the end of 'front'"),
        ("[site]\nlevel = 3", "site.level"),
        ("[site.straps]\nevery = 1", "site.straps.every"),
        ("[site.bed]\nbag = 1e-320", "site.bed.bag"),
        ("[site.survey]\nsd = 1e-300", "site.survey.sd"),
    ],
)
def test_faults_are_told(more: str, words: str) -> None:
    found = faults(more)
    assert len(found) == 1
    assert words in found[0]
    assert re.match(r"plan:\d+: ", found[0])


def test_book_and_laser_exclude_each_other() -> None:
    book = '[[site.levels.book]]\nstation = "a"\nbacksight = 1.2'
    laser = '[[site.levels.laser]]\nwall = "front"\nat = 100\ndown = 1200'
    assert "expected one of the two" in faults(book, laser)[0]
    levels = plan(laser).site.levels
    assert levels is not None
    assert [(reading.wall, reading.at, reading.down) for reading in levels.laser] == [(0, 100.0, 1200.0)]


def test_the_rest_is_read() -> None:
    site = plan(
        '[site.placing]\nhold = ["back"]\nfit = "shell"',
        '[site.straps]\nevery = 1500\ngables = ["left", "right"]',
        '[[strap]]\nwall = "front"\nat = 300',
        '[rules]\nfile = "ours.toml"',
        '[[opening]]\nwall = "front"\nfrom = 1000\nto = 2000\nstands_up = 4\ndpc = true',
    )
    assert (site.site.placing.hold, site.site.placing.fit) == ((2,), "shell")
    assert site.site.straps is not None
    assert (site.site.straps.every, site.site.straps.gables) == (1500.0, (3, 1))
    assert [(strap.wall, strap.at) for strap in site.site.built] == [(0, 300.0)]
    assert site.site.rules == "ours.toml"
    assert (site.openings[0].stands_up, site.openings[0].dpc) == (4.0, True)
