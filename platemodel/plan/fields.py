"""Kinds of field that the tables of a plan file share."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

PRINTABLE = r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff]+$"
"""Texts that can stand on one line of a sheet."""

Text = Annotated[str, StringConstraints(min_length=1, max_length=200, strip_whitespace=True, pattern=PRINTABLE)]
Name = Annotated[str, StringConstraints(min_length=1, max_length=60, strip_whitespace=True, pattern=PRINTABLE)]
Coordinate = Annotated[float, Field(ge=-1e8, le=1e8)]
"""Up to 100 km from the origin: beyond it doubles no longer hold a micrometre."""

Point = Annotated[list[Coordinate], Field(min_length=2, max_length=2)]
Length = Annotated[float, Field(gt=0, le=1e6)]
Position = Annotated[float, Field(ge=0, le=1e6)]
Section = Annotated[float, Field(ge=10, le=1000)]
"""Of a plate, and the overlap of a splice: outside it a slip of the decimal point."""

WallName = Annotated[Name, Field(description="the wall, by its name")]
At = Annotated[
    Position,
    Field(description="along the wall, mm: of its face from its first corner, or from a cross wall's first end"),
]
Begin = Annotated[Position, Field(description="where it begins along the wall, mm")]
End = Annotated[Position, Field(description="where it ends along the wall, mm")]

Price = Annotated[float, Field(ge=0, le=1e6)]


class Table(BaseModel):
    """A TOML table: no key but those named, no number that is not one."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False)
