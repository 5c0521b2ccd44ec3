"""Motions written by hand, for tests that need no reader."""

import numpy as np

from platelayer.manifest.schema import ManifestMachine
from platelayer.values.motion import Event, Motion, MoveKind


def motion_of(moves, *, events=(), name="test.nc", is_ended=True):
    """A Motion from rows (kind, end, feed[, centre]) that start at the origin."""
    at, rows = (0.0, 0.0, 0.0), []
    for kind, end, feed, *centre in moves:
        rows.append((kind, at, end, feed, centre[0] if centre else (np.nan, np.nan)))
        at = end
    n = len(rows)
    return Motion(
        name=name,
        kind=np.array([row[0] for row in rows], np.int8),
        line=np.arange(1, n + 1, dtype=np.int32),
        start=np.array([row[1] for row in rows], float).reshape(n, 3),
        end=np.array([row[2] for row in rows], float).reshape(n, 3),
        centre=np.array([row[4] for row in rows], float).reshape(n, 2),
        feed=np.array([0.0 if row[0] == MoveKind.RAPID else row[3] for row in rows], float),
        speed=np.full(n, 18000.0),
        spindle_on=np.ones(n, bool),
        bit=np.zeros(n, np.int16),
        events=tuple(Event(*event) for event in events),
        line_count=n,
        is_ended=is_ended,
    )


def machine_of(**changes):
    """A machine of the same acceleration in all axes."""
    values = {
        "id": "invented",
        "travel_mm": (800.0, 400.0, 80.0),
        "zero_at": None,
        "feed_max_mm_min": (5000.0, 5000.0, 1200.0),
        "rapid_mm_min": (6000.0, 6000.0, 1500.0),
        "accel_mm_s2": (500.0, 500.0, 200.0),
        "corner_deviation_mm": 0.02,
        "corner_speed_mm_min": 0.0,
        "spindle": "speed_word",
        "dial": (),
        "dwell_unit": "s",
        "holder_diameter_mm": 0.0,
    }
    return ManifestMachine(**(values | changes))
