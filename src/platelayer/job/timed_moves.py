"""The acceleration of an axis from a stop watch: short moves to and fro, timed together.

Glossary:
    move: from a standstill to a standstill, there or back; both ways are alike.
"""

from dataclasses import dataclass
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.units import show_length

WATCH_S: Final = 0.5
"""How far off a hand with a stop watch is, start and stop together. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedMoves:
    """So many moves of one length at one feed."""

    count: int = 100
    length_mm: float = 20.0
    feed_mm_min: float = 3000.0


def acceleration_mm_s2(moves: TimedMoves, *, took_s: float) -> float:
    """Acceleration of an axis that took so long for the moves, getting up to speed as briskly as it slows down.

    Where the feed F is reached, a move of length L takes t = L / F + F / a, so a = F / (t - L / F). Where it is not
    reached, t = 2 sqrt(L / a), so a = 4 L / t^2. It is reached where F^2 / a <= L, which is t <= 2 L / F. A controller
    that eases in and out of its acceleration gets the one that takes as long.

    Raises:
        JobError: less time than the feed alone takes.

    Source: derived here from constant acceleration: half of F / a is spent getting up to F over F^2 / (2 a), and half
    slowing down. Worked: L = 20 mm, F = 50 mm/s, a = 400 mm/s2 gives 0.4 + 0.125 = 0.525 s.
    """
    feed = moves.feed_mm_min / 60
    each, cruise = took_s / moves.count, moves.length_mm / feed
    if each <= cruise:
        least = cruise * moves.count
        problem = (
            f"less than the feed alone takes for {moves.count} moves of {show_length(moves.length_mm)}, {least:.1f} s"
        )
        fix = "Time all of them, and look whether the controller holds this feed back or runs it faster."
        raise JobError(Fault(where="--took", found=f"{took_s:g} s", problem=problem, fix=fix))
    return feed / (each - cruise) if each <= 2 * cruise else 4 * moves.length_mm / each**2


def acceleration_range_mm_s2(moves: TimedMoves, *, took_s: float) -> tuple[float, float]:
    """Least and most that the acceleration may be, the watch being off by WATCH_S; the most may be infinite.

    Raises:
        JobError: as acceleration_mm_s2.
    """
    acceleration_mm_s2(moves, took_s=took_s)
    least = acceleration_mm_s2(moves, took_s=took_s + WATCH_S)
    try:
        return least, acceleration_mm_s2(moves, took_s=took_s - WATCH_S)
    except JobError:
        return least, float("inf")
