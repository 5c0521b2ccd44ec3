"""What a shop has learnt of one bit in one wood on one machine, and the sizes that follow from it.

Glossary:
    shop record: a correction with its date and what it is for; the newest that matches is used.
    bias: what joints come out with beyond sizes and bit, as two moves of head and lip; see correction.
    corrected sizes: the design's, with our peg changed so that the joint comes out as the design, or a wish, says.

One rule: the bit's error goes into the bit's diameter and nowhere else, the biases into the outline and nowhere else.
``effective_bit`` and ``corrected`` are the two places, and neither does the other's work.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from platelayer.fit.in_line import in_line
from platelayer.fit.target_play import Cutter, Part, TargetAnswer, TargetPlay, shape_for, solve_target
from platelayer.tolerances import PROGRAM_STEP_MM
from platelayer.units import show_change, show_small
from platelayer.values.pieces import JointSizes
from platelayer.values.tooling import Bit
from platelayer.values.tuning import LostMotion, Lying


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRecord:
    """One dated entry: what it is for, what was found, and the uncertainty of the two that are used.

    The best peg's plays are those it had in the card's socket; 0 when nobody said which it was. ``wider_y_mm`` is not 0
    where cutting pushes the bit through the slack: how much wider it cuts along y than along x.
    """

    date: str
    bit_id: str
    material_id: str
    machine_id: str
    bit_diameter_mm: float
    bit_spread_mm: float
    head_offset_mm: float
    lip_bias_mm: float
    bias_spread_mm: float
    lies: Lying = Lying.X
    slack_x_mm: float = 0.0
    slack_y_mm: float = 0.0
    wider_y_mm: float = 0.0
    scale_x_ratio: float = 0.0
    scale_y_ratio: float = 0.0
    depth_error_mm: float = 0.0
    best_pips: int = 0
    best_side_mm: float = 0.0
    best_pull_mm: float = 0.0
    note: str = ""

    @property
    def lost(self) -> LostMotion:
        """Lost motion as far as it is known; of a bit that is pushed only the difference between the axes is."""
        if self.wider_y_mm:
            slack_mm = max(self.wider_y_mm, 0.0), max(-self.wider_y_mm, 0.0)
        else:
            slack_mm = max(self.slack_x_mm, 0.0), max(self.slack_y_mm, 0.0)
        return LostMotion(
            slack_x_mm=slack_mm[0],
            slack_y_mm=slack_mm[1],
            is_pushed=bool(self.wider_y_mm),
            scale_x_ratio=self.scale_x_ratio,
            scale_y_ratio=self.scale_y_ratio,
            lies=self.lies,
        )


def record_for(records: Sequence[ShopRecord], *, bit_id: str, material_id: str, machine_id: str) -> ShopRecord | None:
    """The newest record of that bit, wood and machine, of a card along x; else of one along y, else of one askew.

    Of two of one date the later in the file. None without one.
    """
    fitting = [
        record
        for record in records
        if (record.bit_id, record.material_id, record.machine_id) == (bit_id, material_id, machine_id)
    ]
    return max(reversed(fitting), key=lambda record: (-list(Lying).index(record.lies), record.date), default=None)


def records_otherwise(records: Sequence[ShopRecord], like: ShopRecord) -> tuple[ShopRecord, ...]:
    """The newest records of the same bit, wood and machine for each other way in which a card lay."""
    found = (
        record_for(
            [one for one in records if one.lies is lies],
            bit_id=like.bit_id,
            material_id=like.material_id,
            machine_id=like.machine_id,
        )
        for lies in Lying
        if lies is not like.lies
    )
    return tuple(one for one in found if one is not None)


def effective_bit(bit: Bit, record: ShopRecord | None) -> Bit:
    """The bit with the diameter that was found; as it is without a record."""
    return bit if record is None else replace(bit, measured_mm=record.bit_diameter_mm)


def corrected(
    sizes: JointSizes,
    *,
    record: ShopRecord | None,
    cutter: Cutter,
    target: TargetPlay | None = None,
    part: Part = Part.PEG,
    is_mate_bought: bool = False,
) -> TargetAnswer:
    """The design with our peg, socket or both changed so that joints come out with the plays wished for.

    Without a target play the design's own plays are wanted: those it has when cut without any error but the bit's
    roundness; it stays as it is then where no bias was found.
    The plays in the answer are those to expect from the machine, biases included. The cutter is that of the
    effective bit; the record's biases are added here, but never to a mate that was bought: its sizes are as measured.

    Raises:
        ValueError: a design that does not go together, so that there is no play to keep; else as ``solve_target``.
    """
    if target is None:
        plays = in_line(shape_for(sizes, cutter))
        if plays.play_mm <= 0 or plays.side_mm <= 0:
            raise ValueError("the design does not go together")
        wanted = TargetPlay(plays.side_mm, plays.play_mm)
    else:
        wanted = target
    if target is None and (record is None or record.head_offset_mm == record.lip_bias_mm == 0):
        return TargetAnswer(sizes=sizes, side_mm=wanted.side_mm, pull_out_mm=wanted.pull_out_mm, is_met=True)
    biased = cutter_on(cutter, record, part=part, is_mate_bought=is_mate_bought)
    ours = peg_made_up(sizes, record, part=part, is_mate_bought=is_mate_bought)
    return solve_target(wanted, sizes=ours, part=part, cutter=biased)


def peg_made_up(sizes: JointSizes, record: ShopRecord | None, *, part: Part, is_mate_bought: bool) -> JointSizes:
    """The sizes with our peg drawn so as to come out as designed, where our socket is fitted to it; else as they are.

    So the socket goes with a nominal peg as well as with ours.
    """
    if record is None or is_mate_bought or part is not Part.SOCKET:
        return sizes
    return replace(sizes, head_setback_mm=sizes.head_setback_mm - record.head_offset_mm)


def cutter_on(cutter: Cutter, record: ShopRecord | None, *, part: Part, is_mate_bought: bool) -> Cutter:
    """The cutter with the record's biases, but for those of a mate that was bought: this machine did not cut it."""
    biased = biased_cutter(cutter, record)
    if is_mate_bought and part is Part.PEG:
        return replace(biased, lip_bias_mm=cutter.lip_bias_mm)
    if is_mate_bought and part is Part.SOCKET:
        return replace(biased, head_offset_mm=cutter.head_offset_mm)
    return biased


def biased_cutter(cutter: Cutter, record: ShopRecord | None) -> Cutter:
    """The cutter with the biases of the record; as it is without one."""
    if record is None:
        return cutter
    return replace(cutter, head_offset_mm=record.head_offset_mm, lip_bias_mm=record.lip_bias_mm)


def record_words(record: ShopRecord, *, nominal_mm: float, measured_mm: float | None = None) -> tuple[str, ...]:
    """Where a bit's diameter comes from, as sentences for summary and sheet; ``measured_mm`` is what the job says."""
    cuts = record.bit_diameter_mm
    gives_way: tuple[str, ...] = ()
    if measured_mm is not None and abs(measured_mm - cuts) >= PROGRAM_STEP_MM:
        gives_way = (f"Its measured = {show_small(measured_mm)} in the job gives way to the card.",)
    return (
        f"Bit {record.bit_id}: cuts {show_small(cuts)} wide, "
        f"{show_change(cuts - nominal_mm)} from nominal, by the fit card of {record.date} in "
        f"{record.material_id} on {record.machine_id}.",
        *gives_way,
    )


def bias_words(record: ShopRecord) -> str:
    """What the joints bit's card found beyond the bit, as a sentence; other bits cut no joints."""
    reach, lip = (show_change(one) for one in (record.head_offset_mm, record.lip_bias_mm))
    return (
        f"Beyond that, heads came out {reach} from their face and lips {lip} from the middle; joints are drawn to make "
        "up for it."
    )


def change_words(design: JointSizes, cut: JointSizes) -> tuple[str, ...]:
    """How the sizes to cut differ from the design, one sentence a size, in the order of the joint; none when equal."""
    names = (
        ("neck", design.neck_width_mm, cut.neck_width_mm),
        ("head", design.head_diameter_mm, cut.head_diameter_mm),
        ("head's distance from the face", design.head_setback_mm, cut.head_setback_mm),
        ("mouth", design.mouth_width_mm, cut.mouth_width_mm),
        ("hole", design.hole_diameter_mm, cut.hole_diameter_mm),
        ("hole's distance from the face", design.hole_setback_mm, cut.hole_setback_mm),
    )
    return tuple(
        f"{name} {show_change(after - before)}, drawn {show_small(after)}"
        for name, before, after in names
        if f"{after - before:+.3f}" not in ("+0.000", "-0.000")
    )
