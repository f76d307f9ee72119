"""The whole proof of a frame: its STEP files with one kernel, its STL files with another."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from platemodel.frame.values import Frame
from platemodel.solid.exact import prove_step
from platemodel.solid.meshes import prove_stl
from platemodel.solid.values import Findings, Proof
from platemodel.solid.windows import windows
from platemodel.solid.workers import beside

MANY = 40
"""Pieces from which on the two kernels prove side by side."""


@contextmanager
def stl_proof(frame: Frame, folder: Path, meanwhile: Callable[[], None]) -> Iterator[Callable[[], Findings]]:
    """Begin the proof of the STL files that stand in a folder; what is yielded gives its findings.

    Where the frame is large enough to pay for it, the proof and then ``meanwhile`` run in a process of
    their own, while the STEP files are still being written.
    """

    def work() -> Findings:
        found = prove_stl(frame, windows(frame), folder)
        meanwhile()
        return found

    with beside(work, len(frame.pieces) >= MANY) as result:
        yield result


def prove(frame: Frame, folder: str | Path, stl: Callable[[], Findings] | None = None) -> Proof:
    """Prove the files frame.step, frame.stl and pieces/ that stand in a folder against a frame.

    ``stl`` gives the findings of the STL files where their proof has begun already.
    Raises :class:`~platemodel.solid.step.StepError` or :class:`~platemodel.solid.meshes.StlError`
    where a file cannot be read at all.
    """
    place = Path(folder)
    around = windows(frame)
    exact, pairs = prove_step(frame, around, place)
    return Proof(exact, prove_stl(frame, around, place) if stl is None else stl(), pairs)
