"""Halved joints as the trade's books have them, measured on the STL files of the types.

W. Noyes, Handwork in Wood, "Halving-joints" (https://www.woodworkings.ca/HandWork/Halving-joints.html):
half of each thickness is taken away, the faces finish flush, the lap is as long as the crossing piece
is wide, and all is gauged from the marked faces. W. Fairham, Woodwork Joints (Gutenberg 21531): a
corner halving's pieces are halved and shouldered on opposite sides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import pytest
from built import Builder, Built
from manifold3d import CrossSection
from meshes_outside import half_step, lower, read_stl, solid, upper

NEVER_SMALL = 200.0
"""Shorter than the whole of any end lap is long in any of the plans (mm)."""


def _laps(built: Built) -> Iterator[tuple[dict[str, Any], dict[str, Any], dict[str, Any]]]:
    """Every half of every lap: its piece, the half, its mate."""
    for piece in built.report["pieces"]:
        for lap in piece["laps"]:
            yield piece, lap, built.pieces[lap["mate"]]


def _layers_as_laid(built: Built, piece: dict[str, Any]) -> tuple[CrossSection, CrossSection]:
    """The lower and the upper layer of a piece, as laid, still in the axes of its type's file."""
    body = solid(read_stl(built.folder / "pieces" / f"{piece['type']}.stl")[0])
    low, high = lower(body, piece["depth"]), upper(body, piece["depth"])
    return (high, low) if piece["place"]["turned_over"] else (low, high)


def _cut(piece: dict[str, Any], lap: dict[str, Any], grown: float = 0.0) -> CrossSection:
    begin, end, width = lap["from"], lap["to"], piece["width"]
    outline = [(begin[0] - grown, 0), (end[0] + grown, 0), (end[1] + grown, width), (begin[1] - grown, width)]
    return CrossSection([outline])


def _ends(piece: dict[str, Any], lap: dict[str, Any]) -> bool:
    return min(lap["from"]) < 1e-6 or max(lap["to"]) > piece["length"] - 1e-6


def test_half_of_each_thickness_is_taken_away(built: Built) -> None:
    # the half that stays is whole over the lap, the other is gone over all of it
    for piece, lap, _ in _laps(built):
        low, high = _layers_as_laid(built, piece)
        stays, goes = (low, high) if lap["half"] == "under" else (high, low)
        bound = 2 * half_step(built) * 4 * (piece["width"] + NEVER_SMALL)
        area = _cut(piece, lap).area()
        assert (stays ^ _cut(piece, lap)).area() == pytest.approx(area, abs=bound)
        assert (goes ^ _cut(piece, lap)).area() <= bound


def test_no_corner_stands_elsewhere_than_at_the_faces_and_at_half_the_thickness(built: Built) -> None:
    for kind in built.report["types"]:
        depth = built.pieces[kind["marks"][0]]["depth"]
        corners, _ = read_stl(built.folder / "pieces" / f"{kind['type']}.stl")
        assert set(corners[..., 2].ravel().tolist()) <= {0.0, depth / 2, depth}


def test_the_cut_goes_no_further_than_its_shoulders(built: Built) -> None:
    # a hundredth beyond each shoulder both layers are there
    for piece, lap, _ in _laps(built):
        both = _layers_as_laid(built, piece)
        bound = 2 * half_step(built) * 4 * (piece["width"] + NEVER_SMALL)
        more = (_cut(piece, lap, 10.0) - _cut(piece, lap)) ^ (both[0] + both[1])
        assert more.area() > 10.0 * piece["width"] - bound
        for layer in both:
            assert (layer ^ more).area() == pytest.approx(more.area(), abs=bound)


def test_a_lap_is_as_long_as_its_mate_is_wide_and_the_clearance(built: Built) -> None:
    clearance = built.clearance
    counted = 0
    for piece, lap, mate in _laps(built):
        (joint,) = [joint for joint in built.report["joints"] if joint["id"] == lap["joint"]]
        along = [end - begin for begin, end in zip(lap["from"], lap["to"], strict=True)]
        assert along[0] == pytest.approx(along[1], abs=1e-6)
        if lap["kind"] == "splice":
            overlap = built.plan.get("lap", {}).get("splice", piece["width"])
            assert along[0] == pytest.approx(overlap + clearance, abs=1e-6)
        else:
            # measured square to the mate's edges, so longer along an oblique lap
            square = along[0] * math.sin(math.radians(joint["angle_deg"]))
            assert square == pytest.approx(mate["width"] + clearance, abs=1e-6)
        counted += 1
    assert counted == 2 * len(built.report["joints"])


def test_plates_of_unequal_width_are_gauged_each_from_the_other(builder: Builder) -> None:
    built = builder("skew")
    widths = set()
    for piece, lap, mate in _laps(built):
        if piece["width"] != mate["width"] and lap["kind"] == "tee":
            widths.add((piece["width"], mate["width"]))
    # a 150 plate with the tees of a 75 and of a 97 plate, seen from either side
    assert widths == {(150.0, 75.0), (75.0, 150.0), (150.0, 97.0), (97.0, 150.0)}


def test_faces_finish_flush(built: Built) -> None:
    # gauged from the face that is up as laid, what one piece keeps and what its mate keeps make up the thickness
    for joint in built.report["joints"]:
        kept = {}
        for piece, lap, _ in _laps(built):
            if lap["joint"] == joint["id"]:
                low, high = _layers_as_laid(built, piece)
                cut = _cut(piece, lap)
                layers = [name for name, layer in (("lower", low), ("upper", high)) if (layer ^ cut).area() > 1.0]
                kept[piece["mark"]] = layers
        assert [kept[mark] for mark in joint["pieces"]] == [["lower"], ["upper"]]


def test_both_pieces_of_a_corner_halving_are_cut_on_opposite_sides_at_their_ends(built: Built) -> None:
    corners = [joint for joint in built.report["joints"] if joint["kind"] == "corner"]
    for joint in corners:
        sides = []
        for mark in joint["pieces"]:
            piece = built.pieces[mark]
            (lap,) = [lap for lap in piece["laps"] if lap["joint"] == joint["id"]]
            assert _ends(piece, lap)
            low, high = _layers_as_laid(built, piece)
            cut = _cut(piece, lap)
            sides.append("upper" if (high ^ cut).area() < (low ^ cut).area() else "lower")
        assert sorted(sides) == ["lower", "upper"]


def test_kinds_of_lap_are_what_ends_in_them(built: Built) -> None:
    # one ends at a tee, both at a corner or splice, none at a cross
    ends = {"corner": 2, "splice": 2, "tee": 1, "cross": 0}
    for joint in built.report["joints"]:
        found = [_ends(piece, lap) for piece, lap, _ in _laps(built) if lap["joint"] == joint["id"]]
        assert len(found) == 2
        assert sum(found) == ends[joint["kind"]]


def test_all_kinds_are_among_those_measured(builder: Builder) -> None:
    kinds = {joint["kind"] for name in ("bungalow", "skew") for joint in builder(name).report["joints"]}
    assert kinds == {"corner", "tee", "cross", "splice"}
