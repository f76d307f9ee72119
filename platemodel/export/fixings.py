"""Fixings: screws in the laps, and nails of what lands on the plates.

What holds a plate down is not reckoned: the engineer's or the local rule says that.
"""

from __future__ import annotations

from dataclasses import dataclass

from platemodel.frame.values import Frame
from platemodel.site.screws import SHORT_OF, screw_length

SCREW = 5.0
"""Diameter of the screws in laps, mm; common practice."""

NAILS_A_TRUSS = 2
NAIL = (4.5, 100)
"""Nails where a truss without uplift lands, one skewed from each side, galvanised round wire; diameter and length,
mm: NHBC Standards 2020, 7.2.6."""

STRAP = (30.0, 2.5)
STRAPS_APART = 2000
"""Least section of a holding-down strap, and how far apart they are at most, mm: NHBC Standards 2020, 7.2.6."""


@dataclass(frozen=True)
class Fixings:
    """Screws of all laps, their length in mm (None: none that is sold will do), and nails of all bearings.

    The nails hold where every bearing is a truss without uplift.
    """

    screws: int
    screw: int | None
    bearings: int
    nails: int


def fixings(frame: Frame) -> Fixings:
    """The fixings of a frame."""
    screws = len(frame.joints) * frame.plan.lap.screws
    bearings = len(frame.plan.bearings)
    return Fixings(screws, screw_length(frame.plan.plate.depth, SHORT_OF), bearings, bearings * NAILS_A_TRUSS)
