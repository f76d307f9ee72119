"""What a proof found: figures, limits and verdicts, as plain frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape

EXACT = 1e-6
"""Relative tolerance for exact solids."""


@dataclass(frozen=True)
class Check:
    """One check of the whole frame: passed when ``figure`` is at most ``limit`` (``least``: at least)."""

    name: str
    figure: float
    limit: float
    least: bool = False

    @property
    def passed(self) -> bool:
        """Whether the figure keeps to the limit; a figure that is not a number does not."""
        return self.figure >= self.limit if self.least else self.figure <= self.limit


@dataclass(frozen=True)
class LapFigures:
    """What was measured of one lap: clash, gap (mm3), fill (ratio), seat (mm2), and how far each may be off."""

    clash: float
    fill: float
    seat: float
    gap: float
    seat_expected: float
    gap_expected: float
    volume_limit: float
    fill_limit: float
    seat_limit: float

    @property
    def passed(self) -> bool:
        """Whether all four figures keep to their limits."""
        return not self.failures

    @property
    def failures(self) -> tuple[str, ...]:
        """The names of the figures that do not keep to their limits."""
        off = {
            "clash": (abs(self.clash), self.volume_limit),
            "fill": (abs(self.fill - 1.0), self.fill_limit),
            "seat": (abs(self.seat - self.seat_expected), self.seat_limit),
            "gap": (abs(self.gap - self.gap_expected), self.volume_limit),
        }
        # "not at most", so that a figure that is not a number fails
        return tuple(name for name, (figure, limit) in off.items() if not figure <= limit)


@dataclass(frozen=True)
class Findings:
    """What one kernel found: a figure set a joint, in the frame's order, and checks of the whole."""

    kernel: str
    laps: tuple[LapFigures, ...]
    checks: tuple[Check, ...]

    @property
    def passed(self) -> bool:
        """Whether every lap and every check passed."""
        return all(lap.passed for lap in self.laps) and all(check.passed for check in self.checks)


@dataclass(frozen=True)
class Proof:
    """The findings of both kernels."""

    exact: Findings
    mesh: Findings
    pairs_tested: int

    @property
    def passed(self) -> bool:
        """Whether both kernels found everything right."""
        return self.exact.passed and self.mesh.passed

    @property
    def checks(self) -> tuple[Check, ...]:
        """All checks of the whole frame, the exact kernel's first."""
        return (*self.exact.checks, *self.mesh.checks)

    @property
    def lowering(self) -> bool:
        """Whether every piece can be lowered straight down in the laying order, by both kernels."""
        return all(check.passed for check in self.checks if "blocks lowering" in check.name)

    def _repr_html_(self) -> str:
        """What was found, for a notebook: the verdict, and every check with its figure and its limit."""
        rows = "".join(
            f"<tr><td>{'✓' if check.passed else '✗'}</td><td>{escape(check.name)}</td><td>{check.figure:g}</td>"
            f"<td>{'at least' if check.least else 'at most'} {check.limit:g}</td></tr>"
            for check in self.checks
        )
        laps = [sum(lap.passed for lap in found.laps) for found in (self.exact, self.mesh)]
        return (
            f"<p><strong>{'✓ proved' if self.passed else '✗ NOT PROVED'}</strong>: of {len(self.exact.laps)} laps "
            f"{laps[0]} passed with {escape(self.exact.kernel)}, {laps[1]} with {escape(self.mesh.kernel)}</p>"
            f"<table><tr><th></th><th>check</th><th>figure</th><th>limit</th></tr>{rows}</table>"
        )

    def lap_passed(self, joint: int) -> bool:
        """Whether both kernels passed a joint."""
        return self.exact.laps[joint].passed and self.mesh.laps[joint].passed
