"""Measure whole processes against their yardsticks and print the ratios: python tests/bench/run.py [runs].

Each figure is the median of whole processes, run in turn with its yardstick so that a slow minute on
the machine falls on both. Nothing here passes or fails.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

from lists import numbers
from terrace import terrace

HERE = Path(__file__).parent
ROOT = HERE.parent.parent
SIZES = {100: 25, 500: 129, 1000: 259}
"""Pieces, about, and the bays of a terrace that make them."""


@dataclass
class Timed:
    """A command, how long its runs took (s), and the most memory one took (MiB)."""

    command: list[str]
    seconds: list[float] = field(default_factory=list)
    memory: float = 0.0

    def run(self) -> None:
        begin = time.perf_counter()
        process = os.posix_spawn(
            self.command[0],
            self.command,
            os.environ,
            file_actions=[(os.POSIX_SPAWN_OPEN, fd, os.devnull, os.O_WRONLY, 0) for fd in (1, 2)],
        )
        _, status, usage = os.wait4(process, 0)
        self.seconds.append(time.perf_counter() - begin)
        self.memory = max(self.memory, usage.ru_maxrss / 1024)
        if status != 0:
            raise SystemExit(f"failed: {' '.join(self.command)}")

    @property
    def median(self) -> float:
        return statistics.median(self.seconds)


def alternate(runs: int, *commands: Timed) -> None:
    """Run commands in turn, each ``runs`` times."""
    for _ in range(runs):
        for command in commands:
            command.run()


def main(runs: int) -> None:
    python = sys.executable
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)

        def build(plan: Path) -> Timed:
            return Timed([python, "-m", "platemodel", "build", str(plan), "-o", str(folder / f"out-{plan.stem}")])

        help_, click = Timed([python, "-m", "platemodel", "--help"]), Timed([python, "-c", "import click"])
        alternate(runs, help_, click)
        print(f"--help {help_.median:.3f} s, import click {click.median:.3f} s: {help_.median / click.median:.2f}")

        demo = build(ROOT / "examples" / "bungalow.toml")
        bare = Timed([python, "-c", "import cadquery"])
        alternate(runs, demo, bare)
        print(f"main demo {demo.median:.2f} s, import cadquery {bare.median:.2f} s: {demo.median / bare.median:.2f}")

        plans = {}
        for size, bays in SIZES.items():
            plan = folder / f"terrace{size}.toml"
            plan.write_text(terrace(bays))
            plans[size] = (build(plan), numbers(terrace(bays), folder / f"lists{size}.json"))
        plain = Timed([python, str(HERE / "plain.py"), str(folder / "lists100.json"), str(folder / "plain")])
        alternate(runs, plain, *(command for command, _ in plans.values()))
        print(f"plain script, {plans[100][1]} pieces: {plain.median:.2f} s")
        for command, pieces in plans.values():
            ratio = command.median / plain.median
            print(f"{pieces} pieces {command.median:.2f} s: {ratio:.2f} of the script, {command.memory:.0f} MiB")
        (small, a), (middle, b), (large, c) = plans.values()
        late, early = (large.median - middle.median) / (c - b), (middle.median - small.median) / (b - a)
        print(f"a further piece {early * 1000:.1f} ms, later {late * 1000:.1f} ms: {late / early:.2f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
