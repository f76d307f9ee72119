"""A terrace of any length, as a plan: two long walls, a spine, and a cross wall every bay."""

from __future__ import annotations

BAY = 3600
DEPTH = 11000


def terrace(bays: int) -> str:
    """The text of a plan with ``bays`` bays; about five pieces a bay."""
    length = BAY * bays
    crosses = "".join(
        f"""
[[cross]]
name = "party {number}"
leaf = 100
from = [{BAY * number}, 0]
to = [{BAY * number}, {DEPTH}]
"""
        for number in range(1, bays)
    )
    return f"""
[job]
title = "Terrace of {bays} bays"

[plate]
width = 100
depth = 50

[stock]
lengths = [3600, 4200, 4800, 5400, 6000]

[[shell]]
name = "terrace"
leaf = 100
corners = [[0, 0], [{length}, 0], [{length}, {DEPTH}], [0, {DEPTH}]]
walls = ["front", "east", "back", "west"]

[[cross]]
name = "spine"
leaf = 100
from = [0, 5200]
to = [{length}, 5200]
{crosses}
"""


def sheds(count: int) -> str:
    """The text of a plan with ``count`` sheds, no two alike; about four types a shed."""
    shells = "".join(
        f"""
[[shell]]
name = "shed {number}"
leaf = 100
corners = [[{x}, 0], [{x + wide}, 0], [{x + wide}, {deep}], [{x}, {deep}]]
"""
        for number in range(count)
        for x, wide, deep in [(9000 * number, 3000 + 37 * number, 2600 + 53 * number)]
    )
    return f"""
[job]
title = "{count} sheds"

[plate]
width = 100
depth = 50

[stock]
lengths = [3600, 4200, 4800, 5400, 6000]
{shells}
"""


if __name__ == "__main__":
    import sys

    print(terrace(int(sys.argv[1])))
