"""A job that is refused, drawn as far as it came, so that a person sees what does not fit. Never any G-code.

Glossary:
    spare: a board that the job lacks, drawn beside its own for the pieces that these have no room for.

The drawings go into the folder that was asked for, all under names of their own: what an earlier ``make`` left there
stays, and goes with the drawings at the next one that is good.
"""

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Final

from platelayer import files
from platelayer.errors import CannotCut, Fault, JobError, NoRoom, shared
from platelayer.geometry.contours import bounds
from platelayer.manifest.build import manifest_of
from platelayer.preview.page.document import page_html
from platelayer.preview.pictures.plan import plans_of
from platelayer.road.outputs import page_of, plans_by_name
from platelayer.road.piece_making import made_pieces
from platelayer.road.planning import Laid, lay_job, uncut_plan
from platelayer.road.proving import Proof
from platelayer.units import worded
from platelayer.values.findings import Code, Finding, Report, Severity, Where
from platelayer.values.pieces import MouthCorner, PegRoot, Piece
from platelayer.values.tooling import Board, Job, Placing, StockBy, TurnBy

REFUSED: Final = "refused"
"""What the names of these files begin with."""
PAGE: Final = f"{REFUSED}.html"
SPARE: Final = "-more-"
"""Between the name of a board and the number of a spare like it."""
ROOM_MM: Final = 100.0
"""Spare room round the largest piece: more than any bit needs."""
VERDICT: Final = "Refused: drawn without cuts"


def draw_unproved(proof: Proof, out: Path) -> Path | None:
    """Plans and page of files that the dry run refused; the page, or nothing where they cannot be put down."""
    return _put(out, plans_by_name(proof), page_of(proof))


def draw_uncut(job: Job, faults: Sequence[Fault], out: Path, *, lacks_room: bool) -> Path | None:
    """Plans and page of a job that cannot be cut, as far as it can be laid; nothing where it cannot, or not be put."""
    laid = laid_all_the_same(job, lacks_room=lacks_room)
    if laid is None:
        return None
    manifest = manifest_of(uncut_plan(laid), laid.job, {}, mate=job.mate)
    ids = {piece.id for piece in manifest.pieces}
    findings = tuple(_finding(fault, ids, job) for fault in shared(faults))
    findings += tuple(_spare_finding(board.id) for board in manifest.boards if SPARE in board.id)
    report = Report(files=(), pieces=(), joints=(), findings=findings)
    plans = plans_of(manifest, {}, findings=findings)
    page = page_html(manifest, {}, {}, report=report, plans=plans, verdict=VERDICT)
    return _put(out, {f"{board}-plan.svg": svg for (board, _), svg in plans.items()}, page)


def laid_all_the_same(job: Job, *, lacks_room: bool = False) -> Laid | None:
    """The job laid; if need be on spare boards for what finds no room, else with sharp corners, or without screws.

    Args:
        job: that was refused.
        lacks_room: it is known already that its boards do not hold its pieces.
    """
    sharp = replace(job, peg_root=PegRoot.NONE, mouth=MouthCorner.NONE)
    clamped = replace(
        sharp,
        holding=replace(sharp.holding, stock=StockBy.CLAMPS),
        turning=replace(sharp.turning, by=TurnBy.FENCE),
    )
    for one in (job, sharp, clamped):
        with suppress(CannotCut, JobError):
            if not (lacks_room and one is job):
                with suppress(NoRoom):
                    return lay_job(one)
            return _on_spares(one)
    return None


def _on_spares(job: Job) -> Laid:
    """The job laid on its own boards and on as many like the last as it takes, larger ones if need be.

    In rows where those do: they are laid at once, and the refusal counts by them what the boards hold.

    Raises:
        JobError: as ``lay_job``.
        CannotCut: as ``lay_job``.
    """
    pieces, _ = made_pieces(job)
    spares = (_spares(job.boards[-1], len(pieces), least_mm) for least_mm in (0.0, _longest_mm(pieces)))
    alike, larger = (replace(job, boards=(*job.boards, *some)) for some in spares)
    for one in (replace(alike, placing=Placing.ROWS), alike):
        with suppress(NoRoom):
            return lay_job(one, pieces=pieces)
    return lay_job(larger, pieces=pieces)


def _spares(like: Board, count: int, least_mm: float) -> tuple[Board, ...]:
    """Spares like a board without its no-go areas, and of that size at least."""
    clear_mm = least_mm + 2 * like.margin_mm + ROOM_MM if least_mm else 0.0
    wide, high = max(like.width_mm, clear_mm), like.height_mm if like.is_strip else max(like.height_mm, clear_mm)
    spare = replace(like, width_mm=wide, height_mm=high, outline=None if least_mm else like.outline, no_go=())
    return tuple(replace(spare, id=f"{like.id}{SPARE}{number}") for number in range(1, count + 1))


def _longest_mm(pieces: Sequence[Piece]) -> float:
    """The longest way across any piece's box."""
    return max(math.dist(box[:2], box[2:]) for box in (bounds(piece.outline) for piece in pieces))


def _finding(fault: Fault, ids: set[str], job: Job) -> Finding:
    told = fault if fault.unit else replace(fault, unit=job.units)
    named = set(fault.where.replace(",", " ").split())
    piece = next((piece for piece in sorted(ids) if piece in named), "")
    return Finding(
        code=Code.JOB_REFUSED,
        text=str(replace(told, fix="")),
        advice=worded(fault.fix, told.unit or job.units),
        where=Where(piece=piece),
    )


def _spare_finding(board_id: str) -> Finding:
    text = f"Board {board_id} is none of the job's: it shows what finds no room on those."
    advice, where = "Add a [[board]], or raise the count of one.", Where(board=board_id)
    return Finding(code=Code.JOB_REFUSED, severity=Severity.WARNING, text=text, advice=advice, where=where)


def _put(out: Path, plans: Mapping[str, str], page: str) -> Path | None:
    texts = {PAGE: page} | {f"{REFUSED}-{name}": svg for name, svg in plans.items()}
    contents = {name: text.encode("utf-8") for name, text in texts.items()}
    try:
        if out.is_dir():
            files.add_to(out, contents, in_place_of=REFUSED)
        else:
            with files.staging(out) as staged:
                files.fill(staged, contents)
                files.hand_over(staged, out)
    except JobError:
        return None
    return out / PAGE
