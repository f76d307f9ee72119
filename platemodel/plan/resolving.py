"""Resolve what a plan file says into places on walls, and judge what that shows."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from pydantic import ValidationError

from platemodel.faults import Fault, KeyPath
from platemodel.plan import model, values
from platemodel.plan.labelling import resolve_labels
from platemodel.plan.site_values import Site
from platemodel.plan.siting import resolve_site
from platemodel.plan.values import Plan, Wall
from platemodel.plan.walls import Walls

MOST_IN_A_ROW = 5000
"""Bearings of one ``every``: more is a slip of the decimal point."""

DUST = 1e-6
"""Lengths of walls come through roots: what is on a limit is within it (mm)."""

MOST_EXCESS = 20.0
"""A board wider than the plates by more than this is one of another size, mm."""

SHORTEST_GAP = 1.0
"""A gap shorter than plates that touch within 1 mm would not be a gap, mm."""


def resolve(
    whole: model.PlanFile | None, data: Mapping[str, Any], file: str, lines: Mapping[KeyPath, int]
) -> tuple[Plan | None, list[Fault]]:
    """Resolve a plan; where ``whole`` is None, only judge what parts of ``data`` are sound."""
    plate = data.get("plate")
    width = plate.get("width") if isinstance(plate, dict) else None
    sound = isinstance(width, int | float) and not isinstance(width, bool) and 0 < width < 1e6
    work = Walls(data, float(width) if sound and width is not None else 100.0)
    gaps = list(_gaps(work))
    splices = list(_splices(work))
    openings = list(_openings(work))
    bearings = list(_bearings(work, gaps))
    laying = _laying(work)
    stock = _stock(work)
    excess = _excess(work)
    site = Site() if whole is None else resolve_site(work, whole.site, whole.strap, whole.rules)
    labels = None if whole is None or whole.labels is None else resolve_labels(work, whole.labels)
    if whole is None or work.faults or laying is None or stock is None:
        return None, work.faults
    plan = Plan(
        job=whole.job,
        plate=values.Section(**whole.plate.model_dump()),
        lap=values.LapRule(
            whole.lap.clearance, whole.lap.splice, whole.lap.apart, excess, whole.lap.screws, whole.lap.stagger
        ),
        stock=stock,
        walls=tuple(work.found[number] for number in range(len(work.index))),
        shells=tuple(work.shells),
        gaps=tuple(gaps),
        splices=tuple(splices),
        openings=tuple(openings),
        bearings=tuple(bearings),
        laying=laying,
        file=file,
        lines=lines,
        site=site,
        export=values.Export(**whole.export.model_dump()),
        labels=labels,
    )
    return plan, []


def _stretch(work: Walls, wall: Wall, begin: float, end: float, path: KeyPath, least: float) -> bool:
    """Judge a stretch of a wall from ``begin`` to ``end``, more than ``least`` long."""
    on_wall = [work.within(wall, at, (*path, key)) for key, at in (("from", begin), ("to", end))]
    if not all(on_wall):
        return False
    if end - begin <= least:
        found = f"'{wall.name}' from {begin:.10g} to {end:.10g} runs backward or nowhere"
        if end > begin:
            found = f"'{wall.name}' from {begin:.10g} to {end:.10g} is only {end - begin:.3g} mm long"
        expected = f"expected it to be more than {least:g} mm long" if least else "expected 'to' beyond 'from'"
        work.fault((*path, "to"), found, expected)
        return False
    return True


def _gaps(work: Walls) -> Iterator[values.Gap]:
    for path, item in work.items("gap", model.Gap):
        if item.whole and (item.from_ is not None or item.to is not None):
            work.fault(path, "found whole = true beside from or to", "expected one of the two")
        if not item.whole and (item.from_ is None or item.to is None):
            work.fault(path, "found neither whole = true nor both from and to", "expected where the gap is")
        on = work.wall(item.wall, (*path, "wall"))
        if on is None:
            continue
        number, wall = on
        if item.whole:
            yield values.Gap(number, 0.0, wall.length, item.end, path)
        elif (
            item.from_ is not None
            and item.to is not None
            and _stretch(work, wall, item.from_, item.to, path, SHORTEST_GAP)
        ):
            # what would be left of the wall shorter than a gap may be, no one lays a plate on
            begin = 0.0 if item.from_ <= SHORTEST_GAP + DUST else item.from_
            end = wall.length if item.to >= wall.length - SHORTEST_GAP - DUST else item.to
            yield values.Gap(number, begin, end, item.end, path)


def _splices(work: Walls) -> Iterator[values.FixedSplice]:
    for path, item in work.items("splice", model.FixedSplice):
        on = work.wall(item.wall, (*path, "wall"))
        if on is not None and work.within(on[1], item.at, (*path, "at")):
            yield values.FixedSplice(on[0], item.at, path)


def _openings(work: Walls) -> Iterator[values.Opening]:
    for path, item in work.items("opening", model.Opening):
        on = work.wall(item.wall, (*path, "wall"))
        if on is not None and _stretch(work, on[1], item.from_, item.to, path, 0.0):
            yield values.Opening(item.name or "opening", on[0], item.from_, item.to, path, item.stands_up, item.dpc)


def _bearings(work: Walls, gaps: list[values.Gap]) -> Iterator[values.Bearing]:
    for path, item in work.items("bearing", model.Bearing):
        row = (item.every, item.from_, item.to)
        if (item.at is None) == all(part is None for part in row) or (item.at is None and None in row):
            found = "found neither at alone nor every, from and to together"
            work.fault(path, found, "expected 'at' for one bearing, or 'every', 'from' and 'to' for a row")
            work.find(item.wall, (*path, "wall"))
            continue
        on = work.wall(item.wall, (*path, "wall"))
        if on is None:
            continue
        number, wall = on
        places = _places(work, wall, item, path)
        for count, at in enumerate(places, start=1):
            name = item.name if item.at is not None else f"{item.name} {count}"
            begin, end = at - item.width / 2, at + item.width / 2
            gap = next((g for g in gaps if g.wall == number and begin < g.end and g.begin < end), None)
            if gap is not None:
                found = f"'{name}' at {at:.10g} lands on the gap from {gap.begin:.10g} to {gap.end:.10g}"
                work.fault(
                    (*path, "at" if item.at is not None else "every"),
                    f"{found} of '{item.wall}'",
                    "expected a place with a plate",
                )
                break
            yield values.Bearing(name, number, at, item.width, path)


def _places(work: Walls, wall: Wall, item: model.Bearing, path: KeyPath) -> list[float]:
    """Where the middles of the bearings of one table lie on a wall."""
    if item.at is not None:
        return [item.at] if work.within(wall, item.at, (*path, "at")) else []
    every, begin, end = float(item.every or 0), float(item.from_ or 0), float(item.to or 0)
    if not _stretch(work, wall, begin, end, path, 0.0):
        return []
    count = int(min((end - begin) / every, 1e9) + 1e-9) + 1
    if count > MOST_IN_A_ROW:
        work.fault((*path, "every"), f"a row of {count} bearings", f"expected at most {MOST_IN_A_ROW}")
        return []
    return [begin + number * every for number in range(count)]


def _laying(work: Walls) -> values.Laying | None:
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
    return values.Laying(start, tuple(order), laying.method, laying.locked, crew=laying.crew, minutes=laying.minutes)


def _excess(work: Walls) -> float:
    """What the widest board is over the plates' width, mm; 0 where none was measured."""
    try:
        plate = model.Plate.model_validate(work.data.get("plate"))
    except ValidationError:
        return 0.0
    if plate.widest is None:
        return 0.0
    path, found = ("plate", "widest"), f"a widest board of {plate.widest:.10g} with plate.width = {plate.width:.10g}"
    if plate.widest < plate.width:
        work.fault(path, found, "expected at least plate.width")
    elif plate.widest > plate.width + MOST_EXCESS:
        most = f"{plate.width + MOST_EXCESS:.10g}"
        work.fault(path, found, f"expected at most {most}: boards that are wider are to be planed, or are another size")
    return plate.widest - plate.width


def _stock(work: Walls) -> values.Stock | None:
    try:
        stock = model.Stock.model_validate(work.data.get("stock", {}))
    except ValidationError:
        return None
    for number, length in enumerate(stock.lengths):
        if length in stock.lengths[:number]:
            work.fault(("stock", "lengths", number), f"{length:g} stands twice", "expected each length once")
    if stock.kerf >= min(stock.lengths):
        work.fault(("stock", "kerf"), f"a kerf of {stock.kerf:g} is longer than a board", "expected less")
    if stock.trim >= min(stock.lengths):
        work.fault(("stock", "trim"), f"a trim of {stock.trim:g} leaves nothing of a board", "expected less")
    for number, yard in enumerate(stock.yard):
        if yard.length <= stock.trim:
            found = f"a board of {yard.length:g} with a trim of {stock.trim:g} leaves nothing"
            work.fault(("stock", "yard", number, "length"), found, "expected more")
    prices = _prices(work, stock)
    order = sorted(range(len(stock.lengths)), key=lambda number: stock.lengths[number])
    return values.Stock(
        lengths=tuple(stock.lengths[number] for number in order),
        kerf=stock.kerf,
        trim=stock.trim,
        prices=None if prices is None else tuple(prices[number] for number in order),
        yard=tuple(
            values.YardBoards(yard.length, work.default_width if yard.width is None else yard.width, yard.count)
            for yard in stock.yard
        ),
        keep=stock.keep,
        spare=stock.spare,
        ready=stock.ready,
        effort=stock.effort,
    )


def _prices(work: Walls, stock: model.Stock) -> list[float] | None:
    """The price of a board of each length, in the plan's order."""
    if stock.prices is not None and stock.metre_price is not None:
        work.fault(("stock", "metre_price"), "found beside prices", "expected one of the two")
    if stock.prices is not None:
        if len(stock.prices) != len(stock.lengths):
            found = f"found {len(stock.prices)} prices for {len(stock.lengths)} lengths"
            work.fault(("stock", "prices"), found, "expected a price for each of the lengths, in their order")
            return None
        return list(stock.prices)
    if stock.metre_price is not None:
        return [length / 1000 * stock.metre_price for length in stock.lengths]
    return None
