"""Builds shared by the checks from outside, each once a session."""

from __future__ import annotations

import pytest
from built import PLANS, SHEETED, Builder, Built


@pytest.fixture(scope="session", params=list(PLANS))
def built(request: pytest.FixtureRequest, builder: Builder) -> Built:
    """Each plan's results in turn."""
    return builder(request.param)


@pytest.fixture(scope="session", params=SHEETED)
def sheeted(request: pytest.FixtureRequest, builder: Builder) -> Built:
    """Each plan's results in turn, and one's on the other paper size."""
    return builder(request.param)


@pytest.fixture(scope="session")
def builder_of_one(builder: Builder) -> Built:
    """The plan with the most oblique pieces, for tests that spoil what was read."""
    return builder("canted-bay")
