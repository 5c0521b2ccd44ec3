"""``[track] floor_height``: grooves whose floor lies so high above what the track lies on, however thick the wood is.

Glossary:
    floor height: thickness of the wood less the depth of a groove; what a wheel feels where two pieces meet.
"""

from collections.abc import Sequence

from platelayer.errors import Fault
from platelayer.job.boards import wood_mm
from platelayer.job.job_models import JobFile
from platelayer.tolerances import FLOOR_STEP_MM, LAND_MM
from platelayer.units import show_length
from platelayer.values.findings import Code, Finding, Severity
from platelayer.values.tooling import Board


def with_floor(model: JobFile, *, faults: list[Fault]) -> JobFile:
    """The job with the depth of groove that leaves the floor it asks for; as it is where it asks for none.

    Faults are added to the list.
    """
    track, where = model.track, "[track] floor_height"
    if track.floor_height is None:
        return model
    found = show_length(track.floor_height)
    thickness = wood_mm(model)
    if "groove_depth" in track.model_fields_set:
        problem = "says in another way what groove_depth says"
        faults.append(Fault(where=where, found=found, problem=problem, fix="Leave one of the two out."))
    most = thickness - LAND_MM
    if not LAND_MM <= track.floor_height <= most:
        problem = f"leaves no groove in wood {show_length(thickness)} thick, or no floor"
        fix = f"Use {show_length(LAND_MM)} to {show_length(most)}."
        faults.append(Fault(where=where, found=found, problem=problem, fix=fix))
        return model
    deep = track.model_copy(update={"groove_depth": thickness - track.floor_height})
    return model.model_copy(update={"track": deep})


def floor_findings(model: JobFile, boards: Sequence[Board]) -> tuple[Finding, ...]:
    """A warning for the boards on which a floor height cannot be promised: z set on a top that nobody measured."""
    loose = [board for board in boards if board.zero == "top" and not board.thickness_is_measured]
    if model.track.floor_height is None or not loose:
        return ()
    names = ", ".join(board.id for board in loose)
    scatter = max(board.scatter_mm for board in loose)
    asked = show_length(model.track.floor_height)
    text = (
        f"A floor height of {asked} is not promised on board {names}: z is zeroed on its top and nobody measured its "
        f"thickness, so that the floor lies up to {show_length(scatter)} higher or lower."
    )
    advice = 'Write zero = "spoilboard", or measure the board and write thickness_measured = true.'
    return (
        Finding(
            code=Code.SHAPE_DEPTH,
            severity=Severity.WARNING,
            text=text,
            advice=advice,
            measured=scatter,
            limit=FLOOR_STEP_MM,
        ),
    )
