"""Grain: how pieces are turned so that their pegs run along it, and what is said when they cannot.

Glossary:
    peg axis: the line a peg points along, whichever way. Not a heading: turned half round it is the same axis.
    slope: angle between a peg axis and the grain, from 0 (along) to a right angle (across).

Why it matters: a neck 6 mm wide is pulled along its axis. Along the grain it holds; across the grain it snaps off, for
wood holds but a twentieth part of its strength across the grain. In between Hankinson's formula rules,
S = P Q / (P sin^2 a + Q cos^2 a) with P along, Q across and a the slope: with Q = P / 20 a slope of 25 degrees leaves
about 23 % and 45 degrees under 10 %. Formula and ratio are from memory (the formula is in textbooks on timber).
"""

import math
from collections.abc import Iterable, Sequence
from typing import Final

from platelayer.tolerances import ANGLE_RAD
from platelayer.values.cuts import PlacedPiece
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import End, EndKind, Piece, Turns
from platelayer.values.tooling import Board

STEEPEST_RAD: Final = math.radians(25)
"""A peg axis may lie this far off the grain: a 45-degree curve laid symmetrically needs 22.5; common practice, no
source."""


def slope_rad(axis_rad: float, grain_rad: float) -> float:
    """Angle between an axis and the grain, in [0, pi / 2]."""
    off = (axis_rad - grain_rad) % math.pi
    return min(off, math.pi - off)


def steepest_peg_rad(ends: Iterable[End], *, grain_rad: float, turn_rad: float = 0.0) -> float:
    """The greatest slope of a peg among these ends once turned; 0 when there is no peg."""
    return max(
        (slope_rad(end.pose.heading_rad + turn_rad, grain_rad) for end in ends if end.kind is EndKind.PEG), default=0.0
    )


def allowed_turns(turns: Turns, *, has_grain: bool) -> Turns:
    """How a piece may lie: as it says, and at quarters of a turn at least where the wood has no grain to speak of."""
    return Turns.QUARTERS if turns is Turns.GRAIN and not has_grain else turns


def turns_along_grain(piece: Piece, *, grain_rad: float) -> tuple[float, ...]:
    """Turns at which a piece may lie: the two, half a turn apart, best to the grain, and what it is allowed besides.

    Best is: pegs no steeper than STEEPEST_RAD (or as little over as can be), then the steepest of all joints, sockets
    too, as flat as can be. A straight lies along the grain; a 45-degree curve lies symmetrically, either end at 22.5.

    Args:
        piece: in its own frame.
        grain_rad: direction of the grain.
    """
    axes = [end.pose.heading_rad for end in piece.ends if end.kind is not EndKind.PLAIN]
    axes = axes or [end.pose.heading_rad for end in piece.ends] or [0.0]
    best = min(_likely_turns(axes, grain_rad), key=lambda turn: _badness(piece, axes, grain_rad, turn))
    count = piece.turns.in_all
    return tuple(sorted((best + math.tau * step / count) % math.tau for step in range(count)))


def _likely_turns(axes: Sequence[float], grain_rad: float) -> list[float]:
    """Turns in [0, pi) among which the best is: each axis on the grain or at the limit, and between each two axes."""
    middles = {(a + b) / 2 + quarter for a in axes for b in axes for quarter in (0.0, math.pi / 2)}
    turns = {grain_rad - axis for axis in (*axes, *middles)}
    turns |= {grain_rad - axis + limit for axis in axes for limit in (-STEEPEST_RAD, STEEPEST_RAD)}
    return sorted(turn % math.pi for turn in turns)


def _badness(piece: Piece, axes: Sequence[float], grain_rad: float, turn_rad: float) -> tuple[float, float, float]:
    over = max(0.0, steepest_peg_rad(piece.ends, grain_rad=grain_rad, turn_rad=turn_rad) - STEEPEST_RAD)
    steepest = max(slope_rad(axis + turn_rad, grain_rad) for axis in axes)
    total = math.fsum(slope_rad(axis + turn_rad, grain_rad) for axis in axes)
    return round(over, 9), round(steepest, 9), round(total, 9)


def grain_findings(pieces: Sequence[PlacedPiece], boards: Sequence[Board]) -> tuple[Finding, ...]:
    """A warning for each piece with a peg steeper to the grain than STEEPEST_RAD, in the order given."""
    grain = {board.id: board.grain_rad for board in boards}
    found = []
    for placed in pieces:
        slope = steepest_peg_rad(placed.piece.ends, grain_rad=grain[placed.board_id])
        if slope <= STEEPEST_RAD + ANGLE_RAD:
            continue
        degrees, limit = math.degrees(slope), math.degrees(STEEPEST_RAD)
        pose = placed.pose
        found.append(
            Finding(
                code=Code.HOLDING_GRAIN,
                severity=Severity.WARNING,
                text=f"a peg lies {degrees:.1f} degrees off the grain; past {limit:.0f} degrees a neck keeps less than "
                "a quarter of its strength and snaps.",
                advice="Use a curve of a smaller angle, plywood (material in [job]), or a board whose grain runs along "
                "the peg.",
                where=Where(board=placed.board_id, piece=placed.piece.id, point=(pose.x, pose.y, 0.0)),
                measured=round(degrees, 3),
                limit=limit,
                unit="deg",
            )
        )
    return tuple(found)
