"""Types that several houses share: the same solid, of the same grade, whatever each house calls it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from platemodel.estate.values import House
from platemodel.frame.shape import Shape, shape_key
from platemodel.frame.types import kinds


@dataclass(frozen=True)
class Use:
    """Where a shared type stands: in which house, by which name there, and how often."""

    house: str
    type: str
    count: int


@dataclass(frozen=True)
class SharedType:
    """A solid of the whole estate: its name there, its grade, its shape, and where it is used."""

    name: str
    grade: str
    shape: Shape
    uses: tuple[Use, ...]

    @property
    def count(self) -> int:
        """How many pieces are of it."""
        return sum(use.count for use in self.uses)

    @property
    def houses(self) -> int:
        """In how many houses it stands."""
        return len({use.house for use in self.uses})


def shared_types(houses: Iterable[tuple[str, House]]) -> list[SharedType]:
    """The types of all houses as one list, the longest first: S1, S2 …"""
    by_grade: dict[str, tuple[list[Shape], list[Use]]] = {}
    for name, house in houses:
        shapes, uses = by_grade.setdefault(house.grade, ([], []))
        for kind in house.kinds:
            shapes.append(kind.shape)
            uses.append(Use(name, kind.name, kind.count))
    found = []
    for grade, (shapes, uses) in sorted(by_grade.items()):
        alike = kinds(shapes)
        alike.sort(key=lambda some: shape_key(shapes[some[0]]))
        found += [(grade, shapes[some[0]], tuple(uses[index] for index in some)) for some in alike]
    return [SharedType(f"S{number}", *rest) for number, rest in enumerate(found, start=1)]
