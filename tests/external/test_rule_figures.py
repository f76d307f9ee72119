"""The rule set that comes with the program says what its sources say."""

from __future__ import annotations

import pytest

from platemodel.frame import decide
from platemodel.plan import parse_plan
from platemodel.site.rule_set import default_set
from platemodel.site.strapping import strapping

# NHBC Standards 2020, 7.2.6,
# https://nhbc-standards.co.uk/2020/7-roofs/7-2-pitched-roofs/7-2-6-wall-plates/
PLATES = "NHBC Standards 2020, 7.2.6"
# NHBC Standards 2020, 7.2.8, https://nhbc-standards.co.uk/7-roofs/7-2-pitched-roofs/7-2-8-restraint/
RESTRAINT = "NHBC Standards 2020, 7.2.8"
# Approved Document A (2004, amended 2013), section 2C: from memory
EAVES = "Approved Document A, section 2C"
# EN 1996-1-1:2005, 8.1.5: from memory
BEDS = "EN 1996-1-1, 8.1.5"
# LABC Warranty Technical Manual V7 and V8, 1.1.3, https://paperzz.com/doc/8088467/chapter-1--tolerances
EVEN = "LABC Warranty Technical Manual, 1.1.3"
# NHBC Standards 2011, 1.2-S1,
# http://nhbccampaigns.co.uk/landingpages/techzone/previous_versions/2011/Part1/Section2/sitework.htm
SHELL = "NHBC Standards 2011, 1.2-S1"


@pytest.mark.parametrize(
    ("key", "value", "sense", "source"),
    [
        ("plate_length", 3000, "least", PLATES),
        ("plate_bearings", 3, "least", PLATES),
        ("plate_width", 100, "least", PLATES),
        ("plate_depth", 38, "least", PLATES),
        ("strap_width", 30, "least", PLATES),
        ("strap_thickness", 2.5, "least", PLATES),
        ("strap_spacing", 2000, "most", PLATES),
        ("strap_lowest", 150, "most", PLATES),
        ("strap_nail_diameter", 4, "least", PLATES),
        ("strap_nail_length", 75, "least", PLATES),
        ("strap_screw_length", 50, "least", PLATES),
        ("nails", 2, "least", PLATES),
        ("nail_diameter", 4.5, "least", PLATES),
        ("nail_length", 100, "least", PLATES),
        ("lateral_width", 30, "least", RESTRAINT),
        ("lateral_thickness", 5, "least", RESTRAINT),
        ("lateral_spacing", 2000, "most", RESTRAINT),
        ("lateral_spacing_higher", 1250, "most", RESTRAINT),
        ("lateral_storeys", 3, "most", RESTRAINT),
        ("lateral_trusses", 3, "least", RESTRAINT),
        ("lateral_downturn", 100, "least", RESTRAINT),
        ("strap_length", 1000, "least", EAVES),
        ("strap_eaves_spacing", 2000, "most", EAVES),
        ("strap_none_pitch", 15, "least", EAVES),
        ("strap_none_members", 1200, "most", EAVES),
        ("bed_least", 6, "least", BEDS),
        ("bed_most", 15, "most", BEDS),
        ("bed_even", 5, "most", EVEN),
        ("shell_level", 8, "most", SHELL),
        ("shell_level_long", 12, "most", SHELL),
        ("shell_straight", 8, "most", SHELL),
        ("shell_plumb", 8, "most", SHELL),
    ],
)
def test_a_figure_is_as_published(key: str, value: float, sense: str, source: str) -> None:
    figure = default_set()[key]
    assert (figure.value, figure.sense, figure.source) == (value, sense, source)
    assert figure.memory == (source in (EAVES, BEDS))


def test_what_has_no_published_figure_says_so() -> None:
    # no published figure was found of these: what is kept between laps, openings, trusses and straps
    for key in ("lap_opening", "lap_bearing", "strap_end", "strap_opening", "screw_edge", "load_after"):
        assert default_set()[key].source == "common practice"


def test_straps_of_a_wall_are_2_m_apart_at_most() -> None:
    """NHBC Standards 2020, 7.2.6: spacing at most 2 m."""
    text = '[job]\ntitle = "t"\n[plate]\nwidth = 100\ndepth = 38\n[stock]\nlengths = [12500]\n[[shell]]\nleaf = 140\n'
    text += "closed = false\ncorners = [[0, 0], [12000, 0]]\nwalls = ['front']\n[site.straps]\nend = 1000\n"
    found = strapping(decide(parse_plan(text)))
    assert found is not None
    # 10 m between the first and the last, 1 m in from the ends: five spacings of 2 m, no fewer
    assert [strap.at for strap in found.of_wall(0)] == pytest.approx([1000, 3000, 5000, 7000, 9000, 11000])
