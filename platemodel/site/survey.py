"""The shell as built, from what was taped of it: adjusted corners, and how they differ from the design.

Millimetres and degrees. The net is adjusted with one corner and the direction of one wall held as designed, and
then moved and turned as one to fit best on the corners as designed: only that fit says where the shell stands in
the plan's coordinates.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from platemodel.plan.site_values import AngleReading, OffsetReading, TapeReading
from platemodel.plan.siting import point_names
from platemodel.plan.values import Plan
from platemodel.site.adjusting import Adjusted, Net, NotDeterminedError, NotSettledError, adjust, held
from platemodel.site.as_built import (
    AsBuilt,
    Leg,
    Row,
    SurveyedPoint,
    diagonals,
    ends,
    off_line,
    parallels,
    reading_words,
    squares,
)
from platemodel.site.readings import XY, Angle, Distance, Offset, Reading
from platemodel.site.snooping import CRITICAL, Blunder, find_blunders

CHECKED = 0.05
"""A reading of less redundancy than this is not checked well enough to find a blunder in it; common practice."""
FAR = 100.0
"""A length that nothing checks is asked about where it differs from the design by more, mm; common practice."""
TOGETHER = 1.0
"""Points of a base nearer than this tell no direction, mm."""
LEFT_OUT = 10
"""At most one reading of so many is left out until it is taken again; where more seem wrong, none is."""


def adjusted(plan: Plan) -> AsBuilt | None:
    """The shell as built by a plan's survey; None where the plan has none.

    Raises :class:`~platemodel.faults.PlanError`.
    """
    survey = plan.site.survey
    if survey is None:
        return None
    raw: list[TapeReading | AngleReading | OffsetReading] = [*survey.tapes, *survey.angles, *survey.offsets]
    readings = [_reading(item) for item in raw]
    starts = {name: point.design for name, point in survey.points.items()}
    if not survey.tapes:
        raise plan.error(
            plan.fault(
                ("site", "survey"), "found no taped length", "expected at least those of a wall: site.survey.tape"
            )
        )
    corners = {point.name: point.design for point in point_names(dict(enumerate(plan.walls))).values()}
    onto = {name: place for name, place in starts.items() if name in corners}
    hold, along = _base(plan, starts, readings)
    if math.dist(starts[hold], starts[along]) < TOGETHER:
        path = ("site", "survey")
        found = f"'{hold}' and '{along}' are at one place in the plan, and nothing else is measured"
        raise plan.error(plan.fault(path, found, "expected readings to points that stand apart"))
    datum = held(hold, along, starts)
    try:
        net = adjust(readings, starts, datum)
    except NotDeterminedError as error:
        first = next(
            (
                item.path
                for item, reading in zip(raw, readings, strict=True)
                if set(reading.points) & set(error.loose.points)
            ),
            ("site", "survey"),
        )
        found, _, remedy = error.loose.words.partition(": ")
        keys = "site.survey.tape" if error.loose.add else "site.survey.offset, site.survey.tape"
        raise plan.error(plan.fault(first, found, f"{remedy} ({keys})")) from None
    except NotSettledError as error:
        raise plan.error(
            plan.fault(
                ("site", "survey"),
                str(error).partition(":")[0],
                f"{str(error).partition(': ')[2]}; expected lengths within some centimetres of one another",
            )
        ) from None
    blunders = find_blunders(net, starts, datum)
    out = _left_out(blunders, len(readings))
    kept = [reading for number, reading in enumerate(readings) if number not in out]
    final = adjust(kept, starts, datum, onto=onto if len(onto) > 1 else starts, least=1.0)
    places = {name: point.xy for name, point in final.points.items()}
    rows = _rows(raw, readings, final, out, blunders)
    points = {
        name: SurveyedPoint(name, point.xy, point.sx or 0.0, point.sy or 0.0, starts[name], name in corners)
        for name, point in final.points.items()
    }
    walls = {}
    for number, wall in enumerate(plan.walls):
        tips = ends(plan, wall)
        if tips is not None and tips[0] in places and tips[1] in places:
            walls[number] = places[tips[0]], places[tips[1]]
    return AsBuilt(
        plan,
        points,
        walls,
        rows,
        (hold, along),
        final.freedom,
        final.s0,
        tuple(squares(plan, walls)),
        tuple(diagonals(plan, walls)),
        tuple(parallels(plan, walls)),
        tuple(Leg(number, math.dist(*line), plan.walls[number].length) for number, line in walls.items()),
        tuple(off_line(plan, walls, points)),
        tuple(_words(plan, rows, blunders, final, points, corners)),
    )


def _reading(item: TapeReading | AngleReading | OffsetReading) -> Reading:
    match item:
        case TapeReading():
            return Distance(item.begin, item.end, item.length, item.sd)
        case AngleReading():
            return Angle(item.at, item.begin, item.end, item.degrees, item.sd)
    return Offset(item.point, item.begin, item.end, item.distance, item.sd)


def _base(plan: Plan, starts: Mapping[str, XY], readings: Sequence[Reading]) -> tuple[str, str]:
    """The corner and the other end of the wall whose direction is held: the longest wall that was measured."""
    ties: dict[str, int] = {}
    for reading in readings:
        for name in reading.points:
            ties[name] = ties.get(name, 0) + 1
    found = []
    for wall in plan.walls:
        tips = ends(plan, wall)
        if tips is not None and tips[0] in starts and tips[1] in starts:
            found.append((min(ties[tips[0]], ties[tips[1]]) > 1, wall.length, tips))
    if found:
        return max(found)[2]
    names = sorted(starts)
    pairs = [(math.dist(starts[one], starts[other]), one, other) for one in names[:50] for other in names[:50]]
    _, one, other = max(pairs)
    return one, other


def _left_out(blunders: Sequence[Blunder], count: int) -> frozenset[int]:
    """Readings that are plainly wrong, one at a time, where they are few enough to do without."""
    sure = [item.readings[0] for item in blunders if len(item.readings) == 1]
    if len(sure) < len(blunders) or len(sure) > max(1, count // LEFT_OUT):
        return frozenset()
    return frozenset(sure)


def _rows(
    raw: Sequence[TapeReading | AngleReading | OffsetReading],
    readings: Sequence[Reading],
    net: Net,
    out: frozenset[int],
    blunders: Sequence[Blunder],
) -> tuple[Row, ...]:
    again = {number for item in blunders if len(item.readings) == 1 for number in item.readings}
    among = {number for item in blunders if len(item.readings) > 1 for number in item.readings}
    sizes = {item.readings[0]: item.standardised for item in blunders if len(item.readings) == 1}
    places = {name: point.xy for name, point in net.points.items()}
    rest: Iterator[Adjusted] = iter(net.readings)
    rows = []
    for number, (item, reading) in enumerate(zip(raw, readings, strict=True)):
        if number in out:
            value = reading.model([places[name] for name in reading.points])[0]
            residual = value - reading.value
            done = Adjusted(reading, value, residual, 0.0, math.copysign(sizes[number], residual))
        else:
            done = next(rest)
        unchecked = number not in out and done.redundancy < CHECKED
        mark = (
            "take again"
            if number in again
            else "one of these"
            if number in among
            else "not checked"
            if unchecked
            else ""
        )
        rows.append(
            Row(
                type(reading).__name__.lower(),
                reading.points,
                reading.value,
                reading.sd,
                done.value,
                done.residual,
                done.standardised,
                done.redundancy,
                mark,
                number in out,
                item.path,
            )
        )
    return tuple(rows)


def _words(
    plan: Plan,
    rows: Sequence[Row],
    blunders: Sequence[Blunder],
    net: Net,
    points: Mapping[str, SurveyedPoint],
    corners: Mapping[str, XY],
) -> Iterator[str]:
    """What to do about the readings, the most pressing first."""
    from scipy.special import chdtri

    for item in blunders:
        row = rows[item.readings[0]]
        if item.excess is not None:
            # by the net from which all that is wrong is left out, where it is
            excess = -row.residual if row.left_out else item.excess
            unit = "degrees" if row.kind == "angle" else "mm"
            size = f"{abs(excess):.2f}" if row.kind == "angle" else f"{abs(excess):.0f}"
            side = "more" if excess > 0.0 else "less"
            out = "; it is left out until then" if row.left_out else ""
            yield f"take again {_numbered(rows, row)}: it is {size} {unit} {side} than the others make it{out}"
        else:
            names = "; ".join(_numbered(rows, rows[number]) for number in item.readings[:6])
            more = " …" if len(item.readings) > 6 else ""
            yield (
                f"one of these is wrong, and too few others check them to tell which: take all of them again, or "
                f"tape one more diagonal, and rely on no figure of the survey until then: {names}{more}"
            )
    for row in rows:
        if row.kind == "distance" and row.redundancy < CHECKED and not row.left_out:
            design = math.dist(points[row.points[0]].design, points[row.points[1]].design)
            if abs(row.adjusted - design) > FAR:
                yield (
                    f"take again {_numbered(rows, row)}: it is {abs(row.adjusted - design):.0f} mm "
                    f"{'more' if row.adjusted > design else 'less'} than designed, and no other reading checks it"
                )
    if net.freedom == 0:
        yield "no reading checks another, so a slip would not be found: tape one more diagonal at least"
    elif not blunders and net.s0 is not None and net.s0 > math.sqrt(float(chdtri(net.freedom, 0.001)) / net.freedom):
        yield (
            f"the readings agree {net.s0:.1f} times worse than their standard errors say, and none stands out: tape "
            "again with care, or give a larger site.survey.sd"
        )
    missing = [name for name in corners if name not in points]
    if missing:
        names = ", ".join(missing[:8]) + (" …" if len(missing) > 8 else "")
        yield f"not measured, so not known as built: {names}"


def _numbered(rows: Sequence[Row], row: Row) -> str:
    """Which reading it is, by its number from 1 as on the sheet, and in words."""
    return f"reading {rows.index(row) + 1}, {reading_words(row)}"


def survey_values(result: AsBuilt) -> dict[str, Any]:
    """The shell as built in plain values for report.json: mm and degrees, places in the plan's coordinates."""
    return {
        "held": {"point": result.held[0], "towards": result.held[1]},
        "redundancy": result.freedom,
        "s0": result.s0,
        "critical": CRITICAL,
        "words": list(result.words),
        "points": [
            {
                "name": name,
                "at": list(point.at),
                "sx": point.sx,
                "sy": point.sy,
                "design": list(point.design),
                "corner": point.corner,
            }
            for name, point in result.points.items()
        ],
        "readings": [
            {
                "kind": row.kind,
                "points": list(row.points),
                "observed": row.observed,
                "sd": row.sd,
                "adjusted": row.adjusted,
                "residual": row.residual,
                "standardised": row.standardised,
                "redundancy": row.redundancy,
                "mark": row.mark,
                "left_out": row.left_out,
            }
            for row in result.rows
        ],
        "out_of_square": [
            {"corner": item.corner, "degrees": item.degrees, "by": item.by, "over": item.over}
            for item in result.squares
        ],
        "diagonals": [
            {"one": list(item.one), "other": list(item.other), "lengths": list(item.lengths), "differ_by": item.by}
            for item in result.diagonals
        ],
        "out_of_parallel": [
            {
                "walls": list(item.walls),
                "by": item.by,
                "over": item.over,
                "degrees": item.degrees,
                "wider_at": item.wider_at,
            }
            for item in result.parallels
        ],
        "walls": [
            {"wall": item.wall, "length": item.length, "design": item.design, "longer_by": item.by}
            for item in result.legs
        ],
        "off_line": [{"point": item.point, "wall": item.wall, "out_by": item.by} for item in result.off_line],
    }
