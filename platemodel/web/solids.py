"""The pieces' solids for the page's 3D view, and what tells whether a piece has changed."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from typing import Any

from platemodel.frame.shape import Shape
from platemodel.frame.values import Frame, Piece
from platemodel.solid.triangles import triangles

DECIMALS = 2
"""The view's corners are told to a hundredth of a millimetre."""

SAME = 6
"""Decimals of a millimetre, and of a degree, to which a changed piece is told from the one before."""


def solid(frame: Frame, piece: Piece) -> dict[str, Any]:
    """A piece's corners in the frame's axes, its triangles, edges by number, where its label stands, its ends."""
    corners = [round(value, DECIMALS) + 0.0 for vertex in piece.vertices for value in vertex]
    found = triangles(piece.vertices, piece.faces)
    edges = sorted(
        {(min(a, b), max(a, b)) for face in piece.faces for a, b in zip(face, (*face[1:], face[0]), strict=True)}
    )
    return {
        "corners": corners,
        "triangles": found.ravel().tolist(),
        "edges": [corner for edge in edges for corner in edge],
        "label": [round(value, DECIMALS) + 0.0 for value in _label(frame, piece)],
        "ends": [round(value, DECIMALS) + 0.0 for value in _ends(frame, piece)],
    }


def _ends(frame: Frame, piece: Piece) -> list[float]:
    """The two ends of the piece's middle line: east, north, up, twice."""
    strip = frame.runs[piece.run].strip
    ends = (strip.point(sum(pair) / 2, strip.width / 2) for pair in (piece.low, piece.high))
    east, north = frame.origin[0], frame.origin[1]
    return [value for x, y in ends for value in (x - east, y - north, piece.laid.depth / 2)]


def _label(frame: Frame, piece: Piece) -> tuple[float, float, float]:
    """The middle of the piece's longest whole timber, on its top."""
    laid = piece.laid
    edges = [laid.low, *(line for cut in laid.cuts for line in (cut.low, cut.high)), laid.high]
    middles = [(low[0] + low[1], high[0] + high[1]) for low, high in zip(edges[::2], edges[1::2], strict=True)]
    low, high = max(middles, key=lambda span: span[1] - span[0])
    strip = frame.runs[piece.run].strip
    base = min(piece.low)
    east, north = strip.point(base + (low + high) / 4, strip.width / 2)
    return east - frame.origin[0], north - frame.origin[1], laid.depth


def cut_hash(piece: Piece) -> str:
    """Tells the piece's solid: another one once anything that is sawn has changed."""
    return _hash(_figures(piece.shape))


def laid_hash(piece: Piece) -> str:
    """Tells the piece's solid as it lies, and where it lies."""
    place = piece.place
    return _hash([*_figures(piece.laid), place.x, place.y, place.z, place.angle, float(place.turned_over)])


def _figures(shape: Shape) -> list[float]:
    return list(shape.figures())


def _hash(figures: Iterable[float]) -> str:
    text = ",".join(f"{round(figure, SAME) + 0.0:.{SAME}f}" for figure in figures)
    return hashlib.sha256(text.encode("ascii")).hexdigest()[:16]
