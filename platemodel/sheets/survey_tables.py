"""The tables of the survey sheets: what to do, what is out, every reading, and how to read them."""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.plan.values import Plan
from platemodel.sheets.flow import BULLET, Columns, inner
from platemodel.sheets.form import Room, part_name, sheet
from platemodel.sheets.page import Page
from platemodel.sheets.tables import Column
from platemodel.site.as_built import AsBuilt, Row
from platemodel.site.snooping import CRITICAL

CAUTION = (
    "Work at height: from a proper platform with edge protection, never from the wall or its blocks; a tape across a "
    "shell is held by two, each on a platform. Wind and a long tape pull: mind your footing.",
    "Local codes and the engineer come first: whether a shell this far out may carry its roof is theirs to say.",
)


def survey_tables(plan: Plan, result: AsBuilt, numbers: dict[str, str], to_do: Sequence[str]) -> list[Page]:
    """The pages of the tables, with the points' numbers by their names; what is to be done first."""
    tables = _Tables(plan, result, numbers)
    tables.fill(to_do)
    return tables.columns.pages


def _signed(value: float, digits: int = 0) -> str:
    text = f"{value:+.{digits}f}".replace("-", "–")
    return text[1:] if not text.strip("+–0.") else text


class _Tables:
    """The tables, in two columns on as many sheets as are needed."""

    def __init__(self, plan: Plan, result: AsBuilt, numbers: dict[str, str]) -> None:
        self.plan, self.result, self.numbers = plan, result, numbers

        def begin(number: int) -> tuple[Page, Room]:
            page, room = sheet(plan.job, "survey", "readings and what is out", "–", part_name("survey", number + 1))
            return page, inner(room)

        self.columns = Columns(begin, 2, 5.0)

    def fill(self, to_do: Sequence[str]) -> None:
        """Write them all, what is to be done first."""
        flow = self.columns
        if to_do:
            flow.section("What to do", to_do, BULLET)
        self._squares()
        self._legs()
        self._points()
        self._readings()
        flow.section("How to read it", self._explained(), BULLET)
        flow.section("Safety", list(CAUTION), BULLET)

    def _table(self, heading: str, columns: Sequence[tuple[str, float]], rows: list[list[str]]) -> None:
        """A table under its heading; a column whose head begins with a space holds figures."""
        flow = self.columns
        stretch = flow.width / sum(size for _, size in columns)
        made = [Column(head.strip(), size * stretch, head.startswith(" "), bold=not head) for head, size in columns]
        flow.table(heading, made, rows)

    def _name(self, wall: int) -> str:
        return self.plan.walls[wall].name

    def _squares(self) -> None:
        result, number = self.result, self.numbers
        self._table(
            "Corners out of square",
            (
                ("point", 11.0),
                ("corner", 46.0),
                (" by mm", 14.0),
                (" over", 16.0),
                (" degrees", 17.0),
            ),
            [
                [
                    number.get(item.corner, ""),
                    item.corner,
                    _signed(item.by),
                    f"{item.over:.0f}",
                    _signed(item.degrees, 2),
                ]
                for item in result.squares
            ],
        )
        self._table(
            "Diagonals, outer faces",
            (
                ("from – to", 30.0),
                (" mm", 17.0),
                ("from – to", 30.0),
                (" mm", 17.0),
                (" differ by", 20.0),
            ),
            [
                [
                    " – ".join(number[name] for name in item.one),
                    f"{item.lengths[0]:.0f}",
                    " – ".join(number[name] for name in item.other),
                    f"{item.lengths[1]:.0f}",
                    f"{abs(item.by):.0f}",
                ]
                for item in result.diagonals
            ],
        )
        self._table(
            "Opposite walls out of parallel",
            (("walls", 52.0), (" by mm", 14.0), (" over", 16.0), ("wider at", 22.0)),
            [
                [
                    " and ".join(map(self._name, item.walls)),
                    f"{item.by:.0f}",
                    f"{item.over:.0f}",
                    number.get(item.wider_at, item.wider_at) if item.by >= 0.5 else "–",
                ]
                for item in result.parallels
            ],
        )

    def _legs(self) -> None:
        result = self.result
        self._table(
            "Walls, outer face",
            (("wall", 46.0), (" as built", 20.0), (" designed", 20.0), (" longer by", 18.0)),
            [
                [self._name(item.wall), f"{item.length:.0f}", f"{item.design:.0f}", _signed(item.by)]
                for item in result.legs
            ],
        )
        self._table(
            "Points off the straight line of their wall",
            (("point", 11.0), ("name", 40.0), ("wall", 34.0), (" out by mm", 19.0)),
            [
                [self.numbers[item.point], item.point, self._name(item.wall), _signed(item.by)]
                for item in result.off_line
            ],
        )

    def _points(self) -> None:
        self._table(
            "Points, as built less designed",
            (
                ("point", 11.0),
                ("name", 46.0),
                (" east mm", 15.0),
                (" north mm", 15.0),
                (" ± mm", 17.0),
            ),
            [
                [
                    self.numbers[name],
                    name,
                    _signed(point.shift[0]),
                    _signed(point.shift[1]),
                    f"{max(point.sx, point.sy):.1f}",
                ]
                for name, point in self.result.points.items()
            ],
        )

    def _readings(self) -> None:
        self._table(
            "Readings",
            (
                (" no.", 8.5),
                ("from – to", 20.0),
                (" read", 14.5),
                (" adjusted", 15.5),
                (" differ by", 12.5),
                (" standardised", 23.0),
                ("", 26.0),
            ),
            [self._reading(place, row) for place, row in enumerate(self.result.rows, start=1)],
        )

    def _reading(self, place: int, row: Row) -> list[str]:
        digits = 2 if row.kind == "angle" else 0
        names = [self.numbers.get(name, name) for name in row.points]
        if row.kind == "angle":
            what = f"angle at {names[0]}, {names[1]} to {names[2]}"
        elif row.kind == "offset":
            what = f"{names[0]} off {names[1]} – {names[2]}"
        else:
            what = " – ".join(names)
        mark = {"take again": "TAKE AGAIN", "one of these": "ONE OF THESE"}.get(row.mark, row.mark)
        return [
            str(place),
            what,
            f"{row.observed:.{digits}f}",
            f"{row.adjusted:.{digits}f}",
            _signed(row.residual, digits or 1),
            "" if row.standardised is None else _signed(row.standardised, 1),
            mark,
        ]

    def _explained(self) -> list[str]:
        words = [
            "All lengths in mm, on the outer face of the leaf at plate level; angles in degrees. East and north are "
            "the plan's: right and up on the drawing.",
            "Corners: the angle inside the shell is too wide above 0, too narrow below; by how much at the end of the "
            "shorter wall.",
            "Off the straight line: outward above 0.",
            "Differ by: adjusted less read. Standardised: that over its own standard error; beyond "
            f"{CRITICAL:g} (by chance once in a thousand readings) the reading is to be taken again.",
            "Not checked: no other reading would show a slip in it. Tape one more diagonal there.",
            "±: the standard error of the coordinate that is known worse, about the best fit; two in three are within "
            "it. A figure smaller than twice that may be nothing but the tape.",
        ]
        if any(row.left_out for row in self.result.rows):
            words.append("A reading to take again is left out of all figures here until the plan has the new one.")
        return words
