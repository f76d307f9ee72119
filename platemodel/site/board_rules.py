"""Rules of boards: what is left to square their ends, and whether laps are cut for the widest."""

from __future__ import annotations

import math

from platemodel.frame.sizes import REFERENCE_MOISTURE, allowed, at_moisture
from platemodel.frame.values import Frame
from platemodel.site.judgements import Failure, Judgement, judged
from platemodel.site.rule_set import RuleSet


def tight_boards(frame: Frame, rules: RuleSet) -> Judgement:
    """A board leaves enough to square its ends."""
    figure = rules["board_end"]
    failures, least = [], math.inf
    for board in frame.boards:
        left = math.floor(board.offcut + 1e-6)
        least = min(least, left)
        # in whole mm, rounded down as on the sheets of boards; what is squared off in any case is spare already
        if board.offcut + frame.plan.stock.trim < figure.value:
            marks = " + ".join(frame.pieces[index].mark for index in board.pieces)
            words = f"{marks} from {board.length:g} leaves {left} mm; measure the board before it is cut"
            failures.append(Failure(words, f"{left} mm"))
    held = "no boards" if math.isinf(least) else f"{least:.0f} mm at the least"
    return judged(figure, f"a board leaves {figure.value:g} mm to square its ends", failures, held)


def sizes_known(frame: Frame) -> bool:
    """Whether the plan says anything of the boards' real sizes: else nothing of them can be judged."""
    plate = frame.plan.plate
    return plate.tolerance is not None or plate.moisture is not None


def jamming(frame: Frame, rules: RuleSet) -> Judgement:
    """Laps are long enough for the widest board that the standard lets there be; measured boards are known."""
    figure = rules["board_width"]
    plate, lap = frame.plan.plate, frame.plan.lap
    failures, held = [], ["boards were measured"]
    for width in sorted({run.strip.width for run in frame.runs}):
        if plate.widest is not None and width == plate.width:
            continue
        most = width if plate.tolerance is None else allowed(width, plate.tolerance)[1]
        moisture = REFERENCE_MOISTURE if plate.moisture is None else plate.moisture
        most, cut = at_moisture(most, moisture), width + lap.clearance
        found = f"up to {round(most, 1):g} mm wide in laps cut for {round(cut, 1):g}"
        held.append(found)
        if not figure.holds(most - cut):
            boards = f"boards of {width:g}"
            boards += f" of class {plate.tolerance}" if plate.tolerance else ""
            boards += f" at {moisture:g} % moisture" if plate.moisture is not None else ""
            measure = "measure the widest and put it in plate.widest, or " if width == plate.width else ""
            words = f"{boards} may be {round(most, 1):g} wide: they jam in laps cut for {round(cut, 1):g}"
            failures.append(Failure(f"{words}; {measure}raise lap.clearance", found))
    return judged(figure, "laps are long enough for the widest board", failures, ", ".join(held[1:] or held))
