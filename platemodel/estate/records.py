"""What an estate's folder remembers of each house, so that a house whose plan has not changed is left as it is.

A record stands beside the houses' folders, not in them: a house's folder is the same whether it was built alone or
with others.
"""

from __future__ import annotations

import csv
import errno
import hashlib
import json
import os
import tempfile
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from platemodel import __version__
from platemodel.estate.pooling import Lot, pooled
from platemodel.estate.values import House
from platemodel.export.folder import LIST, uninterrupted
from platemodel.plan.values import LabelStock

KEPT = ".built"
"""The folder of the records, in that of the estate."""

MARK = f"{KEPT}/format"
"""The file that shows a folder to be an estate's."""

FORMAT = "1\n"

POOL = f"{KEPT}/pool"
"""The file of the boards for all houses together, which take long to find."""

BESIDE = (("laying", "locked"), ("rules", "file"))
"""Keys of a plan that name a file beside it."""


def begin(target: Path) -> None:
    """Make the folder of an estate, or mark an empty one as such."""
    (target / KEPT).mkdir(parents=True, exist_ok=True)
    replace_file(target / MARK, FORMAT)


def plan_key(plan: Path, parts: Iterable[str], labels: LabelStock | None = None) -> str | None:
    """What the results of a plan follow from, as a hash: the plan, files that it names, the parts and the version.

    ``labels`` is the stock for a plan that has none of its own. None where the plan cannot be read, or is no TOML.
    """
    try:
        raw = plan.read_bytes()
        data = tomllib.loads(raw.decode("utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return None
    whole = hashlib.sha256(f"{FORMAT}{__version__}\n{','.join(sorted(parts))}\n".encode())
    whole.update(hashlib.sha256(raw).digest())
    if labels is not None and "labels" not in data:
        whole.update(repr(labels).encode())
    for table, key in BESIDE:
        name = data[table].get(key) if isinstance(data.get(table), dict) else None
        if isinstance(name, str):
            try:
                whole.update(hashlib.sha256((plan.parent / name).read_bytes()).digest())
            except (OSError, ValueError):
                return None
    return whole.hexdigest()


def keep(target: Path, name: str, key: str, house: House) -> None:
    """Remember a house that has been built into its folder."""
    record = {"key": key, "files": listed(target / name), "house": house.plain()}
    replace_file(target / KEPT / f"{name}.json", json.dumps(record, ensure_ascii=False, allow_nan=False) + "\n")


def kept(target: Path, name: str, key: str | None) -> House | None:
    """The house remembered under a key, where its folder still holds all of its files as built; else None."""
    try:
        record: Any = json.loads((target / KEPT / f"{name}.json").read_text("utf-8"))
        if key is None or record["key"] != key or record["files"] != listed(target / name):
            return None
        return House.from_plain(record["house"]) if _whole(target / name) else None
    except (OSError, ValueError, KeyError, TypeError):
        return None


def kept_lots(target: Path, houses: Sequence[tuple[str, House]]) -> list[Lot]:
    """The boards for all houses together: those remembered for the same houses, or found now and remembered."""
    key = hashlib.sha256(f"{FORMAT}{__version__}\n{houses!r}".encode("utf-8", "backslashreplace")).hexdigest()
    try:
        record: Any = json.loads((target / POOL).read_text("utf-8"))
        if record["key"] == key:
            return [Lot.from_plain(lot) for lot in record["lots"]]
    except (OSError, ValueError, KeyError, TypeError):
        pass
    lots = pooled(houses)
    record = {"key": key, "lots": [lot.plain() for lot in lots]}
    replace_file(target / POOL, json.dumps(record, allow_nan=False) + "\n")
    return lots


def others(target: Path, names: Sequence[str]) -> list[str]:
    """Houses that are remembered, and are none of those named."""
    return sorted({path.stem for path in (target / KEPT).glob("*.json")} - set(names))


def listed(folder: Path) -> str:
    """The hash of a house's own list of files, which has theirs."""
    return hashlib.sha256((folder / LIST).read_bytes()).hexdigest()


def _whole(folder: Path) -> bool:
    """Whether every file that a build listed is there as it was written, by its SHA-256."""
    with open(folder / LIST, newline="", encoding="utf-8") as stream:
        rows = list(csv.DictReader(stream))
    # a file cut short is found without any being read
    if any((folder / row["file"]).stat().st_size != int(row["bytes"]) for row in rows):
        return False
    return all(_sha256(folder / row["file"]) == row["sha256"] for row in rows)


def _sha256(path: Path) -> str:
    with open(path, "rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def replace_file(path: Path, text: str) -> None:
    """Write a text file whole, or leave what stood there."""
    replace_files({path: text})


def replace_files(texts: Mapping[Path, str], without: Iterable[Path] = ()) -> None:
    """Write text files, all of them whole, or leave what stood there; files of ``without`` go where all are written.

    Raises :class:`OSError` where one cannot be written.
    """
    written: dict[Path, Path] = {}
    try:
        for path, text in texts.items():
            if path.is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
            number, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
            written[path] = Path(name)
            # a file's name may hold what is no text
            with open(number, "w", encoding="utf-8", errors="backslashreplace", newline="") as stream:
                stream.write(text)
                os.fchmod(number, 0o644)
        # a rename takes no room on the disk; a stop between two would leave new beside old
        with uninterrupted():
            for path, new in written.items():
                new.replace(path)
            for path in without:
                path.unlink(missing_ok=True)
    # a stop too leaves no half of a file behind; it is raised again
    except BaseException:
        for new in written.values():
            with suppress(OSError):
                new.unlink()
        raise
