"""Marks: a letter a run and a number a piece, without the letters that read as digits or strokes."""

from __future__ import annotations

LETTERS = "ABCDEFGHJKLMNPQRSUVWXYZ"
"""The alphabet without I, O and T: I and O read as 1 and 0, and T names a type."""


def run_letter(number: int) -> str:
    """The letter or letters of a run, counted from 0: A, B … Z, AA, AB …

    >>> [run_letter(n) for n in (0, 8, 22, 23, 24)]
    ['A', 'J', 'Z', 'AA', 'AB']
    """
    text = ""
    number += 1
    while number > 0:
        number, rest = divmod(number - 1, len(LETTERS))
        text = LETTERS[rest] + text
    return text


def piece_mark(letter: str, number: int) -> str:
    """The mark of a piece, its number counted from 1."""
    return f"{letter}{number}"
