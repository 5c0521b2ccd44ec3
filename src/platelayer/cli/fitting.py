"""The commands of ``platelayer fit``: from a wish, over two cuts and a caliper, to joints that slide as wished."""

import re
import sys
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import datetime
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from platelayer.cli.group import FAILS, faults_to_exit, main, own_folders, profile_option
from platelayer.cli.progress import Progress
from platelayer.cli.telling import say, show

if TYPE_CHECKING:
    from platelayer.fit.correction import Question
    from platelayer.fit.shop import ShopRecord
    from platelayer.fit.target_play import TargetPlay
    from platelayer.fit_road.readings import CardRead
    from platelayer.values.tooling import Job

PART_OF = ("peg", "socket", "both")


@main.group()
def fit() -> None:
    """Tune peg and socket for this bit, this wood and this set.

    In order: fit wish, fit card, cut it, fit read, make. fit bought measures a set that you have.
    """


def faults_of_job(command: Callable[..., None]) -> Callable[..., None]:
    """A command about a job whose faults say the job's file and line, where they are about what the job says.

    Raises:
        PlatelayerError: those of the command, when it is run.
    """

    @wraps(command)
    def wrapped(job: Path | None, **others: object) -> None:
        from platelayer.errors import PlatelayerError
        from platelayer.fit_road import fitting

        try:
            command(job=job, **others)
        except PlatelayerError as error:
            raise fitting.in_job(error, job) from error

    return wrapped


def job_argument(*, required: bool = True) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """The job file that a command of the fit is about."""
    return click.argument("job", type=click.Path(path_type=Path), required=required)


def target_options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options that say how a joint should feel, in a word or in numbers."""
    options = (
        click.option("--feel", default="", help="A word for the feel: snug, easy, loose, or best for the best peg's."),
        click.option("--side", default="", help='Side play each way, pushed home, as in "0.3 mm".'),
        click.option("--pull", default="", help='Play along the track, as in "0.3 mm".'),
    )
    for option in reversed(options):
        command = option(command)
    return command


def shop_option(command: Callable[..., Any]) -> Callable[..., Any]:
    """The option that names the shop's own file in place of the one that the job names."""
    path = click.Path(path_type=Path)
    return click.option("--shop", type=path, help="The shop's own measurements; else those that the job names.")(
        command
    )


def best_of(job: "Job", records: Sequence["ShopRecord"]) -> "Callable[[], TargetPlay]":
    """Asks the job's newest card for the feel of its best peg."""
    from platelayer.road import tuning

    return lambda: tuning.best_target(job, records, where="--feel")


def learnt(
    job: Path | None, shop: Path | None, profile_folder: Path | None, *, may_be_missing: bool = False
) -> tuple["Job", Sequence["ShopRecord"]]:
    """The job of a file and the records of its shop, whose file need not be there yet before the first card.

    Without a job it is the starter job.
    """
    from platelayer.fit_road import fitting
    from platelayer.road import tuning

    read = fitting.load(job, own_profiles=own_folders(profile_folder))
    file = tuning.shop_file(read, file=str(job or ""), shop=shop)
    if may_be_missing and file is not None and not file.exists():
        return read, ()
    return read, tuning.records_in(file, names_it=shop is None)


@fit.command("wish")
@job_argument(required=False)
@target_options
@click.option("--part", type=click.Choice(PART_OF), help="Whose sizes to find; peg, unless the job says otherwise.")
@shop_option
@profile_option
@faults_to_exit
@faults_of_job
def target(
    job: Path | None,
    feel: str,
    side: str,
    pull: str,
    part: str | None,
    shop: Path | None,
    profile_folder: Path | None,
) -> None:
    """Sizes of our peg, socket or both for how a joint should feel, or the nearest and why it cannot be had.

    Without a JOB the usual sizes and the usual bit are taken. Once a card of the bit was read, the sizes are those to
    draw for this machine.
    """
    from platelayer.fit.applied import our_sizes
    from platelayer.fit.shop import change_words
    from platelayer.fit.target_play import Part
    from platelayer.fit_road import fitting
    from platelayer.road import tuning

    read, records = learnt(job, shop, profile_folder, may_be_missing=True)
    asked = fitting.target_of(feel, side=side, pull=pull, best=best_of(read, records))
    asked = asked or tuning.asked_wish(tuning.with_asked_plays(read, records))
    ground, record = fitting.ground_of(tuning.with_bits(read, records)), tuning.record_of_job(read, records)
    unit, of = ground.job.units, Part(part or ground.job.fit.part)
    say(["A word stands for two plays:", *(f"  {line}" for line in fitting.preset_lines())], unit)
    if asked is None:
        say(["Ask for one of them with --feel, or for other figures with --side and --pull."], unit)
        return
    with Progress("sizes for the feel asked for"):
        answer = fitting.wished(ground, asked, of, record=record)
    drawn = our_sizes(ground.job, answer.sizes, of)
    changes = change_words(ground.job.joint, drawn) or ("nothing to change",)
    card = f", by the fit card of {record.date}" if record else ""
    near = "for" if answer.is_met else "as near as it comes to"
    say(["", f"{fitting.PART_WORDS[of].capitalize()}, {near} {fitting.target_words(asked)}{card}:"], unit)
    say((f"  {change}" for change in changes), unit)
    say(answer.notes, unit)
    job_as_drawn = replace(ground.job, joint=drawn, fit=replace(ground.job.fit, part=of.value))
    say(tuning.bought_mouth_words(job_as_drawn, record) if answer.is_met else (), unit)
    fitting.refuse_target(answer)


@fit.command()
@job_argument()
@click.option("--out", type=click.Path(path_type=Path), required=True, help="Folder to write; made when missing.")
@target_options
@click.option("--board", "scrap", default="", help='A scrap to cut it from, as in "14 x 6 in"; else the first board.')
@click.option(
    "--along",
    type=click.Choice(("x", "y", "diagonal")),
    default="x",
    show_default=True,
    help="How its sticks lie on the machine; diagonal is at 45 degrees. Begin with x.",
)
@click.option("--force", is_flag=True, help="Write over files you have edited.")
@shop_option
@profile_option
@faults_to_exit
@faults_of_job
def card(
    job: Path,
    out: Path,
    feel: str,
    side: str,
    pull: str,
    scrap: str,
    along: str,
    force: bool,
    shop: Path | None,
    profile_folder: Path | None,
) -> None:
    """Make a fit card: pegs a little tighter and looser, a socket, and sizes for a caliper, from a scrap of the wood.

    It is cut with the joints bit of JOB alone, by the same road and the same dry run as any job.
    """
    from platelayer.fit_road import cards, fitting
    from platelayer.road import tuning
    from platelayer.road.outputs import PREVIEW
    from platelayer.values.tuning import Lying

    read, records = learnt(job, shop, profile_folder, may_be_missing=True)
    board = cards.scrap(scrap, like=read.boards[0], unit=read.units) if scrap else None
    asked = fitting.target_of(feel, side=side, pull=pull, best=best_of(read, records))
    with Progress("laying out the card") as progress:
        done = cards.cut_card(
            read, records, target=asked, board=board, lies=Lying(along), out=out, force=force, progress=progress
        )
    show(done.made.proof, as_json=False)
    if not done.made.proof.report.passed:
        click.echo(f"Nothing written to {out}.", err=True)
        sys.exit(FAILS)
    say([f"Written to {out}. Preview to open: {out / PREVIEW}"])
    file = tuning.shop_file(read, file=str(job), shop=shop) or job.parent / "shop.toml"
    say(cards.next_lines(done, out, shop=str(file)), read.units)


@fit.command("read")
@click.argument("readings", type=click.Path(path_type=Path))
@click.option(
    "--shop",
    type=click.Path(path_type=Path),
    default=Path("shop.toml"),
    show_default=True,
    help="The shop's own file, added to at its end; made when missing.",
)
@click.option("--prompt", is_flag=True, help="Ask for every reading that READINGS lacks, and write each into it.")
@click.option(
    "--odd",
    type=click.Choice(("ask", "keep", "drop")),
    default="ask",
    show_default=True,
    help="What is done about readings far from their fellows.",
)
@click.option("--date", type=click.DateTime(formats=["%Y-%m-%d"]), help="Day of the readings; today when left out.")
@click.option("--note", default="", help="A remark to keep with the record.")
@faults_to_exit
def read_command(readings: Path, shop: Path, prompt: bool, odd: str, date: datetime | None, note: str) -> None:
    """Work out what bit and machine really do from the READINGS of a card, and add it to the shop's own file."""
    from platelayer import files
    from platelayer.fit.correction import questions
    from platelayer.fit_road import readings as road
    from platelayer.units import worded

    read = road.read_card(readings)
    if prompt:
        try:
            read = ask_all(read, keep=lambda so_far: files.write_file(readings, road.filled(so_far), force=True))
        except click.Abort:
            click.echo(f"\nWhat was typed is in {readings}; the same command asks for the rest.", err=True)
            raise
        click.echo(f"Written into {readings}.", err=True)
    asked = questions(read.readings)
    left_out = [one for number, one in enumerate(asked) if is_left_out(asked[number:], odd)]
    read = replace(read, readings=road.without(read.readings, left_out))
    with Progress("what bit and machine do, from the readings"):
        found = road.correction_of(read)
        doubts = road.doubts_of(read, found, kept=[one for one in asked if one not in left_out])
    refuse_doubts([worded(str(one), read.as_cut.units) for one in doubts], odd, shop, all(one.may_be for one in doubts))
    day = (date or datetime.now().astimezone()).date().isoformat()
    is_new = road.store(found, read, shop=shop, date=day, note=note)
    say(road.result_lines(read, found, left_out=left_out), read.as_cut.units)
    say([f"Added to {shop} as the record of {day}." if is_new else f"{shop} says so already; nothing added."])
    by_name = f'shop = "{shop.name}" under [job] of a job beside it'
    say([f"From now on: platelayer make JOB --out FOLDER --shop {shop}, or {by_name}."])


def refuse_doubts(told: Sequence[str], odd: str, shop: Path, may_be: bool) -> None:
    """Nothing, where no doubt stands against a card; else all are told, and only what may be true can be kept."""
    is_kept = odd == "keep" and may_be
    for one in told:
        click.echo(f"{one}{' Kept.' if is_kept else ''}", err=True)
    if told and not is_kept:
        keep = " Where they are right all the same, give --odd keep." if may_be else ""
        click.echo(f"Nothing added to {shop}: these readings do not go together.{keep}", err=True)
        sys.exit(FAILS)


def is_left_out(questions: "Sequence[Question]", odd: str) -> bool:
    """Whether the first reading asked about is left out, by the person's word or the option's; else all are listed."""
    question, *others = questions
    if odd == "ask":
        try:
            return click.confirm(f"{question} Leave it out?", default=False, err=True)
        except click.Abort:
            click.echo("".join(f"\n{one}" for one in others), err=True)
            click.get_current_context().fail("say what is done about odd readings: --odd keep or --odd drop.")
    click.echo(f"{question} {'Left out' if odd == 'drop' else 'Kept'}.", err=True)
    return odd == "drop"


def ask_all(read: "CardRead", *, keep: "Callable[[CardRead], None]") -> "CardRead":
    """The card with the readings that a person gives, asked for one after the other where the file has none.

    ``keep`` gets the card after every answer, so that a hand that is called away loses nothing.
    """
    from platelayer.fit.correction import CardReadings, PegReadings
    from platelayer.fit_road import readings as road
    from platelayer.units import show_mm

    click.echo("Three readings each, parted by spaces, in mm unless a unit is written; Enter skips one.", err=True)
    sizes, drawn = dict(read.readings.sizes_mm), road.peg_drawn_mm(read)
    pegs = {peg.pips: peg for peg in read.readings.pegs}
    best = read.readings.best_pips

    def kept() -> "CardRead":
        readings = CardReadings(sizes_mm=dict(sizes), pegs=tuple(pegs.values()), best_pips=best)
        so_far = replace(read, readings=readings)
        keep(so_far)
        return so_far

    for one in read.card.features:
        if not sizes.get(one.feature):
            values = ask_lengths(f"{one.words}; drawn {show_mm(one.designed_mm)}", drawn_mm=one.designed_mm)
            if values:
                sizes[one.feature] = values
                kept()
    for rung in read.card.rungs:
        name = f"{rung.pips} {'pip' if rung.pips == 1 else 'pips'}"
        peg = pegs.get(rung.pips, PegReadings(pips=rung.pips))
        read_mm: dict[str, tuple[float, ...]] = {f"{key}_mm": getattr(peg, f"{key}_mm") for key in road.PEG_KEYS}
        unread = [key for key in road.PEG_KEYS if not read_mm[f"{key}_mm"]]
        if unread and click.confirm(f"Does the peg with {name} go into the socket?", default=True, err=True):
            for key in unread:
                read_mm[f"{key}_mm"] = ask_lengths(f"{name}: {road.PEG_KEYS[key]}", drawn_mm=drawn[key])
                pegs[rung.pips] = PegReadings(pips=rung.pips, **read_mm)
                kept()
    if not best:
        known = click.Choice(["0", *(str(rung.pips) for rung in read.card.rungs)])
        asked = "Pips of the peg that went in best by hand, 0 for none"
        best = int(click.prompt(asked, type=known, default="0", err=True))
    return kept()


def ask_lengths(words: str, *, drawn_mm: float) -> tuple[float, ...]:
    """Lengths that a person types, asked for again until they are lengths near what was drawn; none when skipped."""
    from platelayer.errors import JobError
    from platelayer.fit_road.readings import far_off
    from platelayer.parsing import parse_length

    while True:
        typed = click.prompt(words, default="", show_default=False, err=True)
        try:
            values = tuple(parse_length(part, unit="mm") for part in parts_of(typed))
        except JobError as error:
            click.echo(str(error), err=True)
            continue
        faults = far_off(values, drawn_mm=drawn_mm)
        if not faults:
            return values
        click.echo(str(JobError(*faults)), err=True)


def parts_of(typed: str) -> list[str]:
    """Lengths typed in a row, each with its unit and its fraction: ``0.39 in 0.4 in``, ``1 9/16 in, 40 mm``."""
    joined = re.sub(r"\s+(?=[^\W\d]|[\"”″])", "", typed.strip())
    joined = re.sub(r"(?<![\d./])(\d+)\s+(?=\d+/\d)", r"\1-", joined)
    return re.split(r"[,;]?\s+", joined) if joined else []
