"""The building of one house of several, as a job that can be sent to another process or machine."""

from __future__ import annotations

import threading
import traceback
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import TYPE_CHECKING

from platemodel import __version__
from platemodel.cli.answers import BAD_INPUT, FAULT, NOT_THE_PLAN, foreseen
from platemodel.cli.watch import Watch
from platemodel.estate.records import listed, plan_key
from platemodel.estate.values import House
from platemodel.plan.values import LabelStock
from platemodel.solid.workers import unshared

if TYPE_CHECKING:
    from platemodel.cli.building import Built
    from platemodel.cli.parts import Judged

_one = threading.Lock()
"""The CAD kernel's settings are the process's own: workers of several threads build one house after the other."""


@dataclass(frozen=True)
class Job:
    """A plan to build: its name, its file, the folder for its results, the parts wanted, and the program's version.

    ``labels`` is the stock for a plan that has none of its own.
    """

    name: str
    plan: str
    folder: str
    parts: frozenset[str]
    version: str = __version__
    labels: LabelStock | None = None

    def key(self) -> str | None:
        """What its results follow from, as it is now."""
        return plan_key(Path(self.plan), self.parts, self.labels)


@dataclass(frozen=True)
class Outcome:
    """What became of a job: its exit code, what to say, the house where it is good, where the time went (s).

    ``folder`` is where its results lie; empty where nothing was written. ``key`` is the plan's as it was built, None
    where it changed meanwhile; ``files`` is the hash of the results' own list of files.
    """

    name: str
    code: int
    said: tuple[str, ...] = ()
    house: House | None = None
    folder: str = ""
    spent: Mapping[str, float] = field(default_factory=dict)
    key: str | None = None
    files: str = ""


def carry_out(job: Job) -> Outcome:
    """Build the plan of a job; whatever goes wrong with it is part of the outcome, so that other jobs go on."""
    if job.version != __version__:
        said = f"the worker has platemodel {__version__}; expected {job.version}, as on the machine that asks"
        return Outcome(job.name, BAD_INPUT, (said,))
    watch = Watch(quiet=True)
    before = job.key()
    try:
        from platemodel.cli.building import build_into

        with _one, unshared():
            built = build_into(job.plan, Path(job.folder), job.parts, watch, job.labels)
    # whatever a house trips over is told with it, a fault of the program too: the other houses are still built
    except Exception as error:
        said_of = foreseen(error)
        if said_of is not None:
            return Outcome(job.name, BAD_INPUT, tuple(said_of), spent=watch.spent)
        told = [line for part in traceback.format_exception(error) for line in part.splitlines()]
        return Outcome(job.name, FAULT, (*told, NOT_THE_PLAN), spent=watch.spent)
    outcome = _outcome(job, built, watch)
    if outcome.house is None:
        return outcome
    return replace(outcome, key=before if before == job.key() else None, files=listed(Path(job.folder)))


def _outcome(job: Job, built: Built, watch: Watch) -> Outcome:
    if built.judged is None or built.made is None:
        changes = (change.where for change in built.changes if not change.passed)
        said = ("the locked report would be altered; nothing was written", *changes)
        return Outcome(job.name, 1, said, spent=watch.spent)
    if not built.passed:
        from platemodel.cli.building import failures

        proved = built.judged.proof.passed
        said = (*(() if proved else ("NOT PROVED", *failures(built.frame, built.judged))), *_broken(built.judged))
        return Outcome(job.name, 1, said, folder=built.made.name, spent=watch.spent)
    house = House.of(built.frame, built.judged.verdicts)
    return Outcome(job.name, 0, (), house, built.made.name, watch.spent)


def _broken(judged: Judged) -> list[str]:
    """Rules that must hold and do not."""
    return [f"{v.rule}: {v.where} ({v.source})" for v in judged.verdicts if v.level == "must" and not v.passed]
