"""Judge a stock of labels: whether they lie on their paper, clear of one another, and have room for what they say."""

from __future__ import annotations

from platemodel.plan.label_model import Labels
from platemodel.plan.values import LabelStock
from platemodel.plan.walls import Walls

A4 = (210.0, 297.0)
"""Width and height of an upright sheet, mm (ISO 216)."""

LEAST = (50.0, 25.0)
"""The least width and height that have room for the code and the words, mm."""

GAP = 2.5
"""Between labels beside each other where the plan gives no pitch, mm; from memory, of a common stock."""

ROUNDING = 0.05
"""Stocks are given to a tenth of a millimetre."""


def resolve_labels(work: Walls, given: Labels) -> LabelStock | None:
    """The stock as it lies on its paper; None, and faults, where it cannot."""
    found = len(work.faults)
    for key, size, least in (("width", given.width, LEAST[0]), ("height", given.height, LEAST[1])):
        if size < least:
            work.fault(("labels", key), f"{size:g} mm has no room for code and words", f"expected at least {least:g}")
    if given.paper == "roll":
        return _roll(work, given) if len(work.faults) == found else None
    columns = 2 if given.columns is None else given.columns
    rows = 7 if given.rows is None else given.rows
    across = given.width + (GAP if columns > 1 else 0.0) if given.across is None else given.across
    down = given.height if given.down is None else given.down
    firsts = []
    for keys, count, size, pitch, first, paper in (
        (("columns", "across", "left"), columns, given.width, across, given.left, A4[0]),
        (("rows", "down", "top"), rows, given.height, down, given.top, A4[1]),
    ):
        if count > 1 and pitch < size - ROUNDING:
            said = f"the pitch of {pitch:g} mm is less than a label, which is {size:g} mm"
            work.fault(("labels", keys[1]), said, "expected labels clear of one another")
        taken = (count - 1) * pitch + size
        begin = (paper - taken) / 2 if first is None else first
        if begin < -ROUNDING or begin + taken > paper + ROUNDING:
            key = keys[2] if first is not None and taken <= paper + ROUNDING else keys[0]
            said = (
                f"{count} labels of {size:g} mm, {pitch:g} mm apart, end {begin + taken - paper:.4g} mm off the paper"
            )
            if first is None:
                said = f"{count} labels of {size:g} mm, {pitch:g} mm apart, take {taken:g} mm"
            work.fault(("labels", key), said, f"expected them on the {paper:g} mm of A4")
        firsts.append(max(0.0, begin))
    if given.skip >= columns * rows:
        work.fault(
            ("labels", "skip"), f"a sheet has only {columns * rows} labels", "expected fewer, or another sheet put in"
        )
    if len(work.faults) > found:
        return None
    left, top = firsts
    label = (given.width, given.height)
    return LabelStock(A4, columns, rows, label, (across, down), (left, top), given.skip, given.each)


def _roll(work: Walls, given: Labels) -> LabelStock | None:
    found = len(work.faults)
    for key in ("columns", "rows", "across", "down", "left", "top"):
        if getattr(given, key) is not None:
            work.fault(("labels", key), 'stands beside paper = "roll"', "expected width and height alone for a roll")
    if given.skip:
        work.fault(("labels", "skip"), 'stands beside paper = "roll"', "expected it for sheets alone")
    if len(work.faults) > found:
        return None
    size = (given.width, given.height)
    return LabelStock(size, 1, 1, size, size, (0.0, 0.0), 0, given.each)
