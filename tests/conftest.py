"""What all tests share: how examples of property tests are chosen, and builds made once a session.

No example fails by the clock, which says nothing on a busy machine. The same examples are tried at each run, so that
a run says something of the change and not of chance; with PLATEMODEL_SEARCH set others are looked for each time.
"""

from __future__ import annotations

import os

import pytest
from built import Builder
from hypothesis import settings

settings.register_profile("the same", deadline=None, derandomize=True)
settings.register_profile("search", deadline=None)
settings.load_profile("search" if os.environ.get("PLATEMODEL_SEARCH") else "the same")


@pytest.fixture(scope="session")
def builder(tmp_path_factory: pytest.TempPathFactory) -> Builder:
    folder = tmp_path_factory.getbasetemp()
    if "PYTEST_XDIST_WORKER" in os.environ:
        folder = folder.parent
    (folder / "built").mkdir(exist_ok=True)
    return Builder(folder / "built")
