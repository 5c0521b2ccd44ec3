"""Ends drawn each for the direction in which it is cut, once the pieces are laid.

Glossary:
    stray: what slack does to an end that looks one way on the machine; see fit.strayed. Here always what it does more
        than to the ends of the fit card by which joints are drawn: the card's own is in the joint as drawn already.

A head that strays out is drawn so much nearer to its face, a lip that strays towards the face so much deeper: then
ends of all directions come out alike, as one number does for both plays of a joint.
"""

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from typing import Final

from platelayer.fit.strayed import Way, pair_stray_mm, stray_mm
from platelayer.fit.target_play import drawn_shape
from platelayer.offset.relief import corner_radii
from platelayer.pieces.catalogue import piece_from_order
from platelayer.pieces.kind import Making
from platelayer.pieces.track import shape_of
from platelayer.road.tuning import cutter_of
from platelayer.tolerances import GOUGE_MM, LEFTOVER_MM, PLAY_MM, PROGRAM_STEP_MM, STRAY_DOUBT_MM
from platelayer.units import show_small
from platelayer.values.cuts import Plan
from platelayer.values.pieces import End, EndKind, JointSizes, Piece, Placement
from platelayer.values.shapes import Contour
from platelayer.values.tooling import Job
from platelayer.values.tuning import LostMotion, Lying


def redrawn(job: Job, pieces: Sequence[Piece], placements: Sequence[Placement]) -> tuple[Piece, ...]:
    """The pieces of a job's cut list, each with its ends drawn for where it lies; as they are where no slack is known.

    Raises:
        ValueError: as ``drawn_shape``.
    """
    lost = job.lost
    if lost.is_none:
        return tuple(pieces)
    cutter = cutter_of(job)
    way = Way(cutter.bit_radius_mm, is_one_loop=not job.has_own_joints_bit)
    shape = drawn_shape(job.joint, cutter)
    corners, track, _ = corner_radii(job)

    @cache
    def more_mm(kind: EndKind, heading_rad: float) -> float:
        here, on_card = (
            stray_mm(shape, kind, way=way, heading_rad=one, lost=lost) for one in (heading_rad, lost.lies.heading_rad)
        )
        beyond = sum(beyond_mm(lies, read_mm) * counts_ratio(heading_rad, lies) / 2 for lies, read_mm in lost.strays_mm)
        return round(here - on_card + beyond, 4)

    @cache
    def beyond_mm(lies: Lying, read_mm: float) -> float:
        """What a card that lay so strays beyond the simulation, where that is more than both are unsure of."""
        here, on_card = (
            pair_stray_mm(shape, way=way, heading_rad=one.heading_rad, lost=lost) for one in (lies, lost.lies)
        )
        beyond = read_mm - (here - on_card)
        return beyond if abs(beyond) > STRAY_DOUBT_MM else 0.0

    @cache
    def drawn(order: int, joint: JointSizes) -> Piece:
        return piece_from_order(job.orders[order], Making(track=track, joint=joint, corners=corners))

    orders = [number for number, order in enumerate(job.orders) for _ in range(order.count)]
    headings = {one.index: one.pose.heading_rad for one in placements}
    found = []
    for index, piece in enumerate(pieces):
        ends = tuple(
            replace(end, stray_mm=more_mm(end.kind, _half_turn(end.pose.heading_rad + headings[index])))
            if end.kind is not EndKind.PLAIN
            else end
            for end in piece.ends
        )
        variants = [drawn(orders[index], _made_up(job.joint, end)) for end in ends]
        found.append(_with_ends(piece, ends, variants))
    return tuple(found)


def counts_ratio(heading_rad: float, lies: Lying) -> float:
    """How far a card that lay so counts for an end: wholly for one that lies as it did, not at all 45 degrees off."""
    apart = _half_turn(heading_rad - lies.heading_rad)
    return max(0.0, 1.0 - min(apart, math.pi - apart) / (math.pi / 4))


def _half_turn(heading_rad: float) -> float:
    """The heading within half a turn: slack does the same to an end that looks the other way."""
    return round(math.fmod(heading_rad + 4 * math.pi, math.pi), 3) % round(math.pi, 3)


def _made_up(joint: JointSizes, end: End) -> JointSizes:
    """The joint with that end's part drawn so that its stray is made up for."""
    if abs(end.stray_mm) < PROGRAM_STEP_MM or end.kind is EndKind.PLAIN:
        return joint
    if end.kind is EndKind.PEG:
        return replace(joint, head_setback_mm=joint.head_setback_mm - end.stray_mm)
    return replace(joint, hole_setback_mm=joint.hole_setback_mm + end.stray_mm)


def _with_ends(piece: Piece, ends: tuple[End, ...], variants: Sequence[Piece]) -> Piece:
    """The piece with each end's run out of the variant drawn for it; its sides are those of all of them."""
    segments = tuple(
        segment if label.end < 0 else variants[label.end].outline.segments[at]
        for at, (segment, label) in enumerate(zip(piece.outline.segments, piece.labels, strict=True))
    )
    changed = replace(piece, outline=Contour(segments, is_closed=True), ends=ends)
    return replace(changed, shape=shape_of(changed))


LEFT_RATIO: Final = 1 / 4
"""Share of the strays of two ends by which the play of their joint is still off at most, on simulated machines."""


def with_direction_words(job: Job, plan: Plan) -> Job:
    """The job with what slack still does: between directions, and to the two halves of a peg's face."""
    if job.tuning is None:
        return job
    ends = [end for placed in plan.pieces for end in placed.piece.ends]
    words = (*_way_words(job.lost, ends), *_between_words(ends), *_half_words(job, ends))
    return replace(job, tuning=replace(job.tuning, words=(*job.tuning.words, *words)))


def _way_words(lost: LostMotion, ends: Sequence[End]) -> tuple[str, ...]:
    """In how many directions ends are cut, where that matters."""
    ways = sorted({_half_turn(end.pose.heading_rad) for end in ends if end.kind is not EndKind.PLAIN})
    if lost.is_none or not ways:
        return ()
    if len(ways) == 1:
        return (
            f"All ends are cut along one direction, {_degrees(ways[0])} degrees to x: slack does the same to each.",
        )
    shown = ", ".join(map(_degrees, ways))
    read = [_degrees(lies.heading_rad) for lies in (lost.lies, *(lies for lies, _ in lost.strays_mm))]
    cards = f"cards along {' and '.join(read)} were" if len(read) > 1 else f"a card along {read[0]} was"
    return (f"Ends are cut in {len(ways)} directions, {shown} degrees to x; {cards} read.",)


def _half_words(job: Job, ends: Sequence[End]) -> tuple[str, ...]:
    """A peg's own loop comes to one half of its face going out, to the other coming back: they part by a lagging slack.

    The loop round a whole piece comes to both going out, since it dips into the relief between.
    """
    lost = job.lost
    if not job.has_own_joints_bit:
        return ()
    headings = {_half_turn(end.pose.heading_rad) for end in ends if end.kind is EndKind.PEG}
    square = (("x", 0.0, lost.slack_x_mm), ("y", _half_turn(math.pi / 2), lost.slack_y_mm))
    return tuple(
        f"Beside a peg cut along {axis} one half of the end face stands {show_small(slack)} further out than the "
        "other, by the slack: faces meet on that half."
        for axis, heading, slack in square
        if heading in headings and slack >= PLAY_MM / 2 and not lost.is_pushed
    )


def _between_words(ends: Sequence[End]) -> tuple[str, ...]:
    """What is left between directions: at most, and for each pair where it is felt."""
    if not any(end.stray_mm for end in ends):
        return ()
    pegs, sockets = (
        {_half_turn(end.pose.heading_rad): abs(end.stray_mm) for end in ends if end.kind is kind}
        for kind in (EndKind.PEG, EndKind.SOCKET)
    )
    left = {(a, b): LEFT_RATIO * (pegs[a] + sockets[b]) for a in sorted(pegs) for b in sorted(sockets)}
    most = max(left.values(), default=0.0)
    still = (
        f"; slack may still change the play between directions by some {show_small(most)}" if most > GOUGE_MM else ""
    )
    return (
        f"Ends are drawn each for the direction in which it is cut{still}.",
        *(
            f"A peg at {_degrees(peg)} degrees to x with a socket at {_degrees(socket)}: some {show_small(one)}."
            for (peg, socket), one in left.items()
            if one >= LEFTOVER_MM
        ),
    )


def _degrees(heading_rad: float) -> str:
    return f"{round(math.degrees(heading_rad), 1):g}"
