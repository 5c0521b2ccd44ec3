"""The joints as cut: every end held against the partner it must couple with.

Glossary:
    nominal partner: the sharp-cornered joint of the manifest's sizes, as a bought piece has it.
    cut partner: the other kind of end, as this job leaves it.
    worst end: all ends of a kind laid over one another; what couples with it couples with each.
    play left: how far the pieces can be pulled apart from where they close to where the head meets the lips.

An end as cut is taken above the tabs, where most wood stands; wood in corners that no bit reached is part of it.
"""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from typing import Final

from platelayer.fit.seat import seat
from platelayer.geometry.contours import inverse_pose
from platelayer.geometry.regions import Area, box, difference, discs, intersection, moved, union_all
from platelayer.proof.as_cut import PieceAsCut
from platelayer.tolerances import FLATTEN_CHORD_MM, SEAT_MM
from platelayer.values.findings import JointReport, Seat
from platelayer.values.pieces import End, EndKind, JointSizes
from platelayer.values.tuning import Tuning

BEHIND_MM: Final = 12.0
"""How much of the piece behind the joint is looked at, beyond the joint's own length."""


MATE_NOMINAL: Final = {EndKind.PEG: "a nominal socket", EndKind.SOCKET: "a nominal peg"}
MATE_CUT: Final = {EndKind.PEG: "a socket of this job", EndKind.SOCKET: "a peg of this job"}
_OTHER: Final = {EndKind.PEG: EndKind.SOCKET, EndKind.SOCKET: EndKind.PEG}


@dataclass(frozen=True, slots=True)
class CutEnd:
    """An end of a piece as cut, in its end frame: origin in the middle of the face, x out of the piece."""

    piece: str
    end: int
    kind: EndKind
    area: Area
    stray_mm: float


@dataclass(frozen=True, slots=True)
class Mated:
    """An end as cut in a partner: its report, its kind, whether the partner is the nominal one, and the play left."""

    report: JointReport
    kind: EndKind
    is_nominal: bool
    face_mm: float
    """How far wood stands out of the end face beside the joint."""
    change_mm: float = 0.0
    """How much more pull-out this machine leaves than one without slack, by its fit card."""
    stray_mm: float = 0.0
    """The same of the way in which the ends lie, beyond what it does to the card's."""

    @property
    def play_mm(self) -> float:
        """Pull-out left from where the faces close, on this machine; negative when it does not go together."""
        return self.report.seat.pull_out_mm - self.report.seat.forced_mm + self.change_mm + self.stray_mm


def cut_ends(woods: Sequence[PieceAsCut], joint: JointSizes) -> tuple[CutEnd, ...]:
    """All pegs and sockets as cut, in the order of the pieces."""
    pieces = ((wood.design.piece, wood.cut_above) for wood in woods)
    return tuple(chain.from_iterable(ends_of(piece.id, piece.ends, area, joint) for piece, area in pieces))


def ends_of(piece: str, ends: Sequence[End], area: Area, joint: JointSizes) -> Iterator[CutEnd]:
    """The pegs and sockets of one piece of which that area stands."""
    half = _half_mm(joint)
    window = box((-half, -half), (half, half))
    for index, end in enumerate(ends):
        if end.kind is not EndKind.PLAIN:
            here = intersection(moved(area, inverse_pose(end.pose)), window).simplify(FLATTEN_CHORD_MM / 2)
            yield CutEnd(piece, index, end.kind, here, end.stray_mm)


def nominal_end(kind: EndKind, joint: JointSizes) -> Area:
    """The sharp-cornered end of the nominal joint, in its end frame, with a body wider than any track."""
    half = _half_mm(joint)
    body = box((-half, -half), (0.0, half))
    if kind is EndKind.PEG:
        centre = joint.head_setback_mm + joint.head_diameter_mm / 2
        neck = box((-half, -joint.neck_width_mm / 2), (centre, joint.neck_width_mm / 2))
        return union_all([body, neck, _disc(centre, joint.head_diameter_mm)])
    centre = joint.hole_setback_mm + joint.hole_diameter_mm / 2
    mouth = box((-centre, -joint.mouth_width_mm / 2), (half, joint.mouth_width_mm / 2))
    return difference(body, union_all([mouth, _disc(-centre, joint.hole_diameter_mm)]))


def mated_ends(ends: Sequence[CutEnd], joint: JointSizes) -> tuple[Mated, ...]:
    """Every end as cut in the nominal partner, then in the worst partner that this job itself cuts."""
    nominal = {kind: nominal_end(kind, joint) for kind in (EndKind.PEG, EndKind.SOCKET)}
    bought = [_bought(end, nominal[_OTHER[end.kind]]) for end in ends]
    worst = {
        kind: min(
            (at for at, end in enumerate(ends) if end.kind is kind),
            key=lambda at: (bought[at].play_mm, -bought[at].report.seat.forced_mm, at),
            default=-1,
        )
        for kind in nominal
    }
    return (*bought, *_own(ends, bought, worst))


def on_this_machine(mated: Sequence[Mated], tuning: Tuning | None) -> tuple[Mated, ...]:
    """The ends with the play this machine leaves more, or less, by its fit card; as they are where none was cut."""
    return tuple(replace(one, change_mm=_change_mm(one, tuning)) for one in mated) if tuning else tuple(mated)


def _change_mm(mated: Mated, tuning: Tuning) -> float:
    if not mated.is_nominal:
        return tuning.own_change_mm
    return tuning.peg_change_mm if mated.kind is EndKind.PEG else tuning.socket_change_mm


def _own(ends: Sequence[CutEnd], bought: Sequence[Mated], worst: dict[EndKind, int]) -> tuple[Mated, ...]:
    """Every end in the worst partner of this job; ends that sit alike in the nominal one are mated but once."""
    known: dict[tuple[EndKind, int, int], Seat] = {}
    found = []
    for end, nominal in zip(ends, bought, strict=True):
        partner = worst[_OTHER[end.kind]]
        if partner < 0:
            continue
        seat_there = nominal.report.seat
        if math.isinf(seat_there.pull_out_mm):
            continue
        key = end.kind, round(seat_there.forced_mm / ALIKE_MM), round(seat_there.pull_out_mm / ALIKE_MM)
        if key not in known:
            known[key] = _seat(end, ends[partner].area)
        report = JointReport(piece=end.piece, end=end.end, mate=MATE_CUT[end.kind], seat=known[key])
        stray = end.stray_mm + ends[partner].stray_mm
        found.append(Mated(report, end.kind, is_nominal=False, face_mm=nominal.face_mm, stray_mm=stray))
    return tuple(found)


ALIKE_MM: Final = SEAT_MM / 5
"""Two ends whose seats in the nominal partner agree to this are alike."""


def _seat(end: CutEnd, partner: Area) -> Seat:
    return seat(end.area, partner) if end.kind is EndKind.PEG else seat(partner, end.area)


def _bought(end: CutEnd, partner: Area) -> Mated:
    report = JointReport(piece=end.piece, end=end.end, mate=MATE_NOMINAL[end.kind], seat=_seat(end, partner))
    return Mated(report, end.kind, is_nominal=True, face_mm=_face_mm(end), stray_mm=end.stray_mm)


def _face_mm(end: CutEnd) -> float:
    """How far wood stands out of the face beside the joint, up to the head's width from the middle on either side."""
    strip = box((0.0, end.area.bounds[1]), (FACE_MM, end.area.bounds[3]))
    beside = difference(strip, box((-FACE_MM, -JOINT_HALF_MM), (2 * FACE_MM, JOINT_HALF_MM)))
    wood = intersection(end.area, beside)
    return 0.0 if wood.is_empty else float(wood.bounds[2])


FACE_MM: Final = 2.0
"""Wood further out than this is no longer looked for on the face."""

JOINT_HALF_MM: Final = 9.0
"""The joint with its corners keeps within this from the middle; beyond it the end face is plain."""


def _half_mm(joint: JointSizes) -> float:
    reach = max(joint.head_setback_mm + joint.head_diameter_mm, joint.hole_setback_mm + joint.hole_diameter_mm)
    return reach + BEHIND_MM


def _disc(x: float, diameter_mm: float) -> Area:
    return discs([(x, 0.0)], diameter_mm / 2, chord_mm=FLATTEN_CHORD_MM)[0]
