"""The plainest house that tests of single keys start from: four walls, as the text of a plan file."""

from __future__ import annotations


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
