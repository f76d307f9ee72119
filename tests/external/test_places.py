"""Where a report says that pieces stand: type files, moved as its ``place`` is worded, are the frame.

Only numpy is used: a half-turn about the long axis where turned over, an angle about z, a shift.
"""

from __future__ import annotations

import numpy as np
from built import Builder, Built
from meshes_outside import put, read_stl


def _corners(facets: np.ndarray) -> np.ndarray:
    return np.unique(facets.reshape(-1, 3), axis=0)


def test_placed_types_are_the_frame(built: Built) -> None:
    frame, _ = read_stl(built.folder / "frame.stl")
    # both files hold float32: half a step of each file's largest coordinate, on three axes
    begin = 0
    for piece in built.pieces.values():
        own, _ = read_stl(built.folder / "pieces" / f"{piece['type']}.stl")
        stands = frame[begin : begin + len(own)]
        begin += len(own)
        bound = sum(float(np.spacing(np.float32(np.abs(part).max()))) for part in (own, stands))
        wanted = _corners(put(own, piece["place"], piece["width"], piece["depth"]))
        found = _corners(stands)
        assert len(wanted) == len(found)
        apart = np.abs(wanted[:, None, :] - found[None, :, :]).max(axis=2)
        assert apart.min(axis=0).max() <= bound, piece["mark"]
        assert apart.min(axis=1).max() <= bound, piece["mark"]
    assert begin == len(frame)


def test_turned_over_pieces_are_among_them(builder: Builder) -> None:
    built = builder("skew")
    turned = {mark for mark, piece in built.pieces.items() if piece["place"]["turned_over"]}
    # a rhombus laid in pairs: its over plates are its under plates turned over
    rhombus = {piece["mark"]: piece for piece in built.report["pieces"] if piece["walls"][0] in _RHOMBUS}
    assert len({piece["type"] for piece in rhombus.values()}) == 1
    assert len(turned) == 2
    assert turned < set(rhombus)
    for mark, piece in rhombus.items():
        halves = {lap["half"] for lap in piece["laps"]}
        others = {lap["half"] for lap in rhombus[next(iter(set(rhombus) - turned))]["laps"]}
        assert (halves == others) == (mark not in turned)


_RHOMBUS = ("south", "east", "north", "west")


def test_an_angle_is_from_0_to_under_360_and_z_0_for_all(built: Built) -> None:
    for piece in built.pieces.values():
        assert 0.0 <= piece["place"]["angle_deg"] < 360.0
        assert piece["place"]["z"] == 0.0


def test_the_frame_s_least_corner_is_its_origin(built: Built) -> None:
    frame, _ = read_stl(built.folder / "frame.stl")
    assert np.abs(frame.reshape(-1, 3).min(axis=0)).max() <= float(np.spacing(np.float32(np.abs(frame).max()))) / 2


def test_the_origin_leads_back_to_the_plan_s_coordinates(builder: Builder) -> None:
    built = builder("two-shells")
    west = next(piece for piece in built.report["pieces"] if piece["walls"] == ["workshop west"])
    own, _ = read_stl(built.folder / "pieces" / f"{west['type']}.stl")
    stands = put(own, west["place"], west["width"], west["depth"]).reshape(-1, 3)
    east, north = built.report["origin"]
    # outer face x = 0, setback 10, plate 125 wide; the wall runs from y = 0 to 4800, its plate 10 short at each end
    origin = np.array([east, north, 0.0])
    assert np.abs(stands.min(axis=0) + origin - [10.0, 10.0, 0.0]).max() < 1e-3
    assert np.abs(stands.max(axis=0) + origin - [135.0, 4790.0, 75.0]).max() < 1e-3
