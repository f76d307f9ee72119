"""Faults of a plan: values until the edge, where the command prints them."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass

KeyPath = tuple[str | int, ...]


def path_text(path: KeyPath) -> str:
    """Write a key path as ``shell[0].corners[3]``, lists counted from 0.

    >>> path_text(("shell", 0, "corners", 3))
    'shell[0].corners[3]'
    """
    text = ""
    for part in path:
        if isinstance(part, int):
            text += f"[{part}]"
        else:
            text += f".{part}" if text else part
    return text


def counted(number: int, one: str, many: str = "") -> str:
    """So many of something, in words."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def plain(text: str) -> str:
    r"""A text on one line of a terminal: what cannot be printed is written as its escape.

    >>> plain("a\nb")
    'a\\nb'
    """
    return "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in text)


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a plan.

    ``path`` is the key path, ``found`` what stands there, ``expected`` what should; ``line`` is
    the line of the file, from 1, or None where no line can be named.
    """

    path: KeyPath
    found: str
    expected: str
    line: int | None = None

    def text(self, file: str) -> str:
        """The fault as one line: file, line, key path, what was found, what was expected."""
        place = file if self.line is None else f"{file}:{self.line}"
        key = path_text(self.path)
        return plain(": ".join(part for part in (place, key, f"{self.found}; {self.expected}") if part))


class PlanError(Exception):
    """A plan that cannot be built, with all of its faults."""

    def __init__(self, faults: Iterable[Fault], file: str = "plan") -> None:
        self.faults = tuple(faults)
        self.file = file
        super().__init__("\n".join(fault.text(file) for fault in self.faults))


class InputError(Exception):
    """Something other than the plan's content that is wrong on the way in or out (a folder, a file)."""


def nearest(word: str, known: Iterable[str]) -> str:
    """Say which of ``known`` is nearest to ``word``, or list them, as the end of a sentence."""
    names = list(known)
    close = difflib.get_close_matches(word, names, n=1, cutoff=0.6)
    if close:
        return f"did you mean '{close[0]}'?"
    if not names:
        return "there is none"
    shown = ", ".join(f"'{name}'" for name in names[:12])
    return f"one of {shown}" + (" …" if len(names) > 12 else "")
