"""The STEP files of a frame: the pieces where they stand, and a file a type in the piece frame."""

from __future__ import annotations

import datetime
from pathlib import Path

from platemodel.frame.values import Frame
from platemodel.solid.labels import assembly, piece_member, type_member
from platemodel.solid.part21 import NO_TIME, Heading
from platemodel.solid.step import write_step


def write_frame_step(frame: Frame, folder: Path) -> None:
    """Write frame.step: a product a piece, or where the plan says so a product a type and the pieces as instances."""
    if frame.plan.export.instances:
        members, whole = [type_member(frame, kind) for kind in frame.types], assembly(frame)
    else:
        members, whole = [piece_member(frame, piece) for piece in frame.pieces], None
    write_step(folder / "frame.step", members, _heading(frame, ""), whole, frame.plan.export.step)


def write_type_steps(frame: Frame, folder: Path) -> None:
    """Write pieces/T1.step …: one product a file, named by its type, of a neutral colour."""
    for kind in frame.types:
        path = folder / "pieces" / f"{kind.name}.step"
        heading = _heading(frame, f", type {kind.name}")
        write_step(path, [type_member(frame, kind)], heading, schema=frame.plan.export.step)


def _heading(frame: Frame, what: str) -> Heading:
    """The header of a file, as far as the plan's title block goes; a date that is none of the calendar is left out."""
    job = frame.plan.job
    numbers = [f"{word} {value}" for word, value in (("number", job.number), ("revision", job.revision)) if value]
    return Heading(
        ", ".join([job.title + what, *numbers]),
        job.creator or "",
        job.owner or "",
        job.approver or "",
        f"{job.date.isoformat()}T00:00:00" if isinstance(job.date, datetime.date) else NO_TIME,
    )
