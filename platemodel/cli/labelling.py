"""What ``build --labels`` asks for: a stock of labels for plans that have none of their own."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from platemodel.faults import InputError
from platemodel.plan.reading import label_stock, read_labels
from platemodel.plan.values import LabelStock

COMMON = "A4"
"""Asks for the stock that an empty [labels] is."""


def wished(labels: str, parts: Sequence[str]) -> LabelStock:
    """The stock that is asked for: the common one, or that of a file's [labels]; ``parts`` are those wanted.

    Raises :class:`~platemodel.faults.InputError`, or :class:`~platemodel.faults.PlanError` where the file is at fault.
    """
    if "labels" not in parts:
        raise InputError("--labels: labels are not among the parts of --only; expected 'labels' among them")
    if labels.upper() == COMMON:
        return label_stock()
    if not Path(labels).exists():
        raise InputError(f"--labels: '{labels}' is no file; expected {COMMON}, or a file with a table [labels]")
    return read_labels(labels)
