"""Masses, boards and the building standard's figures for wall plates, from the report and the lists alone.

Mean densities: EN 338:2016, table 1 (from memory). Of its figures those of C14, C16, C18, C22, C24 and
C30 are the same in the 2009 edition, as https://www.engineeringtoolbox.com/structural-softwood-strength-classes-d_1804.html
gives them. Wall plates: NHBC Standards 2020, 7.2.6,
https://nhbc-standards.co.uk/2020/7-roofs/7-2-pitched-roofs/7-2-6-wall-plates/
"""

from __future__ import annotations

import csv
from typing import Any

import pytest
from built import Builder, Built

from platemodel.frame.timber import mass

EN_338_2016 = {"C14": 350, "C16": 370, "C18": 380, "C20": 400, "C22": 410} | {
    "C24": 420,
    "C27": 430,
    "C30": 460,
    "C35": 470,
    "C40": 480,
}
SAME_IN_2009 = ("C14", "C16", "C18", "C22", "C24", "C30")
EN_338_2009 = {"C14": 350, "C16": 370, "C18": 380, "C22": 410, "C24": 420, "C30": 460}


@pytest.mark.parametrize("grade", list(EN_338_2016))
def test_a_cubic_metre_has_the_mean_density(grade: str) -> None:
    assert mass(1e9, grade) == pytest.approx(EN_338_2016[grade], rel=1e-12)


@pytest.mark.parametrize("grade", SAME_IN_2009)
def test_classes_that_both_editions_have_alike(grade: str) -> None:
    assert mass(1e9, grade) == pytest.approx(EN_338_2009[grade], rel=1e-12)


@pytest.mark.parametrize(("width", "depth", "length", "kilograms"), [(100, 38, 4800, 7.66), (100, 75, 6000, 18.9)])
def test_check_values_of_plates(width: float, depth: float, length: float, kilograms: float) -> None:
    # 38 x 100 mm x 4.8 m of C24 is 7.66 kg, 75 x 100 mm x 6.0 m is 18.9 kg: arithmetic with 420 kg/m3
    assert mass(width * depth * length, "C24") == pytest.approx(kilograms, abs=0.005)


def test_masses_in_the_report_are_volume_times_density(built: Built) -> None:
    density = EN_338_2016[built.plan["plate"].get("grade", "C16")]
    for piece in built.report["pieces"]:
        assert piece["mass"] == pytest.approx(piece["volume"] * 1e-9 * density, rel=1e-9)


def _on(built: Built, wall: str) -> list[dict[str, Any]]:
    return [piece for piece in built.report["pieces"] if wall in piece["walls"]]


def test_every_piece_is_on_one_board(built: Built) -> None:
    marks = [mark for board in built.report["boards"] for mark in board["pieces"]]
    assert sorted(marks) == sorted(built.pieces)


def test_boards_are_of_stock_lengths_and_of_one_width(built: Built) -> None:
    stock = built.plan["stock"]["lengths"]
    for board in built.report["boards"]:
        assert board["pieces"]
        assert board["length"] in stock
        assert len({built.pieces[mark]["width"] for mark in board["pieces"]}) == 1


def test_pieces_and_kerfs_fit_their_board_and_the_offcut_is_what_is_left(built: Built) -> None:
    kerf = built.plan["stock"].get("kerf", 3)
    for board in built.report["boards"]:
        lengths = [built.pieces[mark]["length"] for mark in board["pieces"]]
        # a cut between each two pieces; the last one is not needed where the last piece ends flush
        assert sum(lengths) + kerf * (len(lengths) - 1) <= board["length"] + 1e-6
        left = board["length"] - sum(lengths) - kerf * len(lengths)
        assert board["offcut"] == pytest.approx(max(left, 0.0), abs=1e-6)
        assert board["offcut"] >= 0.0


def test_a_board_is_no_longer_than_its_pieces_need(built: Built) -> None:
    kerf = built.plan["stock"].get("kerf", 3)
    for board in built.report["boards"]:
        lengths = [built.pieces[mark]["length"] for mark in board["pieces"]]
        need = sum(lengths) + kerf * (len(lengths) - 1)
        assert board["length"] == min(length for length in built.plan["stock"]["lengths"] if length >= need - 1e-6)


def test_the_buying_list_adds_up_to_the_boards(built: Built) -> None:
    with open(built.folder / "buying-list.csv", encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    wanted: dict[tuple[float, float], int] = {}
    for board in built.report["boards"]:
        key = built.pieces[board["pieces"][0]]["width"], board["length"]
        wanted[key] = wanted.get(key, 0) + 1
    # one spare board of each width where the plan does not say how many: common practice
    assert sum(int(row["spare"]) for row in rows) == len({width for width, _ in wanted})
    grade = built.plan["plate"].get("grade", "C16")
    found = {}
    for row in rows:
        width, length, count = float(row["width_mm"]), float(row["length_mm"]), int(row["count"])
        found[width, length] = count
        count += int(row["spare"])
        assert float(row["depth_mm"]) == built.depth
        assert row["grade"] == grade
        assert float(row["metres"]) == pytest.approx(count * length / 1000, abs=0.00501)
        kilograms = count * length * width * built.depth * 1e-9 * EN_338_2016[grade]
        assert float(row["mass_kg"]) == pytest.approx(kilograms, abs=0.0501)
    assert found == wanted


def _short(built: Built) -> list[dict[str, Any]]:
    return [rule for rule in built.report["rules"] if "3 m" in rule["rule"] and "3 bearings" in rule["rule"]]


def test_a_plate_under_3_m_must_run_over_three_bearings(builder: Builder) -> None:
    built = builder("short")
    verdicts = _short(built)
    assert all("NHBC" in verdict["source"] and "7.2.6" in verdict["source"] for verdict in verdicts)
    failed = {verdict["where"].split()[0] for verdict in verdicts if not verdict["passed"]}
    # 2.4 m over three joists will do, 2.4 m over two beams will not, 3 m needs none
    assert {piece["mark"] for piece in _on(built, "on two")} <= failed
    for wall in ("on three", "just 3 m"):
        assert not failed & {piece["mark"] for piece in _on(built, wall)}


def test_short_plates_are_found_wherever_they_are(built: Built) -> None:
    short = {piece["mark"] for piece in built.report["pieces"] if piece["length"] < 3000.0 - 1e-6}
    failed = {verdict["where"].split()[0] for verdict in _short(built) if not verdict["passed"]}
    assert failed <= short
    if not built.plan.get("bearing"):
        assert failed == short


def test_the_section_is_38_by_100_or_said_to_be_less(built: Built) -> None:
    verdicts = [rule for rule in built.report["rules"] if "38 x 100" in rule["rule"]]
    less = [p for p in built.report["pieces"] if p["width"] < 100 or p["depth"] < 38]
    assert verdicts
    assert all("NHBC" in verdict["source"] for verdict in verdicts)
    assert all(verdict["passed"] for verdict in verdicts) == (not less)


def test_plates_that_meet_are_half_lapped_corners_included(built: Built) -> None:
    # NHBC: half-lapped joints, corners included; each joint is a lap and takes a half from either piece
    (verdict,) = [rule for rule in built.report["rules"] if rule["rule"] == "plates that meet are lapped"]
    assert verdict["passed"]
    for joint in built.report["joints"]:
        assert joint["kind"] in ("corner", "tee", "cross", "splice")
        halves = [
            lap["half"] for mark in joint["pieces"] for lap in built.pieces[mark]["laps"] if lap["joint"] == joint["id"]
        ]
        assert halves == ["under", "over"]
