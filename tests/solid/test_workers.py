"""Work shared out to processes: what goes wrong in one is told, and nothing waits for ever."""

from __future__ import annotations

import subprocess
import sys

import pytest

NESTED = """
from platemodel.solid.workers import beside, partner

def work(value):
    with beside(lambda: 1, True):
        raise OSError("no room")

try:
    with partner(work) as ask:
        ask(1)()
except OSError as error:
    print(error)
"""


@pytest.mark.parametrize("attempt", range(3))
def test_a_fault_beside_a_worker_s_own_worker_ends_the_program(attempt: int) -> None:
    # it hung on every run: the worker ended while its own worker was still to be told to
    done = subprocess.run([sys.executable, "-c", NESTED], capture_output=True, text=True, timeout=60, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "no room\n", "")
