"""How a command is stopped: by Ctrl-C, a closed terminal or the system, at any time, and cleanly."""

from __future__ import annotations

import contextlib
import signal
import threading
from collections.abc import Iterator

_USUAL = {"SIGINT": signal.default_int_handler, "SIGTERM": signal.SIG_DFL, "SIGHUP": signal.SIG_DFL}
"""Signals that stop a program, by name, and what answers them as a rule."""


@contextlib.contextmanager
def stoppable() -> Iterator[list[int]]:
    """Let every signal that stops a program end it as Ctrl-C does; gives the signals that came."""
    stopped: list[int] = []

    def stop(number: int, frame: object) -> None:
        stopped.append(number)
        raise KeyboardInterrupt

    before = {}
    if threading.current_thread() is threading.main_thread():
        for name, usual in _USUAL.items():
            number = getattr(signal, name, None)
            # a signal that is ignored, as under nohup, stays so
            if number is not None and signal.getsignal(number) == usual:
                before[number] = signal.signal(number, stop)
    try:
        yield stopped
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


@contextlib.contextmanager
def postponed() -> Iterator[None]:
    """Put a stop off until a library is loaded: in the middle of that it would come out as another error."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []
    numbers = [number for name in _USUAL if (number := getattr(signal, name, None)) is not None]
    before = {
        number: signal.signal(number, lambda number, _: came.append(number))
        for number in numbers
        if signal.getsignal(number) not in (signal.SIG_IGN, None)
    }
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
    if came:
        signal.raise_signal(came[0])
