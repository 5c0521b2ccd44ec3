"""About how long a job takes, as soon as its pieces are laid and before any path is made, with its bits or others."""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.geometry.placing import place_piece
from platelayer.offset.bound import bound_of
from platelayer.road.planning import Laid
from platelayer.values.pieces import Piece
from platelayer.values.tooling import Job

ABOUT_RATIO: Final = 1.8
"""How much longer examples take than their bound: ramps, leads, rapids, and what the bit sees twice. Measured: 1.5 with
many walls to a slot, 2.2 with two or three bits or a strip."""


def bound_with_s(laid: Laid, job: Job) -> float:
    """Seconds at the least of the same pieces where they lie with the bits of another job, paths or not."""
    return math.fsum(row.seconds_s for row in bound_of(job, laid.job.boards, _on_boards(laid)))


def _on_boards(laid: Laid) -> dict[str, Sequence[Piece]]:
    return {
        board.id: [
            place_piece(laid.pieces[placement.index], placement.pose)
            for placement in laid.placements
            if placement.board_id == board.id
        ]
        for board in laid.job.boards
    }


def about_minutes(laid: Laid) -> float:
    """Minutes that the whole job takes at the machine, pauses not counted: its bound and what else there always is."""
    return ABOUT_RATIO * bound_with_s(laid, laid.job) / 60
