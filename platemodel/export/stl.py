"""Binary STL: 80 bytes of header, a count, then 50 bytes a facet, little-endian, in millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from platemodel.solid.triangles import FACET, normals

HEADER = b"binary STL, millimetres".ljust(80)
"""Does not begin with 'solid', by which readers know a text STL."""


def write_stl(path: Path, bodies: Sequence[NDArray[np.float32]]) -> None:
    """Write facets (n, 3, 3) of one or more bodies, one after the other."""
    facets = np.concatenate(bodies) if bodies else np.zeros((0, 3, 3), dtype=np.float32)
    records = np.zeros(len(facets), dtype=FACET)
    records["normal"] = normals(facets)
    records["corners"] = facets
    with open(path, "wb") as stream:
        stream.write(HEADER)
        stream.write(np.uint32(len(facets)).astype("<u4").tobytes())
        stream.write(records.tobytes())
