"""Plain houses that tests start from, as the texts of plan files: four walls, and the main demo as designed."""

from __future__ import annotations

from pathlib import Path

ON_THE_WALL = "\n# On the wall: "
"""With these words the main demo's part begins that was measured on its shell."""


def plain_bungalow() -> str:
    """The main demo as designed: without what was measured on its shell and what is done there."""
    designed, words, _ = (
        (Path(__file__).parents[1] / "examples" / "bungalow.toml").read_text("utf-8").partition(ON_THE_WALL)
    )
    assert words
    assert "[site" not in designed
    return designed


def house(
    corners: str = "[[0, 0], [6000, 0], [6000, 4000], [0, 4000]]",
    walls: str = '["front", "right", "back", "left"]',
    stock: str = "",
) -> str:
    """A plan of one closed shell; ``stock`` are the lengths of boards as a list, default the program's own."""
    boards = f"[stock]\nlengths = {stock}\n" if stock else ""
    return f"""
[job]
title = "Made by a test"
[plate]
width = 100
depth = 50
{boards}[[shell]]
leaf = 140
corners = {corners}
walls = {walls}
"""
