"""The plan file as the user writes it: keys, types and bounds, and so its JSON Schema.

Lengths are millimetres, angles degrees, anticlockwise. Nothing here knows geometry: shapes are
judged in :mod:`platemodel.plan.outline` and in :mod:`platemodel.frame`.
"""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from pydantic import Field

from platemodel.plan.fields import (
    At,
    Begin,
    End,
    Length,
    Name,
    Point,
    Position,
    Price,
    Section,
    Table,
    Text,
    WallName,
)
from platemodel.plan.label_model import Labels
from platemodel.plan.site_model import RuleSet, Site, Strap

MOST_CORNERS = 2000
"""Corners of one shell; more is no house but a file gone wrong."""

Turn = Literal["L", "R"] | Annotated[float, Field(gt=-180, lt=180)]
Tolerance = Literal["T1", "T2"]
Grade = Literal["C14", "C16", "C18", "C20", "C22", "C24", "C27", "C30", "C35", "C40"]


class Job(Table):
    """What the title block says."""

    title: Annotated[Text, Field(description="what the job is called")]
    sheet: Annotated[Literal["A4", "A3"], Field(description="size of the sheets")] = "A4"
    number: Annotated[Text | int | None, Field(description="identification number")] = None
    revision: Annotated[Text | int | None, Field(description="revision index")] = None
    date: Annotated[Text | datetime.date | None, Field(description="date of issue")] = None
    owner: Annotated[Text | None, Field(description="legal owner")] = None
    creator: Annotated[Text | None, Field(description="who drew it")] = None
    approver: Annotated[Text | None, Field(description="who approves it")] = None


class Plate(Table):
    """The section of every plate as bought: target sizes of EN 336, which hold at 20 % moisture."""

    width: Annotated[Section, Field(description="across the wall, mm")]
    depth: Annotated[Section, Field(description="top to bottom, mm")]
    grade: Annotated[Grade, Field(description="EN 338 strength class, for the mean density")] = "C16"
    tolerance: Annotated[
        Tolerance | None, Field(description="EN 336 tolerance class of the boards: T1 as sawn, T2 as planed")
    ] = None
    moisture: Annotated[
        float | None, Field(ge=5, le=100, description="moisture of the boards when measured and laid, per cent")
    ] = None
    widest: Annotated[
        Section | None,
        Field(description="the widest board measured, mm: every lap is made longer by what it is over plate.width"),
    ] = None


class Lap(Table):
    """What every lap has in common."""

    clearance: Annotated[
        float, Field(ge=0, le=50, description="extra length of every lap so that it goes together, mm")
    ] = 1.0
    splice: Annotated[
        Section | None, Field(description="overlap of a lengthening lap, mm; default the plate width")
    ] = None
    apart: Annotated[
        Position | None, Field(description="whole timber wanted between laps, mm; default the plate width")
    ] = None
    stagger: Annotated[
        Position,
        Field(description="how far splices of neighbouring parallel plates are to stand apart along them, mm; 0: any"),
    ] = 0.0
    screws: Annotated[int, Field(ge=0, le=12, description="screws a lap, for the order")] = 2


class YardBoards(Table):
    """Boards that are there already and need not be bought."""

    length: Annotated[Length, Field(description="as long as it is, mm")]
    count: Annotated[int, Field(ge=1, le=10_000, description="how many")] = 1
    width: Annotated[Section | None, Field(description="default plate.width, mm")] = None


class Stock(Table):
    """What the merchant sells and what the saw takes."""

    lengths: Annotated[
        list[Length], Field(min_length=1, max_length=200, description="lengths of boards that can be bought, mm")
    ] = [3600.0, 4200.0, 4800.0, 5400.0, 6000.0]
    kerf: Annotated[float, Field(ge=0, le=50, description="width of a saw cut, mm")] = 3.0
    trim: Annotated[
        float, Field(ge=0, le=500, description="taken off each board to square its end, the cut included, mm")
    ] = 0.0
    prices: Annotated[
        list[Price] | None,
        Field(max_length=200, description="price of a board of each of the lengths, in their order, in any currency"),
    ] = None
    metre_price: Annotated[Price | None, Field(description="instead of prices: price of a metre of board")] = None
    yard: Annotated[list[YardBoards], Field(max_length=500, description="boards that are there already")] = []
    keep: Annotated[Position, Field(description="an offcut from this length on is kept for later, mm")] = 600.0
    spare: Annotated[
        int | None,
        Field(ge=0, le=1000, description="boards bought beyond those needed; default one of the length bought most"),
    ] = None
    ready: Annotated[bool, Field(description="true: splice so that whole boards are used uncut where that can be")] = (
        False
    )
    effort: Annotated[
        int, Field(ge=0, le=1_000_000, description="how much the solver may work for the least boards; 0: first fit")
    ] = 2000


class Shell(Table):
    """A masonry outline that carries plates, by its corners or as a walk round the outside."""

    name: Annotated[Name | None, Field(description="default shell, shell2, …")] = None
    leaf: Annotated[Length, Field(description="thickness of the leaf under the plate, mm")]
    setback: Annotated[
        Position, Field(description="from the outer face of the leaf to the outer edge of the plate, mm")
    ] = 0.0
    closed: Annotated[bool, Field(description="false: open at both ends")] = True
    inside: Annotated[
        Literal["left", "right"] | None,
        Field(description="of an open shell: on which side of its walls the inside lies, default left"),
    ] = None
    corners: Annotated[
        list[Point] | None,
        Field(min_length=2, max_length=MOST_CORNERS, description="corners on the outer face of the leaf, mm"),
    ] = None
    walk: Annotated[
        list[Turn | Length] | None,
        Field(
            min_length=1,
            max_length=2 * MOST_CORNERS,
            description="instead of corners: length, turn (L, R, or degrees, + left), length …",
        ),
    ] = None
    start: Annotated[Point | None, Field(description="where the walk starts, default [0, 0]")] = None
    heading: Annotated[
        float | None, Field(ge=-360, le=360, description="direction of the walk's first length, degrees, default 0")
    ] = None
    walls: Annotated[list[Name] | None, Field(description="a name a leg; default the shell's name and a number")] = None
    plate_width: Annotated[Section | None, Field(description="default plate.width, mm")] = None


class OnWall(Table):
    """A point of a wall: of its outer face, or of a cross wall's centre line."""

    wall: WallName
    at: At


class Cross(Table):
    """A wall inside, its plate lapped to whatever it meets."""

    name: Annotated[Name | None, Field(description="default cross, cross2, …")] = None
    leaf: Annotated[Length, Field(description="thickness of the wall under the plate, mm")]
    from_: Annotated[Point | OnWall, Field(alias="from", description="first end of the plate's centre line")]
    to: Annotated[Point | OnWall, Field(description="second end of the plate's centre line")]
    plate_width: Annotated[Section | None, Field(description="default plate.width, mm")] = None


class Gap(Table):
    """A stretch of a wall without a plate."""

    wall: WallName
    from_: Annotated[Begin | None, Field(alias="from")] = None
    to: End | None = None
    whole: Annotated[bool, Field(description="true instead of from and to: no plate on this wall at all")] = False
    end: Annotated[
        Literal["outer", "inner"],
        Field(description="where the gap takes a corner away, the face of this wall at which the neighbour ends"),
    ] = "outer"


class FixedSplice(Table):
    """A lengthening lap where the user wants it; ``at`` is its middle."""

    wall: WallName
    at: At


class Opening(Table):
    """A lintel under the plate: no splice here."""

    wall: WallName
    from_: Annotated[Begin, Field(alias="from")]
    to: End
    name: Annotated[Name | None, Field(description="what the sheets call it")] = None
    stands_up: Annotated[
        float,
        Field(ge=-500, le=500, description="how far the lintel stands above the wall's top, mm; below 0: under it"),
    ] = 0.0
    dpc: Annotated[bool, Field(description="true: a damp course lies under the bed here")] = False


class Bearing(Table):
    """A truss, beam or joist that lands on the plate, or a row of them: no splice under it."""

    name: Annotated[Name, Field(description="what lands here")] = "bearing"
    wall: WallName
    at: Annotated[Position | None, Field(description="middle of the one bearing")] = None
    every: Annotated[Length | None, Field(description="spacing of a row, with from and to")] = None
    from_: Annotated[Position | None, Field(alias="from", description="middle of the first of a row")] = None
    to: Annotated[Position | None, Field(description="no bearing of the row has its middle beyond")] = None
    width: Annotated[Length, Field(description="along the wall, mm")]


class Laying(Table):
    """In which order the plates are laid, and so which half each has of a lap."""

    start: Annotated[Name | None, Field(description="wall laid first")] = None
    order: Annotated[list[Name] | None, Field(description="walls in laying order; the rest follow by connection")] = (
        None
    )
    method: Annotated[
        Literal["round", "pairs"],
        Field(description="round: one after the other, always connected; pairs: unders first, overs after"),
    ] = "round"
    locked: Annotated[Text | None, Field(description="an earlier report.json whose pieces may not change")] = None
    crew: Annotated[int, Field(ge=1, le=20, description="how many saw the laps, for the time it takes")] = 1
    minutes: Annotated[float, Field(gt=0, le=120, description="to mark and saw one half of a lap, minutes")] = 2.0


class Export(Table):
    """What the files for other programs are like."""

    step: Annotated[
        Literal["AP242", "AP214"], Field(description="STEP protocol of the .step files; AP214 for old readers")
    ] = "AP242"
    instances: Annotated[
        bool, Field(description="true: frame.step holds each type once and its pieces as instances of it")
    ] = False


class PlanFile(Table):
    """A plan of wall plates (lengths in mm, angles in degrees anticlockwise)."""

    job: Job
    plate: Plate
    lap: Lap = Lap()
    stock: Stock = Stock()
    shell: Annotated[list[Shell], Field(min_length=1, max_length=500)]
    cross: Annotated[list[Cross], Field(max_length=2000)] = []
    gap: Annotated[list[Gap], Field(max_length=5000)] = []
    splice: Annotated[list[FixedSplice], Field(max_length=5000)] = []
    opening: Annotated[list[Opening], Field(max_length=5000)] = []
    bearing: Annotated[list[Bearing], Field(max_length=5000)] = []
    strap: Annotated[list[Strap], Field(max_length=5000)] = []
    laying: Laying = Laying()
    site: Site = Site()
    rules: RuleSet = RuleSet()
    export: Export = Export()
    labels: Labels | None = None
