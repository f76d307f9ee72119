"""One colour a role of a piece, the same in every file and drawing (sRGB, 0 to 1)."""

from __future__ import annotations

Colour = tuple[float, float, float]

ROLE_COLOUR: dict[str, Colour] = {
    "under": (0.35, 0.55, 0.70),
    "over": (0.87, 0.65, 0.35),
    "both": (0.55, 0.68, 0.47),
    "none": (0.72, 0.70, 0.66),
}
"""All unders, all overs, both, no lap: told apart in grey too, from dark to light."""

NEUTRAL: Colour = (0.80, 0.74, 0.62)
"""A type's file: which halves are under is a matter of each mark."""


def linear(colour: Colour) -> Colour:
    """The same colour in linear light, as glTF holds it."""
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in colour)
    return red, green, blue
