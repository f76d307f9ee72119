"""Laps put into stacks: those sawn side by side, with one gauge, one setting of the saw and one stop."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from platemodel.frame.gauges import Gauge
from platemodel.frame.tape import taped
from platemodel.frame.values import Frame
from platemodel.sheets.cut_tables import slant

Figures = tuple[int, int]


@dataclass(frozen=True)
class LapRow:
    """One cut of one piece, as it is sawn.

    ``piece`` and ``cut`` are numbers counted from 0. ``under``: sawn into the face that is up as laid.
    ``top_up``: the top as drawn on the cut sheet is that face. ``near`` and ``far`` are where the cut begins
    and ends along each edge as drawn, from the datum end, in whole mm; ``ends`` whether the cut runs out at the
    datum end and at the other end; ``lean`` says how its shoulders lean on the face sawn into, in words.
    """

    piece: int
    cut: int
    mark: str
    type: str
    kind: str
    mate: str
    under: bool
    top_up: bool
    near: Figures
    far: Figures
    ends: tuple[bool, bool]
    lean: str

    @property
    def into_top(self) -> bool:
        """Whether the face sawn into is the top as drawn."""
        return self.under == self.top_up


def stacks(frame: Frame, gauge: Gauge) -> list[list[LapRow]]:
    """The cuts of a gauge, unders first, each list those of one stop."""
    leaning = gauge.lean > 0.0

    def stop(row: LapRow) -> tuple[bool, Figures, Figures, bool, tuple[bool, bool]]:
        # a leaning shoulder seen from the other face leans the other way
        far, face = (row.far, row.into_top) if leaning else ((0, 0), False)
        return not row.under, row.near, far, face, row.ends

    rows = sorted((lap_row(frame, *cut) for cut in gauge.halves), key=lambda row: (stop(row), row.piece, row.cut))
    return [list(alike) for _, alike in itertools.groupby(rows, key=stop)]


def lap_row(frame: Frame, index: int, number: int) -> LapRow:
    """The cut of a piece, with the figures of its cut sheet."""
    piece = frame.pieces[index]
    half, shape = piece.halves[number], piece.shape
    cut = shape.cuts[number]
    near, far = (taped(shape, cut, edge) for edge in (0, 1))
    return LapRow(
        index,
        number,
        piece.mark,
        frame.types[piece.type].name,
        half.kind,
        frame.pieces[half.mate].mark,
        half.under,
        not piece.place.turned_over,
        near,
        far,
        (cut.low == shape.low, cut.high == shape.high),
        slant(shape, cut.high if cut.low == shape.low else cut.low, cut.upper),
    )


def rips(frame: Frame, gauge: Gauge) -> Sequence[tuple[float, float]]:
    """Each width of piece that a gauge serves, and how deep to rip from each of its edges, mm."""
    widths = sorted({frame.pieces[index].laid.width for index, _ in gauge.halves})
    return [(across, across / 2) for across in widths]
