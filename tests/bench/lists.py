"""Write the plain lists that the yardstick script reads, for a plan whose laps are square."""

from __future__ import annotations

import json
import math
from pathlib import Path

from platemodel.frame import decide
from platemodel.plan import parse_plan


def numbers(text: str, path: Path) -> int:
    """Write the numbers of a plan's frame to ``path``; gives the number of pieces."""
    frame = decide(parse_plan(text))
    pieces = []
    for piece in frame.pieces:
        corner = frame.runs[piece.run].strip.point(min(piece.low), 0.0)
        pieces.append(
            {
                "mark": piece.mark,
                "length": piece.length,
                "cuts": [[cut.low[0], cut.high[0], cut.upper] for cut in piece.laid.cuts],
                "angle": math.degrees(math.atan2(*reversed(frame.runs[piece.run].strip.direction))),
                "x": corner[0] - frame.origin[0],
                "y": corner[1] - frame.origin[1],
            }
        )
    data = {
        "width": frame.plan.plate.width,
        "depth": frame.plan.plate.depth,
        "pieces": pieces,
        "kinds": [kind.pieces[0] for kind in frame.types],
    }
    path.write_text(json.dumps(data))
    return len(pieces)
