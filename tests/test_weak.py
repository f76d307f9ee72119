"""Booleans where they are weak: faces in one plane, touching edges and corners, extreme angles, far away."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import pytest
from making import failed_names, prism, proved
from plans import Spec

from platemodel.frame.strip import least_between
from platemodel.site.rules import judge
from platemodel.solid.shapes import common_volume, volume

BOX = Spec(corners=((0, 0), (4000, 0), (4000, 3000), (0, 3000)), names=("front", "right", "back", "left"))


@pytest.mark.parametrize("degrees", [30.000001, 149.999999, 30.0, 150.0])
@pytest.mark.parametrize("clearance", [0.0, 1.0])
def test_the_most_acute_and_the_most_obtuse_corner(tmp_path: Path, degrees: float, clearance: float) -> None:
    turn = math.radians(180.0 - degrees)
    spec = Spec(
        corners=((0, 0), (3000, 0), (3000 + 2500 * math.cos(turn), 2500 * math.sin(turn))),
        names=("one", "other"),
        closed=False,
        clearance=clearance,
    )
    frame = spec.frame()
    assert frame.joints[0].lap.angle == pytest.approx(min(degrees, 180 - degrees), abs=1e-6)
    assert failed_names(proved(frame, tmp_path / "out")) == set()


@pytest.mark.parametrize("degrees", [0.0, 12.3456789])
def test_walls_forty_kilometres_from_the_origin(tmp_path: Path, degrees: float) -> None:
    spec = dataclasses.replace(BOX, crosses=(("spine", (1800.0, 0.0), (2600.0, 3000.0)),), clearance=0.0).moved(
        degrees, (4.0e7, -4.0e7)
    )
    frame = spec.frame()
    assert min(frame.size) < 10_000
    assert abs(frame.origin[0]) > 3.9e7
    assert failed_names(proved(frame, tmp_path / "out")) == set()


@pytest.mark.parametrize("miss", [0.001, 0.01, 0.1])
def test_laps_that_nearly_touch(tmp_path: Path, miss: float) -> None:
    spacing = BOX.width + BOX.clearance + miss
    spec = dataclasses.replace(
        BOX,
        crosses=(("a", (1000.0, 0.0), (1000.0, 3000.0)), ("b", (1000.0 + spacing, 0.0), (1000.0 + spacing, 3000.0))),
    )
    frame = spec.frame()
    front = next(piece for piece in frame.pieces if piece.walls == ("front",))
    between = [least_between(one.high, other.low) for one, other in zip(front.halves, front.halves[1:], strict=False)]
    assert min(between) == pytest.approx(miss, abs=1e-9)
    assert any(v.rule == "whole timber between laps" and not v.passed for v in judge(frame))
    assert failed_names(proved(frame, tmp_path / "out")) == set()


def test_no_clearance_at_all_makes_no_gap(tmp_path: Path) -> None:
    frame = dataclasses.replace(
        BOX, clearance=0.0, crosses=(("a", (0.0, 1500.0), (4000.0, 1400.0)), ("b", (2000.0, 0.0), (2100.0, 3000.0)))
    ).frame()
    proof = proved(frame, tmp_path / "out")
    assert failed_names(proof) == set()
    assert {joint.lap.kind for joint in frame.joints} == {"corner", "tee", "cross"}
    assert max(abs(lap.gap) for lap in proof.exact.laps) < 1e-3


def test_depths_that_float32_cannot_hold(tmp_path: Path) -> None:
    frame = dataclasses.replace(BOX, depth=47.3, width=98.7).frame()
    assert failed_names(proved(frame, tmp_path / "out")) == set()


SQUARE = ((0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0))


@pytest.mark.parametrize(
    ("by", "shared"),
    [
        ((100.0, 0.0), 0.0),  # a face touches
        ((100.0, 100.0), 0.0),  # an edge touches
        ((50.0, 0.0), 50.0 * 100.0 * 25.0),  # three faces in the same planes
        ((0.0, 0.0), 100.0 * 100.0 * 25.0),  # the same solid
        ((99.999, 0.0), 0.001 * 100.0 * 25.0),
        ((99.99999, 0.0), 0.00001 * 100.0 * 25.0),
    ],
)
def test_the_kernel_on_faces_in_one_plane(by: tuple[float, float], shared: float) -> None:
    one = prism(SQUARE, 0.0, 25.0)
    other = prism([(x + by[0], y + by[1]) for x, y in SQUARE], 0.0, 25.0)
    assert volume(one) == pytest.approx(250_000.0)
    assert common_volume(one, other) == pytest.approx(shared, rel=1e-4, abs=1e-6)


def test_a_corner_that_touches_a_corner() -> None:
    one, other = prism(SQUARE, 0.0, 25.0), prism([(x + 100, y + 100) for x, y in SQUARE], 25.0, 50.0)
    assert common_volume(one, other) == 0.0


def test_a_slanted_tee_whose_void_is_slivers_in_float32(tmp_path: Path) -> None:
    # a random plan on which the mesh kernel once gave a void's share of P as more than the void
    spec = Spec(
        corners=((0.0, 0.0), (1289.0, 0.0), (1289.0, 2582.0), (0.0, 2582.0)),
        names=("w1", "w2", "w3", "w4"),
        width=75.0,
        depth=75.3,
        leaf=115.0,
        setback=3.0,
        clearance=0.5,
        crosses=(("x2", (644.5, 0.0), (966.75, 2582.0)),),
        order=("w2", "w3", "w4", "x2", "w1"),
    )
    assert failed_names(proved(spec.frame(), tmp_path / "out")) == set()
