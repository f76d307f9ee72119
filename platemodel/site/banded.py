"""Normal equations of a net: solved, and their inverse where it is asked for.

Every reading ties few points, so the equations are sparse; in the order of Cuthill and McKee what is not zero
lies in a band near the diagonal, and of the inverse only that band is worked out (after Takahashi, from memory).
Its steps are small: sums of arrays are used for them, since threads of a matrix library would only wait for
each other.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Numbers = NDArray[np.float64]


class Normal:
    """The normal equations of a design (rows of derivatives), ``more`` added on their diagonal.

    Raises RuntimeError where they are singular to the last digit.
    """

    def __init__(self, design: Any, more: float = 0.0) -> None:
        from scipy import sparse
        from scipy.sparse.linalg import splu

        self._matrix = (design.T @ design + more * sparse.identity(design.shape[1])).tocsc()
        self._factors = splu(
            self._matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
        )

    def solve(self, right: Numbers) -> Numbers:
        """The unknowns for one or several right-hand sides."""
        if right.ndim == 1:
            answer: Numbers = self._factors.solve(right)
            return answer
        return np.column_stack([self._factors.solve(column) for column in right.T])

    def spreads(self, *several: Any) -> list[Numbers]:
        """For each matrix of sparse rows, that tie no more than readings do: each row's variance by the inverse."""
        inverse, rank = self._inverse_in_band()
        found = []
        for rows in several:
            values = np.zeros(rows.shape[0])
            for row in range(rows.shape[0]):
                part = slice(rows.indptr[row], rows.indptr[row + 1])
                columns, slopes = rank[rows.indices[part]], rows.data[part]
                values[row] = (inverse[columns[:, None], columns] * slopes[:, None] * slopes).sum()
            found.append(values)
        return found

    def _inverse_in_band(self) -> tuple[Numbers, NDArray[np.int64]]:
        """The inverse in a band about the diagonal, zero elsewhere, and the place of each unknown in its order."""
        from scipy.sparse.csgraph import reverse_cuthill_mckee

        order = np.asarray(reverse_cuthill_mckee(self._matrix.tocsr(), symmetric_mode=True), dtype=np.int64)
        rank = np.empty_like(order)
        rank[order] = np.arange(len(order))
        entries = self._matrix.tocoo()
        rows, columns = rank[entries.row], rank[entries.col]
        count, wide = len(order), int(np.abs(rows - columns).max(initial=0))
        full = np.zeros((count, count))
        full[rows, columns] = entries.data
        # the factors take the place of the matrix: columns of a unit triangle below, its diagonal on it
        for j in range(count):
            end = min(count, j + wide + 1)
            below = full[j + 1 : end, j]
            full[j + 1 : end, j + 1 : end] -= below[:, None] * (below / full[j, j])
            below /= full[j, j]
        # and the inverse that of the factors
        for j in range(count - 1, -1, -1):
            end = min(count, j + wide + 1)
            below = full[j + 1 : end, j].copy()
            column = -np.einsum("ij,j->i", full[j + 1 : end, j + 1 : end], below)
            full[j, j] = 1.0 / full[j, j] - float((below * column).sum())
            full[j + 1 : end, j] = full[j, j + 1 : end] = column
        return full, rank
