"""The page and the tables over all houses, written into the estate's folder all together or not at all."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from pathlib import Path

from platemodel.estate.page import estate_page
from platemodel.estate.pooling import together
from platemodel.estate.records import kept_lots, replace_files
from platemodel.estate.sharing import shared_types
from platemodel.estate.tables import Result, boards_table, summary_table, types_table


def write_summary(target: Path, results: Sequence[Result], parts: Collection[str], pool: bool) -> str:
    """Write index.html, summary.csv, types.csv and, where boards are cut for all, boards.csv.

    Gives what the houses come to, in words. ``parts`` are those that the houses' folders hold.
    Raises :class:`OSError` where one of them cannot be written; those of an earlier run are then left as they are.
    """
    good = [(result.name, result.house) for result in results if result.house is not None]
    types = shared_types(good)
    lots = kept_lots(target, good) if pool else None
    texts = {"summary.csv": summary_table(results), "types.csv": types_table(types, "solids" in parts)}
    if lots is not None:
        texts["boards.csv"] = boards_table(lots)
    texts["index.html"] = estate_page(f"{len(results)} houses", results, types, lots, "page" in parts)
    # of an earlier run, it would tell of boards for other pieces
    stale = [target / "boards.csv"] if lots is None else []
    replace_files({target / name: text for name, text in texts.items()}, stale)
    shared = sum(kind.houses > 1 for kind in types)
    if lots is None:
        spare = sum(house.spare for _, house in good)
        boards = f"{sum(house.boards for _, house in good)} boards and {spare} spare"
    else:
        bought, whom = sum(lot.bought for lot in lots), together(len(good), len(results))
        boards = f"{bought} boards for {whom} without spare ones (by boards.csv, not the houses' own lists)"
    mass = sum(house.mass for _, house in good)
    return (
        f"{sum(len(house.timbers) for _, house in good)} pieces of {len(types)} types, {shared} in several houses, "
        f"{boards}, {mass:.0f} kg"
    )
