"""Figures to set the plates out by: what to mark on the blockwork, in which order, and what to check.

Lengths in mm, angles in degrees. Places are in the plan's coordinates as designed; setbacks are from the outer
faces as built, with the frame set on them.
"""

from __future__ import annotations

from collections.abc import Sequence

from platemodel.frame.values import Frame
from platemodel.site.fit_words import fit_words
from platemodel.site.fitting import Placed, place
from platemodel.site.rule_set import rule_set
from platemodel.site.setting_loops import Loops, around
from platemodel.site.setting_marks import Marks
from platemodel.site.setting_order import Order
from platemodel.site.setting_out_values import Limits, SettingOut, Step, setting_out_values
from platemodel.site.setting_spans import Spans
from platemodel.site.settling import past_faces
from platemodel.site.triangles import triangle


class _Figures(Marks, Loops, Spans, Order):
    """All that is worked out of a frame as it is set."""


def setting_out(
    frame: Frame, placed: Placed | None = None, limits: Limits | None = None, first: Sequence[str] = ()
) -> SettingOut:
    """The figures of a frame, set on the shell as ``placed`` says, or as designed; ``limits``: of its rule set.

    ``first`` is what must be settled before anything is set out, in words.
    """
    placed = place(frame) if placed is None else placed
    limits = limits or Limits.of(rule_set(frame.plan))
    work = _Figures(frame, placed)
    order, parts = work.order()
    plates = work.plates([run for part in order for run in part])
    shells = list(work.shell_loops())
    loops = [*shells, *work.bays()]
    spans = tuple(work.spans())
    aparts = tuple(work.aparts(order))
    corners = tuple(
        found
        for loop in shells
        for here, before, after in around(loop)
        if (found := triangle(here.name, work.legs(here.at, before.at, after.at), here.at, before.at, after.at))
        is not None
    )
    settled = [*(Step(words) for words in first), *past_faces(plates, frame.plan)]
    steps = (*settled, *work.steps(order, parts, plates, spans, aparts, loops, limits))
    return SettingOut(
        placed, limits, plates, tuple(loops), corners, spans, aparts, steps, tuple(fit_words(frame.plan, placed))
    )


__all__ = ["Limits", "SettingOut", "setting_out", "setting_out_values"]
