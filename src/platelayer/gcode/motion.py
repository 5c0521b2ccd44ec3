"""How long the moves take: speeds as a hobby controller plans them, with look-ahead, ahead of every corner.

Glossary:
    limit: the speed a move may not pass: its feed, or the rapid rate, cut down where an axis cannot follow.
    corner: where one move meets the next. Not a stop: a stop is a corner at speed zero.
    deviation: how far a rounded corner may stray from the true one; it stands for how hard corners are taken.

The model, stated:
    - An axis never passes its own speed or acceleration: along a direction u the limit is the least of v_k / abs(u_k),
      the acceleration the least of a_k / abs(u_k), over x, y and z. On an arc u_k is the largest share that the axis
      takes anywhere on it.
    - A corner between unit directions u and w is taken at v^2 = a R, R = d sin(h) / (1 - sin(h)), sin(h) =
      sqrt((1 + u.w) / 2), d the deviation and a the least acceleration of the axes that change at the corner.
      With a corner speed instead of a deviation no axis may jump by more than that speed: v = c / max abs(w_k - u_k).
    - A path mode that the file sets takes the place of the machine's way with corners: G64 with P is a deviation of P,
      G61 one of the last digit written, G61.1 a stop at the end of every move; G64 alone leaves it to the machine.
    - An arc is cut by the controller into chords that stray by ``ARC_CHORD_MM``; the corner between two chords limits
      the whole arc in the same way. With a corner speed instead, its own curvature does: v^2 = a R.
    - Speed rises and falls at constant acceleration; every move ends no faster than all that follows can be stopped
      or slowed in time. Rapids blend like feeds. The controller is taken to see the whole file.
    - A pause, a dwell, a change of spindle or bit is a stop. Dwells count, pauses do not.
    - Unknown accelerations, speeds or corner limits (zeros) do not limit.

The look-ahead is exact and needs no loop: with c_i the square of the speed allowed at corner i and S_i the running
sum of 2 a L, slowing down asks v_i^2 <= v_j^2 + S_j - S_i for all j > i, that is v_i^2 = min over j >= i of
(c_j + S_j) - S_i, a running minimum from the end; speeding up is the same from the front.
Derived here from v^2 - v0^2 = 2 a L.
"""

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.manifest.schema import ManifestMachine
from platelayer.tolerances import ARC_CHORD_MM, COINCIDENT_MM, PROGRAM_STEP_MM
from platelayer.values.motion import EventKind, Floats, Motion, MotionTime, MoveKind

SECONDS_PER_MINUTE: Final = 60.0
_PATHS: Final = {"G61": PROGRAM_STEP_MM, "G61.1": 0.0, "G64": math.nan}
_STOPS: Final = frozenset({
    EventKind.SPINDLE_ON,
    EventKind.SPINDLE_OFF,
    EventKind.PAUSE,
    EventKind.DWELL,
    EventKind.TOOL,
    EventKind.END,
})


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shapes:
    """Geometry of the moves: lengths, unit directions at start and end, largest share of each axis, arc radii."""

    length_mm: Floats
    leaves: Floats
    arrives: Floats
    share: Floats
    radius_mm: Floats


def move_times(motion: Motion, machine: ManifestMachine) -> MotionTime:
    """Time and speeds of every move by the model at the head of this module."""
    count = len(motion)
    shapes = _shapes_of(motion)
    accel = _along(shapes.share, machine.accel_mm_s2)
    limit = _limits(motion, machine, shapes)
    corner = np.zeros(count + 1)
    if count > 1:
        corner[1:-1] = _corner_speeds(shapes, machine, _asked_deviation_mm(motion)[1:])
        corner[1:-1] = np.minimum(corner[1:-1], np.minimum(limit[:-1], limit[1:]))
    dwell_before, dwell_s, pauses = _stops(motion, machine, corner)
    entry, leaving = _look_ahead(corner, accel, shapes.length_mm)
    rise = np.where(np.isfinite(accel), accel, 0.0) * shapes.length_mm
    highest = np.where(np.isfinite(accel), np.sqrt((entry**2 + leaving**2) / 2 + rise), np.inf)
    peak = np.where(shapes.length_mm > 0, np.minimum(limit, highest), 0.0)
    peak = np.maximum(peak, np.maximum(entry, leaving))
    seconds = _trapezoid_s(entry, peak, leaving, accel, shapes.length_mm)
    ends = np.cumsum(seconds) + np.cumsum(dwell_before[:-1])
    return MotionTime(
        seconds_s=_frozen(seconds),
        start_s=_frozen(ends - seconds),
        entry_mm_min=_frozen(entry * SECONDS_PER_MINUTE),
        peak_mm_min=_frozen(np.where(np.isfinite(peak), peak, 0.0) * SECONDS_PER_MINUTE),
        exit_mm_min=_frozen(leaving * SECONDS_PER_MINUTE),
        total_s=float(seconds.sum()) + dwell_s,
        dwell_s=dwell_s,
        pauses=pauses,
    )


def move_lengths_mm(motion: Motion) -> Floats:
    """(n,) lengths of the moves; along the helix where an arc changes z. Source: NISTIR 6556, 2.1.2.6."""
    span = np.nan_to_num(motion.end - motion.start, nan=0.0)
    length = np.sqrt((span**2).sum(axis=1))
    arcs = np.flatnonzero(motion.kind >= MoveKind.ARC_CW)
    arm = motion.start[arcs, :2] - motion.centre[arcs]
    level = np.hypot(arm[:, 0], arm[:, 1]) * arc_sweeps_rad(motion)[arcs]
    length[arcs] = np.hypot(level, span[arcs, 2])
    return _frozen(length)


def arc_sweeps_rad(motion: Motion) -> Floats:
    """(n,) angles turned through, positive either way round; 0 for straight moves, a full turn where ends coincide."""
    first = motion.start[:, :2] - motion.centre
    last = motion.end[:, :2] - motion.centre
    turn = np.arctan2(last[:, 1], last[:, 0]) - np.arctan2(first[:, 1], first[:, 0])
    turn = np.where(motion.kind == MoveKind.ARC_CW, -turn, turn) % math.tau
    is_full = np.hypot(*(motion.end - motion.start)[:, :2].T) <= COINCIDENT_MM
    return np.where(motion.kind >= MoveKind.ARC_CW, np.where(is_full, math.tau, turn), 0.0)


def _frozen(values: Floats) -> Floats:
    values.setflags(write=False)
    return values


def _shapes_of(motion: Motion) -> _Shapes:
    span = np.nan_to_num(motion.end - motion.start, nan=0.0)
    length = move_lengths_mm(motion)
    with np.errstate(invalid="ignore", divide="ignore"):
        unit = np.where(length[:, None] > 0, span / length[:, None], 0.0)
    leaves, arrives, share = unit.copy(), unit.copy(), np.abs(unit)
    radius = np.full(len(motion), np.inf)
    arcs = np.flatnonzero(motion.kind >= MoveKind.ARC_CW)
    if len(arcs):
        sweep = arc_sweeps_rad(motion)[arcs]
        side = np.where(motion.kind[arcs] == MoveKind.ARC_CCW, 1.0, -1.0)
        first = motion.start[arcs, :2] - motion.centre[arcs]
        radius[arcs] = np.hypot(first[:, 0], first[:, 1])
        level = radius[arcs] * sweep
        flat, rise = level / length[arcs], span[arcs, 2] / length[arcs]
        begin = np.arctan2(first[:, 1], first[:, 0])
        for rows, angle in ((leaves, begin), (arrives, begin + side * sweep)):
            rows[arcs] = np.column_stack((-side * np.sin(angle) * flat, side * np.cos(angle) * flat, rise))
        share[arcs] = _arc_shares(begin, side * sweep, flat, np.abs(rise))
    return _Shapes(length_mm=length, leaves=leaves, arrives=arrives, share=share, radius_mm=radius)


def _arc_shares(begin: Floats, turn: Floats, flat: Floats, rise: Floats) -> Floats:
    """(n, 3) largest share of the speed that each axis takes anywhere on an arc."""
    low, high = np.minimum(begin, begin + turn), np.maximum(begin, begin + turn)

    def largest(offset_rad: float) -> Floats:
        # abs(cos(angle - offset_rad)) is 1 at offset_rad + k pi; else it is largest at an end
        meets = np.floor((high - offset_rad) / math.pi) >= np.ceil((low - offset_rad) / math.pi)
        ends: Floats = np.maximum(np.abs(np.cos(low - offset_rad)), np.abs(np.cos(high - offset_rad)))
        return np.where(meets, 1.0, ends)

    return np.column_stack((largest(math.pi / 2) * flat, largest(0.0) * flat, rise))


def _along(share: Floats, by_axis: tuple[float, float, float]) -> Floats:
    """(n,) limit along the move, from limits by axis of which zero means unknown; inf where nothing limits."""
    axes = np.where(np.asarray(by_axis) > 0, by_axis, np.inf)
    with np.errstate(divide="ignore", invalid="ignore"):
        each = np.where(share > COINCIDENT_MM, axes / share, np.inf)
    return np.asarray(each.min(axis=1, initial=np.inf))


def _limits(motion: Motion, machine: ManifestMachine, shapes: _Shapes) -> Floats:
    is_rapid = motion.kind == MoveKind.RAPID
    fastest = _along(shapes.share, machine.feed_max_mm_min)
    feed = np.where(motion.feed > 0, np.minimum(motion.feed, fastest), fastest)
    rapid = _along(shapes.share, machine.rapid_mm_min)
    rapid = np.where(np.isfinite(rapid), rapid, fastest)
    limit = np.where(is_rapid, rapid, feed) / SECONDS_PER_MINUTE
    is_arc = np.isfinite(shapes.radius_mm)
    radius = np.where(is_arc, shapes.radius_mm, 1.0)
    if machine.corner_deviation_mm > 0:
        half = np.arccos(np.clip(1 - ARC_CHORD_MM / radius, 0.0, 1.0))
        turn_radius = machine.corner_deviation_mm * np.cos(half) / np.maximum(1 - np.cos(half), np.finfo(float).tiny)
    elif machine.corner_speed_mm_min > 0:
        turn_radius = radius
    else:
        return limit
    flat_accel = min((accel for accel in machine.accel_mm_s2[:2] if accel > 0), default=math.inf)
    return np.where(is_arc, np.minimum(limit, np.sqrt(flat_accel * turn_radius)), limit)


def _least_accel(change: Floats, by_axis: tuple[float, ...]) -> Floats:
    """(n,) least acceleration of the axes that change; inf where none does or it is unknown."""
    axes = np.where(np.asarray(by_axis) > 0, by_axis, np.inf)
    return np.asarray(np.where(np.abs(change) > COINCIDENT_MM, axes, np.inf).min(axis=1, initial=np.inf))


def _asked_deviation_mm(motion: Motion) -> Floats:
    """(n,) how far the file lets the corner before each move be rounded; nan where it leaves that to the machine.

    Source: NISTIR 6556, 3.5.14 (from memory) for G61, G61.1 and G64; its P is a later word, the largest deviation.
    """
    asked = np.full(len(motion), np.nan)
    for event in motion.events:
        if event.kind is EventKind.MODE and event.text in _PATHS:
            asked[event.before :] = event.value or _PATHS[event.text]
    return asked


def _corner_speeds(shapes: _Shapes, machine: ManifestMachine, asked_mm: Floats) -> Floats:
    """(n - 1,) speeds allowed where each move meets the next, mm/s."""
    into, out = shapes.arrives[:-1], shapes.leaves[1:]
    change = out - into
    speed = np.full(len(change), np.inf)
    if machine.corner_deviation_mm <= 0 < machine.corner_speed_mm_min:
        jump = np.abs(change).max(axis=1)
        with np.errstate(divide="ignore"):
            speed = np.where(jump > 0, machine.corner_speed_mm_min / SECONDS_PER_MINUTE / jump, np.inf)
    deviation = np.where(np.isnan(asked_mm), machine.corner_deviation_mm or np.nan, asked_mm)
    sine = np.sqrt(np.clip((1 + (into * out).sum(axis=1)) / 2, 0.0, 1.0))
    accel = _least_accel(change, machine.accel_mm_s2)
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        squared = accel * deviation * sine / (1 - sine)
    rounded = np.sqrt(np.where(sine >= 1.0, np.inf, np.where(sine <= 0.0, 0.0, squared)))
    speed = np.where(np.isnan(deviation), speed, np.where(deviation > 0, rounded, 0.0))
    is_still = (shapes.length_mm[:-1] <= 0) | (shapes.length_mm[1:] <= 0)
    return np.where(is_still, 0.0, speed)


def _stops(motion: Motion, machine: ManifestMachine, corner: Floats) -> tuple[Floats, float, int]:
    """Dwell before each move; sets the corner's speed to zero at every stop."""
    dwell_before = np.zeros(len(motion) + 1)
    unit_s = 1.0 if machine.dwell_unit != "ms" else 1 / 1000
    pauses = 0
    for event in motion.events:
        if event.kind in _STOPS:
            corner[min(event.before, len(motion))] = 0.0
        if event.kind is EventKind.DWELL:
            dwell_before[min(event.before, len(motion))] += event.value * unit_s
        pauses += event.kind is EventKind.PAUSE
    return dwell_before, float(dwell_before.sum()), pauses


def _look_ahead(corner: Floats, accel: Floats, length_mm: Floats) -> tuple[Floats, Floats]:
    """(n,) entry and (n,) exit speeds, mm/s, from the speeds allowed at the n + 1 corners."""
    gain = 2 * np.where(np.isfinite(accel), accel, 0.0) * length_mm
    endless = ~np.isfinite(accel) & (length_mm > 0)
    ceiling = float(np.max(np.where(np.isfinite(corner), corner, 0.0), initial=0.0)) ** 2 + 1.0
    allowed = np.minimum(corner**2, ceiling)
    run = np.concatenate(([0.0], np.cumsum(np.where(endless, ceiling, gain))))
    allowed = np.minimum.accumulate((allowed + run)[::-1])[::-1] - run
    allowed = run + np.minimum.accumulate(allowed - run)
    speed = np.sqrt(np.maximum(allowed, 0.0))
    return speed[:-1].copy(), speed[1:].copy()


def _trapezoid_s(entry: Floats, peak: Floats, leaving: Floats, accel: Floats, length_mm: Floats) -> Floats:
    """(n,) seconds of a move that speeds up to its peak, holds it and slows down."""
    with np.errstate(divide="ignore", invalid="ignore"):
        changing = np.where(np.isfinite(accel), (2 * peak - entry - leaving) / accel, 0.0)
        covered = np.where(np.isfinite(accel), (2 * peak**2 - entry**2 - leaving**2) / (2 * accel), 0.0)
        steady = np.where(peak > 0, np.maximum(length_mm - covered, 0.0) / peak, 0.0)
    return np.where(length_mm > 0, changing + np.where(np.isfinite(peak), steady, 0.0), 0.0)
