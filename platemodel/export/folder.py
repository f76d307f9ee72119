"""The folder of a build: its files appear all together or not at all.

A build is written beside its target and swapped in whole. A target may only be replaced where an
earlier build made it, which its own files.csv shows; whatever else lies in it is carried along.
"""

from __future__ import annotations

import contextlib
import csv
import glob
import hashlib
import os
import shutil
import signal
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path, PurePosixPath

from filelock import FileLock, Timeout

from platemodel.faults import InputError
from platemodel.solid.workers import undisturbed

LIST = "files.csv"
"""The list of a build's own files; it does not list itself."""


STOPS = tuple(getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name))
"""Signals with which a person or a system stops a program."""


def judge_target(target: Path, mark: str = LIST) -> None:
    """Refuse a target that a build may not write to, before any work is done; a build's own folder has its ``mark``.

    Raises :class:`~platemodel.faults.InputError`.
    """
    if target.is_symlink() and not target.exists():
        raise InputError(f"{target}: is a link to nothing; expected a folder, or no such name yet")
    if target.exists() and not target.is_dir():
        raise InputError(f"{target}: is a file; expected a folder, or no such name yet")
    real = target.resolve()
    try:
        str(real).encode("utf-8")
    except UnicodeEncodeError:
        raise InputError(f"{real}: is not a name in UTF-8, which the CAD kernel needs; expected one that is") from None
    here = Path.cwd()
    if real == here or real in here.parents or target.name in ("", ".."):
        raise InputError(f"{target}: is the folder you are in, or one around it; expected one inside it or elsewhere")
    if target.is_dir():
        own = own_files(target) is not None if mark == LIST else (target / mark).is_file()
        if not own and any(target.iterdir()):
            raise InputError(
                f"{target}: holds files but no {mark} of an earlier build; expected an empty folder or one of its own"
            )
        if os.path.ismount(real):
            raise InputError(f"{target}: is where a disk is mounted; expected a folder inside it")
        if not os.access(target, os.W_OK | os.X_OK):
            raise InputError(f"{target}: is read-only; expected a folder that can be written to")
    above = _above(real)
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
    if not listing.is_file():
        return None
    try:
        with open(listing, newline="", encoding="utf-8") as stream:
            reader = csv.DictReader(stream)
            names = [row.get("file") or "" for row in reader]
            head = reader.fieldnames or []
    except (OSError, UnicodeDecodeError, csv.Error):
        return None
    if "file" not in head or "sha256" not in head or any(not _inside(name) for name in names):
        return None
    return [*names, LIST]


def _inside(name: str) -> bool:
    """Whether a name of a list is a plain path below the list's own folder."""
    path = PurePosixPath(name)
    odd = path.is_absolute() or ".." in path.parts or "\\" in name or ":" in name
    return path.as_posix() == name and name != "." and not odd


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
        _recover(target.resolve())
        yield
    finally:
        lock.release()


@contextlib.contextmanager
def beside(target: Path) -> Iterator[Path]:
    """A fresh folder beside a target, removed again however the work in it ends."""
    real = target.resolve()
    made = [folder for folder in real.parents if not folder.exists()]
    work: Path | None = None
    try:
        real.parent.mkdir(parents=True, exist_ok=True)
        # a stop between the folder's making and its name's keeping would leave it behind
        with undisturbed():
            work = Path(tempfile.mkdtemp(prefix=f".{real.name}.", suffix=".part", dir=real.parent))
        yield work
    finally:
        with uninterrupted():
            if work is not None:
                shutil.rmtree(work, ignore_errors=True)
            for folder in made:
                # a folder with results in it stays
                with contextlib.suppress(OSError):
                    folder.rmdir()


def _recover(real: Path) -> None:
    """Put right what a build that was killed left beside its target: no other build is at work on it now."""
    if not real.parent.is_dir() or not real.name:
        return
    for old in sorted(real.parent.glob(f".{glob.escape(real.name)}.old*")):
        if own_files(old) is None:
            continue
        if not real.exists():
            os.rename(old, real)
        else:
            shutil.rmtree(old, ignore_errors=True)
    for part in real.parent.glob(f".{glob.escape(real.name)}.*.part"):
        shutil.rmtree(part, ignore_errors=True)


def publish(work: Path, target: Path) -> None:
    """Swap a finished folder in as the target; what else lies in the old target is carried along."""
    real = target.resolve()
    mode = real.stat().st_mode & 0o777 if real.is_dir() else 0o777 & ~_umask()
    os.chmod(work, mode)
    if not real.is_dir():
        os.rename(work, real)
        return
    _carry(real, work)
    old = real.with_name(f".{real.name}.old{os.getpid()}")
    with uninterrupted():
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
    own = own_files(target)
    if own is not None and not _theirs(target, set(own)):
        shutil.rmtree(target, ignore_errors=True)


def _theirs(source: Path, own: set[str]) -> list[PurePosixPath]:
    """What in a folder is not a build's own: files, links and empty folders, by their paths in it."""

    def unreadable(error: OSError) -> None:
        raise InputError(f"{error.filename}: cannot be read ({error.strerror}), so it cannot be carried along")

    found = []
    for folder, inside, files in os.walk(source, onerror=unreadable):
        here = PurePosixPath(Path(folder).relative_to(source).as_posix())
        links = [name for name in inside if (Path(folder) / name).is_symlink()]
        found += [here / name for name in (*files, *links) if (here / name).as_posix() not in own]
        if not files and not inside and here.parts:
            found.append(here)
    return found


def _carry(source: Path, work: Path) -> None:
    """Link into ``work`` whatever in ``source`` is not a build's own file."""
    theirs = _theirs(source, set(own_files(source) or []))
    folders = {folder for path in theirs for folder in path.parents if folder.parts}
    folders |= {path for path in theirs if (source / path).is_dir() and not (source / path).is_symlink()}
    for path in sorted(folders, key=lambda folder: folder.parts):
        if os.path.lexists(work / path) and not (work / path).is_dir():
            raise _taken(source / path)
        if not (work / path).exists():
            (work / path).mkdir()
            shutil.copystat(source / path, work / path)
    for path in theirs:
        if path in folders:
            continue
        origin, copy = source / path, work / path
        if os.path.lexists(copy):
            raise _taken(origin)
        if origin.is_symlink():
            os.symlink(os.readlink(origin), copy)
            continue
        try:
            os.link(origin, copy)
        except OSError:
            shutil.copy2(origin, copy)


def _taken(path: Path) -> InputError:
    return InputError(f"{path}: is not of an earlier build but has the name of a file of this one; move it away first")


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


@contextlib.contextmanager
def uninterrupted() -> Iterator[None]:
    """Let no signal stop a swap or a clearing up: when one comes, the end is near anyhow."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = {stop: signal.signal(stop, lambda *_: None) for stop in STOPS}
    try:
        yield
    finally:
        for stop, handler in before.items():
            signal.signal(stop, signal.SIG_DFL if handler is None else handler)
