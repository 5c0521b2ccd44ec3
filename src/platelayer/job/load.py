"""The job file, from text to a checked Job: every fault at once, each with its line."""

from collections.abc import Mapping
from dataclasses import replace
from pathlib import PurePath
from types import MappingProxyType

from platelayer.errors import Fault, JobError
from platelayer.job.boards import boards_of, machine_faults, wood_mm
from platelayer.job.chosen_bits import Roles, chosen_roles, known_bits
from platelayer.job.chosen_machine import Owned, chosen_feeds, chosen_profile, chosen_wood, owned
from platelayer.job.edges import edges_of
from platelayer.job.fences import fence_faults
from platelayer.job.fit_keys import fit_of, mate_of
from platelayer.job.floors import floor_findings, with_floor
from platelayer.job.holding import holding_findings, holding_of, short_piece_faults
from platelayer.job.job_models import JobFile
from platelayer.job.orders import orders_of, route_length_mm
from platelayer.job.profiles import OWN_FILES, Profile, Profiles
from platelayer.job.reading import Reading, placed, read_model, read_toml, unit_of
from platelayer.job.strips import strip_faults
from platelayer.job.track_models import JointTable, TrackTable, WheelTable
from platelayer.job.turning import turning_of
from platelayer.values.pieces import JointSizes, TrackSizes, Wheel
from platelayer.values.tooling import Job


def load_job(
    text: str,
    *,
    file: str,
    profiles: Profiles,
    roles: Mapping[str, str] = MappingProxyType({}),
    derives_finish: bool = False,
) -> Job:
    """The job that a text describes, all of it checked as far as it can be without geometry.

    Args:
        text: of the job file.
        file: its name, for messages; a job without a name takes its folder's, or the file's.
        profiles: texts of machine profiles by file name, the person's own first (profiles_for).
        roles: ids of bits by the keys of ``[bits]``, taken in the place of what the text says there.
        derives_finish: feeds of finish passes may be derived, whatever the text says of it.

    Raises:
        JobError: all that is wrong with the file, and with the profile of the machine it names.
    """
    try:
        data = read_toml(text, file=file)
        reading = _with_roles(read_model(JobFile, data, unit=unit_of(data.get("job"))), roles)
        reading = _deriving(reading) if derives_finish else reading
        named = {key: getattr(reading.model.job, key) for key in OWN_FILES}
        own, own_faults = owned(named, profiles, file=file)
        faults: list[Fault] = []
        job = _job(reading, own, file=file, faults=faults)
    except JobError as error:
        raise placed(error, text, file=file) from error
    unread = frozenset(f"[job] {key}" for key, found in own_faults.items() if found)
    judged = replace(reading, unsound=reading.unsound | unread)
    faults = [fault for fault in faults if not _follows(fault, judged)]
    faults = [*reading.faults, *(one for found in own_faults.values() for one in found), *faults]
    if job is None or faults:
        raise placed(JobError(*_once(faults)), text, file=file)
    return job


def _with_roles(reading: Reading[JobFile], roles: Mapping[str, str]) -> Reading[JobFile]:
    """As read, but for the bits that go by these ids; a role that went by the joints' bit unsaid keeps that bit."""
    table = reading.model.bits
    unsaid = {role: table.joints for role in ("grooves", "outlines") if roles and not getattr(table, role)}
    bits = table.model_copy(update=unsaid | dict(roles))
    return replace(reading, model=reading.model.model_copy(update={"bits": bits}))


def _deriving(reading: Reading[JobFile]) -> Reading[JobFile]:
    """As read, but that feeds of finish passes may be derived."""
    cutting = reading.model.cutting.model_copy(update={"derive_finish_feeds": True})
    return replace(reading, model=reading.model.model_copy(update={"cutting": cutting}))


def _once(faults: list[Fault]) -> list[Fault]:
    """The first fault of each place: a key that could not be read is not also missing."""
    return list({(fault.file, fault.line, fault.where): fault for fault in reversed(faults)}.values())[::-1]


def _follows(fault: Fault, reading: Reading[JobFile]) -> bool:
    """The fault may only be there because a key that it was judged by could not be read."""
    if reading.is_hollow(fault):
        return True
    if fault.where.startswith("[[piece]]") and not reading.are_sound(f"{' '.join(fault.where.split()[:2])} kind"):
        return True
    if fault.where.startswith("[holding]"):
        return not reading.are_sound("[[board]]", "[track] thickness", "[[piece]]")
    if fault.where.startswith("[turning]"):
        return not reading.are_sound("[[board]]", "[[piece]]", "[turning]")
    if fault.where.startswith("[[board]]") and fault.where.endswith("thickness"):
        return not reading.are_sound("[track] thickness", "track")
    if fault.where.startswith(("[edges]", "[bits] edges", "[bits] groove_edges")):
        return not reading.are_sound("[edges]", "[bits] edges", "[bits] groove_edges", "[track]", "[[board]]")
    if fault.where == "[job] material":
        return not reading.are_sound("[job] woods")
    if fault.where.startswith("[bits]") and not reading.are_sound("[job] bits"):
        return True
    return fault.where == "[bits] finish" and not reading.are_sound("[joint] peg_root", "[bits] joints")


def _job(reading: Reading[JobFile], own: Owned, *, file: str, faults: list[Fault]) -> Job | None:
    """The job, or None when there are faults; all of them are in the list then."""
    model = with_floor(reading.model, faults=faults)
    wood, profile = chosen_wood(model.job, own, faults=faults), chosen_profile(model.job, own, faults=faults)
    bits = known_bits(model.bit, reading.entries("bit"), faults=faults, own=own.bits)
    roles = chosen_roles(model.bits, bits, peg_root=model.joint.peg_root, faults=faults)
    boards = boards_of(model.board, reading.entries("board"), model.track, faults=faults)
    holding, edges = holding_of(model.holding, boards, faults=faults), edges_of(model, bits, boards, faults=faults)
    orders = orders_of(model.piece, reading.entries("piece"), faults=faults)
    written = tuple(data) if isinstance(data := reading.data.get("turning"), dict) else ()
    turning = turning_of(model.turning, boards, orders, written=written, faults=faults)
    fit, mate = fit_of(model.fit, faults=faults), mate_of(model.mate, faults=faults)
    faults += short_piece_faults(holding, [route_length_mm(order) for order in orders])
    faults += strip_faults(boards, orders, holding, model.track, outer_mm=edges.outer_mm)
    faults += fence_faults(boards, orders, outer_mm=edges.outer_mm)
    if profile is not None:
        faults += [*machine_faults(boards, profile.machine, model.cutting), *_one_file_faults(model, roles, profile)]
    if faults or wood is None or profile is None:
        return None
    used = [bits[bit_id] for bit_id in roles.in_order]
    allowance, derives = model.cutting.spoilboard_allowance, model.cutting.derive_finish_feeds
    feeds, warnings = chosen_feeds(used, wood, profile, own, bits=bits, file=file, derives=derives, faults=faults)
    if faults:
        return None
    through = [bits[bit_id] for bit_id in dict.fromkeys((roles.joints, roles.outlines))]
    warnings += floor_findings(model, boards) + holding_findings(holding, boards, through, allowance_mm=allowance)
    return Job(
        name=(name := model.job.name or _name_from(file)),
        title=model.job.title or name,
        units=model.job.units or "mm",
        machine=profile.machine,
        material=wood.material,
        boards=boards,
        bits=tuple(used),
        grooves_bit=roles.grooves,
        joints_bit=roles.joints,
        outlines_bit=roles.outlines,
        finish_bit=roles.finish,
        feeds=feeds,
        joint=_joint(model.joint),
        mate=mate or _joint(model.joint),
        has_bought_mate=mate is not None,
        shop=model.job.shop,
        fit=fit,
        track=_track(model.track, wood_mm(model)),
        wheel=_wheel(model.wheel),
        peg_root=model.joint.peg_root,
        mouth=model.joint.mouth,
        ease_radius_mm=model.joint.ease_radius,
        relief_play_ratio=model.joint.relief_play,
        holding=holding,
        spoilboard_allowance_mm=allowance,
        orders=orders,
        edges=edges,
        warnings=warnings,
        turning=turning,
        placing=model.job.placing,
        owned=tuple(bits[bit_id] for bit_id in dict.fromkeys((*own.bits, *(table.id for table in model.bit)))),
        one_file=model.cutting.one_file,
        gap_mm=model.cutting.gap or 0.0,
        sitting_s=model.cutting.sitting or 0.0,
    )


def _name_from(file: str) -> str:
    path = PurePath(file)
    name = path.parent.name if path.stem == "job" and path.parent.name else path.stem
    return "".join(char if char.isascii() and (char.isalnum() or char in "-_.") else "-" for char in name) or "job"


def _one_file_faults(model: JobFile, roles: Roles, profile: Profile) -> list[Fault]:
    if model.cutting.one_file and model.cutting.sitting:
        problem, fix = "all bits in one file, which no sitting can end", "Leave one of the two out."
        return [Fault(where="[cutting] one_file", found="true", problem=problem, fix=fix)]
    if not model.cutting.one_file or len(roles.in_order) < 2 or profile.machine.can_zero_in_pause:
        return []
    problem = f"z must be zeroed again after a change of bit, and {profile.machine.title} cannot do that in a pause"
    fix = "Leave it out: each bit gets a file of its own. Or use one bit for everything."
    return [Fault(where="[cutting] one_file", found="true", problem=problem, fix=fix)]


def _joint(table: JointTable) -> JointSizes:
    return JointSizes(
        neck_width_mm=table.neck_width,
        head_diameter_mm=table.head_diameter,
        head_setback_mm=table.head_setback,
        mouth_width_mm=table.mouth_width,
        hole_diameter_mm=table.hole_diameter,
        hole_setback_mm=table.hole_setback,
    )


def _wheel(table: WheelTable) -> Wheel:
    return Wheel(
        thickness_mm=table.thickness,
        diameter_mm=table.diameter,
        wheelbase_mm=table.wheelbase,
        is_assumed=len(table.model_fields_set) < len(WheelTable.model_fields),
    )


def _track(table: TrackTable, thickness_mm: float) -> TrackSizes:
    return TrackSizes(
        width_mm=table.width,
        thickness_mm=thickness_mm,
        groove_outer_mm=table.groove_outer,
        groove_inner_mm=table.groove_inner,
        groove_depth_mm=table.groove_depth,
        flare_length_mm=table.flare_length,
        flare_extra_mm=table.flare_extra,
    )
