"""Pieces onto boards of any outline, as close as the bit allows: which piece goes where.

Glossary:
    item: an outline wanted so many times, with the turns it may lie at. copy: one of them, numbered from 0.
    gap: least distance between two pieces: the room that the bit needs, no less. Not the kerf.

How it is done: the places where a piece may not lie beside another are worked out once for every two forms (Minkowski
sums of their covers, grown by the gap), so that laying a piece is taking those areas out of the room on the board and
choosing a corner of what is left. Pegs reach into corners, curves into curves, because the true outlines are used.
Which piece is laid when is searched for, by a given number of tries; see ``nesting_search``.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.geometry.contours import area_mm2
from platelayer.geometry.fewest import fewest_boards
from platelayer.geometry.no_fit import cover
from platelayer.geometry.regions import Area, buffered, difference, to_area, union_all
from platelayer.placing.nesting_fill import FreeSpace, Spot
from platelayer.placing.nesting_forms import Forms
from platelayer.placing.nesting_search import best_filling
from platelayer.values.shapes import Arc, Contour, Pose

TRIES: Final = 36
"""Fillings tried for a job that needs more than one board: one to two seconds for sixty pieces."""

_CLEAR_CHORD_MM: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class NestItem:
    """An outline in its own frame, closed and counter-clockwise, with the turns allowed and the number wanted."""

    name: str
    outline: Contour
    turns_rad: tuple[float, ...] = (0.0, math.pi)
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class NestBoard:
    """A board or offcut: its outline, closed and counter-clockwise, and areas that pieces keep off by the no-go gap."""

    id: str
    outline: Contour
    no_go: tuple[Contour, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class NestPlace:
    """Where one copy of an item lies: the pose of its own frame in board coordinates."""

    name: str
    copy: int
    board_id: str
    pose: Pose


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """Placements board by board, left to right; what found no place as (name, copy)."""

    placements: tuple[NestPlace, ...]
    left: tuple[tuple[str, int], ...]


def nest(
    items: Sequence[NestItem],
    boards: Sequence[NestBoard],
    *,
    gap_mm: float,
    margin_mm: float,
    no_go_gap_mm: float = 0.0,
    tries: int = TRIES,
) -> Nest:
    """Places for the items on the boards, boards taken in the order given; always the same for the same arguments.

    Promised: pieces are at least gap_mm apart, margin_mm from the board's edge and no_go_gap_mm from what is no-go,
    and lie at one of their turns. Not promised: the fewest boards that could do.

    Args:
        items: names must differ.
        boards: each is used once.
        gap_mm: least distance between pieces.
        margin_mm: least distance of a piece from the board's edge.
        no_go_gap_mm: least distance of a piece from a no-go area.
        tries: fillings tried when the first ones need more boards than the wood of the pieces would fill.

    Raises:
        JobError: two items of one name, an item with no turn, or a negative distance.
    """
    _refuse_bad(items, gap_mm=gap_mm, margin_mm=margin_mm)
    shapes, counts, owners = _distinct(items)
    forms = Forms([shape[0] for shape in shapes], [shape[1] for shape in shapes], gap_mm=gap_mm)
    kinds = list(dict.fromkeys((board.outline, board.no_go) for board in boards))
    containers = [_container(*kind, margin_mm=margin_mm, no_go_gap_mm=no_go_gap_mm) for kind in kinds]
    areas = [area_mm2(shape[0]) for shape in shapes]
    needed = math.fsum(area * count for area, count in zip(areas, counts, strict=True))
    filling = best_filling(
        FreeSpace(containers, forms),
        [kinds.index((board.outline, board.no_go)) for board in boards],
        counts,
        areas,
        fewest_boards=fewest_boards(needed, [area_mm2(board.outline) for board in boards]),
        tries=tries,
    )
    spots = sorted(filling.spots(), key=lambda spot: _reading_order(spot, forms))
    placements, left = _named(spots, owners, forms, boards)
    return Nest(placements=placements, left=left)


def _refuse_bad(items: Sequence[NestItem], *, gap_mm: float, margin_mm: float) -> None:
    faults = [
        Fault(where=where, found=f"{value:g} mm", problem="a distance cannot be negative", fix="Use 0 or more.")
        for where, value in (("gap", gap_mm), ("margin", margin_mm))
        if value < 0
    ]
    names = [item.name for item in items]
    faults += [
        Fault(where=name, problem="two items of this name", fix="Give each a name of its own.")
        for name in sorted({name for name in names if names.count(name) > 1})
    ]
    faults += [
        Fault(where=item.name, problem="may not lie at any turn", fix="Allow at least one.")
        for item in items
        if not item.turns_rad
    ]
    if faults:
        raise JobError(*faults)


Shape = tuple[Contour, tuple[float, ...]]


def _distinct(items: Sequence[NestItem]) -> tuple[list[Shape], list[int], list[list[tuple[str, int]]]]:
    """Items of one outline and the same turns counted together: shapes, counts, and whose copies they are."""
    owners: dict[Shape, list[tuple[str, int]]] = {}
    for item in items:
        if item.count > 0:
            owners.setdefault((item.outline, item.turns_rad), []).extend((item.name, i) for i in range(item.count))
    return list(owners), [len(copies) for copies in owners.values()], list(owners.values())


def _container(outline: Contour, no_go: tuple[Contour, ...], *, margin_mm: float, no_go_gap_mm: float) -> Area:
    """Where pieces may lie: the board less its margin and the no-go areas grown by their gap."""
    curved = any(isinstance(segment, Arc) for segment in outline.segments)
    spare = 2 * _CLEAR_CHORD_MM if curved else 0.0
    inside = buffered(to_area(outline, chord_mm=_CLEAR_CHORD_MM), -(margin_mm + spare), chord_mm=_CLEAR_CHORD_MM)
    if not no_go:
        return inside
    grown = [
        buffered(cover(area, chord_mm=_CLEAR_CHORD_MM), no_go_gap_mm + _CLEAR_CHORD_MM, chord_mm=_CLEAR_CHORD_MM)
        for area in no_go
    ]
    return difference(inside, union_all(grown))


def taken_mm2(outline: Contour, *, gap_mm: float) -> float:
    """Wood that a piece takes with half the gap round it, which no other piece takes; no more than that."""
    grown = buffered(to_area(outline, chord_mm=_CLEAR_CHORD_MM), gap_mm / 2, chord_mm=_CLEAR_CHORD_MM)
    return float(grown.area)


def offered_mm2(board: NestBoard, *, gap_mm: float, margin_mm: float, no_go_gap_mm: float) -> float:
    """Wood that a board has for pieces and half the gap round each; no less than that.

    Pieces that take more than all boards offer find no place however they are laid.
    """
    inside = _container(board.outline, board.no_go, margin_mm=margin_mm, no_go_gap_mm=no_go_gap_mm)
    return float(buffered(inside, gap_mm / 2 + _CLEAR_CHORD_MM, chord_mm=_CLEAR_CHORD_MM).area)


def _reading_order(spot: Spot, forms: Forms) -> tuple[int, float, float]:
    low_x, low_y, _, _ = forms.bounds[spot.form]
    return spot.board, round(spot.at[0] + low_x, 3), round(spot.at[1] + low_y, 3)


def _named(
    spots: Sequence[Spot], owners: list[list[tuple[str, int]]], forms: Forms, boards: Sequence[NestBoard]
) -> tuple[tuple[NestPlace, ...], tuple[tuple[str, int], ...]]:
    """Spots given to copies in order, and the copies that got none."""
    waiting = [iter(copies) for copies in owners]
    placements = []
    for spot in spots:
        name, copy = next(waiting[forms.shape[spot.form]])
        pose = Pose(spot.at[0], spot.at[1], forms.turn_rad[spot.form])
        placements.append(NestPlace(name=name, copy=copy, board_id=boards[spot.board].id, pose=pose))
    return tuple(placements), tuple(copy for rest in waiting for copy in rest)
