"""Measure what the work on the wall adds to a build: python tests/bench/wall.py [runs].

The main demo's house with 40 taped lengths and 60 stations of a levelling book, against the same without, as medians
of builds run in turn; and a net of 1,000 points adjusted, which is done in this process. Nothing here passes or fails.
"""

from __future__ import annotations

import math
import random
import re
import statistics
import sys
import tempfile
import time
from pathlib import Path

from run import ROOT, Timed, alternate

from platemodel.plan import read_plan
from platemodel.site.adjusting import adjust, held
from platemodel.site.readings import Distance

TIES, STATIONS, POINTS = 40, 60, 1000
SITE = re.compile(r"(?s)\n(# [^\n]*\n)*\[site\.survey\].*")


def main(runs: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        source = (ROOT / "examples" / "bungalow.toml").read_text("utf-8")
        bare = folder / "bare.toml"
        bare.write_text(SITE.sub("\n", source))
        built = folder / "built.toml"
        built.write_text(bare.read_text() + _site(bare))
        timed = [
            Timed([sys.executable, "-m", "platemodel", "build", str(plan), "-o", str(folder / plan.stem)])
            for plan in (built, bare)
        ]
        alternate(runs, *timed)
        whole, less = (one.median for one in timed)
        print(
            f"main demo, {TIES} ties and {STATIONS} stations: {whole:.2f} s, without {less:.2f} s; "
            f"they add {whole - less:.2f} s"
        )
    print(f"{POINTS} points, {_net(runs)}")


def _site(bare: Path) -> str:
    """Ties between all corners and places on the walls, and a book that goes round them, with errors by chance."""
    chance = random.Random(1)
    every = read_plan(bare).walls
    walls = [wall for wall in every if wall.shell is not None]
    corners = {f"{walls[k - 1].name}/{wall.name}": wall.start for k, wall in enumerate(walls)}
    names = list(corners)
    pairs = [(one, other) for k, one in enumerate(names) for other in names[k + 1 :]]
    # all corners with each other, some lengths taped more than once
    lines = [
        "[site.survey]\nsd = 2\n",
        *(
            f'[[site.survey.tape]]\nfrom = "{one}"\nto = "{other}"\n'
            f"length = {math.dist(corners[one], corners[other]) + chance.gauss(0.0, 2.0):.0f}\n"
            for one, other in (pairs[k % len(pairs)] for k in range(TIES))
        ),
        "[site.levels]\nstart = 100.0\n",
        '[[site.levels.book]]\nstation = "peg"\nbacksight = 1.5\n',
    ]
    for k in range(STATIONS):
        wall = every[k % len(every)]
        at = wall.length * (0.05 + 0.9 * (k // len(every)) * len(every) / STATIONS)
        lines.append(
            f'[[site.levels.book]]\nstation = "{k + 1}"\nintermediate = {1.41 + chance.uniform(-0.003, 0.003):.3f}\n'
            f'wall = "{wall.name}"\nat = {at:.0f}\n'
        )
    lines.append('[[site.levels.book]]\nstation = "peg again"\nforesight = 1.5\n')
    return "\n".join(lines)


def _net(runs: int) -> str:
    """The adjustment of a net of 25 by 40 points with lengths to all neighbours and diagonals."""
    chance = random.Random(2)
    wide, deep = 25, POINTS // 25
    places = {f"{x}.{y}": (4000.0 * x, 4000.0 * y) for x in range(wide) for y in range(deep)}
    steps = ((1, 0), (0, 1), (1, 1), (1, -1))
    ends = [
        (f"{x}.{y}", f"{x + dx}.{y + dy}")
        for x in range(wide)
        for y in range(deep)
        for dx, dy in steps
        if f"{x + dx}.{y + dy}" in places
    ]
    lengths = [Distance(a, b, math.dist(places[a], places[b]) + chance.gauss(0.0, 2.0), 2.0) for a, b in ends]
    spent = []
    for _ in range(runs):
        begun = time.perf_counter()
        adjust(lengths, places, held("0.0", "1.0", places), True)
        spent.append(time.perf_counter() - begun)
    return f"{len(lengths)} lengths adjusted in {statistics.median(spent):.2f} s"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
