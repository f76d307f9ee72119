"""Resolve what a plan says of the shell as built: names of points and walls, places on walls."""

from __future__ import annotations

from collections.abc import Mapping

from platemodel.faults import KeyPath, nearest
from platemodel.plan import site_model as model
from platemodel.plan import site_values as values
from platemodel.plan.values import Wall
from platemodel.plan.walls import Walls

SLIP = 100.0
"""A taped length less than this part of what the plan says is in metres, not in millimetres."""


def resolve_site(work: Walls, site: model.Site, straps: list[model.Strap], rules: model.RuleSet) -> values.Site:
    """Resolve a plan's site; faults are noted in ``work``."""
    survey = None if site.survey is None else _survey(work, site.survey)
    levels = None if site.levels is None else _levels(work, site.levels)
    if site.bed.most < site.bed.least:
        found = f"most {site.bed.most:g} is less than least {site.bed.least:g}"
        work.fault(("site", "bed", "most"), found, "expected at least site.bed.least")
    placing = site.placing
    hold = _walls(work, placing.hold, ("site", "placing", "hold"))
    wish = None
    if site.straps is not None:
        wish = values.StrapWish(
            site.straps.every,
            site.straps.end,
            site.straps.clear,
            site.straps.length,
            _walls(work, site.straps.gables, ("site", "straps", "gables")),
        )
    built = []
    for number, strap in enumerate(straps):
        path: KeyPath = ("strap", number)
        on = work.wall(strap.wall, (*path, "wall"))
        if on is not None and work.within(on[1], strap.at, (*path, "at")):
            built.append(values.BuiltStrap(on[0], strap.at, path))
    return values.Site(
        survey,
        levels,
        values.Bed(**site.bed.model_dump()),
        values.PlacingWish(hold, placing.outer, placing.inner, placing.fit),
        wish,
        tuple(built),
        rules.file,
    )


def _walls(work: Walls, names: list[str], path: KeyPath) -> tuple[int, ...]:
    found = (work.find(name, (*path, number)) for number, name in enumerate(names))
    return tuple(dict.fromkeys(wall for wall in found if wall is not None))


def point_names(walls: Mapping[int, Wall]) -> dict[str, values.PointOnWall]:
    """Names of the corners and open ends of the shells; a corner by its two walls in either order."""
    found = {}
    for number, wall in walls.items():
        if wall.shell is None:
            continue
        if wall.before is None:
            found[f"{wall.name} start"] = values.PointOnWall(f"{wall.name} start", number, 0.0, wall.start)
        if wall.after is None:
            found[f"{wall.name} end"] = values.PointOnWall(f"{wall.name} end", number, wall.length, wall.end)
        else:
            name = f"{wall.name}/{walls[wall.after].name}"
            point = values.PointOnWall(name, number, wall.length, wall.end)
            found[name] = point
            # of a shell of two walls both corners would have one name
            found.setdefault(f"{walls[wall.after].name}/{wall.name}", point)
    return found


def _survey(work: Walls, survey: model.Survey) -> values.Survey:
    path: KeyPath = ("site", "survey")
    known = point_names(work.found)
    for number, item in enumerate(survey.point):
        here = (*path, "point", number)
        on = work.wall(item.wall, (*here, "wall"))
        if item.name in known:
            work.fault((*here, "name"), f"the name '{item.name}' is used twice", "expected a name of its own")
        elif on is not None and work.within(on[1], item.at, (*here, "at")):
            if on[1].shell is None:
                work.fault((*here, "wall"), f"'{item.wall}' is a cross wall", "expected a wall of a shell")
                continue
            known[item.name] = values.PointOnWall(item.name, on[0], item.at, on[1].at(item.at))
    used: dict[str, values.PointOnWall] = {}

    def point(name: str, where: KeyPath) -> str | None:
        found = known.get(name)
        if found is None:
            work.fault(where, f"there is no point '{name}'", nearest(name, known))
            return None
        used[found.name] = found
        return found.name

    tapes, angles, offsets = [], [], []
    for number, tape in enumerate(survey.tape):
        here = (*path, "tape", number)
        begin, end = point(tape.from_, (*here, "from")), point(tape.to, (*here, "to"))
        if begin is None or end is None or not _apart(work, here, begin, end):
            continue
        (ax, ay), (bx, by) = used[begin].design, used[end].design
        planned = ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5
        if tape.length * SLIP < planned:
            found = f"{tape.length:g} from '{begin}' to '{end}', which are {planned:.0f} mm apart in the plan"
            work.fault((*here, "length"), found, "expected millimetres: is this metres?")
        tapes.append(values.TapeReading(begin, end, tape.length, tape.sd or survey.sd, here))
    for number, angle in enumerate(survey.angle):
        here = (*path, "angle", number)
        at = point(angle.at, (*here, "at"))
        begin, end = point(angle.from_, (*here, "from")), point(angle.to, (*here, "to"))
        if at and begin and end and _apart(work, here, begin, end, at):
            angles.append(values.AngleReading(at, begin, end, angle.degrees, angle.sd or survey.angle_sd, here))
    for number, offset in enumerate(survey.offset):
        here = (*path, "offset", number)
        at = point(offset.point, (*here, "point"))
        begin, end = point(offset.from_, (*here, "from")), point(offset.to, (*here, "to"))
        if at and begin and end and _apart(work, here, begin, end, at):
            offsets.append(values.OffsetReading(at, begin, end, offset.distance, offset.sd or survey.sd, here))
    return values.Survey(used, tuple(tapes), tuple(angles), tuple(offsets))


def _apart(work: Walls, path: KeyPath, *names: str) -> bool:
    if len(set(names)) < len(names):
        work.fault(path, f"'{names[0]}' stands twice", "expected different points")
        return False
    return True


def _levels(work: Walls, levels: model.Levels) -> values.Levels:
    path: KeyPath = ("site", "levels")
    book, laser = [], []
    for number, row in enumerate(levels.book):
        here = (*path, "book", number)
        if (row.wall is None) != (row.at is None):
            work.fault(here, "found one of wall and at", "expected both for a station on a wall, or neither")
        on = None if row.wall is None else work.wall(row.wall, (*here, "wall"))
        if on is not None and row.at is not None and not work.within(on[1], row.at, (*here, "at")):
            on = None
        book.append(
            values.BookedReading(
                row.station,
                row.backsight,
                row.intermediate,
                row.foresight,
                None if on is None else on[0],
                None if on is None else row.at,
                here,
            )
        )
    for number, reading in enumerate(levels.laser):
        here = (*path, "laser", number)
        on = work.wall(reading.wall, (*here, "wall"))
        if on is not None and work.within(on[1], reading.at, (*here, "at")):
            laser.append(values.LaserReading(on[0], reading.at, reading.down, here))
    if levels.book and levels.laser:
        work.fault((*path, "laser"), "found laser beside book", "expected one of the two")
    return values.Levels(levels.start, levels.close, tuple(book), tuple(laser))
