"""Letters of a plan that the sheets' font lacks: they stand as boxes, and the user is told which and where."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from platemodel.faults import KeyPath, path_text
from platemodel.plan.lines import line_of
from platemodel.plan.values import Plan
from platemodel.sheets.lettering import BOX, letters
from platemodel.site.rules import Verdict

RULE = "letters that the sheets can show"
SOURCE = "the sheets' own font"
LIMIT = "every one"


def unshown(plan: Plan) -> list[Verdict]:
    """An advice for each text of a plan with letters that stand as boxes on sheets; one that holds where none has."""
    found = []
    for path, text in _texts(plan):
        lacking = sorted(set(text) - letters())
        if lacking:
            line = line_of(path, plan.lines)
            place = plan.file if line is None else f"{plan.file}:{line}"
            shown = ", ".join(f"'{letter}'" for letter in lacking[:8]) + (" …" if len(lacking) > 8 else "")
            where = f"{place}: {path_text(path)}: {shown} can only be shown as {BOX} on SVG and PDF sheets"
            found.append(Verdict(RULE, "advice", SOURCE, False, where, f"{len(lacking)} cannot", LIMIT))
    return found or [Verdict(RULE, "advice", SOURCE, True, "", "all can", LIMIT)]


def _texts(plan: Plan) -> Iterator[tuple[KeyPath, str]]:
    """The texts that stand on sheets, with their key paths."""
    for key in ("title", "number", "revision", "date", "owner", "creator", "approver"):
        value = getattr(plan.job, key)
        if isinstance(value, str):
            yield ("job", key), value
    legs: Counter[KeyPath] = Counter()
    for wall in plan.walls:
        leg = legs[wall.path]
        legs[wall.path] += 1
        # a cross wall's name is its own key; those of a shell's legs may be given in a list
        path = (*wall.path, "name") if wall.shell is None else (*wall.path, "walls", leg)
        yield (path if path in plan.lines else wall.path), wall.name
