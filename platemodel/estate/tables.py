"""The tables of an estate as CSV: a row a house, a row a shared type, a row a board."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from platemodel.estate.pooling import Lot
from platemodel.estate.sharing import SharedType
from platemodel.estate.values import House
from platemodel.export.lists import number, safe, table
from platemodel.frame.shape import solid_code


@dataclass(frozen=True)
class Result:
    """What became of one plan: the house, or what was wrong, a line each.

    ``kept``: the house's folder holds good results of an earlier plan.
    ``folder`` is where the results of this plan lie, under the estate's; empty where nothing was written.
    """

    name: str
    plan: str
    house: House | None
    said: tuple[str, ...] = ()
    folder: str = ""
    kept: bool = False


def summary_table(results: Iterable[Result]) -> str:
    """A row a plan: what it comes to, or what was wrong with it; boards as each house alone needs them."""
    head = ["name", "plan", "title", "result", "pieces", "types", "laps"]
    boards = ["boards_without_spare", "spare_boards", "metres_without_spare", "waste_percent"]
    return table([*head, *boards, "mass_kg", "advice", "folder", "said"], map(_row, results))


def _row(result: Result) -> list[object]:
    house = result.house
    front: list[object] = [safe(result.name), safe(result.plan)]
    if house is None:
        said = " | ".join(result.said)
        return [*front, "", "failed", *[""] * 9, _path(result.folder), safe(said)]
    return [
        *front,
        safe(house.title),
        "proved",
        len(house.timbers),
        len(house.kinds),
        house.laps,
        house.boards,
        house.spare,
        f"{house.metres:.2f}",
        f"{house.waste:.1f}",
        f"{house.mass:.1f}",
        house.advice,
        _path(result.folder),
        "",
    ]


def _path(path: str) -> str:
    """A path that a spreadsheet will not take for a formula, and that still opens: its own folder put before it."""
    return path if safe(path) == path else f"./{path}"


def types_table(types: Iterable[SharedType], solids: bool) -> str:
    """A row a type of the whole estate; ``solids``: the houses' folders hold files of them."""
    head = ["type", "grade", "length_mm", "width_mm", "depth_mm", "count", "houses", "solid", "file", "where"]
    rows = []
    for kind in types:
        first = kind.uses[0]
        rows.append(
            [
                kind.name,
                kind.grade,
                number(kind.shape.length),
                number(kind.shape.width),
                number(kind.shape.depth),
                kind.count,
                kind.houses,
                solid_code(kind.shape),
                _path(f"{first.house}/pieces/{first.type}.step") if solids else "",
                safe("; ".join(f"{use.house} {use.type} x {use.count}" for use in kind.uses)),
            ]
        )
    return table(head, rows)


def boards_table(lots: Iterable[Lot]) -> str:
    """A row a board that is cut for all houses together: the pieces sawn from it, in order.

    Its number has a P, so that it is not taken for a board of a house's own pack.
    """
    rows = []
    count = 0
    for lot in lots:
        for board in lot.boards:
            count += 1
            cut = " + ".join(f"{house} {mark}" for house, mark, _ in (lot.of[index] for index in board.pieces))
            section = [number(lot.width), number(lot.depth), lot.grade, number(board.length)]
            rows.append([f"P{count}", *section, "yard" if board.yard else "buy", number(board.offcut), safe(cut)])
    return table(["board", "width_mm", "depth_mm", "grade", "length_mm", "from", "offcut_mm", "pieces"], rows)
