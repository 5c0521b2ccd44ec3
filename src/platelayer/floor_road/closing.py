"""The answers to a gap: what closes it, ranked, each with its reason, what it leaves, and what it takes to make.

Glossary:
    place: the name of a piece by where it lies, ``loop-13``; new pieces are called so in the job.
    unsure: twice the standard uncertainty, of tape, bought lengths and the machine's scale together.
"""

import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Final

from platelayer.errors import Fault, JobError
from platelayer.floor.chains import Bed, Chain, bed_of_gap, bed_of_miss, chain_through
from platelayer.floor.closing import Found, Scored, close
from platelayer.floor.composing import MATE, end_named, hand_of, laid_in_gap
from platelayer.floor.fillers import NewSizes
from platelayer.floor.gaps import Gap, as_straight_as_may_be, gap_of_miss, measured_gap
from platelayer.floor.overlaps import overlaps
from platelayer.floor.sharing import Closed, least_share
from platelayer.floor.trials import InOrder, Trial
from platelayer.floor_road.checking import Checked
from platelayer.floor_road.ground import Ground
from platelayer.floor_road.makeable import Cost, Makeable, makeable
from platelayer.geometry.contours import transform_pose
from platelayer.job import placed
from platelayer.job.near_names import fix_for
from platelayer.pieces.catalogue import kind_of
from platelayer.road.tuning import record_of_job
from platelayer.tolerances import MACHINE_SCALE_RATIO
from platelayer.units import show_length, show_small
from platelayer.values.layout import GapMeasured, LaidFloor, Miss, Stock
from platelayer.values.pieces import EndKind
from platelayer.values.shapes import Pose
from platelayer.values.tooling import PieceOrder

_SIGMAS: Final = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class GapAsked:
    """A gap and all that lies round it.

    Attributes:
        laid: the floor it lies in; for a gap that lies nowhere, an empty one.
        miss: the same as a stretch leaves it.
        count: pieces that are laid in its stretch already.
        spread_mm: standard uncertainty of the length of what is laid round it.
    """

    gap: Gap
    bed: Bed
    laid: LaidFloor
    miss: Miss
    count: int
    spread_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What closes a gap.

    Attributes:
        pieces: in words, first to last.
        orders: the new ones, named by their places.
        left: what is missed with all joints at home, which play makes up.
        unsure_mm, unsure_rad: of that.
        closed: how the joints make it up.
        short_share_ratio, long_share_ratio: the share if it comes out so much short, or so much long; inf if none would
            do.
        laid: the floor with it.
        new_ids: of its new pieces there.
        rank: less is better.
    """

    pieces: str
    orders: tuple[PieceOrder, ...]
    reason: str
    left: Pose
    unsure_mm: float
    unsure_rad: float
    closed: Closed
    short_share_ratio: float
    long_share_ratio: float
    cost: Cost
    laid: LaidFloor
    new_ids: frozenset[str]
    rank: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """The answers to one gap, best first.

    Attributes:
        is_whole: every way with owned pieces was looked through.
        dropped: why other answers were left out, each with how many.
        is_favoured: nothing closes the gap as measured; these do if it is as straight as tape allows.
    """

    asked: GapAsked
    answers: tuple[Answer, ...]
    is_whole: bool
    dropped: tuple[tuple[str, int], ...]
    is_favoured: bool = False


def gap_names(checked: Checked) -> tuple[str, ...]:
    """Stretches that do not meet what they are to meet, and gaps that were measured."""
    open_ones = [one.miss.stretch for one in checked.judged if not one.is_good]
    return (*open_ones, *(gap.name for gap in checked.ground.floor.gaps))


def asked_gap(checked: Checked, name: str) -> GapAsked:
    """The gap of that name; of the one there is where none is named.

    Raises:
        JobError: no such gap, or several and none named, or one that has a plain end; with the floor's file.
    """
    ground = checked.ground
    try:
        return _asked(checked, name)
    except JobError as error:
        raise placed(error, ground.text, file=ground.file) from error


def _asked(checked: Checked, name: str) -> GapAsked:
    ground = checked.ground
    names = [miss.stretch for miss in ground.laid.misses] + [gap.name for gap in ground.floor.gaps]
    waiting = gap_names(checked)
    if not name and len(waiting) != 1:
        problem = "every stretch meets its goal and no gap is measured" if not waiting else "several gaps"
        fix = f"Name one: {', '.join(waiting or names)}." if names else ""
        raise JobError(Fault(where="the gap to close", problem=problem, fix=fix))
    name = name or waiting[0]
    misses = [_asked_miss(ground, miss) for miss in ground.laid.misses if miss.stretch == name]
    measured = [_asked_measured(ground, gap) for gap in ground.floor.gaps if gap.name == name]
    if not misses and not measured:
        raise JobError(Fault(where="the gap to close", found=name, problem="no such gap", fix=fix_for(name, names)))
    asked = [*misses, *measured][0]
    if EndKind.PLAIN in (asked.gap.here, asked.gap.there):
        problem, fix = "the gap to close has a plain end, which couples with nothing", "Lay a peg or a socket there."
        raise JobError(Fault(where=f"[[stretch]] {name}", problem=problem, fix=fix))
    return asked


def _asked_miss(ground: Ground, miss: Miss) -> GapAsked:
    bed = bed_of_miss(ground.laid, miss, play_of=ground.play_of)
    mine = [piece for piece in ground.laid.pieces if piece.stretch == miss.stretch]
    return GapAsked(
        gap=gap_of_miss(miss, meets_wall=bed.meets_wall),
        bed=bed,
        laid=ground.laid,
        miss=miss,
        count=len(mine),
        spread_mm=math.sqrt(math.fsum(piece.stock.spread_mm**2 for piece in mine)),
    )


def _asked_measured(ground: Ground, measured: GapMeasured) -> GapAsked:
    gap = measured_gap(measured, track_width_mm=ground.width_mm)
    neighbour = Stock(name="the track", ends=(), routes=())
    nowhere = replace(ground.floor, walls=())  # nobody knows how far they are
    at, laid = Pose(0.0, 0.0), replace(ground.laid, floor=nowhere, pieces=(), misses=(), joined=frozenset())
    last: tuple[int, int] | None = None
    if measured.begins is not None:
        last = end_named(ground.laid.pieces, measured.begins)
    if last is not None:
        laid, at = ground.laid, ground.laid.pieces[last[0]].ends[last[1]].pose
    miss = Miss(
        stretch=measured.name,
        goal=gap.goal,
        at=at,
        gap=gap.pose,
        here=gap.here,
        there=gap.there,
        last=None if last is None else last[0],
        last_end=0 if last is None else last[1],
        met=None,
    )
    laid = replace(laid, misses=(*(one for one in laid.misses), miss))
    return GapAsked(gap=gap, bed=bed_of_gap(gap, neighbour), laid=laid, miss=miss, count=0, spread_mm=0.0)


def free_stock(laid: LaidFloor) -> tuple[Stock, ...]:
    """The stock with what is laid already taken from its counts."""
    used = Counter(piece.stock.name for piece in laid.pieces)
    return tuple(replace(one, count=max(one.count - used[one.name], 0)) for one in laid.floor.stock)


def answer(
    checked: Checked,
    asked: GapAsked,
    *,
    wanted: int,
    is_over: Callable[[], bool] = lambda: False,
    progress: Callable[[str], None] = lambda _: None,
) -> Answers:
    """The best answers to a gap, so many at the most.

    Raises:
        CannotCut: joints that do not go together, or no straight that can be made at all.
    """
    ground = checked.ground
    asks = makeable(ground.job)
    progress("what can be made")
    far = MATE[asked.gap.there] if not asked.gap.is_open_ended else asked.gap.here
    least, most = asks.lengths_mm(MATE[asked.gap.here], far)
    limits = NewSizes(least_mm=least, most_mm=most, radius_mm=max(ground.floor.least_radius_mm, ground.width_mm))
    found = _search(ground, asked, limits, is_over, progress)
    is_favoured = not found.scored and any(asked.gap.unsure)
    if is_favoured:
        favoured = as_straight_as_may_be(asked.gap)
        asked = replace(asked, gap=favoured, bed=replace(asked.bed, goal=favoured.pose))
        found = _search(ground, asked, limits, is_over, progress)
    before = overlaps(asked.laid, width_mm=ground.width_mm)
    answers: list[Answer] = []
    dropped: Counter[str] = Counter()
    for scored in found.scored:
        if len(answers) == wanted:
            break
        progress(f"{len(answers) + 1} of {wanted}: planned and proved")
        made, why = _answer_of(ground, asked, scored, asks, least, before)
        answers += [] if made is None else [made]
        dropped.update([why] if made is None else [])
    answers.sort(key=lambda one: one.rank)
    return Answers(
        asked=asked,
        answers=tuple(answers),
        is_whole=found.is_whole,
        dropped=tuple(dropped.items()),
        is_favoured=is_favoured,
    )


def _search(
    ground: Ground, asked: GapAsked, limits: NewSizes, is_over: Callable[[], bool], progress: Callable[[str], None]
) -> Found:
    return close(
        asked.gap,
        asked.bed,
        free_stock(ground.laid),
        play_of=ground.play_of,
        limits=limits,
        most_share_ratio=ground.floor.most_share_ratio,
        is_over=is_over,
        progress=progress,
    )


def _answer_of(
    ground: Ground, asked: GapAsked, scored: Scored, asks: Makeable, least_mm: float, before: Sequence[Fault]
) -> tuple[Answer | None, str]:
    """The answer of a trial, or why it is none; ``before`` is what lies in the way of something else already."""
    trial = scored.trial
    orders = {
        index: replace(stock.order, name=f"{asked.gap.name}-{asked.count + index + 1}")
        for index in trial.new
        for stock in (trial.pieces[index][0],)
        if stock.order is not None
    }
    pieces = tuple(
        (replace(stock, name=orders[index].name, order=orders[index]) if index in orders else stock, way)
        for index, (stock, way) in enumerate(trial.pieces)
    )
    laid = laid_in_gap(asked.laid, asked.miss, pieces, first=asked.count + 1)
    clash = [one for one in overlaps(laid, width_mm=ground.width_mm) if one not in before]
    if clash:
        return None, f"lies in the way: {clash[0].problem}"
    cost = asks.cost_of([*orders.values()])
    if cost.refused:
        return None, f"cannot be made: {cost.refused}"
    chain = chain_through(asked.bed, trial.pieces, play_of=ground.play_of)
    closed = least_share(chain)
    if closed is None:
        return None, "does not close"
    along, turn = _unsure(ground, asked, trial)
    short, long = (_share_when_out(chain, len(asked.bed.down), side * along, turn) for side in (-1.0, 1.0))
    return (
        Answer(
            pieces=", ".join(_in_words(pieces)) or "no piece more",
            orders=tuple(orders.values()),
            reason=_reason(trial, tuple(orders.values()), least_mm),
            left=scored.left,
            unsure_mm=along,
            unsure_rad=turn,
            closed=closed,
            short_share_ratio=short,
            long_share_ratio=long,
            cost=cost,
            laid=laid,
            new_ids=frozenset(one.name for one in orders.values()),
            rank=scored.rank,
        ),
        "",
    )


def _in_words(pieces: InOrder) -> Iterator[str]:
    """``3 long``, ``bend left``, as a stretch asks for them: neighbours that are alike together."""
    for name, alike in groupby(f"{stock.name} {hand_of(stock, way)}".strip() for stock, way in pieces):
        count = len([*alike])
        yield f"{count} {name}" if count > 1 else name


def _reason(trial: Trial, orders: Sequence[PieceOrder], least_mm: float) -> str:
    if not trial.pieces:
        return "The joints close it by themselves."
    if not orders:
        return "Owned pieces alone."
    said = [f"{kind_of(order).title(order.sizes)}, {' to '.join(end.value for end in order.ends)}" for order in orders]
    words = f"To make: {'; '.join(said)}."
    if trial.spare_mm:
        words += (
            f" With one owned piece more a filler of {show_small(trial.spare_mm)} would be left, and the shortest that "
            f"this job makes is {show_length(least_mm)}: so a longer one takes that piece's place."
        )
    return words


def _unsure(ground: Ground, asked: GapAsked, trial: Trial) -> tuple[float, float]:
    """Twice the standard uncertainty of where the pieces end: along the gap, and in turn."""
    record = record_of_job(ground.job, ground.records)
    scale = MACHINE_SCALE_RATIO if record is None else max(abs(record.scale_x_ratio), abs(record.scale_y_ratio))
    owned = math.fsum(stock.spread_mm**2 for stock, _ in trial.pieces if stock.count)
    along = math.hypot(asked.gap.unsure[0], asked.spread_mm, math.sqrt(owned), scale * trial.wood_mm)
    return _SIGMAS * along, _SIGMAS * asked.gap.unsure[2]


def _share_when_out(chain: Chain, at: int, along_mm: float, turn_rad: float) -> float:
    """The share needed when the first piece of the gap is out by that, turned either way; inf if none closes."""
    shares = []
    for turn in {-turn_rad, turn_rad}:
        steps = list(chain.steps)
        index = min(at, len(steps) - 1)
        steps[index] = transform_pose(steps[index], Pose(along_mm, 0.0, turn))
        closed = least_share(replace(chain, steps=tuple(steps)), most_ratio=1.0)
        shares.append(math.inf if closed is None else closed.share_ratio)
    return max(shares)
