"""How long a file waits for the spindle once it is switched on."""

from typing import Final

SPIN_UP_S: Final = (2.0, 10.0)
"""A router needs some seconds to reach its speed, never more than ten. Common practice, no source."""


def wait_s(spin_up_s: float) -> float:
    """The dwell after the spindle is switched on, from the time it needs to reach its speed."""
    return min(max(spin_up_s, SPIN_UP_S[0]), SPIN_UP_S[1])
