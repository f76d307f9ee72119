"""Into what lengths a plate is divided.

Least plate: 3 m, or long enough for 3 bearings; NHBC Standards 2020, 7.2.6,
https://nhbc-standards.co.uk/2020/7-roofs/7-2-pitched-roofs/7-2-6-wall-plates/
"""

from __future__ import annotations

from typing import Any

import pytest
from built import Builder, Built


def _on(built: Built, wall: str) -> list[dict[str, Any]]:
    return [piece for piece in built.report["pieces"] if wall in piece["walls"]]


def test_a_plate_as_long_as_the_longest_board_is_one_piece_and_weighs_the_check_value(builder: Builder) -> None:
    (piece,) = _on(builder("short"), "one board")
    assert piece["length"] == 4800.0
    assert piece["laps"] == []
    # 38 x 100 mm x 4.8 m of C24: arithmetic with 420 kg/m3
    assert piece["mass"] == pytest.approx(7.66, abs=0.005)


def test_a_plate_that_makes_two_of_3_m_is_divided_so(builder: Builder) -> None:
    # 5900 and an overlap of 100 are two plates of 3 m, and no other division keeps both from falling short
    lengths = [piece["length"] for piece in _on(builder("short"), "two of 3 m")]
    assert lengths == pytest.approx([3000.0, 3000.0], abs=1e-6)
