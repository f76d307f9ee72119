"""The tables of the fixing sheets: what to order, and wall by wall what is fixed there."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

from platemodel.frame.tape import whole
from platemodel.sheets.fixing_values import Fixings
from platemodel.sheets.flow import Columns
from platemodel.sheets.tables import Column
from platemodel.site.landing import nails_of
from platemodel.site.strapping import Strapping

ORDER = (Column("item", 62.0), Column("mm", 34.0, bold=True), Column("number", 22.0, True, True))
WALLS = (
    Column("wall", 34.0),
    Column("straps at, from its first corner", 60.0),
    Column("most apart", 18.0, True),
    Column("lands", 14.0, True),
)


def order_table(flow: Columns, fixings: Fixings) -> None:
    """Straps, nails, screws and clips: of what size, and how many."""
    _table(flow, "To order", ORDER, _order_rows(fixings))


def wall_table(flow: Columns, fixings: Fixings) -> None:
    """The straps of each wall, and how many things land on it."""
    _table(flow, "Wall by wall", WALLS, _wall_rows(fixings))


def _table(flow: Columns, heading: str, columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> None:
    """A table whose columns are stretched to a column of the sheet."""
    stretch = flow.width / sum(column.width for column in columns)
    flow.table(heading, [replace(column, width=column.width * stretch) for column in columns], rows, keep=1)


def _order_rows(fixings: Fixings) -> list[list[str]]:
    value = fixings.rules.value
    rows = [] if fixings.straps is None else _strap_rows(fixings.straps)
    if fixings.straps is not None and fixings.straps.screw_length is not None and fixings.screws:
        size = f"{value('screw_diameter'):g} × {fixings.straps.screw_length}"
        rows.append(["wood screws in laps", size, f"{sum(len(lap.places) for lap in fixings.screws)}"])
    nails, clips = nails_of(fixings.landings)
    if nails:
        size = f"{value('nail_diameter'):g} × {value('nail_length'):g}"
        rows.append(["round wire nails, galvanised", size, f"{nails}"])
    if clips:
        rows.append(["truss clips with their nails", "to suit the truss", f"{clips}"])
    return rows


def _strap_rows(straps: Strapping) -> list[list[str]]:
    value, count = straps.rules.value, straps.rules.count
    into, own = count("strap_fixings"), count("strap_plate_nails")
    section = f"{value('strap_width'):g} × {value('strap_thickness'):g} × {straps.length:g}"
    nail = f"{value('strap_nail_diameter'):g} × {value('strap_nail_length'):g}"
    rows = [
        ["holding-down straps", section, f"{straps.new}"],
        [f"hardened nails into the wall, {into} a strap", nail, f"{straps.new * into}"],
        [f"fixings into the plate, {own} a strap", "as the strap's maker says", f"{straps.new * own}"],
    ]
    lateral = sum(len(gable.places) for gable in straps.gables)
    if lateral:
        reaches = [gable.reach for gable in straps.gables if gable.reach is not None]
        long = f" × {max(reaches) + value('lateral_downturn'):.0f}" if reaches else ""
        section = f"{value('lateral_width'):g} × {value('lateral_thickness'):g}{long}"
        rows.append(["lateral straps of gables, downturn included", section, f"{lateral}"])
    return rows


def _wall_rows(fixings: Fixings) -> list[list[str]]:
    rows = []
    for on in fixings.walls():
        apart = max((b.at - a.at for a, b in itertools.pairwise(on.straps)), default=0.0)
        places = ", ".join(f"{whole(strap.at)}" + (" (built)" if strap.built else "") for strap in on.straps)
        rows.append([on.wall.name, places or "none", f"{apart:.0f}" if apart else "–", f"{len(on.landed)}"])
    return rows
