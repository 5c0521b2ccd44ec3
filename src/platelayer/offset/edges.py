"""Edges that a hand meets: outer ones rounded all round the piece, the grooves' broken along both walls.

Glossary:
    loop: where the axis goes round a contour of the piece. lane: where it goes along one wall of a groove.

The upper edges are done after grooves and joints and before any piece is parted, in whole wood where no other bit has
slots to cut first: nothing is loose yet. The rim of a round-over bit's tip runs against the outline, all of it in
waste; since no place of a loop is nearer to any part of the outline than that rim, no edge anywhere loses more than its
own round, and end faces, pegs, mouths and holes are rounded as they are met. Where the tip does not go in, an inside
corner, a tight mouth, the edge stays for the hand. The mates touch below the round. The lower edges stay for the hand
too: tabs and skin stand there.

Grooves are broken from one end face to the other, both flares included, the bit running out past the faces as the
grooves' own bit did. Loops run clockwise round the piece, lanes with the wall on their right: by climb.
"""

from collections.abc import Sequence
from itertools import pairwise

from platelayer.errors import CannotCut, Fault
from platelayer.geometry.contours import reversed_contour, started_at
from platelayer.geometry.grooves import walls
from platelayer.offset.depths import levels
from platelayer.offset.edge_forms import EdgeForm, edges_reach_mm, groove_form, outer_form
from platelayer.offset.entries import RAMP_RUN, helix_turns, zigzag
from platelayer.offset.groove_passes import wall_lane
from platelayer.offset.parallels import parallels
from platelayer.offset.paths import Knot, link, steps_along
from platelayer.offset.pockets import OVERLAP_MM
from platelayer.offset.tabs import begun_on, sides_of
from platelayer.tolerances import COINCIDENT_MM
from platelayer.units import show_length
from platelayer.values.cuts import Cut, CutKind, Pass, Step
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import BoardFace, EndKind, Groove, Piece
from platelayer.values.shapes import Contour
from platelayer.values.tooling import CutData, Job


def cut_edges(piece: Piece, *, job: Job, clearance_mm: float) -> tuple[Cut, ...]:
    """The cuts that break the piece's edges, outer ones first; none where they are left to hand.

    Raises:
        CannotCut: the bit reaches further beyond the outline than the room kept round the piece.
    """
    reach = edges_reach_mm(job)
    if reach > clearance_mm + COINCIDENT_MM:
        raise CannotCut(_no_room(job, reach, clearance_mm))
    outer, groove = outer_form(job), groove_form(job)
    found: list[Cut] = []
    if outer is not None:
        passes = tuple(_round(loop, _levels(outer, job), outer) for loop in _loops(piece, outer))
        found.append(Cut(piece_id=piece.id, kind=CutKind.EDGE, bit_id=outer.bit.id, passes=passes))
    for one in piece.grooves if groove is not None else ():
        assert groove is not None
        passes = (_along(one, _levels(groove, job), groove),)
        found.append(Cut(piece_id=piece.id, kind=CutKind.BREAK, bit_id=groove.bit.id, passes=passes, face=one.face))
    return tuple(found)


def _levels(form: EdgeForm, job: Job) -> tuple[float, ...]:
    data: CutData = job.cut_data(form.bit.id)
    return levels(form.tip_mm, data.stepdown_mm)


def _loops(piece: Piece, form: EdgeForm) -> tuple[Contour, ...]:
    """Closed parallels of the outline and of all openings, run clockwise round the wood on their right.

    The one that goes round the whole piece begins beside the middle of its longest side.
    """
    found: list[Contour] = []
    sides = sides_of(piece)
    for contour in (piece.outline, *piece.inner):
        own = [one.contour for one in parallels(contour, form.beside_mm) if one.contour.is_closed]
        own.sort(key=lambda loop: -loop.length_mm)
        if contour is piece.outline and sides:
            own[0] = started_at(own[0], begun_on(own[0], sides[0], sides[0].length_mm / 2))
        found += [reversed_contour(loop) for loop in own]
    return tuple(found)


def _round(loop: Contour, down: Sequence[float], form: EdgeForm) -> Pass:
    """Round a loop, ramping to each level, and at the last once round and on over the ramp's own wedge."""
    length = loop.length_mm
    at, knots = 0.0, list[Knot]([(0.0, 0.0)])
    for top, z in pairwise((0.0, *down)):
        ramp = RAMP_RUN * (top - z)
        if ramp > length / 2:
            ramp = helix_turns(loop, top - z, form.bit) * length
        knots.append((at + ramp, z))
        at += max(length, ramp)
        if at > knots[-1][0]:
            knots.append((at, z))
    last_ramp = RAMP_RUN * (knots[0][1] - down[0]) if len(down) == 1 else RAMP_RUN * (down[-2] - down[-1])
    knots.append((at + min(last_ramp, length) + OVERLAP_MM, down[-1]))
    return Pass(steps_along(loop, knots), is_finish=True)


def _along(groove: Groove, down: Sequence[float], form: EdgeForm) -> Pass:
    """Along the right wall forwards and the left one backwards at each level; in a bottom groove they change places."""
    both = walls(groove)
    right = wall_lane(both.right, groove, form.beside_mm, is_left=False)
    left = wall_lane(both.left, groove, form.beside_mm, is_left=True)
    if groove.face is BoardFace.BOTTOM:
        left, right = right, left
    steps: list[Step] = []
    top = 0.0
    for level in down:
        for number, lane in enumerate((right, reversed_contour(left))):
            if steps:
                steps += link(steps[-1].segment.end, lane.start, top if number == 0 else level)
            if number == 0:
                steps += zigzag(lane, top, level)
            steps += steps_along(lane, ((0.0, level), (lane.length_mm, level)))
        top = level
    return Pass(tuple(steps), is_finish=True)


def edge_findings(piece: Piece, *, job: Job) -> tuple[Finding, ...]:
    """A warning when the tip of the edges' bit does not go into the mouths of the piece's sockets."""
    outer = outer_form(job)
    if outer is None or not any(end.kind is EndKind.SOCKET for end in piece.ends):
        return ()
    tip, mouth = 2 * outer.beside_mm, job.joint.mouth_width_mm
    if tip < mouth:
        return ()
    return (
        Finding(
            code=Code.SHAPE_UNREACHED,
            severity=Severity.WARNING,
            text=f"{piece.title}: the tip of {outer.bit.id}, {show_length(tip)} wide, does not go "
            f"into the socket's "
            f"mouth, {show_length(mouth)}: its upper edges are left to hand.",
            advice="Name a round-over bit with a smaller tip for the edges in [bits], or break them with fine paper.",
            where=Where(piece=piece.id),
            measured=tip,
            limit=mouth,
        ),
    )


def _no_room(job: Job, reach_mm: float, clearance_mm: float) -> Fault:
    edges = job.edges
    return Fault(
        where="[bits] edges" if edges.outer_mm else "[bits] groove_edges",
        found=edges.outer_bit or edges.groove_bit,
        problem=f"reaches {show_length(reach_mm)} beyond the outline, and the room kept round a "
        f"piece is "
        f"{show_length(clearance_mm)}",
        fix="Use a bit with a smaller tip, or leave the edges to hand.",
    )
