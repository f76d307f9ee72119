"""Text files that other people's programs take in: written, read back, and compared."""

from __future__ import annotations

from pathlib import Path

from platemodel.faults import InputError


def write_checked(path: Path, text: str) -> None:
    """Write a text of ASCII alone and see that it stands in the file.

    Raises OSError where it cannot be written, and :class:`~platemodel.faults.InputError` where what is read back
    is not what was written.
    """
    raw = text.encode("ascii")
    path.write_bytes(raw)
    if path.read_bytes() != raw:
        raise InputError(f"{path}: what stands there is not what was written; expected a disk that keeps its files")
