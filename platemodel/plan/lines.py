"""Which line of a TOML text a key stands on.

The standard library reads TOML but keeps no lines, so this walks the text once more. It is only
used on a text that ``tomllib`` has accepted, so it need not judge the grammar.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping

from platemodel.faults import KeyPath

_TOKEN = re.compile(
    r"(?P<skip>[ \t\r]+|#[^\n]*)|(?P<newline>\n)"
    r'|(?P<string>"""(?:\\.|[^\\])*?"{3,5}|'
    r"'''.*?'{3,5}"
    r'|"(?:\\.|[^"\\\n])*"|'
    r"'[^'\n]*')"
    r"|(?P<mark>[\[\]{},=.])|(?P<bare>[^\s\[\]{},=.#\"']+)",
    re.DOTALL,
)


class _Walk:
    """The walk over the tokens: where it is, and what it has found."""

    def __init__(self, text: str) -> None:
        self.lines: dict[KeyPath, int] = {}
        self.tokens: list[tuple[str, str, int]] = []
        line = 1
        for match in _TOKEN.finditer(text):
            kind, word = str(match.lastgroup), match.group()
            if kind != "skip":
                self.tokens.append((kind, word, line))
            line += word.count("\n")
        self.at = 0

    def peek(self) -> tuple[str, str, int]:
        return self.tokens[self.at] if self.at < len(self.tokens) else ("end", "", 0)

    def skip_newlines(self) -> None:
        while self.peek()[0] == "newline":
            self.at += 1

    def key(self) -> tuple[tuple[str, ...], int]:
        """Read a dotted key; gives its parts and its line."""
        parts: list[str] = []
        line = self.peek()[2]
        while self.peek()[0] in ("bare", "string"):
            kind, word, _ = self.peek()
            parts.append(word if kind == "bare" else str(tomllib.loads(f"k = {word}")["k"]))
            self.at += 1
            if self.peek()[1] != ".":
                break
            self.at += 1
        return tuple(parts), line

    def value(self, path: KeyPath) -> None:
        """Pass over a value and note the lines of what is in it."""
        self.lines.setdefault(path, self.peek()[2])
        mark = self.peek()[1] if self.peek()[0] == "mark" else ""
        if mark == "[":
            self.at += 1
            self._items(path, "]")
        elif mark == "{":
            self.at += 1
            self._items(path, "}")
        else:
            while self.peek()[0] in ("bare", "string") or self.peek()[1] == ".":
                self.at += 1

    def _items(self, path: KeyPath, closing: str) -> None:
        index = 0
        while True:
            self.skip_newlines()
            kind, word, _ = self.peek()
            if kind == "end":
                return
            if word == closing and kind == "mark":
                self.at += 1
                return
            if word == "," and kind == "mark":
                self.at += 1
                index += 1
                continue
            before = self.at
            if closing == "]":
                self.value((*path, index))
            else:
                self.pair(path)
            if self.at == before:
                self.at += 1

    def pair(self, table: KeyPath) -> None:
        """Read ``key = value``."""
        parts, line = self.key()
        for count in range(1, len(parts) + 1):
            self.lines.setdefault((*table, *parts[:count]), line)
        if self.peek()[1] == "=":
            self.at += 1
            self.value((*table, *parts))


def find_lines(text: str) -> dict[KeyPath, int]:
    r"""Give the line, from 1, of every key path of a valid TOML text.

    >>> find_lines("[plate]\nwidth = 100\n")
    {('plate',): 1, ('plate', 'width'): 2}
    """
    walk = _Walk(text)
    counts: dict[KeyPath, int] = {}
    table: KeyPath = ()
    while walk.at < len(walk.tokens):
        kind, word, line = walk.peek()
        if kind == "mark" and word == "[":
            walk.at += 1
            several = walk.peek()[1] == "["
            walk.at += several
            parts, _ = walk.key()
            for count in range(1, len(parts)):
                walk.lines.setdefault(_resolve(parts[:count], counts), line)
            table = (*_resolve(parts[:-1], counts), parts[-1])
            if several:
                walk.lines.setdefault(table, line)
                counts[table] = counts.get(table, -1) + 1
                table = (*table, counts[table])
            walk.lines.setdefault(table, line)
            walk.at += 1
        elif kind in ("bare", "string"):
            walk.pair(table)
        else:
            walk.at += 1
    return walk.lines


def _resolve(parts: tuple[str, ...], counts: dict[KeyPath, int]) -> KeyPath:
    """Turn the outer parts of a table header into a path: in a list of tables, the latest is meant."""
    path: KeyPath = ()
    for part in parts:
        path = (*path, part)
        if path in counts:
            path = (*path, counts[path])
    return path


def line_of(path: KeyPath, lines: Mapping[KeyPath, int]) -> int | None:
    """The line of a key path, or of the nearest thing around it that has one."""
    for count in range(len(path), 0, -1):
        if path[:count] in lines:
            return lines[path[:count]]
    return None
