"""Jobs shared out to an executor of the standard library's kind: a worker that is lost takes no other job with it."""

from __future__ import annotations

from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, BrokenExecutor, CancelledError, Executor, Future, wait
from multiprocessing import active_children

from platemodel.cli.answers import BAD_INPUT
from platemodel.cli.jobs import Job, Outcome
from platemodel.solid.workers import undisturbed

Hire = Callable[[int], Executor]
"""Gives an executor of so many workers, fresh each time."""

LOST = "its worker was ended from outside, twice; expected enough memory for it"


def run(jobs: Iterable[Job], work: Callable[[Job], Outcome], hire: Hire, width: int) -> Iterator[Outcome]:
    """Carry out jobs, ``width`` at a time, and give each outcome as it comes.

    An executor that breaks does not say which of its jobs broke it: those that were under way are tried once more,
    each on its own, and only one that breaks its executor again is given up.
    """
    queue = iter(jobs)
    while lost := (yield from _shift(queue, work, hire, width)):
        for job in lost:
            if (yield from _shift(iter([job]), work, hire, 1)):
                yield Outcome(job.name, BAD_INPUT, (LOST,))


def _shift(
    queue: Iterator[Job], work: Callable[[Job], Outcome], hire: Hire, width: int
) -> Generator[Outcome, None, list[Job]]:
    """Carry out jobs until there are no more or the executor breaks; returns the jobs that were then under way."""
    under_way: dict[Future[Outcome], Job] = {}
    lost: list[Job] = []
    pool = hire(width)
    try:
        while True:
            # no more at once than are worked on: results are taken away as they come, and the rest can still go on
            while len(under_way) < width and not lost and (job := next(queue, None)) is not None:
                try:
                    with undisturbed():
                        under_way[pool.submit(work, job)] = job
                except BrokenExecutor:
                    lost.append(job)
            if not under_way:
                return lost
            for future in wait(under_way, return_when=FIRST_COMPLETED).done:
                job = under_way.pop(future)
                try:
                    yield future.result()
                except (BrokenExecutor, CancelledError):
                    lost.append(job)
                except Exception as error:
                    # of a cluster: it has tried the job on several workers by itself
                    yield Outcome(job.name, BAD_INPUT, (f"its worker was lost ({type(error).__name__}: {error})",))
    except BaseException:
        for future in under_way:
            future.cancel()
        # workers do not hear Ctrl-C: they are told here, and clear up as a build that is stopped does
        for child in active_children():
            child.terminate()
        raise
    finally:
        pool.shutdown(wait=True)
