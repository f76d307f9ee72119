"""Drawings: pages recorded once as marks on paper, and the writers that play them.

:func:`drawn` gives the sheets of a frame by name, :func:`finished` puts the cover before them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from platemodel.frame.values import Frame
from platemodel.sheets.batch_sheet import batch_sheets
from platemodel.sheets.bedding_sheet import bedding_sheets
from platemodel.sheets.buying_sheet import buying_sheets
from platemodel.sheets.cover import cover_sheet
from platemodel.sheets.cut_sheet import Batch, cut_sheets
from platemodel.sheets.fixing_sheet import fixing_sheets
from platemodel.sheets.form import number, part_name, stamp_not_proved
from platemodel.sheets.gauge_sheet import gauge_sheets
from platemodel.sheets.lap_sheet import lap_sheets
from platemodel.sheets.laying_sheet import laying_sheets
from platemodel.sheets.long_section import long_sections
from platemodel.sheets.page import Page
from platemodel.sheets.plan_sheet import plan_figure, plan_sheets
from platemodel.sheets.rules_sheet import rules_sheets
from platemodel.sheets.setting_out_sheet import setting_out_sheets
from platemodel.sheets.survey_sheet import survey_sheets
from platemodel.sheets.svg import fragment, svg
from platemodel.sheets.unshown import unshown
from platemodel.site.onwall import OnWall
from platemodel.site.rules import Verdict, judge
from platemodel.solid.values import Proof

__all__ = ["drawn", "finished", "fragment", "names_by_type", "outline", "plan_figure", "svg", "unshown"]

_WORDS = {
    "cover": "Cover",
    "plan": "Plan",
    "laying": "Laying order",
    "laps": "Laps, exploded",
    "gauge": "Gauges, full size",
    "buying": "Buying list",
    "batch": "Boards and batch of laps",
    "survey": "Shell as built",
    "setting": "Setting out",
    "bedding": "Levels and bed",
    "section": "Long sections",
    "fixing": "Straps and trusses",
    "rules": "Rules",
}


def drawn(frame: Frame, wall: OnWall | None = None, verdicts: Sequence[Verdict] | None = None) -> dict[str, Page]:
    """Every sheet of a frame but the cover, by name: further pages of one as 'T1-2'.

    ``wall`` is what is done on it; where that is not given its sheets are left out. ``verdicts`` are what the rules
    say, by themselves those of the wall, or of the frame alone.
    """
    if verdicts is None:
        verdicts = judge(frame) if wall is None else wall.verdicts
    batch = Batch.of(frame)
    pages: dict[str, Page] = {}
    for name, made in (
        ("plan", plan_sheets(frame)),
        ("laying", laying_sheets(frame)),
        ("laps", lap_sheets(frame)),
        ("gauge", gauge_sheets(frame)),
        ("buying", buying_sheets(frame, wall)),
        ("batch", batch_sheets(frame)),
        *(() if wall is None else _on_the_wall(frame, wall)),
        ("rules", rules_sheets(frame, verdicts)),
        *((kind.name, cut_sheets(frame, kind, batch)) for kind in frame.types),
    ):
        pages |= _named(name, made)
    return pages


def _on_the_wall(frame: Frame, wall: OnWall) -> Iterator[tuple[str, Sequence[Page]]]:
    """The sheets of what is done on the wall, in the order of the work; none where the plan does not ask for it."""
    if wall.marks is None:
        return
    if wall.survey is not None:
        yield "survey", survey_sheets(wall.survey)
    yield "setting", setting_out_sheets(frame, wall.marks)
    if wall.bed is not None:
        yield "bedding", bedding_sheets(frame, wall.bed)
        yield "section", long_sections(frame, wall.bed)
    if wall.straps is not None or wall.landings:
        yield "fixing", fixing_sheets(frame, wall.straps, wall.landings)


def finished(
    frame: Frame, pages: Mapping[str, Page], proof: Proof | None, verdicts: Sequence[Verdict], passed: bool
) -> dict[str, Page]:
    """The pack: the cover before the sheets, all numbered, and stamped where the proof failed."""
    pack = {**_named("cover", cover_sheet(frame, proof, verdicts, _contents(pages))), **pages}
    number(list(pack.values()))
    if not passed:
        for page in pack.values():
            stamp_not_proved(page)
    return pack


def outline(pages: Mapping[str, Page]) -> list[tuple[str, Page]]:
    """Each page with its words in an outline of the pack."""
    found = []
    for name, page in pages.items():
        first, _, further = name.partition("-")
        words = _WORDS.get(first, f"Cut sheet {first}")
        found.append((f"{words} ({further})" if further else words, page))
    return found


FEW_TYPES = 4
"""The cut sheets of more types than these are listed as one, from the first to the last."""


def _contents(pages: Mapping[str, Page]) -> list[tuple[str, int, int]]:
    """Each kind of sheet in words, with its first and its last page, counted from 1 after the cover."""
    last: dict[str, tuple[int, int]] = {}
    for count, name in enumerate(pages, start=1):
        first = name.partition("-")[0]
        begin, _ = last.get(first, (count, count))
        last[first] = begin, count
    cut = [first for first in last if first not in _WORDS]
    if len(cut) > FEW_TYPES:
        both = last[cut[0]][0], last[cut[-1]][1]
        last = {first: span for first, span in last.items() if first in _WORDS} | {f"{cut[0]} to {cut[-1]}": both}
    return [(_WORDS.get(first, first), *span) for first, span in last.items()]


def _named(name: str, pages: Sequence[Page]) -> dict[str, Page]:
    return {part_name(name, count): page for count, page in enumerate(pages, start=1)}


def names_by_type(frame: Frame, pages: Mapping[str, Page]) -> dict[str, list[str]]:
    """For each type the names of its sheets, the first one first."""
    by_type: dict[str, list[str]] = {kind.name: [] for kind in frame.types}
    for name in pages:
        first = name.split("-")[0]
        if first in by_type:
            by_type[first].append(name)
    return by_type
