"""Pieces that lie on each other, or through a wall: what no floor can hold.

Glossary:
    band: the area of a piece without its pegs, from its centre lines and the track's width.
"""

from collections.abc import Iterator, Sequence
from itertools import combinations

from platelayer.errors import Fault
from platelayer.geometry.contours import reversed_segment
from platelayer.geometry.grooves import all_beside, beside
from platelayer.geometry.regions import (
    Area,
    intersection,
    is_thinner_than_mm,
    line_through,
    near_pairs,
    to_area,
    union_all,
)
from platelayer.tolerances import FLOOR_CHORD_MM, FLOOR_OVERLAP_MM
from platelayer.values.layout import LaidFloor, LaidPiece
from platelayer.values.pieces import Route
from platelayer.values.shapes import Contour, Line


def band_of(route: Route, width_mm: float) -> Contour:
    """The closed contour round a centre line, from end face to end face.

    Raises:
        ValueError: a curve tighter than half the width.
    """
    left, right = all_beside(route.path, width_mm / 2), all_beside(route.path, -width_mm / 2)
    back = tuple(reversed_segment(one) for one in reversed(left.segments))
    return Contour(
        (*right.segments, Line(right.end, back[0].start), *back, Line(back[-1].end, right.start)), is_closed=True
    )


def area_of(piece: LaidPiece, width_mm: float) -> Area:
    """All bands of a piece as one area.

    Raises:
        ValueError: a curve tighter than half the width.
    """
    return union_all([to_area(band_of(route, width_mm), chord_mm=FLOOR_CHORD_MM) for route in piece.routes])


def overlaps(laid: LaidFloor, *, width_mm: float) -> tuple[Fault, ...]:
    """A fault for each pair of pieces that lie on each other, and for each piece in a wall.

    A bridge may lie over anything. Ends that are to meet may overlap by what they miss.

    Raises:
        ValueError: a curve tighter than half the width.
    """
    areas = [area_of(piece, width_mm) for piece in laid.pieces]
    return (*_on_each_other(laid, areas), *_in_walls(laid, areas))


def _on_each_other(laid: LaidFloor, areas: Sequence[Area]) -> Iterator[Fault]:
    meeting = {frozenset((miss.last, miss.met[0])) for miss in laid.misses if miss.met and miss.last is not None}
    near = {(int(a), int(b)) for a, b in near_pairs(areas, areas, 0.0).T} if areas else set()
    for first, second in combinations(range(len(areas)), 2):
        if (first, second) not in near and (second, first) not in near:
            continue
        pair = laid.pieces[first], laid.pieces[second]
        if any(piece.stock.passes_over for piece in pair) or frozenset((first, second)) in meeting:
            continue
        if _is_deep(intersection(areas[first], areas[second])):
            problem = f"{pair[1].id} lies on {pair[0].id}"
            fix = "Lay them otherwise, or with a crossing or a bridge (over = true) between them."
            where = f"[[stretch]] {pair[1].stretch} pieces {pair[1].number}"
            yield Fault(where=where, found=pair[1].stock.name, problem=problem, fix=fix)


def _in_walls(laid: LaidFloor, areas: Sequence[Area]) -> Iterator[Fault]:
    for wall in laid.floor.walls:
        beside_it = [line_through([one.start, one.end]) for one in _beside(wall.line)]
        for piece, area in zip(laid.pieces, areas, strict=True):
            if all(float(intersection(line, area).length) > FLOOR_OVERLAP_MM for line in beside_it):
                problem, where = f"{piece.id} lies in the {wall.name} wall", f"[[stretch]] {piece.stretch}"
                fix = "Lay it further off, or measure the wall again."
                found = piece.stock.name
                yield Fault(where=f"{where} pieces {piece.number}", found=found, problem=problem, fix=fix)


def _beside(line: Line) -> tuple[Line, Line]:
    """Lines just this side of a wall and just that side: what reaches both is in it."""
    left, right = (beside(line, aside) for aside in (FLOOR_OVERLAP_MM, -FLOOR_OVERLAP_MM))
    return Line(left.start, left.end), Line(right.start, right.end)


def _is_deep(area: Area) -> bool:
    return not area.is_empty and area.area > 0 and not is_thinner_than_mm(area, FLOOR_OVERLAP_MM)
