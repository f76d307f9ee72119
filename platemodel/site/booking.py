"""A levelling book: by height of the plane of collimation and by rise and fall, checked, closed and adjusted.

Levels and readings are metres, in exact decimals, so that what is printed is right to its last digit. A reading
below 0 is one of a staff held upside down.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal, localcontext

STAFF = Decimal(5)
"""The longest staff: a reading beyond it is a slip (m; common practice)."""
DECIMALS = 6
"""Decimals that a reading or a level may have."""
FARTHEST = Decimal(100000)
"""A level may be no farther from 0 (m)."""
READ = 3
"""Decimals that levels are given with at least: millimetres."""
ALLOWED = Decimal("0.005")
"""Misclosure that is allowed, times the root of the number of set-ups (m; common practice)."""

_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)", re.ASCII)
_EXACT = Context(prec=60)


@dataclass(frozen=True)
class Row:
    """A line of a book: the station and its readings in metres, None where there is none."""

    station: str
    backsight: Decimal | None = None
    intermediate: Decimal | None = None
    foresight: Decimal | None = None


@dataclass(frozen=True)
class BadRow:
    """What is wrong with a row: its index, the column, what stands there, what was expected."""

    row: int
    column: str
    found: str
    expected: str


@dataclass(frozen=True)
class Booked:
    """A station as booked, m.

    ``rise`` or ``fall`` from the station before (None: the other one holds, or it is the first);
    ``collimation`` where the instrument was set up after it; ``level`` by height of collimation; ``by_rise`` the
    same by rise and fall; ``adjusted`` with its share of the misclosure; ``set_up`` counts from 1 which set-up
    read it (a change point: the earlier).
    """

    station: str
    rise: Decimal | None
    fall: Decimal | None
    collimation: Decimal | None
    level: Decimal
    by_rise: Decimal
    adjusted: Decimal
    set_up: int


@dataclass(frozen=True)
class Book:
    """A book worked out, m: its stations, the sums of its columns, and how it closes.

    ``misclosure`` is the level found less the level known at the last station, None where none is known;
    ``lines`` the adjusted collimation of each set-up; ``places`` the decimals that levels are given with, adjusted
    ones with one more where a misclosure is shared out.
    """

    stations: tuple[Booked, ...]
    backsights: Decimal
    foresights: Decimal
    rises: Decimal
    falls: Decimal
    set_ups: int
    misclosure: Decimal | None
    lines: tuple[Decimal, ...]
    places: int

    @property
    def differences(self) -> tuple[Decimal, Decimal, Decimal]:
        """Backsights less foresights, rises less falls, last level less first: all three are one figure."""
        first, last = self.stations[0].level, self.stations[-1].level
        return self.backsights - self.foresights, self.rises - self.falls, last - first

    @property
    def checks(self) -> bool:
        """Whether the arithmetic checks hold, and both ways of booking agree at every station."""
        one, other, third = self.differences
        return one == other == third and all(item.level == item.by_rise for item in self.stations)

    @property
    def allowed(self) -> Decimal:
        """The misclosure that common practice allows, m: 5 mm times the root of the number of set-ups."""
        with localcontext(_EXACT):
            return (ALLOWED * Decimal(self.set_ups).sqrt()).quantize(Decimal("0.0001"), ROUND_HALF_UP)

    @property
    def closes(self) -> bool:
        """Whether the misclosure, if one is known, is within what is allowed."""
        return self.misclosure is None or abs(self.misclosure) <= self.allowed


def number(text: str) -> Decimal:
    """A number in metres as it is written, exact.

    Raises :class:`ValueError` with what was expected.

    >>> number(" 1.605 ")
    Decimal('1.605')
    """
    text = text.strip()
    if not _NUMBER.fullmatch(text):
        raise ValueError("expected a number of metres with a decimal point, such as 1.605")
    value = Decimal(text)
    if len(text.partition(".")[2]) > DECIMALS:
        raise ValueError(f"expected at most {DECIMALS} decimals")
    return value


def exact(value: float) -> Decimal:
    """A number of a plan as it was written, without what binary fractions add; micrometres at least."""
    return Decimal(repr(round(value, DECIMALS)))


def bad_rows(rows: Sequence[Row]) -> list[BadRow]:
    """Everything for which a book cannot be worked out, by its rows from 0."""
    if len(rows) < 2:
        found = "one row" if rows else "no row"
        return [BadRow(max(len(rows) - 1, 0), "station", found, "expected a backsight and at least a foresight")]
    return [fault for index, row in enumerate(rows) for fault in _bad(index, row, len(rows) - 1)]


def _bad(index: int, row: Row, last: int) -> Iterator[BadRow]:
    for column in ("backsight", "intermediate", "foresight"):
        value = getattr(row, column)
        if value is not None and abs(value) > STAFF:
            expected = f"expected metres, at most {STAFF} either way: is this millimetres?"
            yield BadRow(index, column, f"{value} is off the staff", expected)
    back, middle, fore = row.backsight is not None, row.intermediate is not None, row.foresight is not None
    if middle and (back or fore):
        other = "backsight" if back else "foresight"
        yield BadRow(
            index,
            "intermediate",
            f"an intermediate sight beside a {other}",
            "expected an intermediate sight alone; a change point has a foresight and a backsight",
        )
    elif index == 0:
        if fore:
            yield BadRow(index, "foresight", "a foresight at the first station", "expected its backsight alone")
        elif not back:
            yield BadRow(index, "backsight", "no backsight at the first station", "expected one: a book begins with it")
    elif index == last:
        if back:
            yield BadRow(index, "backsight", "a backsight at the last station", "expected its foresight alone")
        elif not fore:
            yield BadRow(index, "foresight", "no foresight at the last station", "expected one: a book ends with it")
    elif back and not fore:
        expected = "expected one: read the change point before the instrument is moved, and after"
        yield BadRow(index, "foresight", "a change point without a foresight", expected)
    elif fore and not back:
        expected = "expected one: after a foresight the instrument is moved and reads the same point again"
        yield BadRow(index, "backsight", "a change point without a backsight", expected)
    elif not middle and not fore:
        yield BadRow(index, "intermediate", "no reading", "expected an intermediate sight, or a change point's two")


def book(rows: Sequence[Row], start: Decimal, close: Decimal | None = None) -> Book:
    """Work out a book that :func:`bad_rows` finds nothing wrong with, from the first station's level.

    The misclosure against the known level ``close`` of the last station is shared out by set-ups: each takes an
    equal part, and every station read from the n-th takes n parts (common practice).
    """
    with localcontext(_EXACT):
        return _book(rows, start, close)


def _book(rows: Sequence[Row], start: Decimal, close: Decimal | None) -> Book:
    collimations: list[Decimal] = []
    levels, numbers = [start], [1]
    for index, row in enumerate(rows):
        if index:
            sight = row.intermediate if row.foresight is None else row.foresight
            levels.append(collimations[-1] - _known(sight))
            numbers.append(len(collimations))
        if row.backsight is not None:
            collimations.append(levels[-1] + row.backsight)
    changes = [_change(one, other) for one, other in itertools.pairwise(rows)]
    by_rise = list(itertools.accumulate(changes, initial=start))
    rises = [None, *(change if change >= 0 else None for change in changes)]
    falls = [None, *(-change if change < 0 else None for change in changes)]
    set_ups = len(collimations)
    misclosure = None if close is None else levels[-1] - close
    places = max(READ, *(_decimals(value) for value in (start, close, *_readings(rows)) if value is not None))

    def share(count: int) -> Decimal:
        if misclosure is None:
            return Decimal(0)
        return (-misclosure * count / set_ups).quantize(Decimal(1).scaleb(-DECIMALS), ROUND_HALF_UP)

    stations, opened = [], iter(collimations)
    for index, row in enumerate(rows):
        stations.append(
            Booked(
                row.station,
                rises[index],
                falls[index],
                next(opened) if row.backsight is not None else None,
                levels[index],
                by_rise[index],
                levels[index] + (share(numbers[index]) if index else Decimal(0)),
                numbers[index],
            )
        )
    return Book(
        tuple(stations),
        sum((row.backsight for row in rows if row.backsight is not None), Decimal(0)),
        sum((row.foresight for row in rows if row.foresight is not None), Decimal(0)),
        sum((rise for rise in rises if rise is not None), Decimal(0)),
        sum((fall for fall in falls if fall is not None), Decimal(0)),
        set_ups,
        misclosure,
        tuple(line + share(count) for count, line in enumerate(collimations, start=1)),
        places,
    )


def _change(one: Row, other: Row) -> Decimal:
    """The rise from one row to the next, both read from one set-up; below 0 a fall."""
    first = one.backsight if one.backsight is not None else one.intermediate
    second = other.intermediate if other.foresight is None else other.foresight
    return _known(first) - _known(second)


def _known(sight: Decimal | None) -> Decimal:
    if sight is None:
        raise ValueError("a row without a sight; see bad_rows")
    return sight


def _readings(rows: Sequence[Row]) -> Iterator[Decimal | None]:
    for row in rows:
        yield from (row.backsight, row.intermediate, row.foresight)


def _decimals(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return -exponent if isinstance(exponent, int) and exponent < 0 else 0


def written(value: Decimal | None, places: int) -> str:
    """A figure of a book in metres with its decimals; nothing where there is none.

    >>> written(Decimal("1.5"), 3)
    '1.500'
    """
    if value is None:
        return ""
    with localcontext(_EXACT):
        text = f"{value.quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP):f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
