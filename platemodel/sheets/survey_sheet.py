"""The survey sheets: the shell as built over its design, what was taped and what to take again, what is out."""

from __future__ import annotations

from platemodel.sheets.page import Page
from platemodel.sheets.survey_drawing import survey_drawing
from platemodel.sheets.survey_tables import survey_tables
from platemodel.site.as_built import AsBuilt


def survey_sheets(result: AsBuilt) -> list[Page]:
    """A drawing of the shell as built over its design, and the tables of readings and of what is out."""
    numbers = {name: f"P{place}" for place, name in enumerate(result.points, start=1)}
    to_do = [f"{words[:1].upper()}{words[1:]}." for words in result.words]
    return [
        survey_drawing(result.plan, result, numbers, to_do),
        *survey_tables(result.plan, result, numbers, to_do),
    ]
