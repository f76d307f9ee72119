"""The folder of a build: its files appear all together or not at all.

A build is written beside its target and swapped in whole. A target may only be replaced where an
earlier build made it, which its own files.csv shows; whatever else lies in it is carried along.
"""

from __future__ import annotations

import contextlib
import csv
import hashlib
import os
import shutil
import signal
import tempfile
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from filelock import FileLock, Timeout

from platemodel.faults import InputError

LIST = "files.csv"
"""The list of a build's own files; it does not list itself."""


def judge_target(target: Path) -> None:
    """Refuse a target that a build may not write to, before any work is done.

    Raises :class:`~platemodel.faults.InputError`.
    """
    if target.is_symlink() and not target.exists():
        raise InputError(f"{target}: is a link to nothing; expected a folder, or no such name yet")
    if target.exists() and not target.is_dir():
        raise InputError(f"{target}: is a file; expected a folder, or no such name yet")
    if target.is_dir():
        own = own_files(target)
        if own is None and any(target.iterdir()):
            raise InputError(
                f"{target}: holds files but no {LIST} of an earlier build; expected an empty folder or one of its own"
            )
        if not os.access(target, os.W_OK | os.X_OK):
            raise InputError(f"{target}: is read-only; expected a folder that can be written to")
    above = _above(target)
    if not above.is_dir():
        raise InputError(f"{above}: is not a folder; expected one to put {target.name} into")
    if not os.access(above, os.W_OK | os.X_OK):
        raise InputError(f"{above}: is read-only; expected a folder that can be written to")


def _above(target: Path) -> Path:
    """The nearest folder above a target that is there."""
    above = target.absolute().parent
    while not above.exists() and above != above.parent:
        above = above.parent
    return above


def own_files(target: Path) -> list[str] | None:
    """The files that an earlier build's files.csv lists, itself included; None where there is none."""
    listing = target / LIST
    try:
        with open(listing, newline="", encoding="utf-8") as stream:
            rows = list(csv.DictReader(stream))
    except (OSError, UnicodeDecodeError, csv.Error):
        return None
    names = [row.get("file") or "" for row in rows]
    if any(not _inside(name) for name in names):
        return None
    return [*names, LIST]


def _inside(name: str) -> bool:
    path = PurePosixPath(name)
    return bool(name) and not path.is_absolute() and ".." not in path.parts


@contextlib.contextmanager
def locked(target: Path) -> Iterator[None]:
    """Hold a target for one build; a second build into it at once is refused.

    Raises :class:`~platemodel.faults.InputError`.
    """
    key = hashlib.sha256(str(target.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:24]
    user = os.getuid() if hasattr(os, "getuid") else 0
    lock = FileLock(Path(tempfile.gettempdir()) / f"platemodel-{user}-{key}.lock")
    try:
        lock.acquire(timeout=0)
    except Timeout:
        raise InputError(f"{target}: another build is writing into it; wait until it has ended") from None
    try:
        yield
    finally:
        lock.release()


@contextlib.contextmanager
def beside(target: Path) -> Iterator[Path]:
    """A fresh folder beside a target, removed again however the work in it ends."""
    parent = target.absolute().parent
    made = [folder for folder in (parent, *parent.parents) if not folder.exists()]
    parent.mkdir(parents=True, exist_ok=True)
    work = Path(tempfile.mkdtemp(prefix=f".{target.name}.", suffix=".part", dir=parent))
    done = False
    try:
        yield work
        done = target.exists() or target.with_name(target.name + ".failed").exists()
    finally:
        shutil.rmtree(work, ignore_errors=True)
        if not done:
            for folder in made:
                with contextlib.suppress(OSError):
                    folder.rmdir()


def publish(work: Path, target: Path) -> None:
    """Swap a finished folder in as the target; what else lies in the old target is carried along."""
    mode = target.stat().st_mode & 0o777 if target.is_dir() else 0o777 & ~_umask()
    os.chmod(work, mode)
    if not target.is_dir():
        os.rename(work, target)
        return
    real = target.resolve()
    _carry(real, work)
    old = real.with_name(f".{real.name}.old{os.getpid()}")
    with _uninterrupted():
        os.rename(real, old)
        try:
            os.rename(work, real)
        except OSError:
            os.rename(old, real)
            raise
    shutil.rmtree(old, ignore_errors=True)


def discard(target: Path) -> None:
    """Remove a build's folder where it holds nothing but the build's own files."""
    if not target.is_dir() or target.is_symlink():
        return
    own = set(own_files(target) or [])
    there = {path.relative_to(target).as_posix() for path in target.rglob("*") if not path.is_dir()}
    if there and there <= own:
        shutil.rmtree(target, ignore_errors=True)


def _carry(source: Path, work: Path) -> None:
    """Link into ``work`` whatever in ``source`` is not a build's own file."""
    own = set(own_files(source) or [])
    for folder, inside, files in os.walk(source):
        here = Path(folder).relative_to(source)
        for name in [*files, *(n for n in inside if (Path(folder) / n).is_symlink())]:
            relative = here / name
            if relative.as_posix() in own:
                continue
            if os.path.lexists(work / relative):
                raise InputError(
                    f"{source / relative}: is not of an earlier build but has the name of a file of this one;"
                    " move it away first"
                )
            (work / here).mkdir(parents=True, exist_ok=True)
            origin = Path(folder) / name
            if origin.is_symlink():
                os.symlink(os.readlink(origin), work / relative)
            else:
                try:
                    os.link(origin, work / relative)
                except OSError:
                    shutil.copy2(origin, work / relative)
        for name in inside:
            # empty folders of the user's are the user's too
            if not any((Path(folder) / name).iterdir()) and not (Path(folder) / name).is_symlink():
                (work / here / name).mkdir(parents=True, exist_ok=True)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


@contextlib.contextmanager
def _uninterrupted() -> Iterator[None]:
    """Put Ctrl-C off until a swap is done."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT, signal.SIGTERM})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)
