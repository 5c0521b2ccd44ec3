"""What the minutes of a file go to: by operation and bit, as its moves are timed.

Operations are known by the comments that name each cut; a file without them has rapids, plunges and other cuts. This is
for telling a person and no verdict hangs on it, so that comments may be believed here.

Glossary:
    operation: as in ``values.minutes``. plunge: straight down at feed, through air or wood.
"""

import re
from collections.abc import Sequence
from typing import Final

import numpy as np
import numpy.typing as npt

from platelayer.tolerances import COINCIDENT_MM
from platelayer.values.minutes import FINISH_WORD, OPERATION_OF, Operation, WorkTime
from platelayer.values.motion import EventKind, Motion, MotionTime, MoveKind

_CUT: Final = re.compile(rf"(?P<piece>.+) (?P<kind>{'|'.join(OPERATION_OF)})(?P<finish> {FINISH_WORD})?")
_OPERATIONS: Final = tuple(Operation)


def work_times(motion: Motion, time: MotionTime, bits: Sequence[str]) -> tuple[WorkTime, ...]:
    """Times by operation and bit that add up to the file's, in the order of the operations, then of the bits.

    Args:
        motion: the file as read.
        time: of its moves.
        bits: ids of its bits, in the order of use.
    """
    span = motion.end - motion.start
    is_down = (np.hypot(span[:, 0], span[:, 1]) <= COINCIDENT_MM) & (span[:, 2] < 0)
    does = _named(motion)
    does[is_down] = _OPERATIONS.index(Operation.PLUNGES)
    does[motion.kind == MoveKind.RAPID] = _OPERATIONS.index(Operation.RAPIDS)
    has_bit = (motion.bit >= 0) & (motion.bit < len(bits)) & (motion.kind != MoveKind.RAPID)
    bit = np.where(has_bit, motion.bit, len(bits))
    names = (*bits, "")
    found = [
        WorkTime(operation=operation, bit=names[which], seconds_s=float(time.seconds_s[here].sum()))
        for number, operation in enumerate(_OPERATIONS)
        for which in range(len(names))
        if (here := (does == number) & (bit == which)).any()
    ]
    if time.dwell_s > 0:
        found.append(WorkTime(operation=Operation.WAITS, bit="", seconds_s=time.dwell_s))
    return tuple(found)


def piece_runs_s(motion: Motion, time: MotionTime) -> tuple[tuple[str, float], ...]:
    """Piece and seconds of each run of cuts of one piece, in order; what comes before the first run is in none."""
    runs: list[tuple[str, int]] = []
    for event in motion.events:
        match = _CUT.fullmatch(event.text) if event.kind is EventKind.COMMENT else None
        if match is not None and (not runs or runs[-1][0] != match["piece"]):
            runs.append((match["piece"], event.before))
    ends = [*(begin for _, begin in runs[1:]), len(motion)]
    return tuple(
        (piece, float(time.seconds_s[begin:end].sum())) for (piece, begin), end in zip(runs, ends, strict=True)
    )


def _named(motion: Motion) -> npt.NDArray[np.intp]:
    """(n,) index of the operation that the latest comment names."""
    does = np.full(len(motion), _OPERATIONS.index(Operation.OTHER))
    for event in motion.events:
        match = _CUT.fullmatch(event.text) if event.kind is EventKind.COMMENT else None
        if match is not None:
            operation = Operation.FINISH if match["finish"] else OPERATION_OF[match["kind"]]
            does[event.before :] = _OPERATIONS.index(operation)
    return does
