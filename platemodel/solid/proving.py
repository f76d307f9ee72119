"""The whole proof of a frame: its STEP files with one kernel, its STL files with another."""

from __future__ import annotations

from pathlib import Path

from platemodel.frame.values import Frame
from platemodel.solid.exact import prove_step
from platemodel.solid.meshes import prove_stl
from platemodel.solid.values import Proof
from platemodel.solid.windows import windows
from platemodel.solid.workers import beside

MANY = 40
"""Pieces from which on the two kernels prove side by side."""


def prove(frame: Frame, folder: str | Path) -> Proof:
    """Prove the files frame.step, frame.stl and pieces/ that stand in a folder against a frame.

    Raises :class:`~platemodel.solid.step.StepError` or :class:`~platemodel.solid.meshes.StlError`
    where a file cannot be read at all.
    """
    place = Path(folder)
    around = windows(frame)
    with beside(lambda: prove_stl(frame, around, place), len(frame.pieces) >= MANY) as mesh:
        exact, pairs = prove_step(frame, around, place)
        return Proof(exact, mesh(), pairs)
