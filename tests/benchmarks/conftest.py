"""Speeds are measured of what is worked out, not of what is remembered."""

import pytest


@pytest.fixture(autouse=True)
def measured(anew):
    """Every stage works."""
