"""Do the joints go together: with the pieces they must fit, and with each other?"""

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from platelayer.proof.joints import Mated
from platelayer.tolerances import PLAY_MM, SEAT_MM
from platelayer.units import show_small
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.pieces import EndKind

_CURE: Final = (
    'Relieve the peg\'s root (peg_root = "relieve") and ease the mouth (mouth = "ease"), '
    'cut the joints with a smaller bit, or finish the corners with one (peg_root = "finish").'
)
_CENTRED: Final = (
    'Relieve the peg\'s root with its side play (peg_root = "relieve", relief_play = 1), finish it with a smaller bit '
    "(finish in [bits]), "
    "or break the mouth's corners with a file."
)
_LOOSER: Final = "Give the joint more room: a smaller head, or a wider hole or mouth."


def check_joints(mated: Sequence[Mated], boards: dict[str, str]) -> tuple[Finding, ...]:
    """What ``worst_joints`` finds, each with the number of ends that are like it; ``boards`` by piece."""
    return tuple(
        replace(
            finding,
            text=finding.text + (f" So it is with {count - 1} more." if count > 1 else ""),
            where=replace(finding.where, board=boards.get(finding.where.piece, "")),
        )
        for finding, count in worst_joints(mated)
    )


def worst_joints(mated: Sequence[Mated]) -> tuple[tuple[Finding, int], ...]:
    """The worst of every way in which a kind of end fails with a kind of partner, and how many ends do.

    Partners of this job are spoken of only where no end fails with the nominal one, since that is the cause then.
    """
    groups: dict[tuple[str, str], list[tuple[Mated, Finding]]] = {}
    for one in mated:
        finding = _judged(one)
        if finding is not None:
            kind = one.kind.value if one.is_nominal else ""
            groups.setdefault((finding.code.value, kind), []).append((one, finding))
    is_nominal = any(kind and some[0][1].severity is Severity.ERROR for (_, kind), some in groups.items())
    return tuple(
        (min(some, key=lambda pair: (pair[0].play_mm, pair[0].report.seat.side_mm))[1], len(some))
        for (_, kind), some in groups.items()
        if kind or not is_nominal
    )


def _judged(one: Mated) -> Finding | None:
    seat, report = one.report.seat, one.report
    head = f"{one.kind.value} of {report.piece} with {report.mate}: "
    play = one.play_mm
    where = Where(piece=report.piece)
    holder = "the peg's root" if one.kind is EndKind.PEG or not one.is_nominal else "the socket"
    cure = _CURE
    if seat.couples and one.face_mm > seat.opening_mm / 2 > SEAT_MM / 2:
        holder, cure = "wood left on the end face", "Make the job again; a cut is missing or out of place."
    if seat.pull_out_mm == float("inf"):
        return Finding(
            code=Code.JOINT_COMES_APART,
            text=f"{head}nothing holds the peg in the socket: it pulls straight out.",
            advice="Use a larger head or a narrower mouth.",
            where=where,
        )
    if not seat.couples:
        return Finding(
            code=Code.JOINT_DOES_NOT_GO_TOGETHER,
            text=f"{head}needs {show_small(seat.forced_mm)} of opening but the head meets the lips at "
            f"{show_small(seat.pull_out_mm)}: the joint does not go together.",
            advice=_CURE,
            where=where,
            measured=seat.forced_mm,
            limit=seat.pull_out_mm,
        )
    if seat.opening_mm > SEAT_MM:
        only = "only " if play < PLAY_MM else ""
        return Finding(
            code=Code.JOINT_WILL_JAM,
            text=f"{head}{holder} holds the faces {show_small(seat.opening_mm)} apart, and {only}{show_small(play)} is "
            f"left before the head meets the lips: the joint will jam.",
            advice=cure,
            where=where,
            measured=seat.opening_mm,
            limit=SEAT_MM,
        )
    return _closed(one, head, where)


def _closed(one: Mated, head: str, where: Where) -> Finding | None:
    """What is wrong with a joint whose faces close: too little play along the track, or none sideways."""
    seat, play = one.report.seat, one.play_mm
    if play < PLAY_MM:
        here = " on this machine, by its fit card," if one.change_mm or one.stray_mm else ""
        return Finding(
            code=Code.JOINT_WILL_JAM,
            text=f"{head}the faces close, but{here} only {show_small(play)} is left before the head meets the lips: "
            f"the joint will jam.",
            advice=_LOOSER,
            where=where,
            measured=play,
            limit=PLAY_MM,
        )
    if seat.side_mm < SEAT_MM:
        return Finding(
            code=Code.JOINT_DEAD_CENTRE,
            severity=Severity.WARNING,
            text=f"{head}the faces close only dead centre: pushed home, {show_small(seat.side_mm)} of side play is "
            "left, and pushed aside they part.",
            advice=_CENTRED,
            where=where,
            measured=seat.side_mm,
            limit=SEAT_MM,
        )
    return None
