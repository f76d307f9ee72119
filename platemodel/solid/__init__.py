"""The solids and their proof: the only home of the CAD kernel.

What a library user gets are cadquery objects; inside, the kernel's own classes are used, which start
and run faster. Nothing is loaded before it is asked for.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from platemodel.solid.kernel import KernelMissing, require_kernel

if TYPE_CHECKING:
    import cadquery

    from platemodel.frame import Frame
    from platemodel.solid.values import Proof

__all__ = ["KernelMissing", "piece_solids", "prove", "require_kernel", "type_solids"]


def piece_solids(frame: Frame) -> dict[str, cadquery.Solid]:
    """The solid of every piece where it stands in the frame, by mark, in mm."""
    require_kernel()
    import cadquery

    from platemodel.solid.shapes import solid_of

    return {piece.mark: cadquery.Solid(solid_of(piece.vertices, piece.faces)) for piece in frame.pieces}


def type_solids(frame: Frame) -> dict[str, cadquery.Solid]:
    """The solid of every type in its piece frame, by name, in mm."""
    require_kernel()
    import cadquery

    from platemodel.solid.shapes import solid_of

    return {kind.name: cadquery.Solid(solid_of(*kind.shape.polyhedron())) for kind in frame.types}


def prove(frame: Frame, folder: str | Path) -> Proof:
    """Prove the STEP and STL files of a frame that stand in a folder, with two kernels."""
    require_kernel()
    from platemodel.solid.proving import prove as prove_files

    return prove_files(frame, folder)
