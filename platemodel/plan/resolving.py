"""Resolve what a plan file says into walls and places on them, and judge what that shows."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from platemodel.faults import Fault, KeyPath, nearest
from platemodel.plan import model, values
from platemodel.plan.outline import SAME_POINT, corners_of, judge_outline, legs
from platemodel.plan.values import Plan, Point, Wall

T = TypeVar("T", bound=BaseModel)

MOST_IN_A_ROW = 5000
"""Bearings of one ``every``: more is a slip of the decimal point."""

SHORTEST_GAP = 1.0
"""A gap shorter than plates that touch within 1 mm would not be a gap, mm."""


class _Resolver:
    """Collects walls, names and faults on the way through the file."""

    def __init__(self, data: Mapping[str, Any], default_width: float) -> None:
        self.data = data
        self.default_width = default_width
        self.faults: list[Fault] = []
        self.walls: list[Wall] = []
        self.shells: list[str] = []
        self.index: dict[str, int] = {}
        self.complete = True
        """Whether every shell and cross wall could be read, so that an unknown name is a fault."""

    def fault(self, path: KeyPath, found: str, expected: str) -> None:
        self.faults.append(Fault(path, found, expected))

    def items(self, key: str, kind: type[T]) -> Iterator[tuple[KeyPath, T]]:
        """The tables of a list that are sound; the others have been complained of already."""
        found = self.data.get(key, [])
        for number, raw in enumerate(found if isinstance(found, list) else []):
            try:
                yield (key, number), kind.model_validate(raw)
            except ValidationError:
                if key in ("shell", "cross"):
                    self.complete = False

    def add_name(self, name: str, path: KeyPath) -> bool:
        if name in self.index:
            self.fault(path, f"the name '{name}' is used twice", "expected a name of its own for each wall")
            return False
        self.index[name] = len(self.index)
        return True

    def find(self, name: str, path: KeyPath) -> int | None:
        """The index of a wall by its name."""
        number = self.index.get(name)
        if number is None:
            if self.complete:
                self.fault(path, f"there is no wall '{name}'", nearest(name, self.index))
            return None
        return number

    def shell(self, path: KeyPath, shell: model.Shell) -> None:
        number = len(self.shells)
        name = shell.name or ("shell" if number == 0 else f"shell{number + 1}")
        before = len(self.faults)
        if name in self.shells:
            self.fault((*path, "name"), f"the name '{name}' is used twice", "expected a name of its own for each shell")
        self.shells.append(name)
        if shell.closed and shell.inside is not None:
            self.fault((*path, "inside"), "found on a closed shell", "expected only with closed = false")
        if shell.setback >= shell.leaf:
            found = f"a setback of {shell.setback:g} puts the plate off its leaf of {shell.leaf:g}"
            self.fault((*path, "setback" if shell.setback else "leaf"), found, "expected less than the leaf")
        points, faults = corners_of(shell, path)
        self.faults += faults
        if not faults:
            where = (*path, "corners" if shell.corners is not None else "walk")
            self.faults += judge_outline(points, shell.closed, where)
        if len(self.faults) > before:
            self.complete = False
            return
        count = len(points) if shell.closed else len(points) - 1
        names = shell.walls or [f"{name}{leg + 1}" for leg in range(count)]
        if len(names) != count:
            self.fault((*path, "walls"), f"found {len(names)} names", f"expected {count}, one for each wall")
            self.complete = False
            return
        width = shell.plate_width or self.default_width
        where = (*path, "walls") if shell.walls else path
        walls = legs(shell, number, points, names, width, len(self.walls), path)
        named = [self.add_name(wall, where) for wall in names]
        if all(named):
            self.walls += walls
        else:
            self.complete = False

    def crosses(self) -> None:
        """Cross walls, each after those on which it is placed."""
        waiting: list[tuple[KeyPath, str, model.Cross]] = []
        for number, (path, cross) in enumerate(self.items("cross", model.Cross)):
            name = cross.name or ("cross" if number == 0 else f"cross{number + 1}")
            if self.add_name(name, (*path, "name")):
                waiting.append((path, name, cross))
            else:
                self.complete = False
        done: dict[str, Wall] = {wall.name: wall for wall in self.walls}
        built: dict[str, Wall] = {}
        while waiting:
            left = []
            for path, name, cross in waiting:
                needs = {end.wall for end in (cross.from_, cross.to) if isinstance(end, model.OnWall)}
                if any(need in self.index and need not in done for need in needs):
                    left.append((path, name, cross))
                elif (wall := self.cross(path, name, cross, done)) is not None:
                    done[name] = built[name] = wall
                else:
                    self.complete = False
            if len(left) == len(waiting):
                if self.complete:
                    for path, name, _ in left:
                        self.fault(
                            path, f"'{name}' is placed on a wall that is placed on it", "expected a point [x, y]"
                        )
                self.complete = False
                break
            waiting = left
        # in the order of the file, whatever the order in which they could be placed
        order = sorted(built, key=lambda name: self.index[name])
        self.walls += [built[name] for name in order]

    def cross(self, path: KeyPath, name: str, cross: model.Cross, done: Mapping[str, Wall]) -> Wall | None:
        ends: list[Point] = []
        for key, end in (("from", cross.from_), ("to", cross.to)):
            if not isinstance(end, model.OnWall):
                ends.append((end[0], end[1]))
            elif self.find(end.wall, (*path, key, "wall")) is not None and end.wall in done:
                holder = done[end.wall]
                if self.within(holder, end.at, (*path, key, "at")):
                    ends.append(holder.at(end.at))
        if len(ends) < 2:
            return None
        if math.dist(*ends) < SAME_POINT:
            self.fault(path, "begins and ends at the same point", "expected two ends")
            return None
        half = (cross.plate_width or self.default_width) / 2
        return Wall(name, path, None, ends[0], ends[1], (-cross.leaf / 2, cross.leaf / 2), (-half, half))

    def within(self, wall: Wall, at: float, path: KeyPath) -> bool:
        if at <= wall.length + 1e-3:
            return True
        self.fault(
            path, f"{at:g} is beyond the end of '{wall.name}'", f"expected at most its length, {wall.length:.1f}"
        )
        return False


def resolve(
    whole: model.PlanFile | None, data: Mapping[str, Any], file: str, lines: Mapping[KeyPath, int]
) -> tuple[Plan | None, list[Fault]]:
    """Resolve a plan; where ``whole`` is None, only judge what parts of ``data`` are sound."""
    plate = data.get("plate")
    width = plate.get("width") if isinstance(plate, dict) else None
    sound = isinstance(width, int | float) and not isinstance(width, bool) and 0 < width < 1e6
    work = _Resolver(data, float(width) if sound and width is not None else 100.0)
    for path, shell in work.items("shell", model.Shell):
        work.shell(path, shell)
    work.crosses()
    if not work.complete:
        # names are known but not where every wall lies: judge names only
        for key, kind in _ON_WALLS.items():
            for path, item in work.items(key, kind):
                work.find(item.wall, (*path, "wall"))  # type: ignore[attr-defined]
        return None, work.faults
    position = {wall.name: number for number, wall in enumerate(work.walls)}
    work.index = position
    gaps = list(_gaps(work))
    splices = [
        values.FixedSplice(wall, item.at, path)
        for path, item in work.items("splice", model.FixedSplice)
        if (wall := work.find(item.wall, (*path, "wall"))) is not None
        and work.within(work.walls[wall], item.at, (*path, "at"))
    ]
    openings = list(_openings(work))
    bearings = list(_bearings(work, gaps))
    laying = _laying(work)
    stock = _stock(work)
    if whole is None or work.faults or laying is None or stock is None:
        return None, work.faults
    plan = Plan(
        job=whole.job,
        plate=values.Section(whole.plate.width, whole.plate.depth, whole.plate.grade),
        lap=values.LapRule(whole.lap.clearance, whole.lap.splice, whole.lap.apart),
        stock=stock,
        walls=tuple(work.walls),
        shells=tuple(work.shells),
        gaps=tuple(gaps),
        splices=tuple(splices),
        openings=tuple(openings),
        bearings=tuple(bearings),
        laying=laying,
        file=file,
        lines=lines,
    )
    return plan, []


_ON_WALLS: dict[str, type[BaseModel]] = {
    "gap": model.Gap,
    "splice": model.FixedSplice,
    "opening": model.Opening,
    "bearing": model.Bearing,
}


def _stretch(work: _Resolver, wall: Wall, begin: float, end: float, path: KeyPath, least: float) -> bool:
    """Judge a stretch of a wall from ``begin`` to ``end``."""
    if not work.within(wall, begin, (*path, "from")) or not work.within(wall, end, (*path, "to")):
        return False
    if end - begin <= least:
        found = f"runs from {begin:g} to {end:g}"
        work.fault(path, found, f"expected 'to' to be more than {least:g} mm beyond 'from'")
        return False
    return True


def _gaps(work: _Resolver) -> Iterator[values.Gap]:
    for path, item in work.items("gap", model.Gap):
        number = work.find(item.wall, (*path, "wall"))
        if number is None:
            continue
        wall = work.walls[number]
        if item.whole:
            if item.from_ is not None or item.to is not None:
                work.fault(path, "found whole = true beside from or to", "expected one of the two")
            yield values.Gap(number, 0.0, wall.length, item.end, path)
        elif item.from_ is None or item.to is None:
            work.fault(path, "found neither whole = true nor both from and to", "expected where the gap is")
        elif _stretch(work, wall, item.from_, item.to, path, SHORTEST_GAP):
            # what would be left of the wall shorter than a gap may be, no one lays a plate on
            begin = 0.0 if item.from_ <= SHORTEST_GAP else item.from_
            end = wall.length if item.to >= wall.length - SHORTEST_GAP else item.to
            yield values.Gap(number, begin, end, item.end, path)


def _openings(work: _Resolver) -> Iterator[values.Opening]:
    for path, item in work.items("opening", model.Opening):
        number = work.find(item.wall, (*path, "wall"))
        if number is not None and _stretch(work, work.walls[number], item.from_, item.to, path, 0.0):
            yield values.Opening(item.name or "opening", number, item.from_, item.to, path)


def _bearings(work: _Resolver, gaps: list[values.Gap]) -> Iterator[values.Bearing]:
    for path, item in work.items("bearing", model.Bearing):
        number = work.find(item.wall, (*path, "wall"))
        if number is None:
            continue
        places = _places(work, work.walls[number], item, path)
        for count, at in enumerate(places, start=1):
            name = item.name if item.at is not None else f"{item.name} {count}"
            begin, end = at - item.width / 2, at + item.width / 2
            gap = next((g for g in gaps if g.wall == number and begin < g.end and g.begin < end), None)
            if gap is not None:
                found = f"'{name}' at {at:g} lands on the gap from {gap.begin:g} to {gap.end:g} of '{item.wall}'"
                work.fault(path, found, "expected a place with a plate")
                break
            yield values.Bearing(name, number, at, item.width, path)


def _places(work: _Resolver, wall: Wall, item: model.Bearing, path: KeyPath) -> list[float]:
    row = (item.every, item.from_, item.to)
    if item.at is not None and all(part is None for part in row):
        return [item.at] if work.within(wall, item.at, (*path, "at")) else []
    if item.at is not None or any(part is None for part in row):
        work.fault(path, "found neither at alone nor every, from and to", "expected one bearing or one row")
        return []
    every, begin, end = float(item.every or 0), float(item.from_ or 0), float(item.to or 0)
    if not _stretch(work, wall, begin, end, path, 0.0):
        return []
    count = int((end - begin) / every + 1e-9) + 1
    if count > MOST_IN_A_ROW:
        work.fault((*path, "every"), f"a row of {count} bearings", f"expected at most {MOST_IN_A_ROW}")
        return []
    return [begin + number * every for number in range(count)]


def _laying(work: _Resolver) -> values.Laying | None:
    try:
        laying = model.Laying.model_validate(work.data.get("laying", {}))
    except ValidationError:
        return None
    start = None if laying.start is None else work.find(laying.start, ("laying", "start"))
    order: list[int] = []
    for number, name in enumerate(laying.order or []):
        wall = work.find(name, ("laying", "order", number))
        if wall in order:
            work.fault(("laying", "order", number), f"'{name}' stands twice", "expected each wall once")
        elif wall is not None:
            order.append(wall)
    if start is not None and order and order[0] != start:
        found = f"start is '{laying.start}' but order begins with '{(laying.order or [''])[0]}'"
        work.fault(("laying", "start"), found, "expected the same wall, or one of the two keys")
    return values.Laying(start, tuple(order), laying.method, laying.locked)


def _stock(work: _Resolver) -> values.Stock | None:
    try:
        stock = model.Stock.model_validate(work.data.get("stock", {}))
    except ValidationError:
        return None
    for number, length in enumerate(stock.lengths):
        if length in stock.lengths[:number]:
            work.fault(("stock", "lengths", number), f"{length:g} stands twice", "expected each length once")
    if stock.kerf >= min(stock.lengths):
        work.fault(("stock", "kerf"), f"a kerf of {stock.kerf:g} is longer than a board", "expected less")
    return values.Stock(tuple(sorted(stock.lengths)), stock.kerf)
