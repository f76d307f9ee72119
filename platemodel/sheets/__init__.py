"""Drawings: pages recorded once as marks on paper, and the writers that play them.

:func:`drawn` gives every sheet of a frame by its name.
"""

from __future__ import annotations

from collections.abc import Mapping

from platemodel.frame.values import Frame
from platemodel.sheets.cut_sheet import cut_sheets
from platemodel.sheets.form import stamp_not_proved
from platemodel.sheets.lap_sheet import lap_sheets
from platemodel.sheets.laying_sheet import laying_sheets
from platemodel.sheets.page import Page
from platemodel.sheets.plan_sheet import plan_figure, plan_sheets
from platemodel.sheets.svg import fragment, svg

__all__ = ["drawn", "fragment", "names_by_type", "plan_figure", "stamp_not_proved", "svg"]


def drawn(frame: Frame, proved: bool) -> dict[str, Page]:
    """Every sheet of a frame: 'plan', then a type's name, further pages as 'T1-2'."""
    pages: dict[str, Page] = {}
    for name, made in (
        ("plan", plan_sheets(frame)),
        ("laying", laying_sheets(frame)),
        ("laps", lap_sheets(frame)),
        *((kind.name, cut_sheets(frame, kind)) for kind in frame.types),
    ):
        for number, page in enumerate(made, start=1):
            pages[name if number == 1 else f"{name}-{number}"] = page
    if not proved:
        for page in pages.values():
            stamp_not_proved(page)
    return pages


def names_by_type(frame: Frame, pages: Mapping[str, Page]) -> dict[str, list[str]]:
    """For each type the names of its sheets, the first one first."""
    return {kind.name: [name for name in pages if name.split("-")[0] == kind.name] for kind in frame.types}
