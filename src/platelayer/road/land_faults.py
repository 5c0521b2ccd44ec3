"""Whether enough wood stays beside the grooves of lower faces when the turned board lies off; asked before any path.

The measure and the limit are the dry run's own (``proof.faces``), on grooves as designed with what is broken off their
edges instead of as cut.
"""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.regions import Area, buffered
from platelayer.offset.edge_forms import edge_breaks
from platelayer.proof.checks.faces import LAND_CURE, is_thin, land_words
from platelayer.proof.design import groove_area
from platelayer.proof.faces import below, least_land
from platelayer.tolerances import FLATTEN_CHORD_MM, LAND_MM
from platelayer.units import show_small
from platelayer.values.findings import Code
from platelayer.values.pieces import BoardFace, Piece
from platelayer.values.tooling import Job

_STEP_MM: Final = 0.05
"""A tolerance is named in steps of this."""


def land_faults(job: Job, pieces: Sequence[Piece]) -> tuple[Fault, ...]:
    """A fault for every shape of which the dry run will find too little land, at the turning's tolerance."""
    off_mm = job.turning.tolerance_mm
    found = []
    for piece in {piece.shape: piece for piece in reversed(pieces)}.values():
        one = least_land(piece.id, piece.outline, _grooves_below(piece, job), tolerance_mm=off_mm)
        if one is not None and is_thin(one):
            may_mm = math.floor((one.as_cut_mm - LAND_MM) / _STEP_MM) * _STEP_MM
            found.append(
                Fault(
                    where="[turning] tolerance",
                    found=show_small(off_mm),
                    problem=land_words(one, off_mm),
                    fix=f"Turn the board more truly: {show_small(may_mm)} would do." if may_mm > 0 else LAND_CURE,
                    code=Code.SHAPE_LAND.value,
                    measured_mm=one.worst_mm,
                    limit_mm=LAND_MM,
                )
            )
    return tuple(found)


def _grooves_below(piece: Piece, job: Job) -> list[tuple[Area, Area]]:
    """The grooves in a piece's lower face, as designed and with what is broken off their edges."""
    edges = (one for one in edge_breaks(piece, job) if one.face is BoardFace.BOTTOM)
    inset_mm = max((one.width_mm for one in edges), default=0.0)
    areas = [groove_area(groove) for groove in piece.grooves if below(groove)]
    return [(area, buffered(area, inset_mm, chord_mm=FLATTEN_CHORD_MM) if inset_mm else area) for area in areas]
