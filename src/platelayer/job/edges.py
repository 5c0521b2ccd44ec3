"""Edges broken by machine, from the models to a value: sizes and bits that go together, and room for them in the track.

Glossary:
    outer edge: where the top meets the outline. groove edge: where it meets the wall of a groove.
    size (of an edge): how far in along the face the bit reaches; for a full round its radius.
    flat: what stays level of the land between the outer edge and a groove.

A round-over bit breaks an edge by its whole radius when its tip goes as deep as that, and by less when it goes less
deep: one bit can round the outer edges and break the grooves' edges lightly.
"""

from collections.abc import Mapping, Sequence
from typing import Final

from platelayer.errors import Fault
from platelayer.geometry.edges import FLOOR_CLEAR_MM, chamfer_depth_mm, round_depth_mm, vee_beside_mm
from platelayer.job.job_models import EdgesTable, JobFile
from platelayer.job.near_names import fix_for
from platelayer.job.track_models import TrackTable
from platelayer.tolerances import DEPTH_MM
from platelayer.units import show_length, show_short
from platelayer.values.bit_shape import tip_radius_mm
from platelayer.values.tooling import Bit, BitKind, Board, Edges

THICKEST_ROUND_RATIO: Final = 0.25
"""An edge takes at most this share of the board's thickness, so that it stays clear of tabs. Common practice, no
source."""
FLAT_LEAST_MM: Final = 0.5
"""At least this much of the land between outer edge and groove stays level. Common practice, no source."""
_USUAL: Final = "round-over-1.588"


def edges_of(model: JobFile, bits: Mapping[str, Bit], boards: Sequence[Board], *, faults: list[Fault]) -> Edges:
    """Which edges the machine breaks, by how much and by which bit; none when they are left to hand.

    Args:
        model: the whole job as written.
        bits: every known bit.
        boards: all of the job's.
        faults: what is wrong is added here.
    """
    table, roles, before = model.edges, model.bits, len(faults)
    faults += _choice_faults(model)
    outer_id, groove_id = roles.edges, roles.groove_edges or roles.edges
    if len(faults) > before or not (table.outer or table.groove):
        return Edges()
    if table.outer:
        faults += _named_faults("edges", outer_id, bits) or _outer_faults(table, bits[outer_id], boards)
    if table.groove:
        role = "groove_edges" if roles.groove_edges else "edges"
        faults += _named_faults(role, groove_id, bits) or _groove_faults(model, role, bits[groove_id])
    faults += _land_faults(table, model.track)
    if len(faults) > before:
        return Edges()
    return Edges(
        outer_mm=_within(table.outer, bits.get(outer_id)),
        groove_mm=_within(table.groove, bits.get(groove_id)),
        outer_bit=outer_id if table.outer else "",
        groove_bit=groove_id if table.groove else "",
    )


def _within(size_mm: float, bit: Bit | None) -> float:
    """The size, or the radius of the bit where that is smaller by a hair: 1.59 mm means a bit of 1/16 in."""
    return size_mm if bit is None or bit.kind is not BitKind.ROUND_OVER else min(size_mm, bit.corner_radius_mm)


def _choice_faults(model: JobFile) -> list[Fault]:
    """Sizes without a bit, bits without a size, and both against an edge left to hand."""
    table, roles, found = model.edges, model.bits, list[Fault]()
    if table.by_hand:
        for key, size in (("outer", table.outer), ("groove", table.groove)):
            if size:
                fix = "Leave out one of the two."
                shown = show_length(size)
                found.append(Fault(where=f"[edges] {key}", found=shown, problem="of no use with by_hand", fix=fix))
        return found
    problem = "no bit is named for it"
    if table.outer and not roles.edges:
        fix = f'Write edges = "{_USUAL}" or another round-over bit in [bits], or by_hand = true here instead.'
        shown = show_length(table.outer)
        found.append(Fault(where="[edges] outer", found=shown, problem=problem, fix=fix))
    if table.groove and not (roles.groove_edges or roles.edges):
        fix = f'Write groove_edges = "{_USUAL}" or another round-over or vee bit in [bits].'
        shown = show_length(table.groove)
        found.append(Fault(where="[edges] groove", found=shown, problem=problem, fix=fix))
    if roles.edges and not (table.outer or (table.groove and not roles.groove_edges)):
        found.append(_of_no_use("edges", roles.edges, "outer"))
    if roles.groove_edges and not table.groove:
        found.append(_of_no_use("groove_edges", roles.groove_edges, "groove"))
    return found


def _of_no_use(role: str, bit_id: str, key: str) -> Fault:
    size = "1/16 in" if key == "outer" else "1/64 in"
    fix = f'Write {key} = "{size}" in [edges], or leave this bit out.'
    return Fault(where=f"[bits] {role}", found=bit_id, problem=f"of no use without [edges] {key}", fix=fix)


def _named_faults(role: str, bit_id: str, bits: Mapping[str, Bit]) -> list[Fault]:
    where = f"[bits] {role}"
    if bit_id not in bits:
        return [Fault(where=where, found=bit_id, problem="no such bit", fix=fix_for(bit_id, bits))]
    kind = bits[bit_id].kind
    if kind is BitKind.ROUND_OVER or (kind is BitKind.VEE and role == "groove_edges"):
        return []
    wanted = "a round-over bit" if role == "edges" else "a round-over or vee bit"
    problem = f"a {kind.value} bit rounds no edge"
    return [Fault(where=where, found=bit_id, problem=problem, fix=f"Take {wanted}, such as {_USUAL}.")]


def _outer_faults(table: EdgesTable, bit: Bit, boards: Sequence[Board]) -> list[Fault]:
    where, size = "[edges] outer", show_length(table.outer)
    if abs(bit.corner_radius_mm - table.outer) > DEPTH_MM:
        fix = f"Write {show_short(bit.corner_radius_mm)}, or take a bit of that radius."
        problem = f"{bit.id} rounds by {show_length(bit.corner_radius_mm)}"
        return [Fault(where=where, found=size, problem=problem, fix=fix)]
    if bit.cutting_length_mm < table.outer:
        problem = f"{bit.id} cuts {show_length(bit.cutting_length_mm)} deep, less than its own radius"
        return [Fault(where=where, found=size, problem=problem, fix="Measure its cutting length again.")]
    thin = min((board.thickness_mm for board in boards), default=4 * table.outer)
    most = THICKEST_ROUND_RATIO * thin
    if table.outer <= most:
        return []
    problem = f"more than {show_length(most)}, a quarter of the board: it would reach the tabs"
    return [Fault(where=where, found=size, problem=problem, fix="Take a round-over bit of a smaller radius.")]


def _groove_faults(model: JobFile, role: str, bit: Bit) -> list[Fault]:
    size_mm, track = model.edges.groove, model.track
    where, found = "[edges] groove", show_length(size_mm)
    width, floor = track.groove_inner - track.groove_outer, track.groove_depth - FLOOR_CLEAR_MM
    if bit.kind is BitKind.ROUND_OVER and bit.corner_radius_mm < size_mm - DEPTH_MM:
        radius = show_length(bit.corner_radius_mm)
        problem = f"{bit.id} rounds by no more than {radius}"
        return [Fault(where=where, found=found, problem=problem, fix="Take a bit of a larger radius, or break less.")]
    if 2 * tip_radius_mm(bit) > width + DEPTH_MM:
        tip = show_length(2 * tip_radius_mm(bit))
        problem = f"its tip is {tip} wide, wider than the groove, {show_length(width)}"
        return [Fault(where=f"[bits] {role}", found=bit.id, problem=problem, fix="Take a smaller bit, or a vee bit.")]
    if bit.kind is BitKind.ROUND_OVER:
        depth = round_depth_mm(width_mm=min(size_mm, bit.corner_radius_mm), radius_mm=bit.corner_radius_mm)
    else:
        depth = chamfer_depth_mm(width_mm=size_mm, included_rad=bit.included_rad)
        beside = vee_beside_mm(width_mm=size_mm, included_rad=bit.included_rad, groove_mm=width, deepest_mm=floor)
        depth += max(beside, 0.0) / (size_mm / depth)
    if depth <= floor and depth <= bit.cutting_length_mm:
        return []
    limit = show_length(min(floor, bit.cutting_length_mm))
    what = f"{show_length(FLOOR_CLEAR_MM)} above the groove's floor"
    what = what if floor <= bit.cutting_length_mm else "the bit's cutting length"
    problem = f"{bit.id} would go {show_length(depth)} deep for it; the limit is {limit}, {what}"
    return [Fault(where=where, found=found, problem=problem, fix="Break less.")]


def _land_faults(table: EdgesTable, track: TrackTable) -> list[Fault]:
    """The outer edge, the groove's and the flare leave some of the land between them level."""
    flare = track.flare_extra if track.flare_length else 0.0
    land = track.groove_outer - flare
    if land - table.outer - table.groove >= FLAT_LEAST_MM:
        return []
    key = "outer" if table.outer >= table.groove else "groove"
    level = land - table.outer - table.groove
    shown, least = (show_length(length) for length in (land, FLAT_LEAST_MM))
    left = f"only {show_length(level)} stays level" if level > 0 else "nothing stays level"
    problem = f"{left} of the land between outer edge and groove, {shown} beside the flare; at least {least} does"
    found = show_length(max(table.outer, table.groove))
    fix = "Round less, or move the grooves inwards."
    return [Fault(where=f"[edges] {key}", found=found, problem=problem, fix=fix)]
