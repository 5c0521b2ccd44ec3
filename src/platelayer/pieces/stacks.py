"""Straights of one length side by side as one piece to go round, and the kerfs between them.

Glossary:
    stack: straights with their end faces in two lines and a kerf between each two. Not a row: that is end to end.
    kerf: what one straight cut takes away between two of them; both their long edges are its walls.
    turned: a straight that lies in the stack the other way round, its start where the others have their ends.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from itertools import groupby

from platelayer.geometry.placing import place_piece
from platelayer.pieces.track import shape_of
from platelayer.values.pieces import EdgeLabel, Piece, Role, Stack
from platelayer.values.shapes import Contour, Line, Pose, Segment

_Run = list[tuple[Segment, EdgeLabel]]


def lain_in_stack(number: int, *, length_mm: float, pitch_mm: float, is_turned: bool = False) -> Pose:
    """Where straight number so many of a stack, counted from 0, lies in the stack's frame."""
    across = number * pitch_mm
    return Pose(length_mm, across, math.pi) if is_turned else Pose(0.0, across, 0.0)


def stack_of(members: Sequence[tuple[Piece, bool]], *, pitch_mm: float) -> Stack:
    """The stack of these straights, each turned or not, near to far.

    Args:
        members: straights of one length in their own frames, at least one.
        pitch_mm: from centre line to centre line: the track's width and that of the kerf.
    """
    first, length = members[0][0], members[0][0].length_mm
    lain = [
        place_piece(piece, lain_in_stack(number, length_mm=length, pitch_mm=pitch_mm, is_turned=is_turned))
        for number, (piece, is_turned) in enumerate(members)
    ]
    runs = [_runs(piece, first_end=2 * number) for number, piece in enumerate(lain)]
    pairs = [*runs[0][0], *_in_line([run[1] for run in runs]), *runs[-1][2]]
    pairs += _in_line([run[3] for run in reversed(runs)])
    around = replace(
        first,
        id=first.id if len(members) == 1 else f"{first.id} to {members[-1][0].id}",
        title=f"stack of {len(members)}, {first.title}",
        outline=Contour(tuple(segment for segment, _ in pairs), is_closed=True),
        labels=tuple(label for _, label in pairs),
        ends=tuple(end for piece in lain for end in piece.ends),
        routes=tuple(
            replace(route, ends=(route.ends[0] + 2 * number, route.ends[1] + 2 * number))
            for number, piece in enumerate(lain)
            for route in piece.routes
        ),
        grooves=(),
        inner=(),
        shape="",
        turns=min((piece.turns for piece, _ in members), key=lambda turns: turns.in_all),
    )
    middles = ((number + 0.5) * pitch_mm for number in range(len(members) - 1))
    kerfs = tuple(Line((0.0, across), (length, across)) for across in middles)
    return Stack(around=replace(around, shape=shape_of(around)), kerfs=kerfs)


def _runs(piece: Piece, *, first_end: int) -> list[_Run]:
    """The outline in four: near side, far-x end, far side, near-x end; ends numbered on from the first."""
    pairs = [
        (segment, label if label.end < 0 else replace(label, end=label.end + first_end))
        for segment, label in zip(piece.outline.segments, piece.labels, strict=True)
    ]
    near = min(
        (at for at, (_, label) in enumerate(pairs) if label.role is Role.SIDE),
        key=lambda at: pairs[at][0].start[1] + pairs[at][0].end[1],
    )
    begun = pairs[near:] + pairs[:near]
    return [list(run) for _, run in groupby(begun, key=lambda pair: pair[1].role is Role.SIDE)]


def _in_line(ends: Sequence[_Run]) -> _Run:
    """Ends one after another, each kerf between two bridged by a line of face."""
    found: _Run = []
    for run in ends:
        if found:
            label = EdgeLabel(Role.FACE, found[-1][1].end)
            found.append((Line(found[-1][0].end, run[0][0].start), label))
        found += run
    return found
