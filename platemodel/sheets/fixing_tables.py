"""The tables of the fixing sheets: what to order, and wall by wall what is fixed there."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace

from platemodel.export.fixings import fixings_of
from platemodel.frame.tape import whole
from platemodel.sheets.fixing_values import Fixings
from platemodel.sheets.flow import Columns
from platemodel.sheets.tables import Column

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
    needed = fixings_of(fixings.frame, fixings.rules, fixings.straps, fixings.landings)
    return [
        [line.item + (f", {line.finish}" if line.finish else ""), line.size, f"{line.number}"] for line in needed.lines
    ]


def _wall_rows(fixings: Fixings) -> list[list[str]]:
    rows = []
    for on in fixings.walls():
        apart = max((b.at - a.at for a, b in itertools.pairwise(on.straps)), default=0.0)
        places = ", ".join(f"{whole(strap.at)}" + (" (built)" if strap.built else "") for strap in on.straps)
        rows.append([on.wall.name, places or "none", f"{apart:.0f}" if apart else "–", f"{len(on.landed)}"])
    return rows
