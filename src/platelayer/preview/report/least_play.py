"""The least play of all joints as cut, said alike wherever it stands: summary, page and sheet."""

from platelayer.units import show_small
from platelayer.values.findings import Report


def least_play(report: Report) -> tuple[str, str] | None:
    """Least play along the track, and sideways each way when pushed home, with any mate; None where a joint has none.

    Every mate counts: the one with the least is the one that a person feels.
    """
    seats = [joint.seat for joint in report.joints]
    if not seats or not all(seat.couples for seat in seats):
        return None
    along = min(seat.pull_out_mm - max(seat.opening_mm, 0.0) for seat in seats)
    return show_small(along), show_small(min(seat.side_mm for seat in seats))
