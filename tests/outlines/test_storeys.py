"""Storeys of IFC models: walls that carry nothing, openings in several walls, two leaves that part two houses."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest
from faulty import left
from ifc_walls import Model
from shapely import Polygon, box

from platemodel.outlines.ifc_storeys import Seen, storey
from platemodel.plan import read_plan


def around(wide: float, deep: float, leaf: float, x: float = 0.0) -> list[Seen]:
    """Four outer walls, those in front and behind through, in metres."""
    return [
        Seen("front", box(x, 0, x + wide, leaf)),
        Seen("back", box(x, deep - leaf, x + wide, deep)),
        Seen("left", box(x, leaf, x + leaf, deep - leaf)),
        Seen("right", box(x + wide - leaf, leaf, x + wide, deep - leaf)),
    ]


def houses(walls: list[Seen]) -> tuple[list[Polygon], list[Any], list[str]]:
    lines, left_out = storey("S", walls, Counter())
    rings = [Polygon(line.points) for line in lines if line.closed]
    return rings, [line for line in lines if not line.closed], left_out


def same(rings: list[Polygon], wanted: list[Polygon]) -> bool:
    rings = sorted((ring.normalize() for ring in rings), key=lambda ring: ring.bounds)
    return len(rings) == len(wanted) and all(
        ring.symmetric_difference(one).area < 0.02 for ring, one in zip(rings, wanted, strict=True)
    )


def test_two_leaves_side_by_side_part_two_houses() -> None:
    """Each house with four walls of its own: nothing carries a plate over the joint between them."""
    rings, inside, left_out = houses([*around(8.0, 6.0, 0.1), *around(7.0, 6.0, 0.1, 8.0)])
    assert same(rings, [box(0, 0, 8, 6), box(8, 0, 15, 6)])
    assert (inside, left_out) == ([], [])


@pytest.mark.parametrize(("thick", "long"), [(0.2, 5.8), (0.1, 3.0)])
def test_a_lining_or_a_short_pier_parts_nothing(thick: float, long: float) -> None:
    """A wall inside with another beside it that is of another thickness, or does not go all along it."""
    walls = [*around(12.0, 6.0, 0.1), Seen("middle", box(6, 0.1, 6.1, 5.9))]
    beside = Seen("beside", box(6.1, 0.1, 6.1 + thick, 0.1 + long))
    rings, inside, _ = houses([*walls, beside])
    assert same(rings, [box(0, 0, 12, 6)])
    assert [line.where for line in inside] == ["middle", "beside"]


def test_partitions_side_by_side_part_nothing() -> None:
    thin = [Seen("one", box(6, 0.1, 6.1, 5.9), True), Seen("two", box(6.1, 0.1, 6.2, 5.9), True)]
    rings, inside, left_out = houses([*around(12.0, 6.0, 0.1), *thin])
    assert same(rings, [box(0, 0, 12, 6)])
    assert inside == []
    assert left_out == ["storey 'S': walls inside that carry nothing, as the model says: 2: one, two"]


def test_partitions_are_left_out_and_openings_lie_in_their_walls(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Any
) -> None:
    monkeypatch.chdir(tmp_path)
    model = Model()
    front, back = model.wall(0.14, 9.0, 0, 0, 0), model.wall(0.14, 9.0, 9.0, 6.0, 180)
    sides = [model.wall(0.14, 5.72, 0.14, 0.14, 90), model.wall(0.14, 5.72, 9.0, 0.14, 90)]
    bearing, partition = model.wall(0.1, 5.72, 4.5, 0.14, 90), model.wall(0.07, 5.72, 6.5, 0.14, 90)
    model.says(partition, LoadBearing=False, IsExternal=False)
    model.says(bearing, LoadBearing=True, IsExternal=False)
    model.hole(front, 0.4, 1.2, 1.0, -0.1, 0)
    model.hole(sides[0], 0.4, 0.9, 0.25, 2.5, 90)
    model.storey("Ground", [front, back, *sides, bearing, partition])
    model.model.write("house.ifc")
    code, out, err = left(["new", "made.toml", "--from", "house.ifc"], capsys)
    assert (code, err) == (0, "")
    assert "found: 1 outline, 1 cross wall, 2 openings, leaf 140 mm" in out
    assert "left out: storey 'Ground': walls inside that carry nothing, as the model says: 1: wall 'IfcWall'" in out
    plan = read_plan("made.toml")
    *shell, inside = plan.walls
    assert {inside.start, inside.end} == {(4450, 140), (4450, 5860)}
    assert Polygon([wall.start for wall in shell]).normalize().equals(box(0, 0, 9000, 6000).normalize())
    found = []
    for opening in plan.openings:
        wall = plan.walls[opening.wall]
        (ax, ay), (bx, by) = wall.start, wall.end
        ux, uy = (bx - ax) / wall.length, (by - ay) / wall.length
        places = (opening.begin, opening.end)
        found.append(sorted((round(ax + at * ux, 6), round(ay + at * uy, 6)) for at in places))
    assert sorted(found) == [[(0, 2500), (0, 3400)], [(1000, 0), (2200, 0)]]
