"""Check a batch of plans before anything is built: what is wrong with each, what each comes to, what advises otherwise.

Run as: python examples/check_many.py plans/*.toml; leaves no files, and ends with 1 where a plan is not good. The CAD
kernel is not loaded: frames and rules are plane geometry. To prove the solids too, build the plans.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence

import platemodel


def checked(path: str) -> tuple[bool, str]:
    """Whether a plan is good, and what is said of it."""
    try:
        frame = platemodel.frame_of(platemodel.read_plan(path))
        # a plan may name a file of rules of its own, which is read here
        broken = [verdict for verdict in platemodel.judge(frame) if not verdict.passed]
    except platemodel.PlanError as error:
        return False, str(error)
    lines = [f"{path}: {frame!r}"]
    lines += [f"  {verdict.level}: {verdict.rule}: {verdict.where}" for verdict in broken]
    return all(verdict.level != "must" for verdict in broken), "\n".join(lines)


def main(paths: Sequence[str]) -> int:
    """Check each plan and say so; gives the exit code."""
    good = True
    for path in paths:
        passed, said = checked(path)
        print(said)
        good = good and passed
    return 0 if good and paths else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
