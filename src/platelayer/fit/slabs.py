"""Along which shifts two solids overlap: exact for polygons, by slabs between neighbouring vertices.

Glossary:
    ring: the vertices of one closed polygon boundary, (n, 2) float64, mm; outer and inner rings count alike (even-odd).
    slab: the strip between two neighbouring heights at which a vertex stands. Inside one, every edge is one line.
    span: the part of a slab inside a solid between two neighbouring edges, a trapezoid.
    shift: a move of the first solid along x. Blocked: the solids would overlap; touching is free.

Theory: at height y a span [a(y), b(y)] shifted by t overlaps [c(y), d(y)] for t in (c - b, d - a). Within a slab both
ends are linear in y and the intervals of neighbouring heights overlap, so their union is the open interval from the
least c - b to the greatest d - a, both found at the slab's two ends. The union over slabs and pairs is the blocked set.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from platelayer.tolerances import THIN_SLAB_MM

Floats = npt.NDArray[np.float64]
Rings = tuple[Floats, ...]


@dataclass(frozen=True, slots=True)
class Spans:
    """Spans of one solid: near and far ends at the slab's lower and upper height; nan where a slab has fewer.

    Attributes:
        left: (slabs, most spans, 2) float64, mm; last axis is lower and upper height.
        right: the same for the other end.
    """

    left: Floats
    right: Floats


@dataclass(frozen=True, slots=True)
class Blocked:
    """Open intervals of shift at which a pair of spans overlaps, (n,) each, in no order; with where each span stood.

    Attributes:
        low: shift above which the pair overlaps, mm.
        high: shift below which it overlaps, mm.
        moved_right: greatest x of the moved span, before the shift.
        fixed_left: least x of the fixed span.
    """

    low: Floats
    high: Floats
    moved_right: Floats
    fixed_left: Floats


def edges_of(rings: Rings) -> Floats:
    """(n, 4) edges x0 y0 x1 y1 of closed rings, whether or not the first vertex stands again at the end."""
    parts = []
    for ring in rings:
        following = np.roll(ring, -1, axis=0)
        parts.append(np.hstack((ring, following)))
    return np.vstack(parts)


def _spans(edges: Floats, heights: Floats) -> Spans:
    """Spans of a solid in the slabs between neighbouring heights, among which are the heights of all its vertices."""
    low, high = np.minimum(edges[:, 1], edges[:, 3]), np.maximum(edges[:, 1], edges[:, 3])
    first, last = np.searchsorted(heights, low), np.searchsorted(heights, high)
    slabs = len(heights) - 1
    last, first = np.minimum(last, slabs), np.minimum(first, slabs)
    times = np.maximum(last - first, 0)
    edge = np.repeat(np.arange(len(edges)), times)
    slab = np.arange(times.sum()) - np.repeat(np.cumsum(times) - times, times) + np.repeat(first, times)
    x0, y0, x1, y1 = edges[edge].T
    slope = (x1 - x0) / (y1 - y0)
    below, above = x0 + (heights[slab] - y0) * slope, x0 + (heights[slab + 1] - y0) * slope
    order = np.lexsort((below + above, slab))
    slab, below, above = slab[order], below[order], above[order]
    rank = np.arange(len(slab)) - np.searchsorted(slab, slab)
    most = max(int(rank.max(initial=-1)) // 2 + 1, 1)
    ends = np.full((2, slabs, most, 2), np.nan)
    ends[rank % 2, slab, rank // 2, 0] = below
    ends[rank % 2, slab, rank // 2, 1] = above
    return Spans(ends[0], ends[1])


def blocked_shifts(moved: Rings, fixed: Rings) -> Blocked:
    """Every pair of spans that overlaps at some shift of the moved solid along x.

    Exact for polygons, but for slabs thinner than THIN_SLAB_MM, which are left out as float noise.
    """
    moved_edges, fixed_edges = edges_of(moved), edges_of(fixed)
    low = max(moved_edges[:, 1].min(), fixed_edges[:, 1].min())
    high = min(moved_edges[:, 1].max(), fixed_edges[:, 1].max())
    heights = np.unique(np.concatenate((moved_edges[:, 1], fixed_edges[:, 1])))
    heights = heights[(heights >= low) & (heights <= high)]
    if len(heights) < 2:
        nothing = np.empty(0)
        return Blocked(nothing, nothing, nothing, nothing)
    a, b = _spans(_clipped(moved_edges, low, high), heights), _spans(_clipped(fixed_edges, low, high), heights)
    thick = np.diff(heights) > THIN_SLAB_MM
    moved_left, moved_right = a.left[thick][:, :, None, :], a.right[thick][:, :, None, :]
    fixed_left, fixed_right = b.left[thick][:, None, :, :], b.right[thick][:, None, :, :]
    # the two heights of a slab are taken one by one: reducing an axis of two is slow
    lows = np.minimum(fixed_left[..., 0] - moved_right[..., 0], fixed_left[..., 1] - moved_right[..., 1])
    highs = np.maximum(fixed_right[..., 0] - moved_left[..., 0], fixed_right[..., 1] - moved_left[..., 1])
    furthest = np.broadcast_to(np.maximum(moved_right[..., 0], moved_right[..., 1]), lows.shape)
    nearest = np.broadcast_to(np.minimum(fixed_left[..., 0], fixed_left[..., 1]), lows.shape)
    real = ~(np.isnan(lows) | np.isnan(highs))
    return Blocked(lows[real], highs[real], furthest[real], nearest[real])


def _clipped(edges: Floats, low: float, high: float) -> Floats:
    """The edges cut to heights between low and high; edges outside and level ones are dropped."""
    x0, y0, x1, y1 = edges.T
    keep = (np.maximum(y0, y1) > low) & (np.minimum(y0, y1) < high) & (y0 != y1)
    x0, y0, x1, y1 = edges[keep].T
    from0, from1 = np.clip(y0, low, high), np.clip(y1, low, high)
    slope = (x1 - x0) / (y1 - y0)
    return np.column_stack((x0 + (from0 - y0) * slope, from0, x0 + (from1 - y0) * slope, from1))
