"""The fit as asked for and as tuned: what a job says about the feel of its joints, and what was made of it.

Glossary:
    design: joint sizes as the job says. drawn: joint sizes in the outlines, the shop's offsets included.
    play change: how much more pull-out play this machine leaves than a machine without slack would, by its fit card.
"""

import math
from dataclasses import dataclass
from enum import StrEnum

from platelayer.values.pieces import JointSizes


@dataclass(frozen=True, slots=True, kw_only=True)
class FitAsked:
    """Plays that a job asks for, 0 for those of its design; ``part`` is whose sizes give way: peg, socket or both.

    ``as_best_peg`` asks for the plays of the peg that went in best by hand, which only a shop's record knows, and to
    ``unsure_mm`` only.
    """

    side_mm: float = 0.0
    pull_out_mm: float = 0.0
    part: str = "peg"
    as_best_peg: bool = False
    unsure_mm: float = 0.0

    @property
    def is_asked(self) -> bool:
        """The job asks for plays of its own."""
        return self.side_mm > 0 and self.pull_out_mm > 0


class Lying(StrEnum):
    """How the sticks of a fit card lie on the machine: along an axis, or askew at half a right angle to both."""

    X = "x"
    Y = "y"
    DIAGONAL = "diagonal"

    @property
    def heading_rad(self) -> float:
        """From the machine's x, counter-clockwise."""
        return {Lying.X: 0.0, Lying.Y: math.pi / 2, Lying.DIAGONAL: math.pi / 4}[self]


@dataclass(frozen=True, slots=True, kw_only=True)
class LostMotion:
    """Slack and scale by axis, how slack is lost, and what cards that lay otherwise say of joints cut that way.

    An axis that lags stands behind the way it last went. A bit that is pushed stands off the wall it cuts by climb.

    Attributes:
        lies: how the card lay by which joints are drawn.
        strays_mm: for other ways in which a card lay, by how much a joint cut so strays more than one cut as that
            card was; see fit.strayed.
    """

    slack_x_mm: float = 0.0
    slack_y_mm: float = 0.0
    is_pushed: bool = False
    scale_x_ratio: float = 0.0
    scale_y_ratio: float = 0.0
    lies: Lying = Lying.X
    strays_mm: tuple[tuple[Lying, float], ...] = ()

    @property
    def is_none(self) -> bool:
        """Nothing is known to be lost in any direction."""
        return self == LostMotion(lies=self.lies)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tuning:
    """What was made of a design, and why.

    Attributes:
        design: as the job says.
        drawn: as the outlines have it.
        peg_change_mm: play change of our peg in the mate's socket.
        socket_change_mm: play change of our socket round the mate's peg.
        own_change_mm: play change of our peg in our socket.
        words: where the changes come from, as sentences in order.
    """

    design: JointSizes
    drawn: JointSizes
    peg_change_mm: float = 0.0
    socket_change_mm: float = 0.0
    own_change_mm: float = 0.0
    words: tuple[str, ...] = ()
