"""What must be settled before plates are set out: readings to take again, what does not hold, plates past a face."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from platemodel.faults import counted
from platemodel.frame.tape import whole
from platemodel.plan.values import Plan
from platemodel.site.judgements import Judgement
from platemodel.site.setting_out_values import Plate, Step
from platemodel.site.shell_rules import Measured

AGAIN = ("take again", "one of these")
"""Marks of readings that are not to be trusted."""


def to_settle(measured: Measured, rules: Sequence[Judgement]) -> Iterator[str]:
    """In words: readings to take again, and of the rules of the shell each that does not hold."""
    survey, bed = measured.survey, measured.bed
    if survey is not None:
        again = [row for row in survey.rows if row.mark in AGAIN]
        if again:
            names = "; ".join(" – ".join(row.points) for row in again[:6]) + (" …" if len(again) > 6 else "")
            yield f"Settle first: tape again {names} (see the survey), and build again with the new readings."
    if bed is not None and bed.odd:
        yield "Settle first: look at the levels again, as the bedding sheet says, before anything is bedded."
    failed = [rule for rule in rules if rule.failures]
    if failed:
        words = "; ".join(f"{rule.words} (no in {counted(len(rule.failures), 'place')})" for rule in failed)
        yield f"Settle first, rules of the shell not held: {words}. Ask the engineer; places on the rules sheet."


def past_faces(plates: Sequence[Plate], plan: Plan) -> Iterator[Step]:
    """The plates that stand past a face of a shell's wall, to ask about before anything is bedded."""
    found = []
    for plate in plates:
        marks = [mark for mark in plate.marks if plan.walls[mark.wall].shell is not None]
        past = max((-whole(min(mark.setback, mark.inner)) for mark in marks), default=0)
        if past > 0:
            found.append((plate, past))
    if found:
        names = ", ".join(f"{plate.letter} by {past}" for plate, past in found[:12])
        more = f" and {len(found) - 12} more" if len(found) > 12 else ""
        words = f"Plates that stand past a face, mm at most: {names}{more}. Ask the engineer before anything is bedded."
        yield Step(words, tuple(plate.run for plate, _ in found))
