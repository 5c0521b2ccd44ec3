"""A fixed sequence of draws for searches that try things: same every time, no clock and no chance.

Glossary:
    draw: the next whole number of the sequence, below a stated limit.
"""

from typing import Final

_MULTIPLIER: Final = 6364136223846793005
_INCREMENT: Final = 1442695040888963407
_MASK: Final = (1 << 64) - 1
"""A linear congruential sequence modulo 2**64; multiplier and increment from memory (Knuth's)."""


class Draws:
    """Whole numbers that look like chance and are the same on every run and every machine."""

    __slots__ = ("_state",)

    def __init__(self, seed: int = 1) -> None:
        self._state = seed & _MASK
        self.below(2)

    def below(self, limit: int) -> int:
        """The next draw, in ``0 .. limit - 1``."""
        self._state = (self._state * _MULTIPLIER + _INCREMENT) & _MASK
        return (self._state >> 33) * limit >> 31
