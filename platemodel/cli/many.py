"""``platemodel build`` of several plans: side by side, each into its own folder, with one page over all."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

import click

from platemodel.cli.answers import BAD_INPUT, foreseen
from platemodel.cli.clusters import cluster
from platemodel.cli.jobs import Job, Outcome, carry_out
from platemodel.cli.parts import PAGE
from platemodel.cli.running import Hire, run
from platemodel.cli.stopping import postponed
from platemodel.cli.watch import Watch
from platemodel.estate.records import KEPT, MARK, begin, keep, kept, listed, others, plan_key
from platemodel.estate.summary import write_summary
from platemodel.estate.tables import Result
from platemodel.estate.values import House
from platemodel.export.folder import judge_target, locked, own_files
from platemodel.faults import InputError, plain
from platemodel.plan.values import LabelStock
from platemodel.solid.workers import crew


@dataclass(frozen=True)
class Wishes:
    """What is asked of a build of several plans: parts, and what --force, --pool, --cluster and --labels say."""

    parts: Sequence[str]
    force: bool = False
    pool: bool = False
    cluster: str | None = None
    labels: LabelStock | None = None


@dataclass
class Tally:
    """How far the work is: told in one line on a terminal, and at the end."""

    whole: int
    built: int = 0
    unchanged: int = 0
    failed: int = 0
    code: int = 0
    watch: Watch = field(default_factory=lambda: Watch(quiet=True))

    def tell(self) -> None:
        """Say on a terminal how far the work is."""
        if sys.stderr is not None and sys.stderr.isatty():
            done = self.built + self.unchanged + self.failed
            failed = f", {self.failed} failed" if self.failed else ""
            click.echo(f"\r\033[K{done}/{self.whole} houses{failed} …", nl=False, err=True)

    def clear(self) -> None:
        """Take the line away again."""
        if sys.stderr is not None and sys.stderr.isatty():
            click.echo("\r\033[K", nl=False, err=True)

    def add(self, outcome: Outcome) -> None:
        """Count an outcome, and say what was wrong."""
        self.watch.add(outcome.spent)
        self.code = max(self.code, outcome.code)
        if outcome.code == 0:
            self.built += 1
        else:
            self.failed += 1
            self.clear()
            for line in outcome.said:
                click.echo(f"platemodel: {plain(outcome.name)}: {line}", err=True)
        self.tell()


def build_many(plans: Sequence[str], output: str | None, wishes: Wishes, timings: bool, show: bool) -> int:
    """Build several plans into folders of one folder, and say what became of them; gives the exit code.

    Raises :class:`~platemodel.faults.InputError` where nothing can be begun.
    """
    if output is None:
        raise InputError("-o: several plans need a folder for their results; expected -o DIR")
    target = Path(output)
    named = names(plans)
    judge_target(target, MARK)
    with locked(target):
        begin(target)
        tally = Tally(len(named))
        results = _results(named, target, wishes, tally)
        tally.clear()
        try:
            words = write_summary(target, results, wishes.parts, wishes.pool)
        except OSError as error:
            for line in foreseen(error) or ():
                click.echo(f"platemodel: {line}; the page and the tables over all houses are not written", err=True)
            return max(tally.code, BAD_INPUT)
    for name in others(target, list(named)):
        click.echo(f"platemodel: {plain(str(target / name))} is of an earlier run and not among these plans", err=True)
    click.echo(
        f"{len(named)} plans: {tally.built} built, {tally.unchanged} unchanged, {tally.failed} failed; {words}; "
        f"in {target}"
    )
    if timings:
        click.echo(tally.watch.text())
    if show and click.launch(str((target / PAGE).absolute())) != 0:
        click.echo(f"platemodel: no browser could be started; open {target / PAGE} yourself", err=True)
    return tally.code


def names(plans: Sequence[str]) -> dict[str, str]:
    """Each plan by the name of its folder, which is the file's own without its ending.

    Raises :class:`~platemodel.faults.InputError` where two would share a folder.
    """
    found: dict[str, str] = {}
    taken = {"summary.csv": "", "types.csv": "", "boards.csv": "", PAGE: "", KEPT: ""}
    for plan in plans:
        name = Path(plan).stem
        if not name.strip("."):
            raise InputError(f"{plan}: has no name for a folder; expected one such as house.toml")
        folders = (name, f"{name}.failed")
        for folder in folders:
            if folder.lower() in taken:
                other = taken[folder.lower()] or "the page and tables over all"
                raise InputError(f"{plan}: its folder would be that of {other}; expected plans of different names")
        taken |= dict.fromkeys((folder.lower() for folder in folders), plan)
        found[name] = plan
    return found


def _results(named: dict[str, str], target: Path, wishes: Wishes, tally: Tally) -> list[Result]:
    """What became of each plan, in their order."""
    # a worker elsewhere stands in another folder
    away = (lambda path: Path(path).absolute()) if wishes.cluster is not None else Path
    keys = {name: plan_key(Path(plan), wishes.parts, wishes.labels) for name, plan in named.items()}
    results: dict[str, Result] = {}
    jobs: list[Job] = []
    houses = {} if wishes.force else _kept_houses(target, keys)
    for name, plan in named.items():
        house = houses.get(name)
        if house is not None:
            tally.unchanged += 1
            results[name] = Result(name, plan, house, folder=name)
        else:
            folder = str(away(str(target)) / name)
            jobs.append(Job(name, str(away(plan)), folder, frozenset(wishes.parts), labels=wishes.labels))
    tally.tell()
    if jobs:
        with _hired(wishes.cluster, len(jobs)) as (hire, width):
            for found in run(jobs, carry_out, hire, width):
                outcome = _remembered(found, target, keys[found.name])
                tally.add(outcome)
                results[outcome.name] = _result(outcome, named[outcome.name], target)
    return [results[name] for name in named]


def _kept_houses(target: Path, keys: Mapping[str, str | None]) -> dict[str, House | None]:
    """What is remembered of each house by its name and key, None where it must be built."""
    # every file is hashed, and a hash lets other threads go on
    with ThreadPoolExecutor(processors()) as pool:
        return dict(zip(keys, pool.map(lambda name: kept(target, name, keys[name]), keys), strict=True))


def processors() -> int:
    """How many processors this program may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


@contextmanager
def _hired(address: str | None, jobs: int) -> Iterator[tuple[Hire, int]]:
    """What hires workers, of a cluster or of this machine, and how many jobs they do at a time."""
    if address is not None:
        with cluster(address) as hired:
            yield hired
        return
    load()
    yield crew, min(processors(), jobs)


def load() -> None:
    """Load all that a build needs, the CAD kernel too, so that every worker has it from the start.

    Raises :class:`~platemodel.faults.InputError` where the kernel is missing.
    """
    with postponed():
        from platemodel.solid import KernelMissing, require_kernel

        try:
            require_kernel()
        except KernelMissing as error:
            raise InputError(str(error)) from None
        import platemodel.cli.building
        import platemodel.export.dxf_drawings
        import platemodel.export.ifc
        import platemodel.export.meshes
        import platemodel.export.report
        import platemodel.export.step
        import platemodel.sheets.pdf
        import platemodel.site.locked
        import platemodel.solid.proving
        import platemodel.web

        platemodel.sheets.pdf.prepare()


def _remembered(outcome: Outcome, target: Path, key: str | None) -> Outcome:
    """An outcome whose good house is remembered; a bad one where its results are not there after all."""
    if outcome.house is None:
        return outcome
    if own_files(target / outcome.name) is None or listed(target / outcome.name) != outcome.files:
        said = f"the worker's results are not in {target}; expected a folder that it shares with this machine"
        return Outcome(outcome.name, BAD_INPUT, (said,))
    # a plan that was changed after it was asked for is built anew next time
    if key is not None and key == outcome.key:
        try:
            keep(target, outcome.name, key, outcome.house)
        except OSError as error:
            # its results are good: it is only built anew next time
            click.echo(f"platemodel: {plain(outcome.name)}: {'; '.join(foreseen(error) or ())}", err=True)
    return outcome


def _result(outcome: Outcome, plan: str, target: Path) -> Result:
    kept_folder = outcome.house is None and own_files(target / outcome.name) is not None
    return Result(outcome.name, plan, outcome.house, outcome.said, outcome.folder, kept_folder)
