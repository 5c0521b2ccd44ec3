"""Laying pieces one after another, each as near to a board's beginning as the ones before it allow.

Glossary:
    spot: board, form and place of one piece. free: where a form's origin may still be on a board.
    hand: shape, rule and wished turn of one piece in the order of laying.
    rule: which of the free places is taken: by the far end of the piece along the board, by its near end, or by
    its far end across the board.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum
from typing import Final

from platelayer.geometry.no_fit import corners, less, room_for
from platelayer.geometry.regions import Area, near_pairs
from platelayer.placing.nesting_forms import Forms, lowest_corner, place_area

Box = tuple[float, float, float, float]


class Rule(Enum):
    """Which free place a piece takes."""

    FAR_END = "far end along the board least"
    NEAR_END = "near end along the board least"
    ACROSS = "far end across the board least"


@dataclass(frozen=True, slots=True)
class Hand:
    """What is laid next: a shape, by which rule, and which of its turns if it can be had; -1 for whichever is best."""

    shape: int
    rule: Rule
    turn: int = -1


@dataclass(frozen=True, slots=True)
class Spot:
    """A piece of a shape lying as a form with its origin at a place on a board."""

    board: int
    form: int
    at: tuple[float, float]


@dataclass(slots=True)
class _Ground:
    """One board while it is filled: spots so far, and for each form asked about the free area up to some spot."""

    container: int
    spots: list[Spot] = field(default_factory=list)
    free: dict[int, tuple[int, Area]] = field(default_factory=dict)

    def copied(self) -> "_Ground":
        return _Ground(self.container, self.spots[:], self.free.copy())


class FreeSpace:
    """Where each form may lie on each empty container, worked out once."""

    def __init__(self, containers: list[Area], forms: Forms) -> None:
        self.containers = containers
        self.forms = forms
        self._found: dict[tuple[int, int], Area] = {}

    def room(self, container: int, form: int) -> Area:
        """Places of the form's origin with all of it in the container."""
        key = (container, form)
        if key not in self._found:
            self._found[key] = room_for(self.containers[container], self.forms.parts[form])
        return self._found[key]


class Filling:
    """Boards as filled so far; ``lay`` adds one piece, ``copied`` keeps a state to come back to."""

    def __init__(self, space: FreeSpace, containers: list[int]) -> None:
        self.space = space
        self.grounds = [_Ground(container) for container in containers]
        self.left: list[int] = []

    def copied(self) -> "Filling":
        """A filling that goes its own way from here."""
        other = Filling(self.space, [])
        other.grounds = [ground.copied() for ground in self.grounds]
        other.left = self.left[:]
        return other

    def spots(self) -> list[Spot]:
        """All spots, board by board in the order laid."""
        return [spot for ground in self.grounds for spot in ground.spots]

    def keeps_gaps(self) -> bool:
        """No two pieces are nearer than the gap: asked of the covers themselves, however the places were found."""
        forms = self.space.forms
        for ground in self.grounds:
            areas = [place_area(forms.area[spot.form], spot.at) for spot in ground.spots]
            if areas and near_pairs(areas, areas, forms.gap_mm).shape[1] > len(areas):
                return False
        return True

    def lay(self, hand: Hand) -> bool:
        """Lays one piece on the first board that has a place; False and noted as left when none has."""
        if hand.shape not in self.left:
            forms = self.space.forms.of_shape[hand.shape]
            wished = forms if hand.turn < 0 else forms[hand.turn : hand.turn + 1]
            for choice in (wished, forms) if wished != forms else (forms,):
                for index, ground in enumerate(self.grounds):
                    spot = self._best_spot(index, ground, choice, hand.rule)
                    if spot is not None:
                        ground.spots.append(spot)
                        return True
        self.left.append(hand.shape)
        return False

    def _best_spot(self, index: int, ground: _Ground, choice: Sequence[int], rule: Rule) -> Spot | None:
        forms = self.space.forms
        best: tuple[tuple[float, float, float], Spot] | None = None
        for form in choice:
            points = corners(self._free(ground, form))
            if not len(points):
                continue
            x, y = lowest_corner(points, first=1 if rule is Rule.ACROSS else 0)
            low_x, _, high_x, high_y = forms.bounds[form]
            near, far, top = x + low_x, x + high_x, y + high_y
            score = {
                Rule.FAR_END: (far, top, near),
                Rule.NEAR_END: (near, top, far),
                Rule.ACROSS: (top, far, near),
            }[rule]
            rounded = (round(score[0], _TIE_DECIMALS), round(score[1], _TIE_DECIMALS), round(score[2], _TIE_DECIMALS))
            if best is None or rounded < best[0]:
                best = (rounded, Spot(index, form, (x, y)))
        return None if best is None else best[1]

    def _free(self, ground: _Ground, form: int) -> Area:
        known, area = ground.free.get(form) or (0, self.space.room(ground.container, form))
        forms = self.space.forms
        for spot in ground.spots[known:]:
            if area.is_empty:
                break
            taken = place_area(forms.beside(spot.form, form), spot.at)
            if _may_meet(taken.bounds, area.bounds):
                area = less(area, taken)
        ground.free[form] = (len(ground.spots), area)
        return area


def _may_meet(first: Box, second: Box) -> bool:
    return first[0] <= second[2] and second[0] <= first[2] and first[1] <= second[3] and second[1] <= first[3]


_TIE_DECIMALS: Final = 4
"""Scores that agree to the last digit a program writes are equal, so that float noise never chooses."""
