"""The shop manifest: every type with its file and its laps as plain features, and every piece with its halves.

Figures are told to a billionth, so that the features alone make a type's solid, and equal ones are written alike.
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping, Sequence

from platemodel import __version__
from platemodel.export.lists import safe, table
from platemodel.export.manifest_model import (
    End,
    Feature,
    Half,
    Manifest,
    PieceEntry,
    Place,
    Section,
    TypeEntry,
    manifest_schema,
)
from platemodel.export.report import DIGITS, json_lines
from platemodel.frame.shape import ALIKE, Cut, Shape
from platemodel.frame.strip import Pair
from platemodel.frame.timber import mass
from platemodel.frame.values import Frame, Piece, Type

FILES = {
    "manifest.json": "types with their files and laps as features, for a shop's machines",
    "manifest.csv": "the same as a table, a row a lap of a piece: sum by mark",
    "manifest.schema.json": "the JSON Schema of manifest.json",
}


def manifest(frame: Frame, hashes: Mapping[str, str], passed: bool) -> Manifest:
    """The manifest of a frame; ``hashes`` are the SHA-256 of the types' STEP files by their paths in the folder."""
    return Manifest(
        format=1,
        made_by=f"platemodel {__version__}",
        title=frame.plan.job.title,
        passed=passed,
        units="mm",
        clearance=frame.plan.lap.clearance,
        origin=_told(frame.origin),
        types=[_type(frame, kind, hashes) for kind in frame.types],
        pieces=[_piece(frame, piece) for piece in frame.pieces],
    )


def _type(frame: Frame, kind: Type, hashes: Mapping[str, str]) -> TypeEntry:
    shape, file = kind.shape, f"pieces/{kind.name}.step"
    grade = frame.plan.plate.grade
    return TypeEntry(
        type=kind.name,
        file=file,
        sha256=hashes[file],
        count=len(kind.pieces),
        marks=[frame.pieces[index].mark for index in kind.pieces],
        section=Section(width=shape.width, depth=shape.depth),
        grade=grade,
        length=_round(shape.length),
        volume=_round(shape.volume),
        mass=_round(mass(shape.volume, grade)),
        start=End(at=_told(shape.low), angle=_angle(shape.low, shape.width)),
        end=End(at=_told(shape.high), angle=_angle(shape.high, shape.width)),
        laps=[_feature(shape, cut) for cut in shape.cuts],
    )


def _feature(shape: Shape, cut: Cut) -> Feature:
    return Feature(
        face="top" if cut.upper else "bottom",
        depth=shape.depth / 2,
        **{"from": _told(cut.low)},
        to=_told(cut.high),
        from_angle=_angle(cut.low, shape.width),
        to_angle=_angle(cut.high, shape.width),
        from_is="end" if _same(cut.low, shape.low) else "shoulder",
        to_is="end" if _same(cut.high, shape.high) else "shoulder",
    )


def _angle(line: Pair, width: float) -> float:
    return _round(math.degrees(math.atan2(width, line[1] - line[0])))


def _told(figures: Sequence[float]) -> list[float]:
    return [_round(figure) for figure in figures]


def _round(figure: float) -> float:
    return round(figure, DIGITS) + 0.0


def _same(one: Pair, other: Pair) -> bool:
    return max(abs(a - b) for a, b in zip(one, other, strict=True)) <= ALIKE


def _piece(frame: Frame, piece: Piece) -> PieceEntry:
    place = piece.place
    return PieceEntry(
        mark=piece.mark,
        type=frame.types[piece.type].name,
        order=piece.order,
        up_face="bottom" if place.turned_over else "top",
        place=Place(x=place.x, y=place.y, z=place.z, angle_deg=place.angle, turned_over=place.turned_over),
        laps=list(_halves(frame, piece)),
    )


def _halves(frame: Frame, piece: Piece) -> Iterator[Half]:
    """A piece's halves by the laps of its type, along the piece frame."""
    cuts = [sum(cut.low) + sum(cut.high) for cut in frame.types[piece.type].shape.cuts]
    for half in sorted(piece.halves, key=lambda half: sum(half.low)):
        middle = sum(half.low) + sum(half.high)
        yield Half(
            lap=1 + min(range(len(cuts)), key=lambda number: abs(cuts[number] - middle)),
            joint=frame.joints[half.joint].id,
            kind=frame.joints[half.joint].lap.kind,
            half="under" if half.under else "over",
            joint_below_up=frame.types[piece.type].shape.depth / 2,
            mate=frame.pieces[half.mate].mark,
        )


def manifest_text(made: Manifest) -> str:
    """manifest.json: a line a type and a line a piece."""
    return json_lines(made.model_dump(mode="json", by_alias=True))


def schema_text() -> str:
    """The JSON Schema of manifest.json as text."""
    return json.dumps(manifest_schema(), indent=2) + "\n"


_HEAD = ("mark", "type", "file", "sha256", "count", "width_mm", "depth_mm", "grade", "length_mm", "mass_kg", "proved")
_LAID = ("laying_order", "up_face", "start_y0", "start_yw", "start_angle", "end_y0", "end_yw", "end_angle", "laps")
_LAP = ("lap", "joint", "kind", "half", "mate", "joint_below_up_mm", "face", "lap_depth_mm")
_LINES = tuple(f"{line}_{part}" for line in ("from", "to") for part in ("y0", "yw", "angle", "is"))


def manifest_table(made: Manifest) -> str:
    """manifest.csv: a row a lap of a piece, and one for a piece without; figures to nine decimals."""
    kinds = {kind.type: kind for kind in made.types}
    return table([*_HEAD, *_LAID, *_LAP, *_LINES], (row for piece in made.pieces for row in _rows(made, piece, kinds)))


def _rows(made: Manifest, piece: PieceEntry, kinds: Mapping[str, TypeEntry]) -> Iterator[list[object]]:
    kind = kinds[piece.type]
    head: list[object] = [piece.mark, kind.type, kind.file, kind.sha256, kind.count]
    head += [*map(_number, (kind.section.width, kind.section.depth)), kind.grade, _number(kind.length)]
    head += [_number(kind.mass), "yes" if made.passed else "NO", piece.order, piece.up_face]
    for end in (kind.start, kind.end):
        head += map(_number, (*end.at, end.angle))
    head.append(len(piece.laps))
    if not piece.laps:
        yield head + [""] * (len(_LAP) + len(_LINES))
    for half in piece.laps:
        lap = kind.laps[half.lap - 1]
        yield [
            *head,
            *(half.lap, safe(half.joint), half.kind, half.half, half.mate, _number(half.joint_below_up)),
            *(lap.face, _number(lap.depth)),
            *(*map(_number, (*lap.begin, lap.from_angle)), lap.from_is),
            *(*map(_number, (*lap.to, lap.to_angle)), lap.to_is),
        ]


def _number(value: float) -> str:
    """A figure to nine decimals, without trailing zeros."""
    text = f"{value:.9f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
