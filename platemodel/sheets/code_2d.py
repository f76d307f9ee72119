"""A two-dimensional code that a phone reads: QR, ISO/IEC 18004, drawn as filled squares."""

from __future__ import annotations

from itertools import groupby

from platemodel.sheets.page import BLACK, Page

QUIET = 4
"""Modules left white round a code (ISO/IEC 18004)."""

LEVEL = "q"
"""Error correction: a quarter of the code may be dirty or torn."""

Modules = tuple[tuple[bool, ...], ...]


def qr(text: str) -> Modules:
    """The modules of the smallest code for a text, row by row, dark ones true."""
    import segno

    code = segno.make(text, error=LEVEL, micro=False, boost_error=False)
    return tuple(tuple(bool(module) for module in row) for row in code.matrix)


def draw_code(page: Page, x: float, y: float, side: float, modules: Modules) -> None:
    """Draw a code into a square of ``side`` mm from its top left corner, its quiet zone included."""
    step = side / (len(modules) + 2 * QUIET)
    for number, row in enumerate(modules):
        top = y + (number + QUIET) * step
        column = QUIET
        # modules beside each other as one area, so that no seam shows between them
        for dark, run in groupby(row):
            width = len(list(run))
            if dark:
                left, right = x + column * step, x + (column + width) * step
                page.area([(left, top), (right, top), (right, top + step), (left, top + step)], BLACK)
            column += width
