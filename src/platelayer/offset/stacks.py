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
from platelayer.geometry.contours import reversed_contour
from platelayer.offset.depths import canyon_levels, deep_from_mm, levels
from platelayer.offset.entries import to_and_fro
from platelayer.offset.outlines import OutlineTask, cut_outline, holding_floor_z, outline_task
from platelayer.offset.paths import lengthened
from platelayer.tolerances import COINCIDENT_MM, FINISH_ALLOWANCE_MM, PEG_CLEAR_MM
from platelayer.units import show_length
from platelayer.values.cuts import Cut, CutKind, Pass
from platelayer.values.findings import Code, Finding, Severity
from platelayer.values.pieces import Stack
from platelayer.values.shapes import Contour
from platelayer.values.tooling import Bit, Board, Job


def cut_stack(stack: Stack, *, job: Job, board: Board, clearance_mm: float) -> tuple[Cut, tuple[Finding, ...]]:
    """Every shared cut and the outline of a stack as one cut in the stack's frame, and what was noticed.

    Args:
        stack: straights that no tab holds; sockets and the wood round pegs are cut already.
        job: outlines bit, feeds, holding.
        board: its thickness, scatter and zero.
        clearance_mm: clear width kept round the stack.

    Raises:
        CannotCut: a bit too wide to go round, or long edges too short for the leads.
    """
    task = outline_task(stack.around, job=job, board=board, clearance_mm=clearance_mm)
    outline = cut_outline(task)
    assert not outline.tabs, "tabs and shared cuts do not go together"
    ways = [lengthened(Contour((kerf,), False), *[past_end_mm(task.bit)] * 2) for kerf in stack.kerfs]
    if job.holding.kind.is_from_below:
        floor_z = holding_floor_z(board)
        *upper, last = outline.cut.passes
        passes = [*_along(ways, task, 0.0, -floor_z), *upper, *_along(ways, task, -floor_z, task.depth_mm), last]
    else:
        passes = [*_along(ways, task, 0.0, task.depth_mm), *outline.cut.passes]
    cut = Cut(piece_id=stack.around.id, kind=CutKind.OUTLINE, bit_id=task.bit.id, passes=tuple(passes))
    return cut, (*outline.findings, *_findings(task))


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


def past_end_mm(bit: Bit) -> float:
    """How far beyond an end face the bit's centre goes: so that it is clear of the face as of a peg."""
    return bit.radius_mm + FINISH_ALLOWANCE_MM + PEG_CLEAR_MM


def _along(ways: list[Contour], task: OutlineTask, from_mm: float, depth_mm: float) -> list[Pass]:
    """Each way in levels from one depth to another, as one pass, begun at the end at which the one before it ended."""
    down = levels(depth_mm, task.data.stepdown_mm, from_mm=from_mm)
    changes_end = len(down) % 2 == 1
    return [
        to_and_fro(reversed_contour(way) if changes_end and number % 2 else way, -from_mm, down)
        for number, way in enumerate(ways)
    ]


def _findings(task: OutlineTask) -> tuple[Finding, ...]:
    """The warning of kerfs too deep for their width, which nothing can widen."""
    if not canyon_levels(levels(task.depth_mm, task.data.stepdown_mm), task.bit):
        return ()
    return (
        Finding(
            code=Code.CUTTING_DEEP_SLOT,
            severity=Severity.WARNING,
            text=f"shared cuts are {show_length(task.depth_mm)} deep, more than three diameters of "
            f"{task.bit.id}, and "
            "cannot be widened: chips pack and the wood burns.",
            advice="Name a bigger bit for the outlines in [bits], stop and clear the chips, or leave shared_cuts out "
            "of [cutting].",
            measured=task.depth_mm,
            limit=deep_from_mm(task.bit),
        ),
    )
