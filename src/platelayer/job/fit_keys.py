"""``[fit]`` and ``[mate]`` of a job: how joints should feel, and the sizes of the set they must couple with."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from platelayer.errors import Fault
from platelayer.fit.target_play import BEST, PRESETS
from platelayer.job.limits import MOST_PLAY_MM
from platelayer.job.near_names import fix_for
from platelayer.job.track_models import FitTable, MateTable
from platelayer.pieces.sizes import check_joint
from platelayer.units import show_length
from platelayer.values.pieces import JointSizes
from platelayer.values.tuning import FitAsked


def fit_of(table: FitTable, *, faults: list[Fault]) -> FitAsked:
    """The feel that a job asks for, by a word or by two plays; faults are added to the list."""
    if table.feel and (table.side is not None or table.pull is not None):
        problem = "a word and figures were given"
        faults.append(Fault(where="[fit] feel", found=table.feel, problem=problem, fix="Leave one of the two out."))
        return FitAsked(part=table.part)
    if table.feel == BEST:
        return FitAsked(part=table.part, as_best_peg=True)
    if table.feel:
        if table.feel not in PRESETS:
            fix = fix_for(table.feel, (*PRESETS, BEST))
            faults.append(Fault(where="[fit] feel", found=table.feel, problem="no such word for a feel", fix=fix))
            return FitAsked(part=table.part)
        target = PRESETS[table.feel]
        return FitAsked(side_mm=target.side_mm, pull_out_mm=target.pull_out_mm, part=table.part)
    plays = {"side": table.side, "pull": table.pull}
    written = {key: value for key, value in plays.items() if value is not None}
    for key in plays:
        if written and key not in written:
            problem = "missing; a feel is side play and pull-out play"
            faults.append(Fault(where=f"[fit] {key}", problem=problem, fix="Write both, or feel."))
    for key, value in written.items():
        if value > MOST_PLAY_MM:
            problem = f"more play than a joint has; the limit is {show_length(MOST_PLAY_MM)}"
            fix = 'Write the unit, as in "0.3 mm".'
            faults.append(Fault(where=f"[fit] {key}", found=show_length(value), problem=problem, fix=fix))
    return FitAsked(side_mm=table.side or 0.0, pull_out_mm=table.pull or 0.0, part=table.part)


def mate_of(table: MateTable | None, *, faults: list[Fault]) -> JointSizes | None:
    """The bought set's joint; None without one, or with faults, which are added to the list."""
    if table is None:
        return None
    values: Mapping[str, Any] = {
        field.name: getattr(table, field.name.removesuffix("_mm")) for field in fields(JointSizes)
    }
    missing = [name.removesuffix("_mm") for name, value in values.items() if value is None]
    fix = "platelayer fit bought makes the whole table from what a caliper says."
    faults += [Fault(where=f"[mate] {key}", problem="missing", fix=fix) for key in missing]
    if missing:
        return None
    mate = JointSizes(**values)
    wrong = check_joint(mate, table="mate")
    faults += wrong
    return None if wrong else mate
