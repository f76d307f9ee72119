"""The proof once more, from pieces/*.stl and report.json alone, with Manifold and none of the program.

P of a lap is where the footprints of its two pieces cross, since a piece goes through to the far edge
of its mate. Corners of a file are off by at most half a float32 step, so a volume or an area is right to
that times the surface or the edges that bound it.
"""

from __future__ import annotations

import itertools
import math
from typing import Any

import numpy as np
import pytest
from built import Built
from manifold3d import CrossSection, Manifold
from meshes_outside import half_step, lower, placed, put, upper

AROUND = 5.0
"""How far beyond a cut its void is looked for; no two laps of these plans are nearer than twice that (mm)."""


def _footprint(piece: Manifold) -> CrossSection:
    return piece.project()


def _within(built: Built, mark: str, joint: str, around: float) -> Manifold:
    """The part of a piece's uncut plate that its cut for a joint takes up, a little longer, over the full depth."""
    piece = built.pieces[mark]
    (lap,) = [lap for lap in piece["laps"] if lap["joint"] == joint]
    width = piece["width"]
    outline = [
        (lap["from"][0] - around, 0.0),
        (lap["to"][0] + around, 0.0),
        (lap["to"][1] + around, width),
        (lap["from"][1] - around, width),
    ]
    flat = np.array([(x, y, 0.0) for x, y in outline])
    # the cut is given in the piece frame, so it turns over with the piece
    stands = put(flat, {**piece["place"], "z": 0.0}, width, 0.0)[:, :2]
    section = CrossSection([stands if _area(stands) > 0 else stands[::-1]])
    return Manifold.extrude(section ^ _footprint(placed(built)[mark]), built.depth)


def _area(points: np.ndarray) -> float:
    x, y = points[:, 0], points[:, 1]
    return float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) / 2


def _bounds(built: Built, joint: dict[str, Any]) -> tuple[float, float]:
    """What half a float32 step makes of the volumes and areas of one lap (mm3, mm2)."""
    widths = [built.pieces[mark]["width"] for mark in joint["pieces"]]
    sine = math.sin(math.radians(float(joint["angle_deg"]))) or 1.0
    long = max(joint["seat_expected"] ** 0.5, max(widths) / sine) + 2 * AROUND
    # a corner is off along x and y; faces within a box of that length, edges about a square of it
    off = half_step(built) * math.sqrt(2)
    return off * (2 * long * long + 4 * long * built.depth), off * 4 * long


def test_every_lap_by_volumes(built: Built) -> None:
    pieces, depth = placed(built), built.depth
    assert built.report["joints"] or len(pieces) == 1
    for joint in built.report["joints"]:
        under, over = (pieces[mark] for mark in joint["pieces"])
        volume_bound, area_bound = _bounds(built, joint)
        core = _footprint(under) ^ _footprint(over)
        assert core.area() == pytest.approx(joint["seat_expected"], abs=area_bound)
        clash = (under ^ over).volume()
        assert clash <= volume_bound
        box = Manifold.extrude(core, depth)
        filled = (box ^ under).volume() + (box ^ over).volume() - clash
        assert filled == pytest.approx(core.area() * depth, abs=volume_bound)
        around = [_within(built, mark, joint["id"], AROUND) for mark in joint["pieces"]]
        void = (around[0] + around[1]) - under - over
        assert void.volume() == pytest.approx(joint["gap_expected"], abs=volume_bound)
        assert joint["gap"] == pytest.approx(void.volume(), abs=volume_bound)
        # the seat is where the top of the under half's lower layer carries the over half's upper layer
        bare_under = lower(under, depth) - upper(under, depth)
        bare_over = upper(over, depth) - lower(over, depth)
        seat = (bare_under ^ bare_over ^ core).area()
        assert seat == pytest.approx(joint["seat"], abs=area_bound)
        assert seat == pytest.approx(core.area(), abs=area_bound)


def test_the_void_is_what_the_clearance_makes(built: Built) -> None:
    # measured square to the mate's edge, in half the depth of each plate: c x depth x (w1 + w2) / (2 sin angle),
    # for a splice c x width x depth
    clearance = built.clearance
    for joint in built.report["joints"]:
        widths = [built.pieces[mark]["width"] for mark in joint["pieces"]]
        if joint["kind"] == "splice":
            wanted = clearance * widths[0] * built.depth
        else:
            wanted = clearance * built.depth * sum(widths) / (2 * math.sin(math.radians(joint["angle_deg"])))
        assert joint["gap_expected"] == pytest.approx(wanted, rel=1e-6, abs=1e-6)


def test_no_two_pieces_share_volume(built: Built) -> None:
    pieces = placed(built)
    limit = 2 * half_step(built) * 3 * max(p["width"] for p in built.pieces.values()) * (200 + built.depth)
    for one, other in itertools.combinations(pieces, 2):
        assert (pieces[one] ^ pieces[other]).volume() <= limit, (one, other)


def test_pieces_that_cross_in_plan_are_the_joints(built: Built) -> None:
    pieces = {mark: _footprint(piece) for mark, piece in placed(built).items()}
    crossing = {
        frozenset(pair)
        for pair in itertools.combinations(pieces, 2)
        if (pieces[pair[0]] ^ pieces[pair[1]]).area() > 1.0
    }
    assert crossing == {frozenset(joint["pieces"]) for joint in built.report["joints"]}


def test_every_piece_can_be_lowered_onto_those_laid_before(built: Built) -> None:
    # lifted by anything from 0 to the depth, the lower layer of the later piece passes the upper
    # layer of the earlier one: nothing may lie above the earlier piece where the later one comes down
    pieces, depth = placed(built), built.depth
    order = sorted(pieces, key=lambda mark: int(built.pieces[mark]["order"]))
    assert [built.pieces[mark]["order"] for mark in order] == list(range(1, len(order) + 1))
    limit = 2 * half_step(built) * 2 * (max(p["width"] for p in built.pieces.values()) + 200)
    for earlier, later in itertools.combinations(order, 2):
        blocked = (upper(pieces[earlier], depth) ^ lower(pieces[later], depth)).area()
        assert blocked <= limit, (earlier, later)


def test_the_other_way_round_no_lap_can_be_lowered(built: Built) -> None:
    # the check above must be able to fail: the under half does not come down through the over half
    pieces, depth = placed(built), built.depth
    for joint in built.report["joints"]:
        under, over = (pieces[mark] for mark in joint["pieces"])
        blocked = (upper(over, depth) ^ lower(under, depth)).area()
        assert blocked == pytest.approx(joint["seat_expected"], abs=_bounds(built, joint)[1])


def test_the_under_half_is_laid_first(built: Built) -> None:
    for joint in built.report["joints"]:
        under, over = joint["pieces"]
        assert built.pieces[under]["order"] < built.pieces[over]["order"]
        for mark, half in ((under, "under"), (over, "over")):
            assert [lap["half"] for lap in built.pieces[mark]["laps"] if lap["joint"] == joint["id"]] == [half]


def test_tops_and_undersides_are_flush(built: Built) -> None:
    for piece in placed(built).values():
        box = piece.bounding_box()
        assert (box[2], box[5]) == pytest.approx((0.0, built.depth), abs=half_step(built))
