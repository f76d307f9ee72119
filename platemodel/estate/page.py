"""The page over all houses of an estate: what became of each, what they share, what is bought for all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape
from pathlib import Path
from string import Template

from platemodel.estate.pooling import Lot, together
from platemodel.estate.sharing import SharedType
from platemodel.estate.tables import Result
from platemodel.export.lists import number
from platemodel.frame.shape import solid_code

HERE = Path(__file__).parent

MOST_LINES = 6
"""So much is said on the page of what is wrong with one plan; the table says all."""

ROW = ' scope="row"'
"""What marks the first cell of a row as the row's heading."""

MOST_TYPES = 100
"""So many shared types stand on the page, those of most pieces first; the table has all."""


def estate_page(
    title: str, results: Sequence[Result], types: Sequence[SharedType], lots: Sequence[Lot] | None, pages: bool
) -> str:
    """The page as HTML.

    ``lots`` are the boards cut for all houses together, None where each house has its own; ``pages``: the houses'
    folders hold a page each.
    """
    failed = [result for result in results if result.house is None]
    shared = [kind for kind in types if kind.houses > 1]
    tables = ["summary.csv", "types.csv", *(["boards.csv"] if lots is not None else [])]
    return Template((HERE / "page.html").read_text("utf-8").strip()).substitute(
        title=escape(title),
        style=(HERE / "page.css").read_text("utf-8").strip(),
        verdict="bad" if failed else "good",
        verdict_words=_verdict(len(results), len(failed)),
        counts=escape(_counts(results, types, shared, lots)),
        links=", ".join(f'<a href="{name}">{name}</a>' for name in tables),
        failed=_failed(failed),
        houses=_houses(results, pages),
        types=_types(shared),
        boards="" if lots is None else _boards(lots, together(len(results) - len(failed), len(results))),
    )


def _verdict(count: int, failed: int) -> str:
    if failed:
        return f"✗ {failed} of {count} houses failed: do not saw those"
    return f"✓ All {count} houses are proved. This proves the shapes, not the timber, the sawing or the structure."


def _counts(
    results: Sequence[Result], types: Sequence[SharedType], shared: Sequence[SharedType], lots: Sequence[Lot] | None
) -> str:
    houses = [result.house for result in results if result.house is not None]
    alone, spare = sum(house.boards for house in houses), sum(house.spare for house in houses)
    metres = sum(house.metres for house in houses)
    parts = [
        f"{sum(len(house.timbers) for house in houses)} pieces",
        f"{len(types)} types, {len(shared)} of them in several houses",
        f"{sum(house.mass for house in houses):.0f} kg",
        f"{alone} boards, {metres:.1f} m, needed house by house, and {spare} spare",
    ]
    if lots is not None:
        whom = together(len(houses), len(results))
        pooled = sum(lot.metres for lot in lots)
        parts.append(f"{sum(lot.bought for lot in lots)} boards, {pooled:.1f} m, needed for {whom}")
    return " · ".join(parts)


def _failed(failed: Sequence[Result]) -> str:
    if not failed:
        return ""
    items = []
    for result in failed:
        said = "".join(f"<li>{escape(line)}</li>" for line in result.said[:MOST_LINES])
        more = len(result.said) - MOST_LINES
        said += f"<li>and {more} more in summary.csv</li>" if more > 0 else ""
        kept = "<p>Its folder still holds results of an earlier plan: do not saw by them.</p>" if result.kept else ""
        items.append(f"<li><strong>{escape(result.name)}</strong><ul>{said}</ul>{kept}</li>")
    return f'<section class="failed"><h2>Failed</h2><ul>{"".join(items)}</ul></section>'


def _houses(results: Sequence[Result], pages: bool) -> str:
    head = ["house", "result", "title", "pieces", "types", "laps", "boards", "spare", "metres", "waste", "kg", "advice"]
    rows = []
    for result in results:
        house, name = result.house, escape(result.name)
        link = f"{_address(result.folder)}/index.html" if pages else f"{_address(result.folder)}/"
        named = f'<a href="{link}">{name}</a>' if result.folder else name
        if house is None:
            rows.append([named, '<span class="bad">✗ failed</span>', *[""] * 10])
            continue
        figures = [len(house.timbers), len(house.kinds), house.laps, house.boards, house.spare]
        rest = [f"{house.metres:.1f}", f"{house.waste:.1f} %", f"{house.mass:.0f}", house.advice]
        proved = '<span class="good">✓ proved</span>'
        rows.append([named, proved, escape(house.title), *map(str, (*figures, *rest))])
    return _table("Houses", head, rows, words=3)


def _types(shared: Sequence[SharedType]) -> str:
    if not shared:
        return "<p>No solid stands in more than one house.</p>"
    most = sorted(shared, key=lambda kind: (-kind.count, int(kind.name[1:])))
    rows = [
        [
            kind.name,
            "×".join(number(side) for side in (kind.shape.width, kind.shape.depth)),
            escape(kind.grade),
            number(kind.shape.length),
            str(kind.count),
            str(kind.houses),
            solid_code(kind.shape),
        ]
        for kind in most[:MOST_TYPES]
    ]
    head = ["type", "section, mm", "grade", "length, mm", "pieces", "houses", "solid"]
    more = len(most) - MOST_TYPES
    rest = f"<p>And {more} more in types.csv.</p>" if more > 0 else ""
    return _table("Types", head, rows, 3) + rest


def _boards(lots: Sequence[Lot], whom: str) -> str:
    rows = [
        [
            "×".join(number(side) for side in (lot.width, lot.depth)),
            escape(lot.grade),
            str(len(lot.of)),
            str(lot.bought),
            str(len(lot.boards) - lot.bought),
            f"{lot.metres:.1f}",
            f"{lot.waste:.1f} %",
            "proved" if lot.purchase.proved else "not proved",
        ]
        for lot in lots
    ]
    head = ["section, mm", "grade", "pieces", "boards to buy", "from the yard", "metres", "waste", "the least"]
    return (
        f"<section><h2>Boards for {whom}</h2>"
        "<p>Order and saw by boards.csv: it says which house's pieces come from each board. Spare boards are yours to "
        "add. <strong>Each house's own pack, page and buying list tell boards to buy, and from which board a piece is "
        "sawn, for that house alone: with these boards they do not hold.</strong> Its cut sheets and all else do. "
        "Rows of one section and grade are of plans whose stocks differ. Waste is here by length, which in boards of "
        "one section is that by volume.</p>"
        f"{_table('Boards', head, rows, 2)}</section>"
    )


def _table(name: str, head: Sequence[str], rows: Iterable[Sequence[str]], words: int) -> str:
    """A table that scrolls sideways where it must; its first columns are words, those after them figures."""

    def cell(column: int, text: str, scope: str = "") -> str:
        wide = " wide" if head[column] in ("house", "title") else ""
        kind = f' class="words{wide}"' if column < words else ""
        tag = "th" if scope else "td"
        return f"<{tag}{scope}{kind}>{text}</{tag}>"

    top = "".join(cell(column, text, ' scope="col"') for column, text in enumerate(head))
    body = "\n".join(
        f"<tr>{''.join(cell(column, text, '' if column else ROW) for column, text in enumerate(row))}</tr>"
        for row in rows
    )
    return (
        f'<div class="table" tabindex="0" role="region" aria-label="{name}">'
        f"<table><thead><tr>{top}</tr></thead><tbody>\n{body}\n</tbody></table></div>"
    )


def _address(folder: str) -> str:
    """A folder's name as a link writes it."""
    from urllib.parse import quote

    return escape(quote(folder))
