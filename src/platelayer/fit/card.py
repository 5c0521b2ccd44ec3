"""The fit card: a small job of pegs in a ladder of offsets, a socket to try them in, and features for a caliper.

Glossary:
    card: a few sticks of track, each at least 100 mm long, so that nothing small is ever loose on the machine.
    stick: a straight of the card. Pegs stand at both ends of the peg sticks, socket and gauge slot on the gauge stick.
    rung: one peg of the ladder, told by its pips: half-round notches in the long edge beside its slot, one to four.
    slot: a square notch; boss: the wood between two of them; prong: the wood between one and the outside.
    span: over the joint, from the slot beside it on one stick to the slot beside it on the other.

Only the gauge stick is grooved: one groove is measured, and the rest would take minutes. All else is in the outline, so
the card is cut, dry-run and drawn by the same road as any other piece. It must be cut with the one bit that it is to
measure, its sticks along the machine's x axis.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Final

from platelayer.fit.shapes import with_offsets
from platelayer.pieces.kind import Making
from platelayer.pieces.straight import centre_line
from platelayer.pieces.track import shape_of, track_piece
from platelayer.values.pieces import (
    BoardFace,
    CornerRadii,
    EdgeLabel,
    EndKind,
    JointSizes,
    Piece,
    Role,
    TrackSizes,
)
from platelayer.values.shapes import Arc, Contour, Line, Point, Segment

PEG_STICK_MM: Final = 120.0
GAUGE_STICK_MM: Final = 120.0
SLOT_WIDTH_MM: Final = 10.0
SLOT_DEPTH_MM: Final = 8.0
BOSS_MM: Final = 50.0
SLOT_FROM_FACE_MM: Final = 25.0
"""From a face to the near wall of the slot beside it: past a socket's hole."""
PIPS_FROM_SLOT_MM: Final = 4.0
"""From that slot to the pips beside it; slot and pips stand together, so that the rest of the edge is free for tabs."""
RUNGS_MM: Final = (-0.06, 0.0, 0.06, 0.12)
"""Offsets of the heads of the ladder, each side, positive looser: bits run small more often than large."""
RUNG_STEP_MM: Final = 0.06
"""From one rung of the ladder to the next."""


class Feature(StrEnum):
    """What is read by caliper, by the names used in the readings file."""

    BOSS_X = "boss_x"
    SLOT_X = "slot_x"
    PRONG_X = "prong_x"
    LENGTH_X = "length_x"
    SLOT_Y = "slot_y"
    PRONG_Y = "prong_y"
    WIDTH_GAUGE_Y = "width_gauge_y"
    WIDTH_PEG_Y = "width_peg_y"
    GROOVE_DEPTH = "groove_depth"


@dataclass(frozen=True, slots=True, kw_only=True)
class CardFeature:
    """A size to read: which piece, between which two points of its own frame, and in which words to ask for it.

    Attributes:
        axis: along the stick as drawn (0) or across it (1); None for the groove's depth.
        is_slot: air between inside jaws; else wood between outside jaws, and for the groove's depth neither.
        feels_slack: its two walls are cut while the axis last moved opposite ways. The bit goes one way round a
            piece, so that all walls of notches in one edge are cut after moves the same way.
    """

    feature: Feature
    words: str
    designed_mm: float
    piece_id: str
    between: tuple[Point, Point]
    axis: int | None = None
    is_slot: bool = False
    feels_slack: bool = False


@dataclass(frozen=True, slots=True)
class Rung:
    """One peg of the ladder: pips cut beside it, where it stands, and its head's offset, positive looser."""

    pips: int
    piece_id: str
    end: int
    peg_offset_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FitCard:
    """The card: sticks to cut, the ladder, the caliper's list, and the span over a closed joint as designed."""

    pieces: tuple[Piece, ...]
    rungs: tuple[Rung, ...]
    features: tuple[CardFeature, ...]
    span_mm: float
    sizes: JointSizes


def fit_card(
    *,
    sizes: JointSizes,
    track: TrackSizes,
    corners: CornerRadii,
    bit_radius_mm: float,
    rungs_mm: tuple[float, ...] = RUNGS_MM,
) -> FitCard:
    """The card for one bit: two pegs to a stick, offsets in the order given, and the gauge stick.

    Raises:
        ValueError: an odd number of rungs or none, a bit too large for the slots, a track too narrow for them.
    """
    if not rungs_mm or len(rungs_mm) % 2:
        raise ValueError("pegs come two to a stick: an even number of offsets is needed")
    inner = bit_radius_mm + _CORNER_SPARE_MM
    if 2 * inner >= SLOT_WIDTH_MM:
        raise ValueError("the bit is too large for the card's slots")
    if track.width_mm < 3 * SLOT_WIDTH_MM:
        raise ValueError("the track is too narrow for the card's slots")
    make = _Maker(sizes=sizes, track=track, corners=corners, inner_mm=inner)
    pegs, rungs = [], []
    for number, pair in enumerate(zip(rungs_mm[::2], rungs_mm[1::2], strict=True)):
        name, pips = f"card-pegs-{number + 1}", (2 * number + 1, 2 * number + 2)
        pegs.append(_peg_stick(make, name, pair, pips))
        rungs += [Rung(pips[end], name, end, pair[end]) for end in (0, 1)]
    return FitCard(
        pieces=(*pegs, _gauge_stick(make)),
        rungs=tuple(rungs),
        features=_features(track, pegs[0].id),
        span_mm=2 * SLOT_FROM_FACE_MM,
        sizes=sizes,
    )


def rung_sizes(sizes: JointSizes, *, offset_mm: float) -> JointSizes:
    """Sizes of one peg of the ladder: the head smaller all round, the neck as designed, so that roots stay alike."""
    return replace(with_offsets(sizes, peg_mm=offset_mm), neck_width_mm=sizes.neck_width_mm)


_CORNER_SPARE_MM: Final = 0.4
_GAUGE: Final = "card-gauge"
_PIP_STEP: Final = 2.5
"""From pip to pip, as a multiple of their radius."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Maker:
    """What all sticks of a card share."""

    sizes: JointSizes
    track: TrackSizes
    corners: CornerRadii
    inner_mm: float


@dataclass(frozen=True, slots=True)
class _Slot:
    """A square notch from one place along a line, with rounded inner corners."""

    start_mm: float
    width_mm: float


@dataclass(frozen=True, slots=True)
class _Pip:
    """A half-round notch about a place along a line."""

    middle_mm: float


_Notch = _Slot | _Pip


def _peg_stick(make: _Maker, name: str, offsets_mm: tuple[float, float], pips: tuple[int, int]) -> Piece:
    """Pegs at both ends; each end has its slot on the edge that meets the gauge stick's slots, its pips opposite."""
    sticks = [_straight(make, name, EndKind.PEG, EndKind.PEG, PEG_STICK_MM, offset) for offset in offsets_mm]
    start, end = (
        [pair for pair in zip(stick.outline.segments, stick.labels, strict=True) if pair[1].end == number]
        for number, stick in enumerate(sticks)
    )
    right, left = (pair for pair in zip(sticks[0].outline.segments, sticks[0].labels, strict=True) if pair[1].end < 0)
    # the right edge runs from start to end and carries the start's notches, the left one back and carries the end's
    pairs = (*start, *_edge(make, right[0], pips[0], 0), *end, *_edge(make, left[0], pips[1], 1))
    return _with_outline(sticks[0], pairs)


_Pair = tuple[Segment, EdgeLabel]


def _edge(make: _Maker, edge: Segment, pips: int, end: int) -> tuple[_Pair, ...]:
    """One long edge of a peg stick: slot and pips near the edge's beginning, for the peg that stands there.

    So the free side begins at a pip, and the loop that is entered there leaves no mark where the jaws go.
    """
    first = SLOT_FROM_FACE_MM + SLOT_WIDTH_MM + PIPS_FROM_SLOT_MM + make.inner_mm
    middles = (first + number * _PIP_STEP * make.inner_mm for number in range(pips))
    notches: tuple[_Notch, ...] = (_Slot(SLOT_FROM_FACE_MM, SLOT_WIDTH_MM), *(_Pip(middle) for middle in middles))
    return _with_free_side(_notched(make, edge, notches), (end, 1 - end))


def _with_free_side(parts: tuple[Segment, ...], ends: tuple[int, int]) -> tuple[_Pair, ...]:
    """Parts of a notched edge: its longest line is the side, where tabs and leads may go; the rest counts as faces."""
    longest = max(range(len(parts)), key=lambda index: parts[index].length_mm)
    return tuple(
        (part, EdgeLabel(Role.SIDE) if index == longest else EdgeLabel(Role.FACE, ends[index > longest]))
        for index, part in enumerate(parts)
    )


def _gauge_stick(make: _Maker) -> Piece:
    """Socket at the start, two slots with a boss between on the left edge, a slot in the plain end."""
    stick = _straight(make, _GAUGE, EndKind.SOCKET, EndKind.PLAIN, GAUGE_STICK_MM, 0.0)
    pairs: list[_Pair] = []
    second = GAUGE_STICK_MM - SLOT_FROM_FACE_MM - SLOT_WIDTH_MM
    first = second - BOSS_MM - SLOT_WIDTH_MM
    for index, (segment, label) in enumerate(zip(stick.outline.segments, stick.labels, strict=True)):
        if label.end == 1:
            notch = _Slot((make.track.width_mm - SLOT_WIDTH_MM) / 2, SLOT_WIDTH_MM)
            pairs += [(part, label) for part in _notched(make, segment, (notch,))]
        elif label.end < 0 and any(other.end < 0 for other in stick.labels[:index]):
            parts = _notched(make, segment, (_Slot(first, SLOT_WIDTH_MM), _Slot(second, SLOT_WIDTH_MM)))
            pairs += _with_free_side(parts, (1, 0))
        else:
            pairs.append((segment, label))
    return _with_outline(stick, tuple(pairs))


def _straight(make: _Maker, name: str, start: EndKind, end: EndKind, length_mm: float, offset_mm: float) -> Piece:
    joint = rung_sizes(make.sizes, offset_mm=offset_mm)
    piece = track_piece(
        centre_line(length_mm),
        kind="straight",
        ends=(start, end),
        faces=(BoardFace.TOP,) if name == _GAUGE else (),
        making=Making(track=make.track, joint=joint, corners=make.corners),
    )
    return replace(piece, id=name, title=name.replace("-", " "))


def _with_outline(piece: Piece, pairs: tuple[tuple[Segment, EdgeLabel], ...]) -> Piece:
    outline = Contour(tuple(segment for segment, _ in pairs), is_closed=True)
    notched = replace(piece, outline=outline, labels=tuple(label for _, label in pairs), kind="card")
    return replace(notched, shape=shape_of(notched))


def _notched(make: _Maker, segment: Segment, notches: tuple[_Notch, ...]) -> tuple[Segment, ...]:
    """A line with notches cut to its left, in the order of the line; without any, the segment itself."""
    if not notches or not isinstance(segment, Line):
        return (segment,)
    length = segment.length_mm
    along = ((segment.end[0] - segment.start[0]) / length, (segment.end[1] - segment.start[1]) / length)

    def at(place_mm: float, inside_mm: float) -> Point:
        x = segment.start[0] + place_mm * along[0] - inside_mm * along[1]
        return (x, segment.start[1] + place_mm * along[1] + inside_mm * along[0])

    parts: list[Segment] = []
    here = segment.start
    for notch in notches:
        first, cut = _pip(make, notch, at) if isinstance(notch, _Pip) else _slot(make, notch, at)
        parts += [Line(here, first), *cut]
        here = cut[-1].end
    return (*parts, Line(here, segment.end))


_At = Callable[[float, float], Point]


def _pip(make: _Maker, notch: _Pip, at: _At) -> tuple[Point, tuple[Segment, ...]]:
    first, last = at(notch.middle_mm - make.inner_mm, 0.0), at(notch.middle_mm + make.inner_mm, 0.0)
    return first, (Arc(first, last, at(notch.middle_mm, 0.0), is_ccw=False),)


def _slot(make: _Maker, notch: _Slot, at: _At) -> tuple[Point, tuple[Segment, ...]]:
    low, high, depth, inner = notch.start_mm, notch.start_mm + notch.width_mm, SLOT_DEPTH_MM, make.inner_mm
    first = at(low, 0.0)
    down = Line(first, at(low, depth - inner))
    corner = Arc(down.end, at(low + inner, depth), at(low + inner, depth - inner), is_ccw=False)
    floor = Line(corner.end, at(high - inner, depth))
    other = Arc(floor.end, at(high, depth - inner), at(high - inner, depth - inner), is_ccw=False)
    return first, (down, corner, floor, other, Line(other.end, at(high, 0.0)))


def _features(track: TrackSizes, peg_id: str) -> tuple[CardFeature, ...]:
    """The caliper's list, each with a line along which the jaws would stand."""
    half, length = track.width_mm / 2, GAUGE_STICK_MM
    first, boss = SLOT_FROM_FACE_MM, SLOT_FROM_FACE_MM + SLOT_WIDTH_MM
    edge, near_end = half - 3.0, length - 3.0
    slot, by_face = SLOT_WIDTH_MM / 2, SLOT_FROM_FACE_MM / 2
    along = (
        _Row(Feature.SLOT_X, "gauge stick, width of the slot next to the socket, inside jaws", first, boss, edge),
        _Row(Feature.BOSS_X, "gauge stick, wood between the two slots, outside jaws", boss, boss + BOSS_MM, edge),
        _Row(Feature.PRONG_X, "gauge stick, wood from the socket's face to the slot next to it", 0.0, first, edge),
        _Row(Feature.LENGTH_X, "gauge stick, whole length over both end faces", 0.0, length, half - 9.0),
    )
    across = (
        _Row(Feature.SLOT_Y, "gauge stick, width of the slot in its plain end, inside jaws", -slot, slot, near_end),
        _Row(Feature.PRONG_Y, "gauge stick, from that slot to the edge that has the other slots", slot, half, near_end),
        _Row(Feature.WIDTH_GAUGE_Y, "gauge stick, width between its two slots", -half, half, boss + BOSS_MM / 2),
        _Row(Feature.WIDTH_PEG_Y, "first peg stick, width half an inch from an end face", -half, half, by_face),
    )
    sizes = (
        *(_of(row, _GAUGE, axis=0) for row in along),
        *(_of(row, peg_id if row.feature is Feature.WIDTH_PEG_Y else _GAUGE, axis=1) for row in across),
    )
    depth = CardFeature(
        feature=Feature.GROOVE_DEPTH,
        words="gauge stick, depth of a groove in its middle, depth rod",
        designed_mm=track.groove_depth_mm,
        piece_id=_GAUGE,
        between=((length / 2, track.groove_offset_mm),) * 2,
    )
    return (*sizes, depth)


@dataclass(frozen=True, slots=True)
class _Row:
    """One size along a line at the place given: from low to high."""

    feature: Feature
    words: str
    low_mm: float
    high_mm: float
    place_mm: float


_SLOTS: Final = (Feature.SLOT_X, Feature.SLOT_Y)


def _of(row: _Row, piece_id: str, *, axis: int) -> CardFeature:
    ends = ((row.low_mm, row.place_mm), (row.high_mm, row.place_mm))
    return CardFeature(
        feature=row.feature,
        words=row.words,
        designed_mm=row.high_mm - row.low_mm,
        piece_id=piece_id,
        between=ends if axis == 0 else (ends[0][::-1], ends[1][::-1]),
        axis=axis,
        is_slot=row.feature in _SLOTS,
        feels_slack=row.feature not in (*_SLOTS, Feature.BOSS_X),
    )
