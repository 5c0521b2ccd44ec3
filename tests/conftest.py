"""Settings shared by all tests.

Hypothesis draws the same examples every time in CI, without deadlines; plans and proofs are remembered in a process.
What is remembered is much, and Python looks through it for rings of garbage seldom.
"""

import gc
from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

import remembered

settings.register_profile("house", derandomize=True, deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("house")
remembered.remember()
gc.set_threshold(50_000, 20, 20)


@pytest.fixture
def anew() -> Iterator[None]:
    """Nothing is remembered: for a test of what a second run does, or of how long one takes."""
    with remembered.anew():
        yield
