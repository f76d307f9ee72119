"""Mean densities of softwood strength classes, for masses."""

from __future__ import annotations

MEAN_DENSITY = {
    "C14": 350.0,
    "C16": 370.0,
    "C18": 380.0,
    "C20": 400.0,
    "C22": 410.0,
    "C24": 420.0,
    "C27": 430.0,
    "C30": 460.0,
    "C35": 470.0,
    "C40": 480.0,
}
"""Mean density by class, kg/m3: EN 338:2016, table 1."""


def mass(volume: float, grade: str) -> float:
    """Mass in kg of a volume in mm3."""
    return volume * 1e-9 * MEAN_DENSITY[grade]
