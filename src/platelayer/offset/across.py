"""Tabs of all pieces of a board: each across its slot to what stands still or to a neighbour, whose tab it is as well.

Glossary:
    berth: a stretch of a piece's finish loop beside one of its sides on which tabs may stand; places on it are
    distances along that loop. across: what a place faces beyond the slot: waste that stands, or one neighbour's berth.
    post: what tabs tie together: a piece, a block of waste, or the rim, which stands still.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import point_along
from platelayer.geometry.regions import Area, Floats, distances_mm, holds_points
from platelayer.offset.outlines import Body
from platelayer.offset.paths import direction_along, nearest_along, views_along
from platelayer.offset.room import webbed_mm
from platelayer.offset.tabs import LEAST_SIDES, flank_mm, has_tabs, tab_counts, tab_height_mm
from platelayer.offset.waste import Waste, least_standing_mm
from platelayer.tolerances import COINCIDENT_MM, FINISH_ALLOWANCE_MM
from platelayer.units import show_length
from platelayer.values.cuts import Tab
from platelayer.values.pieces import Piece

_STEP_MM: Final = 1.0
"""Places for tabs are looked at so far apart."""

_NOTHING: Final = -1
_RIM: Final = -2
"""What is across that is no neighbour's berth: nothing that holds, the rim, or below that one block after another."""

_FACING: Final = math.cos(math.radians(8.0))
"""Two sides face one another where their normals lie so nearly in one line; a tab between them is as wide as said."""


@dataclass(slots=True, kw_only=True)
class _Berth:
    """Places of one berth, ``(n,)`` and ``(n, 2)`` arrays; ``across`` is the number of a berth, or waste.

    ``is_thin``: beyond the slot there is waste too thin to stand, and then a neighbour; it is milled away.
    """

    body: int
    wanted: int
    at_mm: Floats
    centres: Floats
    wood: Floats
    normals: Floats
    across: npt.NDArray[np.intp]
    is_thin: npt.NDArray[np.bool_]
    taken: list[float] = field(default_factory=list)

    @property
    def length_mm(self) -> float:
        """All of it, along the loop."""
        return float(self.at_mm[-1] - self.at_mm[0])

    def is_free(self, at_mm: float, half_mm: float) -> bool:
        """A tab there reaches into no other and not beyond the berth."""
        inside = self.at_mm[0] + half_mm <= at_mm + COINCIDENT_MM and at_mm <= self.at_mm[-1] - half_mm + COINCIDENT_MM
        return bool(inside) and all(abs(at_mm - other) >= 2 * half_mm - COINCIDENT_MM for other in self.taken)


def tabs_across(
    bodies: Sequence[Body], solids: Sequence[Area], waste: Waste
) -> tuple[tuple[tuple[Tab, ...], ...], tuple[Area, ...]]:
    """The tabs of every piece, one that two share among those of both, and the blocks of waste that hang by some.

    Args:
        bodies: the pieces where they lie, all cut alike.
        solids: their outlines as areas.
        waste: what stands between them.

    Raises:
        CannotCut: a piece without room for its tabs, or one that hangs by its tabs on nothing that stands still.
    """
    task = bodies[0].task
    held = [has_tabs(body.task.piece, task.holding) for body in bodies]
    if not any(held):
        return tuple(() for _ in bodies), ()
    height = tab_height_mm(task.holding, task.board)
    half = (task.holding.tab_width_mm + task.bit.diameter_mm) / 2 + flank_mm(height, task.board, task.depth_mm)
    berths = [berth for number, body in enumerate(bodies) for berth in _berths(number, body)]
    _look_across(berths, bodies, solids, waste)
    mooring = _Mooring(bodies, berths, half)
    for number, body in enumerate(bodies):
        if held[number] and not mooring.hold(number):
            raise CannotCut(_no_room(body, 2 * half, [berth.length_mm for berth in berths if berth.body == number]))
    adrift = mooring.tie_together([number for number in range(len(bodies)) if held[number]])
    if adrift is not None:
        raise CannotCut(_adrift(bodies[adrift].task.piece))
    width = task.holding.tab_width_mm
    tabs = tuple(
        tuple(
            Tab(_wood_at(body, at), width, height)
            for berth in berths
            if berth.body == number
            for at in sorted(berth.taken)
        )
        for number, body in enumerate(bodies)
    )
    hung = {other for _, other in mooring.ties}
    return tabs, tuple(block for number, block in enumerate(waste.blocks) if _RIM - 1 - number in hung)


def _wood_at(body: Body, along_mm: float) -> tuple[float, float]:
    """The point of the outline beside a place on the finish loop, on the right of travel."""
    (x, y), (ux, uy) = point_along(body.finish, along_mm), direction_along(body.finish, along_mm)
    radius = body.task.bit.radius_mm
    return x + uy * radius, y - ux * radius


def _berths(number: int, body: Body) -> list[_Berth]:
    """The berths of a piece, one a side that is long enough for any."""
    sites, task = body.sites, body.task
    counts = tab_counts(task.piece, task.holding, len(sites.sides))
    found = []
    for at, side in enumerate(sites.sides):
        first, last = sites.first_mm(at), side.length_mm - sites.end_clear_mm
        if last <= first:
            continue
        high, low = (nearest_along(body.finish, side.at(along)) for along in (first, last))
        if high <= low:
            continue
        places = np.linspace(low, high, max(2, math.ceil((high - low) / _STEP_MM) + 1))
        centres, normals = views_along(body.finish, places)
        found.append(
            _Berth(
                body=number,
                wanted=counts[at],
                at_mm=places,
                centres=centres,
                wood=centres - normals * task.bit.radius_mm,
                normals=normals,
                across=np.full(len(places), _NOTHING, dtype=np.intp),
                is_thin=np.zeros(len(places), dtype=np.bool_),
            )
        )
    return found


def _look_across(berths: Sequence[_Berth], bodies: Sequence[Body], solids: Sequence[Area], waste: Waste) -> None:
    """What every place of every berth faces."""
    task = bodies[0].task
    slot = task.bit.diameter_mm + FINISH_ALLOWANCE_MM
    least = least_standing_mm(task)
    near, far = 2 * slot, 2 * slot + least
    boxes = np.array([solid.bounds for solid in solids])
    for berth in berths:
        low, high = berth.wood.min(axis=0) - far, berth.wood.max(axis=0) + far
        beside = np.nonzero(np.all((boxes[:, :2] <= high) & (boxes[:, 2:] >= low), axis=1))[0]
        others = [int(other) for other in beside if other != berth.body]
        apart = np.array([distances_mm(solids[other], berth.wood) for other in others])
        apart = apart.reshape(len(others), len(berth.wood))
        alone = (apart < far).sum(axis=0)
        berth.is_thin |= ((apart >= near) & (apart < far)).any(axis=0)
        beyond = (slot + share * least for share in (0.1, 0.9))
        near_side, far_side = (berth.wood + berth.normals * out for out in beyond)
        for down, part in enumerate((waste.rim, *waste.blocks)):
            stands = holds_points(part, near_side) & holds_points(part, far_side)
            berth.across[(alone == 0) & stands] = _RIM - down
        for row, other in enumerate(others):
            facing = (alone == 1) & (apart[row] < near)
            _face(berth, np.nonzero(facing)[0], [(n, one) for n, one in enumerate(berths) if one.body == other])


def _face(berth: _Berth, places: npt.NDArray[np.intp], opposite: Sequence[tuple[int, _Berth]]) -> None:
    """Notes of those places which berth of a neighbour they face."""
    for number, other in opposite:
        if not len(places):
            return
        gaps = np.hypot(*(berth.centres[places][:, None, :] - other.centres[None, :, :]).transpose(2, 0, 1))
        nearest = gaps.argmin(axis=1)
        way = other.centres[nearest] - berth.centres[places]
        aside = np.abs(way[:, 0] * berth.normals[places, 1] - way[:, 1] * berth.normals[places, 0])
        turned = (berth.normals[places] * other.normals[nearest]).sum(axis=1)
        facing = (aside <= _STEP_MM) & (turned <= -_FACING)
        berth.across[places[facing]] = number


class _Mooring:
    """Tabs being placed: all berths, by how much on either side a tab takes room on a loop, and what is tied to what.

    Posts are pieces by their numbers, the rim and blocks as what is across.
    """

    def __init__(self, bodies: Sequence[Body], berths: Sequence[_Berth], half_mm: float) -> None:
        self.bodies = bodies
        self.berths = berths
        self.half_mm = half_mm
        self.ties: list[tuple[int, int]] = []

    def hold(self, body: int) -> bool:
        """Tabs for one piece, spread over its sides, those counted that it shares already; whether they are enough.

        A side without room leaves its share to the others; where they have none for it either, as many as a piece of
        LEAST_SIDES has are enough. A side with room has one, however many a neighbour put on another.
        """
        own, task = [berth for berth in self.berths if berth.body == body], self.bodies[body].task
        sides = len(self.bodies[body].sites.sides)
        wanted, enough = sum(tab_counts(task.piece, task.holding, sides)), _enough(self.bodies[body])
        for more in range(wanted + 1):
            for berth in own:
                if sum(len(one.taken) for one in own) < wanted:
                    self._spread(berth, berth.wanted + more)
        for berth in own:
            self._spread(berth, min(berth.wanted, 1))
        return sum(len(berth.taken) for berth in own) >= enough

    def _spread(self, berth: _Berth, count: int) -> None:
        """So many tabs on a berth as evenly as what is across allows, the furthest from those that stand first."""
        low, high = berth.at_mm[0], berth.at_mm[-1]
        places = [low + (high - low) * (index + 0.5) / count for index in range(count)]
        while len(berth.taken) < count and places:
            places.sort(key=lambda place: min((abs(place - other) for other in berth.taken), default=math.inf))
            self._moor(berth, places.pop(), frozenset())

    def _moor(self, berth: _Berth, wish_mm: float, but: frozenset[int]) -> bool:
        """A tab as near to a place as may be, to no post of some; False where none may stand."""
        for index in np.argsort(np.abs(berth.at_mm - wish_mm), kind="stable").tolist():
            across, at = int(berth.across[index]), float(berth.at_mm[index])
            post = self.berths[across].body if across >= 0 else across
            if across == _NOTHING or post in but or not self._is_alike(berth, index):
                continue
            if not berth.is_free(at, self.half_mm):
                continue
            if across >= 0:
                other = self.berths[across]
                x, y = berth.centres[index].tolist()
                there = nearest_along(self.bodies[other.body].finish, (x, y))
                if not other.is_free(there, self.half_mm):
                    continue
                other.taken.append(there)
            berth.taken.append(at)
            self.ties.append((berth.body, post))
            return True
        return False

    def _is_alike(self, berth: _Berth, index: int) -> bool:
        """The same is across all along a tab and its flanks, and the bit that mills thin waste stays off the tab.

        It goes up to its diameter past the end of what it mills; half of that is spared for the lifts already.
        """
        away = np.abs(berth.at_mm - berth.at_mm[index])
        spare_mm = self.bodies[berth.body].task.bit.radius_mm + _STEP_MM
        is_alike = (berth.across[away <= self.half_mm] == berth.across[index]).all()
        return bool(is_alike and not berth.is_thin[away <= self.half_mm + spare_mm].any())

    def tie_together(self, held: Sequence[int]) -> int | None:
        """One tab more wherever pieces that tabs hold are tied only to one another; a piece of those left adrift."""
        while True:
            group = self._adrift(held)
            if not group:
                return None
            bodies = sorted(post for post in group if post >= 0)
            berths = (berth for berth in self.berths if berth.body in bodies)
            if not any(self._moor(berth, float(berth.at_mm.mean()), group) for berth in berths):
                return bodies[0]

    def _adrift(self, held: Sequence[int]) -> frozenset[int]:
        """Posts tied together and to nothing that stands still, which is the rim or a piece that no tab need hold."""
        near: dict[int, set[int]] = {}
        for one, other in self.ties:
            near.setdefault(one, set()).add(other)
            near.setdefault(other, set()).add(one)
        safe = _tied_to([_RIM, *(post for post in near if post >= 0 and post not in held)], near)
        first = next((body for body in held if body not in safe), None)
        return frozenset() if first is None else _tied_to([first], near)


def _tied_to(posts: Sequence[int], near: Mapping[int, set[int]]) -> frozenset[int]:
    """Posts and all that is tied to them, by what is tied to each."""
    found: set[int] = set()
    waiting = [*posts]
    while waiting:
        post = waiting.pop()
        if post not in found:
            found.add(post)
            waiting += near.get(post, ())
    return frozenset(found)


def _enough(body: Body) -> int:
    """Tabs that hold a piece: what is wanted of it, and no more than of one with LEAST_SIDES."""
    return sum(tab_counts(body.task.piece, body.task.holding, min(len(body.sites.sides), LEAST_SIDES)))


def _no_room(body: Body, whole_mm: float, berths_mm: Sequence[float]) -> Fault:
    """The fault of a piece without room for its tabs; were there wood along all of its berths, more gap mends it."""
    task, apart = body.task, ""
    if sum(int((length + COINCIDENT_MM) // whole_mm) for length in berths_mm) >= _enough(body):
        gap_mm = math.ceil(10 * webbed_mm(task.bit, task.board)) / 10
        apart = f'Give gap = "{gap_mm:.1f} mm" in [cutting], so that wood stands between pieces. Or use'
    return Fault(
        where="[holding] tab_width",
        problem=f"{task.piece.title}: each tab takes {show_length(whole_mm)} with the bit and the ramps beside it, and "
        "away from ends and lead-in too few find room opposite wood that stands or a neighbour's side",
        fix=f"{apart or 'Use'} narrower or lower tabs, a smaller bit for the outlines, or a skin.",
    )


def _adrift(piece: Piece) -> Fault:
    return Fault(
        where="[holding] kind",
        found="tabs",
        problem=f"{piece.title}: its tabs and its neighbours' lead to nothing that stands still",
        fix="Leave more room to the board's edge or between pieces, or hold them by a skin.",
    )
