"""The bits of a job: shipped ones, the person's own, and which does what."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from platelayer.errors import Fault
from platelayer.job.bits import shipped_bits
from platelayer.job.entry_models import BitTable
from platelayer.job.job_models import BitsTable
from platelayer.job.limits import MOST_FLUTES, MOST_OFF_MM
from platelayer.job.names import entry_labels
from platelayer.job.near_names import did_you_mean, fix_for
from platelayer.units import show_angle, show_length
from platelayer.values.pieces import PegRoot
from platelayer.values.tooling import Bit, BitKind, FluteDirection


@dataclass(frozen=True, slots=True, kw_only=True)
class Roles:
    """Ids of the bits by what they do; empty where none is wanted. Groove edges go by the edges' bit unless said."""

    grooves: str
    joints: str
    finish: str
    outlines: str
    edges: str = ""
    groove_edges: str = ""

    @property
    def in_order(self) -> tuple[str, ...]:
        """Every bit once, in the order of what they are for."""
        used = (self.grooves, self.joints, self.finish, self.edges, self.groove_edges, self.outlines)
        return tuple(dict.fromkeys(bit for bit in used if bit))


def known_bits(
    tables: Sequence[BitTable],
    entries: Sequence[object],
    *,
    faults: list[Fault],
    own: Mapping[str, Bit] = MappingProxyType({}),
) -> dict[str, Bit]:
    """Every bit by id: the shipped ones and the person's own, changed and added to by ``[[bit]]`` tables.

    Args:
        tables: as read.
        entries: as written, for their names.
        faults: what is wrong is added here.
        own: bits by id of a file of them, which the tables may change again.
    """
    bits = shipped_bits() | dict(own)
    seen: set[str] = set()
    for table, label in zip(tables, entry_labels("bit", entries), strict=True):
        where = f"[[bit]] {label}"
        if not table.id:
            faults.append(Fault(where=f"{where} id", problem="missing", fix=f"Shipped: {', '.join(shipped_bits())}."))
            continue
        if table.id in seen:
            problem, fix = "there is another bit of this id", "Keep one of them."
            faults.append(Fault(where=f"{where} id", found=table.id, problem=problem, fix=fix))
        seen.add(table.id)
        bit = _changed(bits[table.id], table) if table.id in bits else _own(table, where, faults)
        if bit is not None:
            faults += _bit_faults(bit, where)
            bits[table.id] = bit
    return bits


def _changed(bit: Bit, table: BitTable) -> Bit:
    said = {
        "kind": table.kind,
        "nominal_mm": table.diameter,
        "measured_mm": table.measured,
        "flute_direction": table.direction,
        "flutes": table.flutes,
        "cutting_length_mm": table.cutting_length,
        "shank_mm": table.shank,
        "overall_mm": table.overall,
        "stick_out_mm": table.stick_out,
        "upcut_length_mm": table.upcut_length,
        "may_plunge": table.may_plunge,
        "included_rad": table.included_angle,
        "corner_radius_mm": table.corner_radius,
    }
    return replace(bit, **{key: value for key, value in said.items() if value is not None})  # type: ignore[arg-type]


def _own(table: BitTable, where: str, faults: list[Fault]) -> Bit | None:
    needed = {"kind": table.kind, "diameter": table.diameter, "cutting_length": table.cutting_length}
    missing = [key for key, value in needed.items() if value is None]
    near = did_you_mean(table.id, shipped_bits())
    problem = f"missing; {table.id} is no shipped bit, so all of it must be said"
    faults += [Fault(where=f"{where} {key}", problem=problem, fix=near) for key in missing]
    if table.kind is None or table.diameter is None or table.cutting_length is None:
        return None
    bare = Bit(
        id=table.id,
        kind=table.kind,
        nominal_mm=table.diameter,
        cutting_length_mm=table.cutting_length,
        shank_mm=table.diameter,
        flute_direction=FluteDirection.STRAIGHT,
    )
    return _changed(bare, table)


def _bit_faults(bit: Bit, where: str) -> list[Fault]:
    faults = []
    if bit.measured_mm is not None and abs(bit.measured_mm - bit.nominal_mm) > MOST_OFF_MM:
        nominal, limit = (show_length(length) for length in (bit.nominal_mm, MOST_OFF_MM))
        problem = f"more than {limit} from the nominal {nominal}, so not the same bit"
        found = show_length(bit.measured_mm)
        faults.append(Fault(where=f"{where} measured", found=found, problem=problem, fix="Give it an id of its own."))
    if bit.flutes > MOST_FLUTES:
        problem = f"no router bit has more than {MOST_FLUTES} flutes"
        faults.append(Fault(where=f"{where} flutes", found=str(bit.flutes), problem=problem))
    is_vee = bit.kind is BitKind.VEE
    if is_vee and not 0 < bit.included_rad < math.pi:
        problem = "a vee bit needs its included angle, between 0 and 180 degrees"
        faults.append(Fault(where=f"{where} included_angle", found=show_angle(bit.included_rad), problem=problem))
    if bit.kind is BitKind.ROUND_OVER and not 0 < bit.corner_radius_mm < bit.nominal_mm / 2:
        problem = "a round-over bit needs the radius of its corner, less than half its diameter"
        found = show_length(bit.corner_radius_mm)
        faults.append(Fault(where=f"{where} corner_radius", found=found, problem=problem))
    return faults + _upcut_faults(bit, where)


def _upcut_faults(bit: Bit, where: str) -> list[Fault]:
    found = show_length(bit.upcut_length_mm)
    if bit.upcut_length_mm and bit.flute_direction is not FluteDirection.COMPRESSION:
        problem = f"only a compression bit has an up-cut tip, and this one is {bit.flute_direction}-cut"
        return [Fault(where=f"{where} upcut_length", found=found, problem=problem, fix="Leave it out.")]
    if bit.upcut_length_mm >= bit.cutting_length_mm:
        problem = f"no shorter than the whole cutting edge, {show_length(bit.cutting_length_mm)}"
        fix = "Measure from the tip to where the flutes turn the other way."
        return [Fault(where=f"{where} upcut_length", found=found, problem=problem, fix=fix)]
    return []


def chosen_roles(table: BitsTable, bits: Mapping[str, Bit], *, peg_root: PegRoot, faults: list[Fault]) -> Roles:
    """Which bit does what. Grooves and outlines go by the joints' bit unless said otherwise.

    Args:
        table: ``[bits]`` as written.
        bits: every known bit.
        peg_root: a finishing bit is needed for ``finish`` and of no use otherwise.
        faults: what is wrong is added here.
    """
    roles = Roles(
        grooves=table.grooves or table.joints,
        joints=table.joints,
        finish=table.finish,
        outlines=table.outlines or table.joints,
        edges=table.edges,
        groove_edges=table.groove_edges,
    )
    for role in ("grooves", "joints", "outlines", "finish"):
        written = getattr(table, role)
        if role == "joints" and not written:
            faults.append(Fault(where="[bits] joints", problem="missing", fix=fix_for("", bits)))
        elif written and written not in bits:
            fix = fix_for(written, bits)
            faults.append(Fault(where=f"[bits] {role}", found=written, problem="no such bit", fix=fix))
        elif written and bits[written].kind is not BitKind.FLAT:
            problem = f"a {bits[written].kind.replace('_', '-')} bit leaves no flat floor and no square wall"
            faults.append(Fault(where=f"[bits] {role}", found=written, problem=problem, fix="Take a flat bit."))
    faults += _finish_faults(roles, bits, peg_root)
    return roles


def _finish_faults(roles: Roles, bits: Mapping[str, Bit], peg_root: PegRoot) -> list[Fault]:
    where = "[bits] finish"
    if peg_root is PegRoot.FINISH and not roles.finish:
        fix = "Name a bit smaller than the one for the joints."
        return [Fault(where=where, problem='missing, with peg_root = "finish"', fix=fix)]
    if peg_root is not PegRoot.FINISH and roles.finish:
        problem = f'of no use with peg_root = "{peg_root}"'
        fix = 'Write peg_root = "finish" in [joint], or leave this bit out.'
        return [Fault(where=where, found=roles.finish, problem=problem, fix=fix)]
    small, joints = bits.get(roles.finish), bits.get(roles.joints)
    if small is not None and joints is not None and small.diameter_mm >= joints.diameter_mm:
        shown = show_length(joints.diameter_mm)
        problem = f"not smaller than the bit that cuts the joints, {shown}"
        return [Fault(where=where, found=roles.finish, problem=problem, fix="Take a smaller one.")]
    return []
