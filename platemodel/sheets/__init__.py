"""Drawings: pages recorded once as marks on paper, and the writers that play them.

:func:`drawn` gives every sheet of a frame by its name.
"""

from __future__ import annotations

from collections.abc import Mapping

from platemodel.frame.values import Frame
from platemodel.sheets.cut_sheet import cut_sheets
from platemodel.sheets.form import stamp_not_proved
from platemodel.sheets.page import Page
from platemodel.sheets.plan_sheet import plan_sheet
from platemodel.sheets.svg import fragment, svg

__all__ = ["drawn", "fragment", "names_by_type", "plan_figure", "stamp_not_proved", "svg"]


def drawn(frame: Frame, proved: bool) -> dict[str, Page]:
    """Every sheet of a frame: 'plan', then a type's name, further pages as 'T1-2'."""
    pages = {"plan": plan_sheet(frame)}
    for kind in frame.types:
        for number, page in enumerate(cut_sheets(frame, kind), start=1):
            pages[kind.name if number == 1 else f"{kind.name}-{number}"] = page
    if not proved:
        for page in pages.values():
            stamp_not_proved(page)
    return pages


def plan_figure(frame: Frame) -> Page:
    """The plan for a screen, without a sheet about it; each piece's marks are told by its mark."""
    return plan_sheet(frame)


def names_by_type(frame: Frame, pages: Mapping[str, Page]) -> dict[str, list[str]]:
    """For each type the names of its sheets, the first one first."""
    return {kind.name: [name for name in pages if name.split("-")[0] == kind.name] for kind in frame.types}
