"""Where the minutes go: operations, what each took, and the least that each can take.

Glossary:
    operation: what the bit does for one purpose on all pieces. Not a cut: that is of one piece.
    removal rate: wood a bit takes away in a minute: its width times the stepdown times the feed.
    bound: volume by removal rate, and finish length by feed: what no order of cuts goes below with these bits.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final


class Operation(StrEnum):
    """What the minutes go to, in the order in which a board is cut."""

    DOWELS = "dowels"
    GROOVES = "grooves"
    SOCKETS = "sockets"
    NOTCHES = "notches"
    CORNERS = "corners"
    EDGES = "edges"
    SLOTS = "slots"
    FINISH = "finish"
    PARTING = "parting"
    PLUNGES = "plunges"
    RAPIDS = "rapids"
    WAITS = "waits"
    OTHER = "other cuts"


OPERATION_OF: Final = {
    "dowel": Operation.DOWELS,
    "groove": Operation.GROOVES,
    "socket": Operation.SOCKETS,
    "notch": Operation.NOTCHES,
    "corner": Operation.CORNERS,
    "edge": Operation.EDGES,
    "break": Operation.EDGES,
    "waste": Operation.SLOTS,
    "slot": Operation.SLOTS,
    "outline": Operation.SLOTS,
    "parting": Operation.PARTING,
}
"""By the kind of cut; what finishes an outline is FINISH."""

FINISH_WORD: Final = "finish"
"""What a file says after piece and kind of cut where the walls of an outline are finished."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkBound:
    """The least that one operation takes with one bit: wood to take away, length to go along at its feed, time."""

    operation: Operation
    bit: str
    volume_mm3: float
    finish_mm: float
    seconds_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkTime:
    """What one operation takes in a file with one bit; ``bit`` is empty where no bit cuts: rapids, waits."""

    operation: Operation
    bit: str
    seconds_s: float
