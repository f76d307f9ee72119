"""Write a frame's solids into a folder and prove them, as a build does."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from OCP.TopoDS import TopoDS_Solid

from platemodel.export.meshes import write_stls
from platemodel.export.step import write_frame_step, write_type_steps
from platemodel.frame import Frame
from platemodel.frame.shape import Loop
from platemodel.solid import prove
from platemodel.solid.shapes import solid_of
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


def prism(outline: Sequence[tuple[float, float]], low: float, high: float) -> TopoDS_Solid:
    """An upright prism over an anticlockwise outline in plan."""
    count = len(outline)
    vertices = [(x, y, low) for x, y in outline] + [(x, y, high) for x, y in outline]
    faces: list[Loop] = [tuple(range(count - 1, -1, -1)), tuple(range(count, 2 * count))]
    for here in range(count):
        there = (here + 1) % count
        faces.append((here, there, there + count, here + count))
    return solid_of(vertices, faces)
