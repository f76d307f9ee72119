"""The proof on the STEP files: read back, and judged with the CAD kernel and in plan."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.Geom import Geom_Plane
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS, TopoDS_Solid

from platemodel.frame.shape import ALIKE, Shape
from platemodel.frame.values import Frame
from platemodel.solid.bodies import Body, corners_apart, make_body, placed
from platemodel.solid.labels import (
    figures_check,
    said_checks,
    said_of_instance,
    said_of_piece,
    said_of_type,
    said_of_whole,
    whole_checks,
)
from platemodel.solid.pairs import prove_pairs
from platemodel.solid.shapes import area, explore, face_loops, middle, volume
from platemodel.solid.step import ReadBack, read_pieces
from platemodel.solid.step_contents import Said, contents, product_names
from platemodel.solid.step_text import Figures
from platemodel.solid.values import EXACT, Check, Findings
from platemodel.solid.windows import Window
from platemodel.solid.workers import SHARE, mapped

SLIVER = 1e-4
"""An edge shorter than this is no part of a lap but a slip of the kernel (mm)."""


@dataclass(frozen=True)
class _Read:
    """A solid read back, and what the kernel says of it."""

    body: Body
    valid: bool
    closed: bool
    curved: int
    faces: int
    figures: Figures


def _read(name: str, solid: TopoDS_Solid) -> _Read:
    faces = [TopoDS.Face_s(face) for face in explore(solid, TopAbs_ShapeEnum.TopAbs_FACE)]
    shells = list(explore(solid, TopAbs_ShapeEnum.TopAbs_SHELL))
    return _Read(
        body=make_body(name, [face_loops(face) for face in faces]),
        valid=BRepCheck_Analyzer(solid).IsValid(),
        closed=len(shells) == 1 and BRep_Tool.IsClosed_s(shells[0]),
        curved=sum(not isinstance(BRep_Tool.Surface_s(face), Geom_Plane) for face in faces),
        faces=len(faces),
        figures=_figures(solid),
    )


def _figures(solid: TopoDS_Solid) -> Figures:
    return Figures(volume(solid), area(solid), middle(solid))


def prove_step(frame: Frame, windows: Sequence[Window], folder: Path) -> tuple[Findings, int]:
    """Prove the STEP files of a frame in ``folder``; gives the findings and the number of pairs tested."""
    path = folder / "frame.step"
    back = read_pieces(path)
    known = list(dict(back.pieces).items())
    found = mapped(lambda number: _read(*known[number]), len(known), SHARE)
    read = {name: answer for (name, _), answer in zip(known, found, strict=True)}
    names = [name for name, _ in back.pieces]
    expected = [piece.mark for piece in frame.pieces]
    wrong = sum(a != b for a, b in zip(names, expected, strict=False)) + abs(len(names) - len(expected))
    # with instances, the whole is a product too
    products = len(frame.types) + 1 if frame.plan.export.instances else len(frame.pieces)
    wrong += abs(len(product_names(path)) - products)
    checks = [
        Check("frame.step: pieces missing or misnamed", wrong, 0),
        *_said_in_frame(frame, path, back, {name: answer.figures for name, answer in read.items()}),
    ]
    pairs = [(piece, read[piece.mark]) for piece in frame.pieces if piece.mark in read]
    checks += _solid_checks("frame.step", [(piece.laid, answer) for piece, answer in pairs])
    checks += _level_checks(frame, [answer.body for _, answer in pairs])
    checks += _type_checks(frame, read, folder)
    bodies = {name: answer.body for name, answer in read.items()}
    laps, more, tested = prove_pairs(frame, windows, bodies, dict(known))
    return Findings("Open CASCADE on STEP", tuple(laps), (*checks, *more)), tested


def _said_in_frame(frame: Frame, path: Path, back: ReadBack, pieces: Mapping[str, Figures]) -> list[Check]:
    """Whether the frame's file says what is meant of its pieces, or of its types and their instances."""
    said = contents(path)
    if not frame.plan.export.instances:
        meant = [said_of_piece(frame, piece) for piece in frame.pieces]
        found = [*said.products, *said.instances]
        return [*said_checks("frame.step", meant, found), figures_check("frame.step", said.products, pieces)]
    meant = [said_of_type(frame, kind) for kind in frame.types]
    meant += [said_of_instance(frame, piece) for piece in frame.pieces]
    figures = {name: _figures(solid) for name, solid in back.products}
    checks = said_checks("frame.step", meant, [*said.products, *said.instances])
    whole = whole_checks("frame.step", said_of_whole(frame), said.whole, list(pieces.values()))
    return [*checks, figures_check("frame.step", said.products, figures), *whole]


def _solid_checks(name: str, shapes: Sequence[tuple[Shape, _Read]]) -> list[Check]:
    reads = [found for _, found in shapes]
    return [
        Check(f"{name}: solids not valid", sum(not found.valid for found in reads), 0),
        Check(f"{name}: solids not closed", sum(not found.closed for found in reads), 0),
        Check(f"{name}: faces not planar", sum(found.curved for found in reads), 0),
        Check(f"{name}: shortest edge, mm", min((f.body.least_edge for f in reads), default=0.0), SLIVER, least=True),
        Check(
            f"{name}: faces more or fewer than the polygons make",
            sum(abs(found.faces - len(shape.profile()) - 2) for shape, found in shapes),
            0,
        ),
        Check(
            f"{name}: volumes against the polygons, relative",
            max((abs(found.figures.volume / shape.volume - 1) for shape, found in shapes), default=math.inf),
            EXACT,
        ),
        Check(
            f"{name}: areas against the polygons, relative",
            max((abs(found.figures.area / shape.area - 1) for shape, found in shapes), default=math.inf),
            EXACT,
        ),
    ]


def _level_checks(frame: Frame, bodies: Sequence[Body]) -> list[Check]:
    depth = frame.plan.plate.depth
    limit = EXACT * depth
    return [
        Check("frame.step: undersides off level, mm", max((abs(b.low) for b in bodies), default=math.inf), limit),
        Check("frame.step: tops not flush, mm", max((abs(b.high - depth) for b in bodies), default=math.inf), limit),
    ]


def _type_checks(frame: Frame, read: dict[str, _Read], folder: Path) -> list[Check]:
    """Each type's file: one solid of its name, at the origin, which placed by ``place`` is the frame's piece."""
    shapes: list[tuple[Shape, _Read]] = []
    said: list[Said] = []
    wrong = 0
    off_origin = apart = 0.0
    for kind in frame.types:
        path = folder / "pieces" / f"{kind.name}.step"
        solids = read_pieces(path).pieces
        if not [name for name, _ in solids] == product_names(path) == [kind.name]:
            wrong += 1
            continue
        found = _read(*solids[0])
        shapes.append((kind.shape, found))
        said += contents(path).products
        off_origin = max(off_origin, float(np.abs(found.body.corners.min(axis=0)).max()))
        for index in kind.pieces:
            piece = frame.pieces[index]
            mate = read.get(piece.mark)
            apart = max(
                apart, math.inf if mate is None else corners_apart(placed(piece, found.body.corners), mate.body.corners)
            )
    figures = {found.body.name: found.figures for _, found in shapes}
    return [
        Check("pieces STEP: files without one solid of the type's name", wrong, 0),
        *said_checks("pieces STEP", [said_of_type(frame, kind) for kind in frame.types], said),
        figures_check("pieces STEP", said, figures),
        *_solid_checks("pieces STEP", shapes),
        Check("pieces STEP: bounding boxes off the origin, mm", off_origin, EXACT),
        Check("pieces STEP: placed types off the frame, mm", apart, ALIKE),
    ]
