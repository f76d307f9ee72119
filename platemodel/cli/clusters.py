"""A Dask cluster as an executor of the standard library's kind."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import Executor
from contextlib import contextmanager
from typing import Any

from platemodel.cli.running import Hire
from platemodel.faults import InputError

PATIENCE = "10s"
"""How long a scheduler may take to answer."""

RETRIES = 2
"""So often a job is tried anew on another worker."""


@contextmanager
def cluster(address: str) -> Iterator[tuple[Hire, int]]:
    """What hires the workers of the scheduler at an address, and how many jobs they do at a time.

    Raises :class:`~platemodel.faults.InputError` where there is no scheduler, or none with workers.
    """
    try:
        import distributed
    except ImportError:
        raise InputError("--cluster: distributed is not installed; type: pip install 'platemodel[cluster]'") from None
    try:
        client: Any = distributed.Client(address, timeout=PATIENCE, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        said = f"--cluster: no scheduler answers at '{address}' ({error}); expected one such as tcp://10.0.0.5:8786"
        raise InputError(said) from None
    with client:
        workers = len(client.scheduler_info(n_workers=-1)["workers"])
        if workers == 0:
            raise InputError(f"--cluster: the scheduler at '{address}' has no workers; expected at least one")

        def hire(_: int) -> Executor:
            made: Executor = client.get_executor(pure=False, retries=RETRIES)
            return made

        yield hire, workers
