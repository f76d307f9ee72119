"""The STEP files of a frame: the pieces where they stand, and a file a type in the piece frame."""

from __future__ import annotations

from pathlib import Path

from platemodel.frame.values import Frame
from platemodel.solid.colours import NEUTRAL, ROLE_COLOUR
from platemodel.solid.shapes import solid_of
from platemodel.solid.step import Member, write_step


def write_frame_step(frame: Frame, folder: Path) -> None:
    """Write frame.step: a product a piece, named by its mark, coloured by its halves."""
    members = [
        Member(piece.mark, solid_of(piece.vertices, piece.faces), ROLE_COLOUR[piece.role]) for piece in frame.pieces
    ]
    write_step(folder / "frame.step", members, frame.plan.job.title)


def write_type_steps(frame: Frame, folder: Path) -> None:
    """Write pieces/T1.step …: one product a file, named by its type, of a neutral colour."""
    for kind in frame.types:
        member = Member(kind.name, solid_of(*kind.shape.polyhedron()), NEUTRAL)
        write_step(folder / "pieces" / f"{kind.name}.step", [member], f"{frame.plan.job.title}, type {kind.name}")
