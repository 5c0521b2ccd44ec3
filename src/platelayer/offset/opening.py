"""What the outlines bit does of the joints before a smaller bit cuts them: round pegs, and into sockets.

Of a peg it leaves the allowance and what stands where it does not reach, at the neck; of a socket the same. So the
smaller bit has little to take, and nowhere goes in a slot as narrow as itself.
"""

from collections.abc import Sequence
from dataclasses import replace

from platelayer.geometry.regions import EMPTY, union_all
from platelayer.offset.depths import levels
from platelayer.offset.entries import to_and_fro
from platelayer.offset.joints import cut_open
from platelayer.offset.outlines import Body
from platelayer.offset.paths import nearest_along, stretch
from platelayer.offset.pockets import cut_closed, sweep
from platelayer.offset.rings import Opened, rings_of
from platelayer.offset.room import cut_depth_mm
from platelayer.offset.runs import JointRun
from platelayer.tolerances import FINISH_ALLOWANCE_MM
from platelayer.values.cuts import Cut, CutKind, Pass
from platelayer.values.shapes import Contour
from platelayer.values.tooling import Bit, Board, Job


def with_pegs(body: Body, runs: Sequence[Contour], joints: Bit) -> Body:
    """The body with the stretches beside which another bit goes along its joint runs round pegs."""
    loop, more = body.finish, joints.diameter_mm
    found = []
    for run in runs:
        low, high = nearest_along(loop, run.end) - more, nearest_along(loop, run.start) + more
        whole = loop.length_mm
        low, high = low % whole, high % whole
        found.append(stretch(loop, low, high if high > low else high + whole))
    return replace(body, pegs=tuple(found))


def past_pegs(body: Body) -> list[Pass]:
    """From the floor right through round pegs, as deep at once as the parting: another bit may then finish them."""
    task = body.task
    return [to_and_fro(way, -task.floor_mm, task.parting_levels) for way in body.pegs]


def opened_at_pegs(body: Body) -> Opened:
    """What the outlines bit takes round a piece's pegs before another one cuts them: right through, or to the skin."""
    task, radius_mm = body.task, body.task.bit.radius_mm
    ways = body.pegs if task.is_parted else (body.finish,)
    return Opened(union_all(sweep(way, radius_mm) for way in ways), task.depth_mm)


def sockets_opener(job: Job) -> str:
    """Id of the bit that takes most of a socket: the outlines bit where it is larger than the other and goes in."""
    joints, outlines = job.bit(job.joints_bit), job.bit(job.outlines_bit)
    goes_in = outlines.diameter_mm + 4 * FINISH_ALLOWANCE_MM <= job.joint.mouth_width_mm
    return outlines.id if goes_in and job.opens_joints else joints.id


def open_socket(
    run: JointRun, *, piece_id: str, job: Job, board: Board, clearance_mm: float
) -> tuple[Cut, Opened] | None:
    """What a larger bit takes of a socket, the allowance left on all walls; None where the joints bit takes all of it.

    Raises:
        AssertionError: waste that no ring reaches; that would be a fault of this program.
    """
    opener = sockets_opener(job)
    if opener == job.joints_bit:
        return None
    bit, data, depth_mm = job.bit(opener), job.cut_data(opener), cut_depth_mm(job, board)
    rings = rings_of(
        run,
        EMPTY,
        bit=bit,
        data=data,
        depth_mm=depth_mm,
        side_mm=FINISH_ALLOWANCE_MM,
        clearance_mm=clearance_mm,
    )
    down = levels(depth_mm, data.stepdown_mm)
    passes = (
        *cut_closed(rings.closed, down, bit=bit, walls=run.contour, clear_mm=bit.radius_mm),
        *cut_open(rings, run, down, bit),
    )
    ways = (Contour((step.segment,), is_closed=False) for one in passes for step in one.steps)
    area = union_all(sweep(way, bit.radius_mm) for way in dict.fromkeys(ways))
    return Cut(piece_id=piece_id, kind=CutKind.SOCKET, bit_id=bit.id, passes=passes), Opened(area, depth_mm)
