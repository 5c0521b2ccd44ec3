"""About how long a job takes, as soon as its pieces are laid and before any path is made."""

from typing import Final

from platelayer.geometry.placing import place_piece
from platelayer.offset.bound import bound_of
from platelayer.road.planning import Laid
from platelayer.values.minutes import WorkBound

ABOUT_RATIO: Final = 2.2
"""How much longer examples take than their bound: ramps, leads, rapids, and what the bit sees twice. Measured."""


def laid_bound(laid: Laid) -> tuple[WorkBound, ...]:
    """The bound of what is laid, by operation and bit."""
    on_boards = {
        board.id: [
            place_piece(laid.pieces[placement.index], placement.pose)
            for placement in laid.placements
            if placement.board_id == board.id
        ]
        for board in laid.job.boards
    }
    return bound_of(laid.job, laid.job.boards, on_boards)


def about_minutes(laid: Laid) -> float:
    """Minutes that the whole job takes at the machine, pauses not counted: its bound and what else there always is."""
    return ABOUT_RATIO * sum(row.seconds_s for row in laid_bound(laid)) / 60
