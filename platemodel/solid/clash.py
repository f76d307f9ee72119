"""The volume that pairs of solids share, by the kernel's booleans, on all cores where there are many."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.TopoDS import TopoDS_Shape

from platemodel.solid.shapes import volume

SHARE = 40
"""Fewer pairs than this a worker are not worth a process."""

_shared: list[tuple[TopoDS_Shape, TopoDS_Shape]] = []
"""The pairs, for the workers: solids cannot be sent to a process, but a fork has them."""


def common_volume(one: TopoDS_Shape, other: TopoDS_Shape) -> float:
    """The volume two solids share, mm3; not a number where the kernel reports an error."""
    operation = BRepAlgoAPI_Common(one, other)
    if not operation.IsDone():
        return float("nan")
    return volume(operation.Shape())


def common_volumes(pairs: Sequence[tuple[TopoDS_Shape, TopoDS_Shape]]) -> list[float]:
    """The volume that each pair of solids shares, mm3."""
    workers = min(os.cpu_count() or 1, len(pairs) // SHARE)
    if workers < 2 or not sys.platform.startswith("linux"):
        return [common_volume(one, other) for one, other in pairs]
    _shared[:] = pairs
    try:
        with ProcessPoolExecutor(workers, mp_context=get_context("fork")) as pool:
            return list(pool.map(_of_shared, range(len(pairs)), chunksize=8))
    finally:
        _shared.clear()


def _of_shared(index: int) -> float:
    return common_volume(*_shared[index])
