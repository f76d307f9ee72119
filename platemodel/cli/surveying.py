"""``platemodel survey``: a table of taped lengths in, tables of adjusted points and lengths out."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import click

from platemodel.cli.stopping import postponed
from platemodel.cli.tables import Table, cell_of, folder_for, write_tables
from platemodel.faults import InputError, nearest, plain

with postponed():
    from platemodel.site.adjusting import Datum, Net, NotDeterminedError, NotSettledError, adjust, held
    from platemodel.site.readings import XY, Distance
    from platemodel.site.snooping import Blunder, find_blunders
    from platemodel.site.starting_places import Starts, starting_places

POINTS, LINES = "points.csv", "lines.csv"
OF_POINTS = ("point", "x", "y", "sx", "sy")
OF_LINES = ("from", "to", "observed", "adjusted", "residual", "standardised")
LEAST = 1e-6
"""A length or a standard error down to this is none that a tape tells, in whatever unit."""
MOST = 20_000
"""Lengths that a table may have."""
LONGEST = 200
"""Letters that a point's name may have."""


def survey(tape: str, hold: str | None, along: str | None, near: str | None, fixed: str | None, output: str) -> None:
    """Adjust a table of lengths, write points.csv and lines.csv into a folder, and say what was found.

    Raises :class:`~platemodel.faults.PlanError` or :class:`~platemodel.faults.InputError`.
    """
    if fixed is None and (hold is None or along is None):
        raise InputError("expected --hold and --along, the two points of the base, or --fixed with known points")
    if fixed is not None and (hold is not None or along is not None):
        raise InputError("--fixed: found beside --hold or --along; expected one or the other")
    folder = folder_for(output, {POINTS: OF_POINTS, LINES: OF_LINES})
    lengths, known = _lengths(tape)
    names = dict.fromkeys(name for item in lengths for name in item.points)
    places = {} if fixed is None else _places(fixed, names)
    if fixed is not None and len(places) < 2:
        raise InputError(f"{plain(fixed)}: {len(places)} of its points are in {plain(tape)}; expected at least two")
    if fixed is not None and len(places) == len(names):
        raise InputError(
            f"{plain(fixed)}: holds every point of {plain(tape)}; expected one at least that is to be found"
        )
    for option, name in (("--hold", hold), ("--along", along)):
        if name is not None and name not in names:
            raise InputError(f"{option}: there is no point '{plain(name)}' in {plain(tape)}; {nearest(name, names)}")
    base = None if hold is None or along is None else (hold, along)
    if base is not None and hold == along:
        raise InputError("--along: found the point of --hold; expected another one")
    rough = {} if near is None else _places(near, names)
    if base is not None:
        rough = _about(rough, base, near)
    starts = _started(tape, lengths, {**rough, **places}, base)
    datum = Datum(frozenset(places), {}) if base is None else held(*base, starts.places)
    try:
        net = adjust(lengths, starts.places, datum, known)
        blunders = find_blunders(net, starts.places, datum)
    except NotDeterminedError as error:
        raise InputError(f"{plain(tape)}: {plain(error.loose.words)}") from None
    except NotSettledError as error:
        raise InputError(f"{plain(tape)}: {error}") from None
    write_tables(folder, _tables(net, names))
    _say(net, blunders, starts, near is not None)


class _Table(Table):
    """A table of lengths or points."""

    def name(self, line: int, column: str, cell: str) -> str:
        if not cell or len(cell) > LONGEST:
            found = f"found {len(cell)} letters" if cell else "found nothing"
            self.fault(line, column, found, f"expected a point's name of at most {LONGEST} letters")
        return cell

    def number(self, line: int, column: str, cell: str, above: float = -math.inf) -> float:
        try:
            value = float(cell)
        except ValueError:
            value = math.nan
        if not above < value < 1e12 or value < -1e12 or "_" in cell or not cell.isascii():
            wanted = "expected a number" + (f" above {above:.6f}" if above > 0.0 else "")
            self.fault(line, column, f"found '{cell}'", wanted)
            return 1.0
        return value


def _lengths(file: str) -> tuple[list[Distance], bool]:
    """The lengths of a table, and whether it gives their standard errors."""
    table = _Table(file, ("from", "to", "length"), ("sd",))
    found: list[Distance] = []
    given: set[bool] = set()
    for line, row in table.rows():
        begin, end = table.name(line, "from", row["from"]), table.name(line, "to", row["to"])
        if begin and begin == end:
            table.fault(line, "to", f"found '{end}' again", "expected another point than that of 'from'")
        length = table.number(line, "length", row["length"], LEAST)
        cell = row.get("sd", "")
        given.add(bool(cell))
        if len(given) > 1:
            table.fault(
                line, "sd", "found a standard error on some lines only", "expected one on every line or on none"
            )
            raise table.error()
        found.append(Distance(begin, end, length, table.number(line, "sd", cell, LEAST) if cell else 1.0))
        if len(found) > MOST:
            table.fault(line, "", f"found more than {MOST} lengths", f"expected at most {MOST}")
            raise table.error()
    if not found and not table.faults:
        table.fault(None, "", "found no length", "expected a line for each")
    if table.faults:
        raise table.error()
    return found, given == {True}


def _places(file: str, names: Mapping[str, None]) -> dict[str, XY]:
    """Places of those points of a table that are wanted."""
    table = _Table(file, ("point", "x", "y"), ("sx", "sy"))
    found: dict[str, XY] = {}
    for line, row in table.rows():
        name = table.name(line, "point", row["point"])
        if name in found:
            table.fault(line, "point", f"found '{name}' twice", "expected each point once")
        found[name] = table.number(line, "x", row["x"]), table.number(line, "y", row["y"])
    if table.faults:
        raise table.error()
    return {name: place for name, place in found.items() if name in names}


def _about(rough: Mapping[str, XY], base: tuple[str, str], near: str | None) -> dict[str, XY]:
    """Rough places moved and turned so that the base lies at 0, 0 and along the x axis."""
    if not rough:
        return {}
    hold, along = base
    if hold not in rough or along not in rough or math.dist(rough[hold], rough[along]) == 0.0:
        raise InputError(f"{plain(near or '')}: expected the points of --hold and --along in it too, at two places")
    (ax, ay), (bx, by) = rough[hold], rough[along]
    size = math.hypot(bx - ax, by - ay)
    cos, sin = (bx - ax) / size, (by - ay) / size
    return {name: (cos * (x - ax) + sin * (y - ay), cos * (y - ay) - sin * (x - ax)) for name, (x, y) in rough.items()}


def _started(tape: str, lengths: Sequence[Distance], known: Mapping[str, XY], base: tuple[str, str] | None) -> Starts:
    starts = starting_places(lengths, known, base)
    if starts.unplaced:
        names = ", ".join(plain(name) for name in starts.unplaced[:6]) + (" …" if len(starts.unplaced) > 6 else "")
        if base is not None and base[1] in starts.unplaced and not starts.places:
            remedy = f"add lengths that tie {plain(base[1])} to {plain(base[0])}"
        else:
            remedy = (
                "add a diagonal, so that each has lengths to two points that are placed, or give rough places of all"
            )
            remedy += " in --near"
        raise InputError(f"{plain(tape)}: {names} cannot be determined: {remedy}")
    return starts


def _number(value: float | None) -> str:
    """A plain number, nothing where there is none."""
    if value is None:
        return ""
    text = f"{value:.6f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def _tables(net: Net, names: Mapping[str, None]) -> dict[str, Sequence[Sequence[str]]]:
    points: list[Sequence[str]] = [OF_POINTS]
    for name in names:
        place = net.points[name]
        points.append((cell_of(name), *map(_number, (place.x, place.y, place.sx, place.sy))))
    lines: list[Sequence[str]] = [OF_LINES]
    for item in net.readings:
        figures = (item.reading.value, item.value, item.residual, item.standardised)
        lines.append((*map(cell_of, item.reading.points), *map(_number, figures)))
    return {POINTS: points, LINES: lines}


def _say(net: Net, blunders: Sequence[Blunder], starts: Starts, sided: bool) -> None:
    """What was found, in lines: how well the lengths agree, and which to take again."""
    click.echo(f"{len(net.points)} points, {len(net.readings)} lengths, {net.freedom} more than needed")
    if net.s0 is None:
        click.echo("no length checks another, so a slip would not be found: tape one more diagonal at least")
    else:
        click.echo(f"standard error of unit weight {net.s0:.4f}")
    for item in blunders:
        words = [
            f"from {plain(reading.points[0])} to {plain(reading.points[1])}"
            for reading in (net.readings[number].reading for number in item.readings)
        ]
        if item.excess is None:
            click.echo("one of these is wrong, and too few others check them to tell which:", err=True)
            click.echo(f"  take again the readings {'; '.join(words)}", err=True)
        else:
            side = "more" if item.excess > 0.0 else "less"
            click.echo(
                f"take again the reading {words[0]}: it is {abs(item.excess):.6g} {side} than the others make it",
                err=True,
            )
    if not sided:
        for name, (one, other) in starts.guessed.items():
            click.echo(
                f"{plain(name)} may as well lie on the other side of the line {plain(one)} to {plain(other)}: "
                "rough places in --near settle it",
                err=True,
            )
