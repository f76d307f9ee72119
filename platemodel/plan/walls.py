"""Find the walls that a plan file names: the legs of its shells and its cross walls."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from platemodel.faults import Fault, KeyPath, nearest
from platemodel.plan import model
from platemodel.plan.outline import SAME_POINT, corners_of, judge_outline, legs
from platemodel.plan.values import Point, Wall

T = TypeVar("T", bound=BaseModel)

MOST_WALLS = 10_000
"""Walls of one plan; more is no building but a file gone wrong."""

MOST_HINTS = 100
"""Misspelt names for which the nearest right one is looked up."""


class Walls:
    """Collects walls, their names and faults on the way through the file.

    A name may be known while its wall is not: then where the wall lies could not be read, which
    has been complained of already.
    """

    def __init__(self, data: Mapping[str, Any], default_width: float) -> None:
        self.data = data
        self.default_width = default_width
        self.faults: list[Fault] = []
        self.shells: list[str] = []
        self.index: dict[str, int] = {}
        self.found: dict[int, Wall] = {}
        self.vague: list[str] = []
        """Shells whose walls have default names, no one knows how many."""
        self.unknown = 0
        if "shell" not in data or not isinstance(data["shell"], list):
            self.vague.append("")
        for number, (path, shell, raw) in enumerate(self.all_items("shell", model.Shell)):
            if shell is None:
                self._unsound_shell(number, raw, path)
            else:
                self._shell(path, shell)
        self._crosses()
        if len(self.index) > MOST_WALLS:
            self.fault((), f"found {len(self.index)} walls", f"expected at most {MOST_WALLS}")

    def fault(self, path: KeyPath, found: str, expected: str) -> None:
        """Note a fault."""
        self.faults.append(Fault(path, found, expected))

    def all_items(self, key: str, kind: type[T]) -> Iterator[tuple[KeyPath, T | None, Any]]:
        """The tables of a list; None for one that is not sound, which has been complained of already."""
        found = self.data.get(key, [])
        for number, raw in enumerate(found if isinstance(found, list) else []):
            try:
                yield (key, number), kind.model_validate(raw), raw
            except ValidationError:
                yield (key, number), None, raw

    def items(self, key: str, kind: type[T]) -> Iterator[tuple[KeyPath, T]]:
        """The tables of a list on walls. Of one that is not sound, only the wall's name is judged."""
        for path, item, raw in self.all_items(key, kind):
            if item is not None:
                yield path, item
            elif isinstance(raw, dict) and isinstance(raw.get("wall"), str):
                self.find(raw["wall"].strip(), (*path, "wall"))

    def add_name(self, name: str, path: KeyPath) -> int | None:
        """Take a name; gives its number, or None where it is taken already."""
        if name in self.index:
            self.fault(path, f"the name '{name}' is used twice", "expected a name of its own for each wall")
            return None
        self.index[name] = len(self.index)
        return self.index[name]

    def find(self, name: str, path: KeyPath) -> int | None:
        """The number of a wall by its name; a fault where there is none of that name."""
        number = self.index.get(name)
        if number is None and not any(name.startswith(prefix) for prefix in self.vague):
            self.unknown += 1
            hint = nearest(name, self.index) if self.unknown <= MOST_HINTS else "expected the name of a wall"
            self.fault(path, f"there is no wall '{name}'", hint)
        return number

    def wall(self, name: str, path: KeyPath) -> tuple[int, Wall] | None:
        """A wall and its number by its name, where the name is known and the wall could be read."""
        number = self.find(name, path)
        return None if number is None or number not in self.found else (number, self.found[number])

    def within(self, wall: Wall, at: float, path: KeyPath) -> bool:
        """Judge that a position is on a wall."""
        if at <= wall.length + 1e-3:
            return True
        found = f"{at:.10g} is beyond the end of '{wall.name}'"
        self.fault(path, found, f"expected at most its length, {wall.length:.1f}")
        return False

    def _unsound_shell(self, number: int, raw: Any, path: KeyPath) -> None:
        """Take at least the names from a shell that cannot be read."""
        if not isinstance(raw, dict):
            raw = {"walls": None}
        name = raw["name"] if isinstance(raw.get("name"), str) else _default("shell", number)
        self.shells.append(name)
        names = raw.get("walls")
        if not isinstance(names, list):
            self.vague.append(name if "walls" not in raw else "")
            return
        for leg, wall in enumerate(names):
            if isinstance(wall, str):
                self.add_name(wall.strip(), (*path, "walls", leg))
            else:
                self.vague.append("")

    def _shell(self, path: KeyPath, shell: model.Shell) -> None:
        number = len(self.shells)
        name = shell.name or _default("shell", number)
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
        count = len(points) if shell.closed else len(points) - 1
        if not faults and shell.walls is not None and len(shell.walls) != count:
            found = f"found {len(shell.walls)} names for {count} walls"
            self.fault((*path, "walls"), found, "expected a name for each wall")
        default = [f"{name}{leg + 1}" for leg in range(count)] if not faults else []
        names = shell.walls or default
        if not faults:
            where = (*path, "corners" if shell.corners is not None else "walk")
            faults = judge_outline(points, shell.closed, where, names if len(names) == count else default)
        elif shell.walls is None:
            self.vague.append(name)
        self.faults += faults
        first = len(self.index)
        numbers = [
            self.add_name(wall, (*path, "walls", leg) if shell.walls else path) for leg, wall in enumerate(names)
        ]
        if len(self.faults) == before:
            width = shell.plate_width or self.default_width
            walls = legs(shell, number, points, names, width, first, path)
            self.found |= {at: wall for at, wall in zip(numbers, walls, strict=True) if at is not None}

    def _crosses(self) -> None:
        """Cross walls, each after those on which it is placed."""
        waiting: list[tuple[KeyPath, int, str, model.Cross]] = []
        for count, (path, cross, raw) in enumerate(self.all_items("cross", model.Cross)):
            given = raw.get("name") if isinstance(raw, dict) else None
            name = cross.name if cross is not None else given.strip() if isinstance(given, str) else None
            name = name or _default("cross", count)
            number = self.add_name(name, (*path, "name") if given else path)
            if number is not None and cross is not None:
                waiting.append((path, number, name, cross))
        while waiting:
            names = {name for _, _, name, _ in waiting}
            left = []
            for item in waiting:
                path, number, name, cross = item
                if _needs(cross) & names:
                    left.append(item)
                elif (wall := self._cross(path, name, cross)) is not None:
                    self.found[number] = wall
            if len(left) == len(waiting):
                self._circles(left)
                return
            waiting = left

    def _circles(self, waiting: list[tuple[KeyPath, int, str, model.Cross]]) -> None:
        """Faults of cross walls that are placed on one another in a circle."""
        needs = {name: _needs(cross) for _, _, name, cross in waiting}
        for path, _, name, cross in waiting:
            reached: set[str] = set()
            ahead = list(needs[name])
            while ahead:
                here = ahead.pop()
                if here not in reached:
                    reached.add(here)
                    ahead += needs.get(here, ())
            for key, end in (("from", cross.from_), ("to", cross.to)):
                if not isinstance(end, model.OnWall):
                    continue
                if end.wall in needs and name in reached:
                    found = f"'{name}' is placed on '{end.wall}', which is placed on it in turn"
                    found = found if end.wall != name else f"'{name}' is placed on itself"
                    self.fault((*path, key, "wall"), found, "expected a point [x, y] or another wall")
                else:
                    self.find(end.wall, (*path, key, "wall"))

    def _cross(self, path: KeyPath, name: str, cross: model.Cross) -> Wall | None:
        ends: list[Point] = []
        for key, end in (("from", cross.from_), ("to", cross.to)):
            if not isinstance(end, model.OnWall):
                ends.append((end[0], end[1]))
            elif (holder := self.wall(end.wall, (*path, key, "wall"))) is not None and self.within(
                holder[1], end.at, (*path, key, "at")
            ):
                ends.append(holder[1].at(end.at))
        if len(ends) < 2:
            return None
        if math.dist(*ends) < SAME_POINT:
            self.fault(path, f"'{name}' begins and ends at the same point", "expected two ends apart")
            return None
        half = (cross.plate_width or self.default_width) / 2
        return Wall(name, path, None, ends[0], ends[1], (-cross.leaf / 2, cross.leaf / 2), (-half, half))


def _needs(cross: model.Cross) -> set[str]:
    """Names of the walls on which a cross wall is placed."""
    return {end.wall for end in (cross.from_, cross.to) if isinstance(end, model.OnWall)}


def _default(kind: str, number: int) -> str:
    return kind if number == 0 else f"{kind}{number + 1}"
