"""Write a frame's solids into a folder and prove them, as a build does."""

from __future__ import annotations

from pathlib import Path

from platemodel.export.meshes import write_stls
from platemodel.export.step import write_frame_step, write_type_steps
from platemodel.frame import Frame
from platemodel.solid import prove
from platemodel.solid.values import Proof


def write_solids(frame: Frame, folder: Path) -> None:
    """Write frame.step, frame.stl and pieces/ into an empty folder."""
    (folder / "pieces").mkdir(parents=True)
    write_frame_step(frame, folder)
    write_type_steps(frame, folder)
    write_stls(frame, folder)


def proved(frame: Frame, folder: Path) -> Proof:
    """Write a frame's solids and prove them."""
    write_solids(frame, folder)
    return prove(frame, folder)


def failed_names(proof: Proof) -> set[str]:
    """The names of all checks and lap figures that failed, with the kernel's word before the figures."""
    names = {check.name for check in proof.checks if not check.passed}
    for word, findings in (("exact", proof.exact), ("mesh", proof.mesh)):
        names |= {f"{word} {name}" for lap in findings.laps for name in lap.failures}
    return names
