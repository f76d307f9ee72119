"""Globally unique identifiers of an IFC file that stay the same as long as plan and mark do."""

from __future__ import annotations

import uuid

from platemodel.plan.model import Job

_SPACE = uuid.UUID("6d9c2f0e-3b57-5d0e-9a64-1f8f0c7ab3d1")
"""The name space of all identifiers made here; any other would do, but it must never change."""

_DIGITS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz_$"
"""Digits of an IfcGloballyUniqueId (ISO 16739-1): a number of 128 bits to the base 64, in 22 digits."""


def identifier(job: Job, *words: str) -> str:
    """The identifier of a thing of a plan that ``words`` name, such as its kind and mark.

    It hangs on the job's title and number, not on its revision or date: a revised plan keeps the identifiers of
    what is still there.
    """
    # a letter that no title can hold keeps the words apart
    name = "\0".join([job.title, "" if job.number is None else str(job.number), *words])
    return compressed(uuid.uuid5(_SPACE, name))


def compressed(whole: uuid.UUID) -> str:
    """An identifier of 128 bits as IFC writes it.

    >>> compressed(uuid.UUID("ffffffff-ffff-ffff-ffff-ffffffffffff"))
    '3$$$$$$$$$$$$$$$$$$$$$'
    """
    number, text = whole.int, ""
    for _ in range(22):
        number, digit = divmod(number, 64)
        text = _DIGITS[digit] + text
    return text
