"""Properties that every valid plan has, whatever its shape.

PLATEMODEL_PLANS sets how many plans are tried (default 20).
"""

from __future__ import annotations

import dataclasses
import math
import os
import tempfile
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, reject, settings
from hypothesis import strategies as st
from making import failed_names, proved
from plans import Spec, specs
from shapely import Polygon, unary_union

from platemodel.cli.building import build
from platemodel.faults import PlanError
from platemodel.frame import Frame

PLANS = int(os.environ.get("PLATEMODEL_PLANS", "20"))
some = settings(
    max_examples=PLANS,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much, HealthCheck.data_too_large],
)


@given(specs())
@some
def test_what_holds_of_every_frame(spec: Spec) -> None:
    frame = spec.frame()
    _the_proof_passes(frame)
    _pieces_fill_the_bands_less_the_clearance(frame)
    _types_start_at_the_origin_and_placed_are_the_frame(frame)


def _the_proof_passes(frame: Frame) -> None:
    with tempfile.TemporaryDirectory() as folder:
        proof = proved(frame, Path(folder) / "out")
    assert failed_names(proof) == set()
    assert proof.passed
    assert proof.lowering


def _pieces_fill_the_bands_less_the_clearance(frame: Frame) -> None:
    runs = unary_union([Polygon(run.outline) for run in frame.runs])
    footprints = unary_union([Polygon(frame.runs[p.run].strip.corners(p.low, p.high)) for p in frame.pieces])
    assert footprints.symmetric_difference(runs).area <= 1e-6 * runs.area
    depth = frame.plan.plate.depth
    void = sum(joint.gap_expected for joint in frame.joints)
    # where two strips cross, both pieces' halves together are one whole depth
    assert sum(p.laid.volume for p in frame.pieces) == pytest.approx(runs.area * depth - void, rel=1e-9)


def _types_start_at_the_origin_and_placed_are_the_frame(frame: Frame) -> None:
    for kind in frame.types:
        corners = np.array(kind.shape.polyhedron()[0])
        assert np.abs(corners.min(axis=0)).max() <= 1e-9
    for piece in frame.pieces:
        assert _apart(_placed(frame, piece.type, piece), np.array(piece.vertices)) <= 1e-5


@given(specs(), st.sampled_from([0.0, 0.7, 3.0, 20.0]))
@settings(some, max_examples=max(3, PLANS // 4))
def test_laps_are_cut_for_the_widest_board(spec: Spec, excess: float) -> None:
    try:
        frame = dataclasses.replace(spec, widest=spec.width + excess).frame()
    except PlanError:
        # longer laps may leave no timber between them
        reject()
    for piece in frame.pieces:
        for half in piece.halves:
            lap = frame.joints[half.joint].lap
            long = [end - begin for begin, end in zip(half.low, half.high, strict=True)]
            wide = frame.pieces[half.mate].laid.width
            if half.kind == "splice":
                wide = spec.splice or wide
            else:
                long = [along * math.sin(math.radians(lap.angle)) for along in long]
            assert long == pytest.approx([wide + excess + spec.clearance] * 2, abs=1e-6)
    with tempfile.TemporaryDirectory() as folder:
        assert proved(frame, Path(folder) / "out").passed


@given(specs(), st.floats(-180, 180), st.floats(-1e6, 1e6), st.floats(-1e6, 1e6), st.booleans())
@settings(some, max_examples=max(3, PLANS // 2))
def test_turning_shifting_and_drawing_back_give_the_same_types(
    spec: Spec, degrees: float, east: float, north: float, back: bool
) -> None:
    if spec.method == "pairs":
        spec = Spec(**{**spec.__dict__, "method": "round"})
    moved = spec.moved(degrees, (east, north))
    if back:
        moved = moved.drawn_back()
    one, other = spec.frame(), moved.frame()
    assert len(one.types) == len(other.types)
    for mine, theirs in zip(one.types, other.types, strict=True):
        assert len(mine.pieces) == len(theirs.pieces)
        assert mine.shape.figures() == pytest.approx(theirs.shape.figures(), abs=1e-4)


def _placed(frame: Frame, kind: int, piece: object) -> np.ndarray:
    """Corners of a type placed as the report words it: turn over, turn about z, shift."""
    shape, place = frame.types[kind].shape, piece.place
    x, y, z = np.array(shape.polyhedron()[0]).T
    if place.turned_over:
        y, z = shape.width - y, shape.depth - z
    assert 0.0 <= place.angle < 360.0
    cos, sin = math.cos(math.radians(place.angle)), math.sin(math.radians(place.angle))
    return np.column_stack([place.x + x * cos - y * sin, place.y + x * sin + y * cos, place.z + z])


def _apart(one: np.ndarray, other: np.ndarray) -> float:
    distances = np.linalg.norm(one[:, None] - other[None, :], axis=2)
    return max(distances.min(axis=0).max(), distances.min(axis=1).max())


@given(specs())
@settings(some, max_examples=max(2, PLANS // 12))
def test_the_same_plan_gives_the_same_bytes(spec: Spec) -> None:
    with tempfile.TemporaryDirectory() as folder:
        plan = Path(folder) / "plan.toml"
        plan.write_text(spec.text())
        results = []
        for name in ("one", "other"):
            assert build(str(plan), str(Path(folder) / name / "out"), timings=False) == 0
            root = Path(folder) / name / "out"
            results.append({path.relative_to(root): path.read_bytes() for path in root.rglob("*") if path.is_file()})
        assert results[0] == results[1]


@given(specs(), st.data())
@settings(some, max_examples=max(3, PLANS // 2))
def test_any_laying_order_can_be_lowered(spec: Spec, data: st.DataObject) -> None:
    walls = data.draw(st.permutations(spec.order))
    frame = Spec(**{**spec.__dict__, "order": tuple(walls), "method": "round"}).frame()
    for joint in frame.joints:
        under, over = frame.pieces[joint.under], frame.pieces[joint.over]
        assert under.order < over.order
        halves = {(half.joint, half.under) for half in (*under.halves, *over.halves)}
        index = frame.joints.index(joint)
        assert {(index, True), (index, False)} <= halves
    assert sorted(piece.order for piece in frame.pieces) == list(range(1, len(frame.pieces) + 1))
