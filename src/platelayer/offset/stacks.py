"""A stack of straights cut out as one: the kerfs that neighbours share, and one outline round them all.

Glossary:
    stack, kerf: as in ``pieces.stacks``. way: where the bit's centre goes along a kerf, past the faces at both ends.

The rule for a shared cut: it is one slot as wide as the bit and both its walls are finished long edges, so it has no
finish allowance, no lead, no tab and no widening. It comes down where it touches neither piece, in the waste past the
end faces, and ramps to and fro along its own line. The ends and the outer two long edges are cut like those of one
piece, by leads on an outer long edge. Shared cuts come first, while both ends hold every piece; on tape or a vacuum
they stop at the floor that holds until the last, go through when all walls are finished, and the pass that frees the
pieces comes after them all.
"""

from platelayer.errors import Fault
from platelayer.tolerances import COINCIDENT_MM, PEG_CLEAR_MM
from platelayer.units import show_length
from platelayer.values.tooling import Job


def sharing_faults(job: Job) -> tuple[Fault, ...]:
    """Why the pieces of this job cannot share cuts: the bit has to come back to the face between two pegs."""
    bit, head_mm, width_mm = job.bit(job.outlines_bit), job.joint.head_diameter_mm, job.track.width_mm
    round_mm = head_mm + 2 * PEG_CLEAR_MM + bit.diameter_mm
    if round_mm <= width_mm + COINCIDENT_MM:
        return ()
    return (
        Fault(
            where="[cutting] shared_cuts",
            found="true",
            problem=f"{bit.id} goes round a peg in {show_length(round_mm)}, wider than the track, "
            f"{show_length(width_mm)}, and would not come back to the face before the next piece",
            fix="Use a smaller bit for the outlines, or leave it out.",
        ),
    )
