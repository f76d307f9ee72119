"""The part of the plan file about labels: a stock of labels by its plain dimensions, on sheets or on a roll."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from platemodel.plan.fields import Table

Side = Annotated[float, Field(gt=0, le=297)]
Edge = Annotated[float, Field(ge=0, le=297)]


class Labels(Table):
    """Labels for the pieces, one label a piece; the defaults are of two columns of seven on A4 (from memory)."""

    paper: Annotated[
        Literal["A4", "roll"], Field(description="A4: sheets of labels, upright; roll: one label a page, for a roll")
    ] = "A4"
    columns: Annotated[int | None, Field(ge=1, le=20, description="labels beside each other; on A4 default 2")] = None
    rows: Annotated[int | None, Field(ge=1, le=50, description="labels under each other; on A4 default 7")] = None
    width: Annotated[Side, Field(description="of a label, mm")] = 99.1
    height: Annotated[Side, Field(description="of a label, mm")] = 38.1
    across: Annotated[
        Side | None,
        Field(description="pitch: from the left edge of a label to that of the next, mm; default 2.5 over width"),
    ] = None
    down: Annotated[
        Side | None, Field(description="pitch: from the top of a label to that of the next, mm; default height")
    ] = None
    left: Annotated[
        Edge | None, Field(description="from the paper's left edge to the first label, mm; default even on both sides")
    ] = None
    top: Annotated[
        Edge | None, Field(description="from the paper's top to the first label, mm; default even at top and bottom")
    ] = None
    skip: Annotated[int, Field(ge=0, le=999, description="labels of the first sheet that are used up already")] = 0
    each: Annotated[int, Field(ge=1, le=10, description="labels for each piece")] = 1
