"""What all tests share: no example of a property test fails by the clock, which says nothing on a busy machine."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("unhurried", deadline=None)
settings.load_profile("unhurried")
