"""The lists as CSV: what to cut, what to buy, and which files a build wrote."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from platemodel.export.buying import buying, money
from platemodel.export.fixings import Fixings
from platemodel.frame.values import Frame, Half, Piece
from platemodel.site.rule_set import RuleSet

_LAP = ("kind", "half", "mate", "from_y0", "from_yw", "to_y0", "to_yw")


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """Rows as CSV text with a head, lines ended as RFC 4180 wants."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow(head)
    writer.writerows(rows)
    return stream.getvalue()


def number(value: float) -> str:
    """A length to a thousandth of a millimetre, without trailing zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def safe(text: str) -> str:
    """A text that a spreadsheet will not take for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") else text


def cutting_list(frame: Frame) -> str:
    """A row a piece: mark, type, length, how it lies, mass, and then its laps along the piece frame."""
    most = max((len(piece.halves) for piece in frame.pieces), default=0)
    head = ["mark", "type", "length_mm", "width_mm", "depth_mm", "walls", "laying_order"]
    head += ["up_face_as_drawn", "turned_over", "mass_kg", "laps"]
    head += [f"lap{number}_{part}" for number in range(1, most + 1) for part in _LAP]
    return table(head, (_row(frame, piece, most) for piece in frame.pieces))


def _row(frame: Frame, piece: Piece, most: int) -> list[object]:
    row: list[object] = [
        piece.mark,
        frame.types[piece.type].name,
        number(piece.length),
        number(piece.laid.width),
        number(piece.laid.depth),
        safe(" + ".join(piece.walls)),
        piece.order,
        "bottom" if piece.place.turned_over else "top",
        "yes" if piece.place.turned_over else "no",
        f"{piece.mass:.2f}",
        len(piece.halves),
    ]
    for half in piece.halves:
        row += _lap(frame, half)
    return row + [""] * (len(_LAP) * (most - len(piece.halves)))


def _lap(frame: Frame, half: Half) -> list[str]:
    kind, mate = half.kind, frame.pieces[half.mate].mark
    return [kind, "under" if half.under else "over", mate, *(number(x) for x in (*half.low, *half.high))]


def buying_list(frame: Frame, rules: RuleSet | None = None) -> str:
    """A row a length and width of board to buy: how many, and what is cut from each needed one.

    Metres, volume, mass and the whole price are of needed and spare boards together. ``rules``: by themselves those
    of the frame's plan.
    """
    rows = [
        [
            number(line.width),
            number(line.depth),
            line.grade,
            number(line.length),
            line.count,
            line.spare,
            f"{line.metres:.2f}",
            f"{line.volume:.4f}",
            f"{line.mass:.1f}",
            money(line.price),
            money(line.price_total),
            "; ".join(" + ".join(frame.pieces[index].mark for index in pieces) for pieces in line.cut),
        ]
        for line in buying(frame, rules).lines
    ]
    head = ["width_mm", "depth_mm", "grade", "length_mm", "count", "spare", "metres", "volume_m3", "mass_kg"]
    return table([*head, "price_each", "price_total", "pieces_a_board"], rows)


def fixings_list(needed: Fixings) -> str:
    """A row a kind of fixing to buy: its size in mm, its finish and how many."""
    rows = ([line.item, line.size.replace("×", "x"), line.finish, line.number] for line in needed.lines)
    return table(["item", "size_mm", "finish", "number"], rows)


def file_list(folder: Path, files: Sequence[tuple[str, str]]) -> str:
    """A row a file of a build: its path, bytes, SHA-256, and what it is."""
    rows = []
    for name, what in files:
        raw = (folder / name).read_bytes()
        rows.append([name, len(raw), hashlib.sha256(raw).hexdigest(), what])
    return table(["file", "bytes", "sha256", "what"], rows)
