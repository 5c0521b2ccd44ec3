"""How a peg sits in a socket, from the two solids as they are: as designed, as cut, or as measured.

Glossary:
    end frame: origin at the middle of the end face, x out of the piece; peg and socket are each given in their own.
    mated: the peg's piece turned half round, so that the two faces look at each other; opening is the gap of the faces.
    closing parts: whatever keeps the faces from closing: faces, the peg's root, the hole's bottom.
    holding parts: head against lips; they let the peg go only upwards.
"""

import numpy as np

from platelayer.fit.slabs import Blocked, Rings, blocked_shifts
from platelayer.geometry.regions import Area
from platelayer.tolerances import COINCIDENT_MM, FLATTEN_CHORD_MM
from platelayer.values.findings import Seat


def seat(peg: Area, socket: Area) -> Seat:
    """Seat of a peg in a socket, both polygons in their own end frames, faces parallel and centred.

    The peg's solid must reach behind its face and the socket's behind its hole. Exact for the polygons given: a solid
    flattened within a chord gives openings within a few chords. The opening is found with no sideways shift; the
    sideways play a chord off it, since faces as cut are level to a last digit only; the smaller of the two ways.
    """
    return seat_of_rings(rings_of(peg), rings_of(socket))


def rings_of(area: Area) -> Rings:
    """All rings of a polygon or several, outer and inner, as arrays of vertices."""
    polygons = area.geoms if hasattr(area, "geoms") else (area,)
    return tuple(
        np.asarray(ring.coords, dtype=np.float64)[:-1, :2]
        for polygon in polygons
        for ring in (polygon.exterior, *polygon.interiors)
    )


def seat_of_rings(peg: Rings, socket: Rings) -> Seat:
    """Like seat, for bare rings of vertices."""
    mated = tuple(-ring for ring in peg)
    reach = max(float(ring[:, 0].max()) for ring in peg)
    close, hold = along_track(blocked_shifts(mated, socket), reach_mm=reach)
    couples = close <= hold < np.inf
    if close > hold:
        return Seat(couples=False, opening_mm=np.inf, pull_out_mm=hold, side_mm=0.0, forced_mm=close)
    side = min(sideways(mated, socket, opening_mm=min(close + FLATTEN_CHORD_MM, (close + hold) / 2)))
    return Seat(couples=couples, opening_mm=close, pull_out_mm=hold, side_mm=side, forced_mm=close)


def along_track(blocked: Blocked, *, reach_mm: float) -> tuple[float, float]:
    """Opening that the closing parts force, and opening at which the holding parts meet (inf when none does).

    A pair holds when the peg's span stands wholly before its face (the head beside its neck) and the socket's span
    starts nearer to the face than the peg reaches (a lip). Any other pair only keeps the faces apart.
    """
    holds = (blocked.moved_right < -COINCIDENT_MM) & (blocked.fixed_left > -reach_mm - COINCIDENT_MM)
    forced = float(np.max(blocked.high[~holds], initial=-np.inf))
    return forced, float(np.min(blocked.low[holds], initial=np.inf))


def sideways(moved: Rings, fixed: Rings, *, opening_mm: float) -> tuple[float, float]:
    """How far the mated peg moves to +y and to -y at that opening, each from the middle; zero where it does not."""
    shift = np.array([opening_mm + COINCIDENT_MM, 0.0])
    across = blocked_shifts(tuple((ring + shift)[:, ::-1] for ring in moved), tuple(ring[:, ::-1] for ring in fixed))
    if np.any((across.low < -COINCIDENT_MM) & (across.high > COINCIDENT_MM)):
        return 0.0, 0.0
    up = np.min(across.low[across.low >= -COINCIDENT_MM], initial=np.inf)
    down = np.max(across.high[across.high <= COINCIDENT_MM], initial=-np.inf)
    return max(float(up), 0.0), max(-float(down), 0.0)
