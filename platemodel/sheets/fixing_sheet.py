"""The fixing sheets: straps and trusses on the plan and wall by wall from its datum, screws in laps, what it takes."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.values import Frame
from platemodel.sheets.fixing_page import headed_page
from platemodel.sheets.fixing_plan import plan_pages
from platemodel.sheets.fixing_strips import strip_pages
from platemodel.sheets.fixing_tables import order_table, wall_table
from platemodel.sheets.fixing_values import Fixings
from platemodel.sheets.fixing_words import CAUTIONS, curing_words, landing_words, strap_words
from platemodel.sheets.flow import BULLET, Columns, inner
from platemodel.sheets.form import Room
from platemodel.sheets.lap_screws_drawing import draw_lap_screws
from platemodel.sheets.page import Page
from platemodel.site.landing import WallLandings
from platemodel.site.rule_set import FIRST, rule_set
from platemodel.site.strapping import Strapping


def fixing_sheets(frame: Frame, straps: Strapping | None, landings: Sequence[WallLandings]) -> list[Page]:
    """The plan with straps and trusses, every wall as a strip, the laps' screws, and what it takes; none where none."""
    if straps is None and not landings:
        return []
    fixings = Fixings(frame, straps, landings, rule_set(frame.plan) if straps is None else straps.rules)
    pages = plan_pages(fixings)
    pages += strip_pages(fixings, len(pages))
    pages += _details(fixings, len(pages))
    return pages


def _details(fixings: Fixings, before: int) -> list[Page]:
    """Tables, words and laps, after so many pages of the fixing sheets."""
    straps = fixings.straps

    def begin(number: int) -> tuple[Page, Room]:
        job = fixings.frame.plan.job
        page, room = headed_page(job, "fixings and screws in laps", before + number, "FIXINGS", FIRST, bold=True)
        return page, inner(room, 13.0)

    flow = Columns(begin, 2, 6.0)
    order_table(flow, fixings)
    wall_table(flow, fixings)
    if straps is not None:
        flow.section("How a strap is fixed", strap_words(straps), BULLET)
    flow.section("Trusses, beams and joists", landing_words(fixings.landings, fixings.rules), BULLET)
    if straps is not None and fixings.screws:
        draw_lap_screws(flow, fixings.frame, straps)
    if straps is not None:
        flow.section("Until the mortar has set", curing_words(straps), BULLET)
    flow.section("Caution", [*CAUTIONS, "Do not load a plate whose bed is wet: it tips and creeps."], BULLET)
    return flow.pages
