"""A plan built in code: a row of garages, drawn by its number of bays, proved, and written as STEP.

Run as: python examples/plan_in_code.py [bays] [folder]; without a folder nothing is written.
"""

from __future__ import annotations

import re
import sys

import platemodel

BAY, DEEP, LEAF = 3000, 6000, 140


def garages(bays: int) -> platemodel.Plan:
    """The plan of a row of garages: one shell, a wall between every two bays, doors that keep off splices."""
    return platemodel.plan_of(
        {
            "job": {"title": f"Row of {bays} garages", "number": f"G-{bays}"},
            "plate": {"width": 100, "depth": 50, "grade": "C24"},
            "stock": {"lengths": [4200, 4800, 6000]},
            "shell": [
                {
                    "leaf": LEAF,
                    "corners": [[0, 0], [bays * BAY, 0], [bays * BAY, DEEP], [0, DEEP]],
                    "walls": ["doors", "right", "back", "left"],
                }
            ],
            "cross": [
                {"leaf": LEAF, "from": {"wall": "doors", "at": bay * BAY}, "to": [bay * BAY, DEEP]}
                for bay in range(1, bays)
            ],
            "opening": [{"wall": "doors", "from": bay * BAY + 300, "to": (bay + 1) * BAY - 300} for bay in range(bays)],
        }
    )


def main(bays: str = "3", folder: str | None = None) -> None:
    """Say what the row comes to; write its solids where a folder is named."""
    if not re.fullmatch("[1-9][0-9]{0,2}", bays):
        raise SystemExit(f"bays: found {bays!r}; expected a whole number from 1 to 999")
    try:
        row(platemodel.frame_of(garages(int(bays))), folder)
    except (platemodel.PlanError, platemodel.KernelMissing, OSError) as error:
        raise SystemExit(str(error)) from None


def row(frame: platemodel.Frame, folder: str | None) -> None:
    """Say how the pieces lie, and prove them; write them where a folder is named."""
    print(frame)
    for piece in frame.laying:
        laps = ", ".join(f"{half.kind} {'under' if half.under else 'over'}" for half in piece.halves)
        print(f"{piece.order:3} {piece.mark:4} {piece.length:6.0f} mm  {piece.mass:4.1f} kg  {laps}")
    proof = platemodel.prove(frame)
    print("proved" if proof.passed else "NOT PROVED")
    if proof.passed and folder is not None:
        for path in platemodel.write_step(frame, folder):
            print(path)


if __name__ == "__main__":
    if len(sys.argv) > 3:
        raise SystemExit("expected at most two words: python examples/plan_in_code.py [bays] [folder]")
    main(*sys.argv[1:])
