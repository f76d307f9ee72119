"""The shop manifest as other programs read it: its keys and kinds of value, and so its JSON Schema."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Line = Annotated[
    list[float],
    Field(
        min_length=2,
        max_length=2,
        description="a cut across the piece, square to its faces: x at its edge y = 0 and at its edge y = width, mm",
    ),
]
Angle = Annotated[
    float,
    Field(gt=0, lt=180, description="from the x axis to the cut as it runs from y = 0, degrees: 90 is square"),
]
Face = Annotated[Literal["top", "bottom"], Field(description="of the piece frame: top is z = depth, bottom is z = 0")]
Bound = Annotated[
    Literal["end", "shoulder"], Field(description="end: the lap runs out at the piece's end; shoulder: a saw cut")
]
Sha256 = Annotated[str, Field(pattern="^[0-9a-f]{64}$")]
Mark = Annotated[str, Field(min_length=1)]


class _Entry(BaseModel):
    model_config = ConfigDict(extra="forbid", allow_inf_nan=False, frozen=True)


class Section(_Entry):
    """Of a piece, mm."""

    width: Annotated[float, Field(gt=0, description="along y")]
    depth: Annotated[float, Field(gt=0, description="along z")]


class End(_Entry):
    """An end of a piece: a saw cut through its whole depth."""

    at: Line
    angle: Angle


class Feature(_Entry):
    """Timber taken away for a lap: between two lines across the piece, from one face down to a depth."""

    face: Annotated[Face, Field(description="the face from which it is sawn")]
    depth: Annotated[float, Field(gt=0, description="from that face, square to it, mm")]
    begin: Annotated[Line, Field(alias="from")]
    to: Line
    from_angle: Angle
    to_angle: Angle
    from_is: Bound
    to_is: Bound


class TypeEntry(_Entry):
    """Pieces that are the same solid: between its ends, the whole section less its laps is the solid of ``file``."""

    type: Mark
    file: Annotated[
        str, Field(description="its solid in the piece frame, in the manifest's folder where it was written")
    ]
    sha256: Annotated[Sha256, Field(description="of the file's bytes")]
    count: Annotated[int, Field(ge=1)]
    marks: list[Mark]
    section: Section
    grade: Annotated[str, Field(description="strength class of EN 338")]
    length: Annotated[float, Field(gt=0, description="of its bounding box along x, mm")]
    volume: Annotated[float, Field(gt=0, description="mm3")]
    mass: Annotated[float, Field(gt=0, description="of one, at the mean density of the grade, kg")]
    start: Annotated[End, Field(description="its datum end, at x = 0")]
    end: End
    laps: Annotated[list[Feature], Field(description="along x")]


class Half(_Entry):
    """What a lap of a piece is: a lap of its type by number from 1, the joint, its kind, this half, its mate."""

    lap: Annotated[int, Field(ge=1)]
    joint: str
    kind: Annotated[str, Field(pattern="^(corner|tee|cross|splice)$")]
    half: Annotated[
        Literal["under", "over"], Field(description="under: the lower half stays as laid, and the piece is laid first")
    ]
    joint_below_up: Annotated[
        float,
        Field(
            gt=0,
            description="how far below the piece's up_face both halves meet, mm: an under half is sawn so deep from "
            "up_face, of an over half so much is left under up_face. On a board that is not as deep as the section "
            "this holds, and not the feature's depth from its face: else tops are not flush",
        ),
    ]
    mate: Mark


class Place(_Entry):
    """Where the piece frame stands in the frame, whose 0, 0 is its south-west corner: see origin.

    Where turned_over first y to width - y and z to depth - z; then turned by angle_deg about z through 0, 0;
    then shifted by x, y, z.
    """

    x: float
    y: float
    z: float
    angle_deg: Annotated[float, Field(ge=0, lt=360)]
    turned_over: bool


class PieceEntry(_Entry):
    """One timber."""

    mark: Mark
    type: Mark
    order: Annotated[int, Field(ge=1, description="laying number")]
    up_face: Annotated[Face, Field(description="the face that is up as laid; half the depth is gauged from it")]
    place: Place
    laps: list[Half]


class Manifest(_Entry):
    """What a shop cuts. Millimetres, degrees, kg; piece frame: x along it, y across, z up, its box from 0, 0, 0."""

    format: Literal[1]
    made_by: str
    title: str
    passed: Annotated[bool, Field(description="whether the proof and every rule that must hold passed; else cut none")]
    units: Literal["mm"]
    clearance: Annotated[
        float,
        Field(
            ge=0,
            description="what each lap is longer than its mate is wide, mm: from and to have it already, and the "
            "lines of laps and ends are finished faces, so that a saw's kerf goes into the waste",
        ),
    ]
    origin: Annotated[
        list[float],
        Field(
            min_length=2,
            max_length=2,
            description="where the frame's 0, 0 lies in the plan file's own x and y, mm: places here, frame.step, "
            "frame.stl and frame.glb are in the frame's; frame.ifc and plan.dxf, which go on to other drawings, in the "
            "plan's, where each x and y is larger by these two",
        ),
    ]
    types: Annotated[list[TypeEntry], Field(min_length=1)]
    pieces: Annotated[list[PieceEntry], Field(min_length=1)]


def manifest_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of manifest.json."""
    schema = Manifest.model_json_schema(by_alias=True, mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}
