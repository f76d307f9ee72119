"""Where plates lie on other plates, and no mortar goes: at laps, under the half that lies on its mate."""

from __future__ import annotations

import math
from collections.abc import Iterator

from platemodel.frame.runs import on_run
from platemodel.frame.values import Frame, Piece

SAME = 1.0
"""Places no farther apart are one (mm)."""


def lies_on(frame: Frame, piece: Piece, s: float) -> str:
    """The mark of the plate on which a piece lies at a place along its strip, mm; empty where mortar goes."""
    return next((mate for begin, end, mate in _dry(frame, piece) if begin + SAME < s < end - SAME), "")


def without_mortar(frame: Frame, wall: int, at: float) -> bool:
    """Whether plates on a wall only lie on plates of others at a place along it, mm."""
    found = []
    for number, run in enumerate(frame.runs):
        if wall in run.walls:
            s = on_run(frame.plan, run, wall, at)
            here = (it for it in frame.pieces if it.run == number and min(it.low) - SAME <= s <= max(it.high) + SAME)
            found += [lies_on(frame, piece, s) for piece in here]
    return bool(found) and all(found)


def _dry(frame: Frame, piece: Piece) -> Iterator[tuple[float, float, str]]:
    """From and to along the strip's middle, and on which plate; on past an end of the piece's own."""
    low, high = sum(piece.low) / 2, sum(piece.high) / 2
    for half in piece.halves:
        if not half.under:
            side = next(side for side in frame.joints[half.joint].lap.sides if side.run == piece.run)
            begin, end = sum(side.low) / 2, sum(side.high) / 2
            yield (
                -math.inf if begin <= low + SAME else begin,
                math.inf if end >= high - SAME else end,
                frame.pieces[half.mate].mark,
            )
