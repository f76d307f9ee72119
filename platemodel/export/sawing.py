"""What sawing the laps takes: kinds of piece, gauges, settings and time, by each method of laying."""

from __future__ import annotations

from dataclasses import dataclass

from platemodel.frame import relaid
from platemodel.frame.gauges import gauges
from platemodel.frame.values import Frame


@dataclass(frozen=True)
class Sawing:
    """What sawing the laps of a frame takes.

    ``settings`` of the saw for depth: unders are sawn half deep and overs until half is left, so that a gauge with
    both is two; rips come on top. ``both_faces``: pieces that are rolled over to be sawn on their other face too.
    ``minutes`` are of one person, for all halves. ``fewest``: no other place that was tried for a splice and costs no
    more gives fewer types.
    """

    method: str
    types: int
    gauges: int
    settings: int
    halves: int
    both_faces: int
    minutes: float
    fewest: bool


def sawing(frame: Frame) -> Sawing:
    """What sawing the laps takes as the frame is laid."""
    found = gauges(frame)
    halves = [[half.under for half in piece.halves] for piece in frame.pieces]
    count = sum(map(len, halves))
    return Sawing(
        frame.plan.laying.method,
        len(frame.types),
        len(found),
        sum(len({halves[index][cut] for index, cut in gauge.halves}) for gauge in found),
        count,
        sum(len(set(some)) > 1 for some in halves),
        count * frame.plan.laying.minutes,
        frame.fewest,
    )


def methods(frame: Frame) -> list[Sawing]:
    """The same by each method that can lay the frame's pieces, its own first; splices and boards stay."""
    own = frame.plan.laying.method
    others = [relaid(frame, method) for method in ("round", "pairs") if method != own]
    return [sawing(frame), *(sawing(other) for other in others if other is not None)]
