"""Linear programmes with several aims, one after the other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Matrix = NDArray[np.float64]

SLACK = 1e-7
"""What an earlier aim may lose to a later one."""

SLACKS = (0.0, 1e-6, 1e-4, 1e-2)
"""How far limits may be passed (mm) where rounding leaves no way to keep them all, the least first."""


class Program:
    """Linear programmes over the same limits, one aim after the other, each keeping what the ones before reached.

    The first ``free`` unknowns may be of either sign.
    """

    def __init__(self, unknowns: int, free: int) -> None:
        self.unknowns = unknowns
        self.bounds = [(None if number < free else 0.0, None) for number in range(unknowns)]
        self.blocks: list[Matrix] = []
        self.limits: list[Matrix] = []

    def rows(self, parts: Mapping[int, Matrix], limit: Matrix) -> None:
        """Limits: the sum of matrices, each from a column on, times the unknowns is at most so much."""
        import numpy as np

        block = np.zeros((len(limit), self.unknowns))
        for column, matrix in parts.items():
            block[:, column : column + matrix.shape[1]] = matrix
        self.blocks.append(block)
        self.limits.append(limit)

    def bound(self, column: int, most: float) -> None:
        """Keep an unknown within so much of nothing."""
        import numpy as np

        row = np.zeros((1, self.unknowns))
        row[0, column] = 1.0
        for sign in (1.0, -1.0):
            self.blocks.append(sign * row)
            self.limits.append(np.array([most]))

    def keep(self, columns: Sequence[int] | range, most: float) -> None:
        """Keep the sum of some unknowns at so much at the most."""
        import numpy as np

        row = np.zeros((1, self.unknowns))
        row[0, list(columns)] = 1.0
        self.blocks.append(row)
        self.limits.append(np.array([most]))

    def least(self, columns: Sequence[int] | range, lose: float = SLACK) -> Matrix:
        """Make the sum of some unknowns least, and keep it so from now on but for ``lose``; gives the unknowns."""
        import numpy as np
        from scipy.optimize import linprog
        from scipy.sparse import csr_matrix

        aim = np.zeros(self.unknowns)
        aim[list(columns)] = 1.0
        for slack in SLACKS:
            found = linprog(
                aim,
                A_ub=csr_matrix(np.concatenate(self.blocks)),
                # what the aims before came to is kept as well as the program can tell
                b_ub=np.concatenate(self.limits) + slack,
                bounds=self.bounds,
                method="highs",
                options={"primal_feasibility_tolerance": 1e-9, "dual_feasibility_tolerance": 1e-9},
            )
            if found.x is not None:
                break
        else:
            raise ArithmeticError(f"placing: {found.message}")
        self.keep(columns, found.fun + lose)
        x: Matrix = found.x
        return x
