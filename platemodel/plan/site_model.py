"""The part of the plan file about the shell as built: survey, levels, bed and straps.

Lengths are millimetres but for what stands in a levelling book, which is booked in metres as it is read.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from platemodel.plan.fields import At, Length, Name, Position, Table, WallName

PointName = Annotated[
    Name, Field(description="a corner as 'wall/wall', an open end as 'wall start' or 'wall end', or a point's name")
]
Deviation = Annotated[float, Field(ge=0.01, le=1000, description="standard error, mm")]
Reading = Annotated[float, Field(ge=-10, le=10)]
"""A staff reading in metres, below 0 where the staff is held upside down."""


class SurveyPoint(Table):
    """A point of a wall's outer face that is measured to, with a name of its own."""

    name: Annotated[Name, Field(description="what other keys call the point")]
    wall: WallName
    at: At


class Tape(Table):
    """A length taped between two named points of the shell as built."""

    from_: Annotated[PointName, Field(alias="from")]
    to: PointName
    length: Annotated[Length, Field(description="as taped, mm")]
    sd: Deviation | None = None


class Angle(Table):
    """An angle measured at a point, anticlockwise from one point to another, degrees."""

    at: PointName
    from_: Annotated[PointName, Field(alias="from")]
    to: PointName
    degrees: Annotated[float, Field(gt=0, lt=360, description="as measured")]
    sd: Annotated[float | None, Field(ge=1e-5, le=10, description="standard error, degrees")] = None


class Offset(Table):
    """How far a point lies off the straight line between two others, mm; to the left of it above 0."""

    point: PointName
    from_: Annotated[PointName, Field(alias="from")]
    to: PointName
    distance: Annotated[float, Field(ge=-1e5, le=1e5, description="to the left of the line above 0, mm")]
    sd: Deviation | None = None


class Survey(Table):
    """What was measured of the shell as built: its outer faces at plate level."""

    tape: Annotated[list[Tape], Field(max_length=5000)] = []
    angle: Annotated[list[Angle], Field(max_length=2000)] = []
    offset: Annotated[list[Offset], Field(max_length=2000)] = []
    point: Annotated[list[SurveyPoint], Field(max_length=2000)] = []
    sd: Annotated[Deviation, Field(description="standard error of a length that names none; common practice")] = 3.0
    angle_sd: Annotated[float, Field(ge=1e-5, le=10, description="the same of an angle, degrees; common practice")] = (
        0.05
    )


class Booked(Table):
    """A line of a levelling book, in metres; with a wall and a place where it is a station on a wall's top."""

    station: Annotated[Name, Field(description="what the staff stands on")]
    backsight: Annotated[Reading | None, Field(description="staff read back to a known level, m")] = None
    intermediate: Annotated[Reading | None, Field(description="staff read in between, m")] = None
    foresight: Annotated[Reading | None, Field(description="last staff read from a stand of the instrument, m")] = None
    wall: WallName | None = None
    at: At | None = None


class Laser(Table):
    """From the line of a laser down to the top of a wall, mm; below 0 where the wall stands above the line."""

    wall: WallName
    at: At
    down: Annotated[float, Field(ge=-2000, le=5000, description="from the line down to the top, mm")]


class Levels(Table):
    """Levels of the walls' tops: booked with a staff, or measured from a laser line."""

    start: Annotated[float, Field(ge=-1e4, le=1e4, description="level of the first station, m")] = 0.0
    close: Annotated[float | None, Field(ge=-1e4, le=1e4, description="known level of the last station, m")] = None
    book: Annotated[list[Booked], Field(max_length=5000)] = []
    laser: Annotated[list[Laser], Field(max_length=5000)] = []


class Bed(Table):
    """The mortar bed under the plates; defaults are common practice."""

    least: Annotated[float, Field(ge=0, le=100, description="least thickness, mm")] = 10.0
    most: Annotated[float, Field(gt=0, le=200, description="most thickness, mm")] = 20.0
    level: Annotated[
        float | None,
        Field(ge=-1e7, le=1e7, description="level of the plates' underside wished, mm above the highest wall top"),
    ] = None
    mix: Annotated[Literal["1:3", "1:4", "1:5", "1:6"], Field(description="cement to sand by volume")] = "1:4"
    waste: Annotated[float, Field(ge=0, le=100, description="mortar beyond what the bed takes, per cent")] = 10.0
    bag: Annotated[float, Field(ge=1, le=1000, description="a bag of cement, kg")] = 25.0
    batch: Annotated[float, Field(gt=0, le=1000, description="mortar mixed at a time, litres")] = 25.0
    minutes: Annotated[float, Field(gt=0, le=1000, description="working time of a batch, minutes")] = 90.0
    wall: Annotated[
        Literal["dense block", "aerated block", "lightweight block", "clay brick", "engineering brick"],
        Field(description="what the leaf is built of, for the suction"),
    ] = "dense block"


class Placing(Table):
    """How the frame is set on the shell as built."""

    hold: Annotated[list[Name], Field(max_length=200, description="walls whose setback is kept exactly")] = []
    outer: Annotated[Position, Field(description="most that a plate may stand past the outer face, mm")] = 15.0
    inner: Annotated[Position, Field(description="most that a plate may stand past the inner face, mm")] = 15.0
    fit: Annotated[
        Literal["design", "shell"], Field(description="design: the frame keeps its shape; shell: it follows the walls")
    ] = "design"


class Straps(Table):
    """Holding-down straps by rule; every figure may be overridden."""

    every: Annotated[
        float | None, Field(ge=200, le=1e5, description="most from strap to strap, mm; default by the rule set")
    ] = None
    end: Annotated[float | None, Field(ge=50, le=1e5, description="most from a plate's end to its first strap, mm")] = (
        None
    )
    clear: Annotated[Position, Field(description="clear of laps, trusses and openings, mm; common practice")] = 50.0
    length: Annotated[Length, Field(description="length of a strap down the wall, mm")] = 1000.0
    gables: Annotated[list[Name], Field(max_length=500, description="walls that are gables: lateral straps")] = []


class Site(Table):
    """The shell as built, and what is done on the wall."""

    survey: Survey | None = None
    levels: Levels | None = None
    bed: Bed = Bed()
    placing: Placing = Placing()
    straps: Straps | None = None


class Strap(Table):
    """A holding-down strap that is built in already: its middle."""

    wall: WallName
    at: At


class RuleSet(Table):
    """Which figures the rules use."""

    file: Annotated[str | None, Field(min_length=1, max_length=500, description="a rule set beside the plan")] = None


__all__ = ["RuleSet", "Site", "Strap"]
