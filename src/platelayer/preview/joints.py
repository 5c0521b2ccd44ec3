"""The joints as cut: every end held against the partner it must couple with.

Glossary:
    nominal partner: the sharp-cornered joint of the manifest's sizes, as a bought piece has it.
    cut partner: the other kind of end, as this job leaves it.
    worst end: all ends of a kind laid over one another; what couples with it couples with each.
    play left: how far the pieces can be pulled apart from where they close to where the head meets the lips.

An end as cut is taken above the tabs, where most wood stands; wood in corners that no bit reached is part of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, fields
from typing import Final

from platelayer.fit.seat import seat
from platelayer.geometry.contours import inverse_pose
from platelayer.geometry.regions import Area, box, difference, discs, intersection, moved, union_all
from platelayer.preview.wood import Wood
from platelayer.tolerances import FLATTEN_CHORD_MM
from platelayer.values.findings import JointReport, Seat
from platelayer.values.manifest import Manifest
from platelayer.values.pieces import EndKind, JointSizes

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


@dataclass(frozen=True, slots=True)
class Mated:
    """An end as cut in a partner: its report, its kind, whether the partner is the nominal one, and the play left."""

    report: JointReport
    kind: EndKind
    is_nominal: bool

    @property
    def play_mm(self) -> float:
        """Pull-out left from where the faces close; negative when it does not go together."""
        return self.report.seat.pull_out_mm - self.report.seat.forced_mm


def joint_of(manifest: Manifest) -> JointSizes | None:
    """The nominal joint of the manifest; None when it gives none or not all of it."""
    given = dict(manifest.joint)
    names = [field.name for field in fields(JointSizes)]
    return JointSizes(**{name: given[name] for name in names}) if all(name in given for name in names) else None


def cut_ends(woods: Sequence[Wood], joint: JointSizes) -> tuple[CutEnd, ...]:
    """All pegs and sockets as cut, in the order of the pieces."""
    half = _half_mm(joint)
    window = box((-half, -half), (half, half))
    return tuple(
        CutEnd(
            wood.design.piece.id,
            index,
            end.kind,
            intersection(moved(wood.cut_above, inverse_pose(end.pose)), window).simplify(FLATTEN_CHORD_MM / 2),
        )
        for wood in woods
        for index, end in enumerate(wood.design.piece.ends)
        if end.kind is not EndKind.PLAIN
    )


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


def mated_ends(woods: Sequence[Wood], joint: JointSizes) -> tuple[Mated, ...]:
    """Every end as cut in the nominal partner, then in the worst partner that this job itself cuts."""
    ends = cut_ends(woods, joint)
    nominal = {kind: nominal_end(kind, joint) for kind in (EndKind.PEG, EndKind.SOCKET)}
    bought = [_mated(end, nominal[_OTHER[end.kind]], is_nominal=True) for end in ends]
    worst = {
        kind: min(
            (at for at, end in enumerate(ends) if end.kind is kind),
            key=lambda at: (bought[at].play_mm, -bought[at].report.seat.forced_mm, at),
            default=-1,
        )
        for kind in nominal
    }
    own = [
        _mated(end, ends[worst[_OTHER[end.kind]]].area, is_nominal=False)
        for end in ends
        if worst[_OTHER[end.kind]] >= 0
    ]
    return (*bought, *own)


def _mated(end: CutEnd, partner: Area, *, is_nominal: bool) -> Mated:
    is_peg = end.kind is EndKind.PEG
    found: Seat = seat(end.area, partner) if is_peg else seat(partner, end.area)
    mate = (MATE_NOMINAL if is_nominal else MATE_CUT)[end.kind]
    return Mated(JointReport(piece=end.piece, end=end.end, mate=mate, seat=found), end.kind, is_nominal)


def _half_mm(joint: JointSizes) -> float:
    reach = max(joint.head_setback_mm + joint.head_diameter_mm, joint.hole_setback_mm + joint.hole_diameter_mm)
    return reach + BEHIND_MM


def _disc(x: float, diameter_mm: float) -> Area:
    return discs([(x, 0.0)], diameter_mm / 2, chord_mm=FLATTEN_CHORD_MM)[0]
