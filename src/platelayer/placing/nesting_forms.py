"""Outlines turned as they may lie, and where one may lie beside another.

Glossary:
    form: the cover of one outline at one allowed turn, about the outline's own origin. Not a placement: it has no
    place yet.
    beside: the no-fit area of one form about another; see the geometry room.
"""

import math
from collections.abc import Sequence
from typing import Final

import numpy as np

from platelayer.geometry.contours import transform_contour
from platelayer.geometry.no_fit import convex_parts, cover, filled, no_fit, shifted
from platelayer.geometry.regions import Area, moved
from platelayer.tolerances import ANGLE_RAD
from platelayer.values.shapes import Contour, Pose

COVER_CHORD_MM: Final = 0.1
"""How far a cover may stand off an arc; costs that much wood beside heads and curves and saves most of the time."""

_FILL_RADIUS_MM: Final = 6.0
"""Cavities that a disc of this radius cannot enter take no other piece: sockets."""

_FILL_CHORD_MM: Final = 0.5
_GAP_CHORD_MM: Final = 0.025


class Forms:
    """All forms of a set of outlines, numbered shape by shape, turn by turn, and their no-fit areas as asked for."""

    def __init__(self, outlines: Sequence[Contour], turns: Sequence[Sequence[float]], *, gap_mm: float) -> None:
        self.gap_mm = gap_mm
        self.turn_rad = [turn % math.tau for of_shape in turns for turn in of_shape]
        self.shape = [index for index, of_shape in enumerate(turns) for _ in of_shape]
        self.of_shape = [[f for f, owner in enumerate(self.shape) if owner == index] for index in range(len(turns))]
        self.area: list[Area] = [
            filled(
                cover(transform_contour(outlines[shape], Pose(0.0, 0.0, turn)), chord_mm=COVER_CHORD_MM),
                _FILL_RADIUS_MM,
                chord_mm=_FILL_CHORD_MM,
            )
            for shape, turn in zip(self.shape, self.turn_rad, strict=True)
        ]
        self.parts = [convex_parts(area) for area in self.area]
        self.bounds = [area.bounds for area in self.area]
        self._beside: dict[tuple[int, int], Area] = {}
        self._turned = {
            form: other
            for form, turn in enumerate(self.turn_rad)
            for other in self.of_shape[self.shape[form]]
            if abs(turn - math.pi - self.turn_rad[other]) < ANGLE_RAD
        }
        """Forms turned by half a turn or more whose fellow half a turn earlier is a form too."""

    def __len__(self) -> int:
        return len(self.shape)

    def beside(self, fixed: int, moving: int) -> Area:
        """Where the moving form's origin may not be while the fixed form's origin is at zero."""
        key = (fixed, moving)
        if key not in self._beside:
            self._beside[key] = self._found(fixed, moving)
        return self._beside[key]

    def _found(self, fixed: int, moving: int) -> Area:
        if fixed > moving:
            return moved(self.beside(moving, fixed), _HALF_TURN)
        if fixed in self._turned and moving in self._turned:
            return moved(self.beside(self._turned[fixed], self._turned[moving]), _HALF_TURN)
        return no_fit(self.parts[fixed], self.parts[moving], gap_mm=self.gap_mm, chord_mm=_GAP_CHORD_MM)


_HALF_TURN: Final = Pose(0.0, 0.0, math.pi)


def place_area(area: Area, at: tuple[float, float]) -> Area:
    """The area moved so that its origin is at the point."""
    return shifted(area, at[0], at[1])


def lowest_corner(points: "np.typing.NDArray[np.float64]", *, first: int) -> tuple[float, float]:
    """Of (n, 2) points the one with the least x (first 0) or y (first 1), then the least other coordinate."""
    order = np.lexsort((points[:, 1 - first], points[:, first]))
    x, y = points[order[0]]
    return float(x), float(y)
