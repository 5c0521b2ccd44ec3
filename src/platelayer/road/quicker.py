"""With which of the bits a person owns, or with what finish feeds, a job would be done sooner: proposed, never taken.

Glossary:
    way: which bits grooves, joints and outlines go by, or that feeds of finish passes are derived. change: a role that
        goes by another bit than the job says.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from pathlib import Path
from typing import Final

from platelayer.errors import Fault, JobError, PlatelayerError
from platelayer.job import load_job, placed
from platelayer.job.bits import shipped_bits
from platelayer.job.near_names import fix_for
from platelayer.job.profiles import Profiles
from platelayer.preview.report.summary import whole_s
from platelayer.road.making import contents_of
from platelayer.road.minutes import bound_with_s
from platelayer.road.owned_bits import WORTH_RATIO, check_reach, words_of
from platelayer.road.planning import cut_laid, lay_job
from platelayer.road.proving import prove
from platelayer.road.redrawing import with_direction_words
from platelayer.road.tuning import records_in, shop_file, tuned
from platelayer.units import minutes, worded
from platelayer.values.findings import Severity
from platelayer.values.tooling import BitKind, Job

FEEDS_WORTH_RATIO: Final = WORTH_RATIO / 4
"""A saving by feeds alone is worth telling from this share on: no bit is changed for it. Common practice, no source."""

ROLES: Final = ("grooves", "joints", "outlines")
MOST_TRIED: Final = 6
"""Ways that are cut and dry-run: a few seconds each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """One way as proved: its changes by role, time, bits used, warnings; ``fault`` says why it is not sound.

    ``derives_finish``: feeds of finish passes are derived, all else is as the job says.
    """

    changes: Mapping[str, str]
    derives_finish: bool = False
    seconds_s: float = 0.0
    bits: int = 0
    warnings: int = 0
    fault: str = ""

    @property
    def words(self) -> str:
        """``grooves with flat-4.763, outlines with flat-6.35-up``, or ``finish feeds derived``."""
        return "finish feeds derived" if self.derives_finish else words_of(self.changes)

    @property
    def keys(self) -> str:
        """What to write into the job for it."""
        if self.derives_finish:
            return "under [cutting]: derive_finish_feeds = true"
        return "under [bits]: " + ", ".join(f'{role} = "{bit}"' for role, bit in self.changes.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What a job is loaded from again and again."""

    text: str
    file: str
    profiles: Profiles
    shop: Path | None

    def job(self, changes: Mapping[str, str], *, derives_finish: bool = False) -> Job:
        """The job with these bits in the place of its own, as the shop knows them; maybe with finish feeds derived."""
        try:
            job = load_job(
                self.text, file=self.file, profiles=self.profiles, roles=changes, derives_finish=derives_finish
            )
            measured = shop_file(job, file=self.file, shop=self.shop)
            return tuned(job, records_in(measured, names_it=self.shop is None), shop=measured)
        except PlatelayerError as error:
            raise placed(error, self.text, file=self.file) from error


def quicker_ways(
    text: str,
    *,
    file: str,
    profiles: Profiles,
    own: Sequence[str] = (),
    shop: Path | None = None,
    progress: Callable[[str], None] = lambda _: None,
) -> tuple[Way, ...]:
    """The job as it is, then sound ways that are quicker, quickest first, then ways that looked so and are not sound.

    Ways are put in order by their bound over the pieces where they lie; the most promising are cut and dry-run.

    Args:
        text: of the job.
        file: its name.
        profiles: of machines, and files of own bits.
        own: ids of bits besides those of the job and of the file of bits that it names.
        shop: the shop's own measurements; the file that the job names when None.
        progress: told what is being tried.

    Raises:
        JobError: faults in the job, or an id that no bit has.
        CannotCut: the job itself cannot be made.
    """
    asked = _Asked(text=text, file=file, profiles=profiles, shop=shop)
    job = asked.job({})
    flats = _flats(job, own)
    progress("the job as it is: cuts and dry run")
    as_it_is = _proved(job, {})
    laid = lay_job(job)
    least_s = bound_with_s(laid, job)
    promising: list[tuple[float, dict[str, str], Job]] = []
    refused: list[Way] = []
    for changes in _changes(job, flats):
        try:
            other = asked.job(changes)
            check_reach(other)
        except PlatelayerError as error:
            if len(changes) == 1:
                refused.append(_unsound(changes, error, job))
            continue
        bound_s = bound_with_s(laid, other)
        if bound_s < (1 - WORTH_RATIO) * least_s:
            promising.append((bound_s, changes, other))
    promising.sort(key=lambda one: (one[0], len(one[1]), list(one[1].items())))
    progress("finish feeds derived: cuts and dry run")
    derived = _tried(asked.job({}, derives_finish=True), {}, derives_finish=True)
    tried = []
    for _, changes, other in _few(promising):
        progress(f"{Way(changes=changes).words}: cuts and dry run")
        tried.append(_tried(other, changes))
    sound = [way for way in tried if not way.fault and way.seconds_s < (1 - WORTH_RATIO) * as_it_is.seconds_s]
    if not derived.fault and derived.seconds_s < (1 - FEEDS_WORTH_RATIO) * as_it_is.seconds_s:
        sound.append(derived)
    sound.sort(key=lambda way: (way.seconds_s, len(way.changes)))
    return (as_it_is, *sound, *(way for way in tried if way.fault), *refused)


def _few(promising: Sequence[tuple[float, dict[str, str], Job]]) -> Sequence[tuple[float, dict[str, str], Job]]:
    """The best of all and the best that change one role alone: one bit more is the least that is asked of a person."""
    singles = [one for one in promising if len(one[1]) == 1][: MOST_TRIED // 2]
    others = [one for one in promising if len(one[1]) > 1][: MOST_TRIED - len(singles)]
    return [*singles, *others]


def _flats(job: Job, own: Sequence[str]) -> tuple[str, ...]:
    """Flat bits to be tried: those the person owns and those asked for.

    Raises:
        JobError: an id that no bit has.
    """
    known = shipped_bits() | {bit.id: bit for bit in (*job.bits, *job.owned)}
    for bit_id in own:
        if bit_id not in known:
            raise JobError(Fault(where="--own", found=bit_id, problem="no such bit", fix=fix_for(bit_id, known)))
    ids = dict.fromkeys((*(bit.id for bit in (*job.bits, *job.owned)), *own))
    return tuple(bit_id for bit_id in ids if known[bit_id].kind is BitKind.FLAT)


def _changes(job: Job, flats: Sequence[str]) -> list[dict[str, str]]:
    """Every way but the job's own, as what it changes."""
    now = (job.grooves_bit, job.joints_bit, job.outlines_bit)
    return [
        {role: bit for role, bit, mine in zip(ROLES, way, now, strict=True) if bit != mine}
        for way in product(flats, repeat=len(ROLES))
        if way != now
    ]


def _tried(job: Job, changes: Mapping[str, str], *, derives_finish: bool = False) -> Way:
    """One way proved; with its first fault where it is refused."""
    try:
        return replace(_proved(job, changes), derives_finish=derives_finish)
    except PlatelayerError as error:
        return _unsound(changes, error, job)


def _unsound(changes: Mapping[str, str], error: PlatelayerError, job: Job) -> Way:
    return Way(changes=changes, fault=worded(error.faults[0].problem, job.units))


def _proved(job: Job, changes: Mapping[str, str]) -> Way:
    """One way cut and dry-run in memory."""
    plan, noticed = cut_laid(lay_job(job))
    noticed = (*job.warnings, *noticed)
    proof = prove(contents_of(plan, with_direction_words(job, plan), noticed), noticed=noticed)
    found = proof.report.findings
    errors = [one.text for one in found if one.severity is Severity.ERROR]
    return Way(
        changes=changes,
        seconds_s=whole_s(proof.manifest, proof.report),
        bits=len({bit.id for file in proof.manifest.files for bit in file.bits}),
        warnings=sum(one.severity is Severity.WARNING for one in found),
        fault=errors[0] if errors else "",
    )


def quicker_lines(ways: Sequence[Way]) -> tuple[str, ...]:
    """The ways as lines to read."""
    as_it_is, *others = ways
    lines = [f"As the job says: {minutes(as_it_is.seconds_s)}, {_bits(as_it_is)}."]
    for way in others:
        if way.fault:
            lines.append(f"Not sound: {way.words}: {way.fault.rstrip('.')}.")
            continue
        less, more = minutes(as_it_is.seconds_s - way.seconds_s), way.warnings - as_it_is.warnings
        noted = f", {more} more to note" if more > 0 else ""
        lines.append(f"{way.words.capitalize()}: {less} less, {minutes(way.seconds_s)}, {_bits(way)}{noted}.")
    sound = next((way for way in others if not way.fault), None)
    if sound is None:
        return (*lines, "Neither these bits nor derived finish feeds make it quicker.")
    return (*lines, f"Nothing is changed. For the quickest write {sound.keys}")


def _bits(way: Way) -> str:
    return "one bit" if way.bits == 1 else f"{way.bits} bits"
