"""Whether a part goes into the small-parts cylinder, in any orientation: a caution, never a certificate.

Glossary:
    cylinder: the gauge of 16 CFR 1501.4: a round hole with a slanting floor. A part that goes in entirely, in any
    orientation and without being pressed, is too small for children under three.
    part: a solid of one thickness over an outline: its outline's corners at both faces.

The gauge is 1.25 in wide (31.75 mm); its floor slants at 45 degrees from 1 in deep to 2.25 in. SOR/2011-17 prints 31.7,
25.4 and 57.1 mm; the larger is used. As a set of points: with z up from the rim's plane at 0, points with
x^2 + y^2 <= r^2, z <= 0 and z >= -(depth at x), the depth going from the lesser at x = -r to the greater at x = r.

Theory: the gauge is convex, so a part goes in exactly when the corners of its convex hull do. For one orientation the
corners' shadow must fit a circle of radius r; where it stands in that circle decides how deep its corners may go. All
rotations are searched: a seeded net, with the part upright and lying in it, the best few climbed by scipy's linear
programs. What is found to fit was checked corner by corner; what is said not to fit was not found to.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.geometry.regions import contour_points
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import inches
from platelayer.values.shapes import Contour

Floats = npt.NDArray[np.float64]

WIDTH_MM: Final = inches(1.25)
SHALLOW_MM: Final = inches(1.0)
DEEP_MM: Final = inches(2.25)

_CHORD_MM: Final = 1 / 32
_NET: Final = 2000
_REFINED: Final = 20
_SPINS: Final = 12
_FIRST_STEP: Final = 4.0
_LAST_STEP: Final = 0.04
_HOPELESS_MM: Final = 8.0
_STEPS: Final = 60
_SEED: Final = 1501


@dataclass(frozen=True, slots=True)
class Floor:
    """Depth of the floor where it is nearest to the rim and where it is furthest."""

    shallow_mm: float
    deep_mm: float


SLANTING: Final = Floor(SHALLOW_MM, DEEP_MM)
"""The gauge as it stands in the rule."""

FLAT: Final = Floor(DEEP_MM, DEEP_MM)
"""A cautious gauge: as deep all over as the rule's is at its deepest, so that near misses are warned of too."""


@dataclass(frozen=True, slots=True)
class SmallParts:
    """Answer of the gauge.

    Attributes:
        fits: goes into the gauge of the rule.
        nearly_fits: goes into the cautious gauge, which holds everything that fits and a little more.
        spare_mm: by how much it fits the gauge of the rule, or, negative, sticks out, in the best orientation found.
    """

    fits: bool
    nearly_fits: bool
    spare_mm: float


def in_cylinder(outline: Contour, *, thickness_mm: float) -> SmallParts:
    """Whether a part of one thickness goes entirely into the gauge; a part within COINCIDENT_MM of it goes in."""
    corners = hull_corners(outline, thickness_mm=thickness_mm)
    spare = _best_spare(corners, SLANTING)
    fits = spare >= -COINCIDENT_MM
    nearly = fits or _best_spare(corners, FLAT) >= -COINCIDENT_MM
    return SmallParts(fits=fits, nearly_fits=nearly, spare_mm=spare)


def hull_corners(outline: Contour, *, thickness_mm: float) -> Floats:
    """(n, 3) corners of the part's convex hull about its middle; arcs flattened outwards by at most 1/16 mm."""
    from scipy.spatial import ConvexHull  # slow to import

    flat = contour_points(outline, chord_mm=_CHORD_MM)
    flat = flat[ConvexHull(flat).vertices]
    flat = flat - (flat.min(axis=0) + flat.max(axis=0)) / 2
    height = thickness_mm / 2
    return np.vstack([np.column_stack((flat, np.full(len(flat), z))) for z in (-height, height)])


def spare_mm(corners: Floats, rotation: Floats, place: Floats, floor: Floor = SLANTING) -> float:
    """How far all corners are inside the gauge in that orientation, at that place of its hole, pushed right down.

    Negative: the furthest corner sticks out so much. The part is lowered until it stands on the slanting floor.
    """
    turned = corners @ rotation.T + np.array([place[0], place[1], 0.0])
    radius = WIDTH_MM / 2
    across = radius - np.hypot(turned[:, 0], turned[:, 1]).max()
    # the floor at x is this deep; the part may go down until the first corner stands on it
    below = floor.shallow_mm + (turned[:, 0] + radius) / WIDTH_MM * (floor.deep_mm - floor.shallow_mm)
    lowest = (turned[:, 2] + below).min()
    return float(min(across, lowest - turned[:, 2].max()))


def _best_spare(corners: Floats, floor: Floor) -> float:
    from scipy.spatial.transform import Rotation  # slow to import

    square = Rotation.create_group("O").as_matrix()
    spun = Rotation.from_rotvec(np.arange(_SPINS)[:, None] * np.array([0.0, 0.0, np.pi / _SPINS])).as_matrix()
    upright = np.einsum("aij,bjk->abik", spun, square).reshape(-1, 3, 3)
    net = np.concatenate((upright, Rotation.random(_NET, random_state=_SEED).as_matrix()))
    values = np.array([_lying(corners, matrix, floor) for matrix in net])
    best = -np.inf
    for index in np.argsort(-values)[:_REFINED]:
        best = max(best, _climbed(corners, net[index], floor))
        if best >= 0 or values[index] < best - _HOPELESS_MM:
            break
    return best


def _climbed(corners: Floats, rotation: Floats, floor: Floor) -> float:
    """Greatest spare near an orientation: every corner's distances made linear, moved by linear programs in turn."""
    place, reach = _middle(corners, rotation), _FIRST_STEP
    best = spare_mm(corners, rotation, place, floor)
    for _ in range(_STEPS):
        if reach < _LAST_STEP:
            break
        turn, step = _moved(corners @ rotation.T, place, reach, floor)
        tried, there = turn @ rotation, place + step
        value = spare_mm(corners, tried, there, floor)
        if value > best + COINCIDENT_MM:
            best, rotation, place = value, tried, there
            continue
        reach /= 3
    return best


def _moved(turned: Floats, place: Floats, reach: float, floor: Floor) -> tuple[Floats, Floats]:
    """A small rotation and a shift that raise the least of all distances most, as far as they are linear.

    Unknowns: turns about x, y, z; shifts along x, y, z; the least distance, t. A turn w moves a corner p by w x p.
    """
    from scipy.optimize import linprog  # slow to import
    from scipy.spatial.transform import Rotation  # slow to import

    x, y, z = turned[:, 0] + place[0], turned[:, 1] + place[1], turned[:, 2]
    nil, one = np.zeros_like(x), np.ones_like(x)
    px, py, pz = turned.T
    dx = np.column_stack((nil, pz, -py, one, nil, nil))
    dy = np.column_stack((-pz, nil, px, nil, one, nil))
    dz = np.column_stack((py, -px, nil, nil, nil, one))
    away = np.hypot(x, y)
    outward = np.maximum(away, COINCIDENT_MM)
    radius = WIDTH_MM / 2
    wall = -(x / outward)[:, None] * dx - (y / outward)[:, None] * dy
    slope = (floor.deep_mm - floor.shallow_mm) / WIDTH_MM
    stands = z + floor.shallow_mm + (x + radius) * slope
    growth = np.vstack((wall, dz + slope * dx, -dz))
    distance = np.concatenate((radius - away, stands, -z))
    lever = float(np.abs(turned).max())
    bounds = [(-reach / lever, reach / lever)] * 3 + [(-reach, reach)] * 2 + [(None, None)] * 2
    # the part stands on the floor; walls and rim are what it must clear by t
    clears = np.concatenate((one, nil, one))
    found = linprog([0, 0, 0, 0, 0, 0, -1], A_ub=np.column_stack((-growth, clears)), b_ub=distance, bounds=bounds)
    return Rotation.from_rotvec(found.x[:3]).as_matrix(), found.x[3:5]


def _middle(corners: Floats, rotation: Floats) -> Floats:
    """The place that puts the middle of the shadow's box over the middle of the hole."""
    turned = corners @ rotation.T
    return np.asarray(-(turned.min(axis=0) + turned.max(axis=0))[:2] / 2)


def _lying(corners: Floats, rotation: Floats, floor: Floor) -> float:
    """Spare with the shadow's box in the middle of the hole: quick, and never more than the best place gives."""
    return spare_mm(corners, rotation, _middle(corners, rotation), floor)


def caution_words(title: str, answer: SmallParts) -> str:
    """The caution for one part, as a sentence; never more than a caution."""
    if answer.fits:
        return (
            f"{title}: goes into the small-parts cylinder of toy rules. Not for children under three. "
            "This is a caution, not a certificate."
        )
    if answer.nearly_fits:
        return (
            f"{title}: sticks out of the small-parts cylinder of toy rules by only {-answer.spare_mm:.1f} mm. "
            "Treat it as a small part: not for children under three. This is a caution, not a certificate."
        )
    return (
        f"{title}: sticks out of the small-parts cylinder by {-answer.spare_mm:.1f} mm in the best orientation found."
    )
