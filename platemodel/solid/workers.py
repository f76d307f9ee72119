"""Work shared out to forked processes, which have the solids that cannot be sent to them.

Where the system cannot fork, or there is too little work to pay for a process, the work is done here.
"""

from __future__ import annotations

import ctypes
import functools
import os
import signal
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_context, parent_process
from typing import Any, TypeVar, cast

T = TypeVar("T")

SHARE = 40
"""Fewer solids or pairs than this a worker are not worth a process."""

_DIE_WITH_PARENT = 1
"""PR_SET_PDEATHSIG of Linux's prctl(2)."""

_STOPS = {signal.SIGINT, signal.SIGTERM} | ({signal.SIGHUP} if hasattr(signal, "SIGHUP") else set())
"""Signals that stop a program."""

_work: dict[int, Callable[[Any], Any]] = {}
"""Work by number, for the workers: a fork has what the parent had."""


def mapped(work: Callable[[int], T], count: int, share: int) -> list[T]:
    """``work`` of each number below ``count``, in order; no worker for fewer than ``share`` of them."""
    workers = min(os.cpu_count() or 1, count // share)
    if workers < 2 or not _can_fork():
        return [work(index) for index in range(count)]
    with _pool(workers, work) as (pool, key):
        with undisturbed():
            found = pool.map(_call, [key] * count, range(count), chunksize=8)
        return list(found)


@contextmanager
def beside(work: Callable[[], T], worth_it: bool) -> Iterator[Callable[[], T]]:
    """Begin some work in a process of its own; what is yielded gives its result."""
    if not worth_it or (os.cpu_count() or 1) < 2 or not _can_fork():
        yield work
        return
    with _pool(1, lambda _: work()) as (pool, key):
        with undisturbed():
            begun = pool.submit(_call, key, 0)
        yield lambda: cast(T, begun.result())


@contextmanager
def partner(work: Callable[[Any], Any]) -> Iterator[Callable[[Any], Callable[[], Any]]]:
    """One process for one piece of work after the other, which keeps what ``work`` has kept of those before.

    What is yielded begins the work on a value and gives what waits for its result.
    """
    if (os.cpu_count() or 1) < 2 or not _can_fork():
        yield lambda value: functools.partial(_value, work(value))
        return
    with _pool(1, work) as (pool, key):

        def ask(value: Any) -> Callable[[], Any]:
            with undisturbed():
                return pool.submit(_call, key, value).result

        yield ask


def _value(value: T) -> T:
    return value


@contextmanager
def _pool(workers: int, work: Callable[[Any], Any]) -> Iterator[tuple[ProcessPoolExecutor, int]]:
    key = max(_work, default=0) + 1
    _work[key] = work
    try:
        with ProcessPoolExecutor(workers, mp_context=get_context("fork"), initializer=_begin) as pool:
            try:
                yield pool, key
            # a stop too must not leave work waiting in the queue; it is raised on
            except BaseException:
                # a worker that ends while its own workers are told to end would wait for them for ever
                pool.shutdown(wait=parent_process() is not None, cancel_futures=True)
                raise
    finally:
        del _work[key]


@contextmanager
def undisturbed() -> Iterator[None]:
    """Put a stop off for a moment: raised in what Python does after a fork, it would be lost."""
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, _STOPS)
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin() -> None:
    # Ctrl-C reaches every process of a terminal; the parent alone answers it
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    signal.pthread_sigmask(signal.SIG_UNBLOCK, _STOPS)
    # and a parent that is killed takes its workers with it
    ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGKILL)


def _call(key: int, value: Any) -> Any:
    return _work[key](value)


def crew(count: int) -> ProcessPoolExecutor:
    """Workers for whole pieces of work that can be sent to them; each has from the start what is loaded here."""
    if not sys.platform.startswith("linux"):
        return ProcessPoolExecutor(count)
    with undisturbed():
        return ProcessPoolExecutor(count, mp_context=get_context("fork"), initializer=_begin)


@contextmanager
def unshared() -> Iterator[None]:
    """Share out no work meanwhile: the processors have as much as they can do already."""
    global _shared
    before, _shared = _shared, False
    try:
        yield
    finally:
        _shared = before


_shared = True


def _can_fork() -> bool:
    return _shared and sys.platform.startswith("linux")
