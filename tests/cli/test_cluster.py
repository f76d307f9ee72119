"""Several plans on a Dask cluster: a real scheduler on this machine, two workers, one killed in the middle."""

from __future__ import annotations

import logging
import os
import signal
import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from faulty import left
from houses import house

distributed = pytest.importorskip("distributed")

pytestmark = pytest.mark.filterwarnings("ignore::Warning")

NAMES = [f"plot-{number}" for number in range(1, 4)]


@pytest.fixture(scope="module")
def cluster(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    with distributed.LocalCluster(
        n_workers=2,
        threads_per_worker=1,
        processes=True,
        dashboard_address=None,
        silence_logs=logging.CRITICAL,
        local_directory=str(tmp_path_factory.mktemp("dask")),
    ) as made:
        yield made


def killed_at_work(address: str, killed: list[int]) -> None:
    """Kill the first worker that is seen to be at work on a plan."""
    with distributed.Client(address, set_as_default=False) as client:
        processes = client.run(os.getpid)
        end = time.monotonic() + 60
        while time.monotonic() < end and not killed:
            busy = [worker for worker, tasks in client.processing().items() if tasks and worker in processes]
            if busy:
                os.kill(processes[busy[0]], signal.SIGKILL)
                killed.append(processes[busy[0]])
            time.sleep(0.02)


def test_a_worker_that_is_killed_loses_nothing(
    cluster: Any, tmp_path: Path, capsys: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for number, name in enumerate(NAMES):
        Path(f"{name}.toml").write_text(house(f"[[0, 0], [{4000 + 100 * number}, 0], [4500, 4000], [0, 4000]]"))
    Path("bad.toml").write_text(house().replace("width", "widht"))
    killed: list[int] = []
    killer = threading.Thread(target=killed_at_work, args=(cluster.scheduler_address, killed))
    killer.start()
    plans = [f"{name}.toml" for name in (*NAMES, "bad")]
    words = ["--cluster", cluster.scheduler_address, "--only", "lists"]
    code, out, err = left(["build", *plans, "-o", "out", *words], capsys)
    killer.join()
    assert killed
    assert code == 2
    assert out.startswith("4 plans: 3 built, 0 unchanged, 1 failed; 12 pieces of ")
    assert all("bad.toml" in line for line in err.splitlines())
    assert sorted(path.name for path in Path("out").iterdir() if path.name.startswith("plot")) == NAMES
    assert all((Path("out") / name / "cutting-list.csv").is_file() for name in NAMES)
    assert sorted(path.name for path in Path("out/.built").glob("*.json")) == [f"{name}.json" for name in NAMES]
