"""The rules sheet: every rule that was judged, its limit and source, what was found and where; failures first."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.values import Frame
from platemodel.sheets.flow import BODY, Columns, inner
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.lettering import fitted, width
from platemodel.sheets.page import NARROW, Page
from platemodel.sheets.tables import Column
from platemodel.site.rule_set import COMMON, FIRST, RuleSet, rule_set
from platemodel.site.rules import Verdict

COLUMNS = (
    ("holds", 13.0),
    ("rule", 50.0),
    ("limit", 36.0),
    ("found", 34.0),
    ("where", 72.0),
    ("source and edition", 48.0),
)
LONGEST = 400
"""Letters of a cell; a place that takes more to tell is cut short."""


def rules_sheets(frame: Frame, verdicts: Sequence[Verdict]) -> list[Page]:
    """The pages of the rules: those that fail first, of them those that must hold; then those that hold."""
    if not verdicts:
        return []
    rules = rule_set(frame.plan)

    def begin(number: int) -> tuple[Page, Room]:
        page, room = sheet(frame.plan.job, "rules", "rules and what was found", "–", part_name("rules", number))
        title = "RULES" if number == 1 else "RULES, continued"
        left = room.left + 3.0
        page.text(left, room.top + 7.5, title, 5.0, bold=True)
        offset = width(title, 5.0, bold=True) + 5.0
        words = fitted(FIRST, BODY, room.width - offset - 6.0, bold=True)
        page.text(left + offset, room.top + 7.5, words, BODY, bold=True)
        page.line([(room.left, room.top + 10.5), (room.right, room.top + 10.5)], NARROW)
        return page, inner(room, 12.5)

    flow = Columns(begin, 1)
    failed = sorted((item for item in verdicts if not item.passed), key=lambda item: item.level != "must")
    held = [item for item in verdicts if item.passed]
    _part(flow, f"Rules that do not hold: {_counted(failed)}", failed, rules)
    _part(flow, f"Rules that hold: {_counted(held)}", held, rules)
    flow.section("What this is", _words(rules), "•")
    return flow.pages


def _counted(verdicts: Sequence[Verdict]) -> str:
    rules = len({verdict.rule for verdict in verdicts})
    if not rules:
        return "none"
    return f"{rules}" + (f", in {len(verdicts)} places" if len(verdicts) > rules else "")


def _part(flow: Columns, heading: str, verdicts: Sequence[Verdict], rules: RuleSet) -> None:
    if not verdicts:
        flow.heading(heading, 2.0)
        flow.y += 3.0
        return
    stretch = flow.width / sum(size for _, size in COLUMNS)
    columns = [Column(head, size * stretch, bold=head in ("holds", "rule")) for head, size in COLUMNS]
    rows = [_row(verdict, rules) for verdict in verdicts]
    flow.table(heading, columns, rows, keep=1, heads=8.0, after=4.0)


def _row(verdict: Verdict, rules: RuleSet) -> list[str]:
    holds = "yes" if verdict.passed else "NO, must" if verdict.level == "must" else "NO"
    cells = [holds, verdict.rule, verdict.limit, verdict.found, verdict.where or "everywhere", _source(verdict, rules)]
    return [cell if len(cell) <= LONGEST else cell[:LONGEST] + "…" for cell in cells]


def _source(verdict: Verdict, rules: RuleSet) -> str:
    """A verdict's source with its edition, and whether it was cited from memory."""
    figure = next((item for item in rules.figures.values() if item.source == verdict.source), None)
    if figure is None or verdict.source == COMMON:
        return verdict.source
    edition = f" ({figure.edition})" if figure.edition and figure.edition not in figure.source else ""
    return f"{verdict.source}{edition}" + ("; from memory, look it up" if figure.memory else "")


def _words(rules: RuleSet) -> list[str]:
    plumb = rules["shell_plumb"]
    own = sum(figure.own for figure in rules.figures.values())
    words = [
        "A rule that must hold fails the build; every other is advice. Where it says common practice no published "
        "figure was found: take it as a rule of thumb.",
        f"Not judged, for the plan says nothing of it: {plumb.words}, {plumb.limit} ({plumb.source}).",
        "These rules are no proof of strength: loads, wind, uplift and the walls are the engineer's.",
    ]
    if rules.file:
        words.append(f"The plan's own rule set {rules.file} gives {own} of {len(rules.figures)} figures.")
    else:
        words.append("Every figure can be changed: name a file of your own under [rules] in the plan.")
    return words
