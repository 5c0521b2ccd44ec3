"""A shop with hidden errors: it cuts outlines, tries pegs and reads a caliper. The code under test sees readings only.

The bit's centre follows the outline at the distance that the paths were made for, clockwise. Each axis lags behind by
its slack (a table pushed by a loose nut), moves too far by its scale, and the bit is wider or narrower than thought.
A shop that is pushed errs the other way: cutting pushes the bit to the end of the slack, by climb off the wall.
"""

import numpy as np
from shapely import affinity
from shapely.geometry import LinearRing, LineString, Polygon

from platelayer.fit.card import PEG_STICK_MM, Feature
from platelayer.fit.correction import CardReadings, PegReadings
from platelayer.fit.seat import rings_of, sideways
from platelayer.geometry.regions import to_area
from referees.polygon_play import Solids, openings_mm, placed

STEP_MM = 0.25
FAR_MM = 24.0


class Shop:
    def __init__(self, seed, *, bit=None, slack=None, scale=None, caliper=0.02, is_pushed=False):
        rng = np.random.default_rng(seed)
        self._bit = rng.uniform(-0.10, 0.10) if bit is None else bit
        self._slack = rng.uniform(0, 0.15, 2) if slack is None else np.array(slack)
        self._scale = rng.uniform(-0.003, 0.003, 2) if scale is None else np.array(scale)
        self._depth = rng.uniform(-0.05, 0.05)
        self._caliper = caliper
        self._is_pushed = is_pushed
        self._rng = rng
        self.bit_error, self.scale = self._bit, self._scale
        self.truth = (self._bit, *self._slack, *self._scale, self._depth)

    def cut(self, outline, *, nominal_mm, assumed_mm):
        """The piece as it comes off a machine whose paths were made for a bit of assumed_mm."""
        path = to_area(outline, chord_mm=5e-4).buffer(assumed_mm / 2, quad_segs=32).exterior.segmentize(STEP_MM)
        points = np.array(path.coords)[:-1]
        if LinearRing(points).is_ccw:
            points = points[::-1]
        actual = self.strayed(np.concatenate([points, points]))[len(points) :]
        ring = LineString([*actual, actual[0]])
        left = Polygon(actual).buffer(0).difference(ring.buffer((nominal_mm + self._bit) / 2, quad_segs=24))
        return max(getattr(left, "geoms", [left]), key=lambda part: part.area).simplify(1e-3)

    def strayed(self, points):
        """Where the bit's centre really goes when it is sent from point to point: (n, 2) mm in, (n, 2) mm out."""
        where = self._pushed if self._is_pushed else self._lagging
        return np.column_stack([where(points, axis) for axis in (0, 1)]) * (1 + self._scale)

    def _pushed(self, points, axis):
        """To the left of travel: the wood stands on the right. Where nothing pushes along the axis, it stays."""
        ahead = np.diff(points, axis=0, append=points[-1:])
        off = ahead[:, 0] if axis == 1 else -ahead[:, 1]
        is_pushing = np.abs(off) > 0.1 * np.hypot(*ahead.T)
        last = np.maximum.accumulate(np.where(is_pushing, np.arange(len(points)), 0))
        return points[:, axis] + np.sign(off[last]) * self._slack[axis] / 2

    def _lagging(self, points, axis):
        wanted, half = points[:, axis], self._slack[axis] / 2
        place, found = wanted[0], []
        for low, high in zip((wanted - half).tolist(), (wanted + half).tolist(), strict=True):
            place = low if place < low else high if place > high else place
            found.append(place)
        return np.array(found)

    def read(self, value, count=3):
        return tuple(round(float(value + self._rng.normal(0, self._caliper)), 2) for _ in range(count))

    def read_card(self, card, *, nominal_mm, assumed_mm):
        """Cut the card, read every feature, try every peg."""
        cut = {p.id: self.cut(p.outline, nominal_mm=nominal_mm, assumed_mm=assumed_mm) for p in card.pieces}
        return self.read_cut_card(card, cut)

    def read_cut_card(self, card, cut, *, is_askew=False):
        """Read every feature of the card's sticks as cut, each in its own frame, and try every peg."""
        sizes = {f.feature: self.read(self._size(cut, f)) for f in card.features}
        socket = end_of(cut["card-gauge"], 0)
        width = _extent(cut["card-gauge"], ((60, -25), (60, 25)))
        pegs, best = [], (1e9, 0)
        for rung in card.rungs:
            # faces askew by a scale lock sideways while they touch: a hand slides them a hair apart
            aparts = (1e-3, 0.01, 0.02) if is_askew else (1e-3,)
            plays = hand_plays(end_of(cut[rung.piece_id], rung.end, PEG_STICK_MM), socket, aparts)
            if plays is None:
                continue
            shut, opened, side = plays
            best = min(best, (abs(opened - shut - 0.3), rung.pips))
            pegs.append(
                PegReadings(
                    pips=rung.pips,
                    span_shut_mm=self.read(card.span_mm + shut),
                    span_open_mm=self.read(card.span_mm + opened),
                    over_left_mm=self.read(width + side),
                    over_right_mm=self.read(width + side),
                )
            )
        return CardReadings(sizes_mm=sizes, pegs=tuple(pegs), best_pips=best[1])

    def _size(self, cut, feature):
        if feature.feature is Feature.GROOVE_DEPTH:
            return feature.designed_mm + self._depth
        piece, ((x0, y0), (x1, y1)) = cut[feature.piece_id], feature.between
        long = np.hypot(x1 - x0, y1 - y0)
        ux, uy = (x1 - x0) / long, (y1 - y0) / long
        middle = ((x0 + x1) / 2, (y0 + y1) / 2)
        reach = long / 2 + 3
        ends = tuple((middle[0] + way * reach * ux, middle[1] + way * reach * uy) for way in (-1, 1))
        wood = _extent(piece, ends)
        return 2 * reach - wood if feature.is_slot else wood


def _extent(piece, ends):
    return piece.intersection(LineString(ends)).length


def end_of(piece, end, length=0.0):
    """The piece near one end, in its end frame; the face within a slack of x = 0."""
    from shapely.geometry import box

    turned = affinity.rotate(piece, 180, origin=(0, 0)) if end == 0 else affinity.translate(piece, -length, 0)
    return turned.intersection(box(-FAR_MM, -30, 30, 30))


def hand_plays(peg, socket, aparts_mm=(1e-3,)):
    """Least opening, greatest opening and half the sideways way when pushed home; None when it does not go in."""
    solids = Solids(rings_of(peg), rings_of(socket))
    shifts, step = np.linspace(-0.3, 0.3, 7), 0.1
    low, high = (9.0, 0.0), (-9.0, 0.0)
    for _ in range(4):
        for shift in shifts:
            least, most = openings_mm(solids, shift_mm=shift, angle_rad=0.0)
            if least <= most < 9:
                # faces that are flat touch at many shifts: the one nearest the middle leaves room either way
                low = min(low, (least, shift), key=lambda pair: (round(pair[0], 4), abs(pair[1])))
                high = max(high, (most, shift))
        step /= 3
        shifts = {high[1] + way * step for way in (-2, -1, 1, 2)}
    if high[0] - low[0] < 0.02:
        return None
    shifts = (low[1], high[1], 0.0) if len(aparts_mm) > 1 else (low[1],)
    sides = (
        sum(sideways(placed(solids.peg, shift_mm=shift, angle_rad=0.0), solids.socket, opening_mm=low[0] + apart)) / 2
        for apart in aparts_mm
        for shift in shifts
    )
    return low[0], high[0], max(sides)
