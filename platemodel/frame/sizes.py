"""Real sizes of boards: what EN 336 lets a board of a tolerance class measure, and how moisture changes it."""

from __future__ import annotations

REFERENCE_MOISTURE = 20.0
"""Moisture at which sizes are stated, per cent: EN 336."""

PER_CENT = 0.0025
"""Change of width and depth for each per cent of moisture, as a part of the size: EN 336 (lengths hardly change)."""

SWOLLEN = 30.0
"""Moisture beyond which timber swells no more, per cent: EN 336, clause 4 (from memory)."""

IN_USE = 12.0
"""Moisture of softwood that is dry for good, per cent: EN 1995-1-1, 2.3.1.3, service class 1 (from memory)."""

STEP = 100.0
"""Sizes up to this have the smaller deviations of a class, mm: EN 336."""

DEVIATIONS = {
    "T1": ((-1.0, 3.0), (-2.0, 4.0)),
    "T2": ((-1.0, 1.0), (-1.5, 1.5)),
}
"""Least and most deviation by class, up to and over STEP, mm, at the reference moisture: EN 336."""


def allowed(width: float, tolerance: str) -> tuple[float, float]:
    """The least and the most that a board sold as ``width`` may measure at 20 % moisture, mm.

    ``tolerance`` is a class of EN 336, T1 or T2.
    """
    low, high = DEVIATIONS[tolerance][0 if width <= STEP else 1]
    return width + low, width + high


def at_moisture(size: float, moisture: float) -> float:
    """What a width or depth of ``size`` at 20 % moisture measures at ``moisture`` per cent, mm (softwood)."""
    return size * (1.0 + PER_CENT * (min(moisture, SWOLLEN) - REFERENCE_MOISTURE))
