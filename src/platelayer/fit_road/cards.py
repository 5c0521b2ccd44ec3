"""The fit card on its way: cut by the same road as any job, proved by the same dry run, read by caliper, stored.

Glossary:
    card job: the job with the card's sticks in place of its pieces, all cut with the joints bit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.errors import CannotCut, Fault
from platelayer.fit.applied import with_effective_bits
from platelayer.fit.card import RUNG_STEP_MM, RUNGS_MM, FitCard, fit_card, rung_sizes
from platelayer.fit.in_line import in_line
from platelayer.fit.shop import ShopRecord
from platelayer.fit.target_play import Part, TargetPlay, drawn_shape
from platelayer.fit_road.fitting import Ground, ground_of, refuse_target, wished
from platelayer.job.card_table import CardAsCut, card_table
from platelayer.job.measurements import readings_template
from platelayer.parsing import parse_sizes
from platelayer.road.making import Made, Progress, finish
from platelayer.road.planning import plan_job
from platelayer.road.tuning import asked_wish, with_asked_plays
from platelayer.tolerances import GOUGE_MM, PLAY_MM
from platelayer.units import LengthUnit, inches, minutes
from platelayer.values.pieces import EndKind, PegRoot
from platelayer.values.tooling import Board, Edges, HoldingKind, Job, PieceOrder, Placing
from platelayer.values.tuning import FitAsked, Lying, Tuning

READINGS: Final = "readings.toml"


@dataclass(frozen=True, slots=True)
class CardMade:
    """A card that was made, what was made of it, and what holds its sticks until the end."""

    card: FitCard
    made: Made
    held_by: HoldingKind
    lies: Lying


def cut_card(
    job: Job,
    records: Sequence[ShopRecord] = (),
    *,
    target: TargetPlay | None,
    board: Board | None,
    lies: Lying = Lying.X,
    out: Path,
    force: bool,
    progress: Progress = lambda _: None,
) -> CardMade:
    """The fit card of a job made into a folder, with the readings file to fill in; nothing is handed over that fails.

    Args:
        job: whose joints bit, wood and machine the card is for.
        records: what the shop has learnt; a bit that a card was cut with before goes by what was found.
        target: plays that the card's second peg should have; those the job asks for, or its joint's own, without one.
        board: the scrap it is cut from; the job's first board without one.
        lies: how its sticks lie on the machine.
        out: folder to write.
        force: write over edited files.
        progress: told what is going on.

    Raises:
        JobError: ``out`` stands in the way, or sizes that cannot be.
        CannotCut: a target play that cannot be had, or a card that this bit, board or machine cannot make.
    """
    files.check_target(out, force=force)
    job = with_asked_plays(job, records)
    bare, words = with_effective_bits(card_job(job, board, lies=lies), records)
    target = target or asked_wish(job)
    if target is not None:
        answer = wished(ground_of(bare), target, Part.BOTH)
        refuse_target(answer)
        bare = replace(bare, joint=answer.sizes)
    tuning = Tuning(design=bare.joint, drawn=bare.joint, words=words[:1]) if words else None
    bare = replace(bare, mate=bare.joint, tuning=tuning)
    ground = ground_of(bare)
    as_cut = CardAsCut(
        bit_id=bare.joints_bit,
        material_id=bare.material.id,
        machine_id=bare.machine.id,
        path_diameter_mm=bare.bit(bare.joints_bit).diameter_mm,
        sizes=bare.joint,
        corners=ground.cutter.corners,
        track=ground.track,
        rungs_mm=ladder_mm(ground),
        units=bare.units,
        lies=lies,
    )
    card = card_of(as_cut)
    try:
        plan, noticed = plan_job(bare, pieces=card.pieces)
    except CannotCut as error:
        raise CannotCut(*(_of_the_card(fault, lies) for fault in error.faults)) from error
    readings = f"{readings_template(card)}\n{card_table(as_cut)}"
    made = finish(bare, plan, noticed, out=out, more={READINGS: readings.encode("utf-8")}, progress=progress)
    return CardMade(card, made, bare.holding.kind, lies)


_SCRAPS: Final = {Lying.X: "14 x 7 in", Lying.Y: "7 x 14 in", Lying.DIAGONAL: "14 x 14 in"}
"""Large enough for a card that lies so, whatever its bit."""


def _of_the_card(fault: Fault, lies: Lying) -> Fault:
    """A fault of a stick told as one of the card: no line of the job's file speaks of it."""
    table, _, stick = fault.where.partition(" ")
    if table != "[[piece]]":
        return fault
    fix = f'Name a larger scrap: --board "{_SCRAPS[lies]}".'
    return replace(fault, where="The fit card", problem=f"{stick} {fault.problem}", fix=fix)


def card_of(as_cut: CardAsCut) -> FitCard:
    """The card drawn again from what it was cut as.

    Raises:
        CannotCut: a bit too large or a track too narrow for it, or sizes of which no joint can be made.
    """
    try:
        return fit_card(
            sizes=as_cut.sizes,
            track=as_cut.track,
            corners=as_cut.corners,
            bit_radius_mm=as_cut.path_diameter_mm / 2,
            rungs_mm=as_cut.rungs_mm,
        )
    except ValueError as error:
        raise CannotCut(Fault(where="The fit card", problem=str(error))) from error


def card_job(job: Job, board: Board | None, *, lies: Lying = Lying.X) -> Job:
    """The job as far as a card needs it: one bit for all, one board, edges to hand, a peg stick and a gauge stick.

    Pieces lie along the grain, so the scrap's is taken to run as the sticks are to lie.

    Raises:
        CannotCut: strips, and no scrap named.
    """
    bit = job.bit(job.joints_bit)
    if board is None and job.boards[0].is_strip:
        problem = "strips of track width have no edge to spare for the card's notches"
        raise CannotCut(Fault(where="[[board]]", problem=problem, fix='Name a scrap: --board "14 x 6 in".'))
    return replace(
        job,
        name=f"{job.name}-fit-card",
        title=f"{job.title}: fit card",
        boards=(replace(board or job.boards[0], grain_rad=lies.heading_rad, fence_error_mm=None),),
        bits=(bit,),
        feeds=(job.cut_data(bit.id),),
        grooves_bit=bit.id,
        outlines_bit=bit.id,
        finish_bit="",
        peg_root=PegRoot.RELIEVE if job.peg_root is PegRoot.FINISH else job.peg_root,
        orders=(_stick("pegs", (EndKind.PEG, EndKind.PEG)), _stick("gauge", (EndKind.SOCKET, EndKind.PLAIN))),
        edges=Edges(),
        placing=Placing.ROWS,
        warnings=(),
        has_bought_mate=False,
        fit=FitAsked(),
    )


def _stick(name: str, ends: tuple[EndKind, EndKind]) -> PieceOrder:
    """A stick as a line of a cut list, for all that goes by those."""
    return PieceOrder(
        name=f"card-{name}",
        kind="straight",
        count=1,
        sizes={"length": _STICK_MM},
        ends=ends,
        grooves_top=True,
        grooves_bottom=False,
    )


_STICK_MM: Final = 120.0


def scrap(text: str, *, like: Board, unit: LengthUnit) -> Board:
    """A plain board of the width and depth written, otherwise like another; a unit after the last counts for both.

    Raises:
        JobError: not two lengths above zero, or a fraction without its unit.
    """
    fix = 'Write width x depth, as in "14 x 6 in" or "360 x 150 mm".'
    (wide, deep), _ = parse_sizes(text, count=2, unit=unit, where="--board", fix=fix)
    board = replace(like, id="A", width_mm=wide, height_mm=deep, height_is_measured=False, outline=None, no_go=())
    return replace(board, is_strip=False, margin_mm=inches(1 / 4) if like.is_strip else like.margin_mm)


def ladder_mm(ground: Ground) -> tuple[float, ...]:
    """Offsets of the pegs: the usual ladder, begun looser where its tightest peg would jam by design.

    What is too tight as drawn is refused by the dry run, and tells a hand nothing.
    """
    offsets: tuple[float, ...] = RUNGS_MM
    for _ in RUNGS_MM:
        tightest = in_line(drawn_shape(rung_sizes(ground.job.joint, offset_mm=offsets[0]), ground.cutter))
        if tightest.play_mm >= PLAY_MM + GOUGE_MM:
            break
        offsets = tuple(offset + RUNG_STEP_MM for offset in offsets)
    return offsets


_FREED: Final = {
    HoldingKind.TABS: "Saw the tabs",
    HoldingKind.SKIN: "Cut the skin away",
    HoldingKind.TAPE: "Lift the sticks off",
    HoldingKind.VACUUM: "Lift the sticks off",
}


_LIE: Final = {
    Lying.X: "along the machine's x",
    Lying.Y: "along the machine's y",
    Lying.DIAGONAL: "at 45 degrees to the machine's x",
}


def next_lines(made: CardMade, out: Path, *, shop: str) -> tuple[str, ...]:
    """What to do with a card that was made, in order."""
    card, manifest = made.card, made.made.proof.manifest
    bit = manifest.files[0].bits[0]
    pegs = ", ".join(
        f"{rung.pips} {'pip' if rung.pips == 1 else 'pips'} {0.0 - rung.peg_offset_mm:+.2f} mm" for rung in card.rungs
    )
    seconds = sum(file.seconds_s for file in made.made.proof.report.files)
    return (
        f"Next: 1. Cut {manifest.files[0].name} with {bit.id} alone, the sticks {_LIE[made.lies]}: {minutes(seconds)}.",
        f"      2. {_FREED[made.held_by]}, rest the wood an hour, and try each peg in the socket "
        f"(heads each side: {pegs}).",
        f"      3. Write what the caliper says into {out / READINGS}; each line tells what to measure.",
        f"      4. platelayer fit read {out / READINGS} --shop {shop}",
    )
