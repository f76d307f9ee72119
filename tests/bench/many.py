"""Measure many plans at once against single runs: python tests/bench/many.py [houses].

Houses of some twenty pieces each: all in one run, the same again with nothing changed, and each in a run of its
own, one after the other. Memory is the most that any one process took. Nothing here passes or fails.
"""

from __future__ import annotations

import csv
import sys
import tempfile
from pathlib import Path

from run import Timed
from terrace import terrace


def main(houses: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        plans = []
        for number in range(houses):
            # no two alike: each has its own depth
            text = (
                terrace(4).replace("11000", str(9000 + 20 * number)).replace("Terrace", f"Plot {number + 1}, terrace")
            )
            plans.append(folder / f"plot-{number + 1}.toml")
            plans[-1].write_text(text)
        build = [sys.executable, "-m", "platemodel", "build"]
        few = Timed([*build, *map(str, plans[: max(2, houses // 5)]), "-o", str(folder / "few")])
        many = Timed([*build, *map(str, plans), "-o", str(folder / "all")])
        again = Timed(many.command)
        single = [Timed([*build, str(plan), "-o", str(folder / "single" / plan.stem)]) for plan in plans]
        for one in (few, many, again, *single):
            one.run()
        with open(folder / "all" / "summary.csv", newline="", encoding="utf-8") as stream:
            pieces = sum(int(row["pieces"]) for row in csv.DictReader(stream))
        alone = sum(one.median for one in single)
        print(f"{houses} houses of {pieces / houses:.1f} pieces: {many.median:.1f} s, singly {alone:.1f} s")
        print(f"ratio {many.median / alone:.2f}; nothing changed {again.median:.2f} s")
        print(f"most memory {few.memory:.0f} MiB for {len(few.command) - 6}, {many.memory:.0f} MiB for {houses}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 50)
