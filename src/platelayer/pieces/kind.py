"""What a kind of piece has to say of itself, so that nothing else need know it by name.

Glossary:
    kind: a family of pieces that differ in sizes only. Not the kind of an end: peg, socket or plain.
    key: a size of a kind as the job names it, with what may be written there.
    sizes: the value of every key of a kind: lengths in mm, angles in radians, choices as their word.
    making: what all pieces of a job have in common.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from platelayer.errors import Fault
from platelayer.pieces.wheels import Running
from platelayer.values.pieces import BoardFace, CornerRadii, EndKind, JointSizes, Piece, Route, TrackSizes
from platelayer.values.tooling import PieceOrder

Sizes = Mapping[str, float | str]


class Measure(StrEnum):
    """What stands at a key: a length above zero, an angle, or one of a few words."""

    LENGTH = "length"
    ANGLE = "angle"
    CHOICE = "choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One size of a kind.

    Attributes:
        name: as the job writes it; kinds that share a name share its measure and choices.
        default: in mm or radians, or a word; None for a key that must be written.
        missing: what to write, for the fault of a needed key that is missing.
        choices: the words of a choice, in the order they are told.
        span: the value must be more than the first and at most the second; None where every value will do.
        span_words: the fault of a value outside it.
        meaning: what it sizes, for the reference of keys; begins with a small letter.
        rule: what it owes to other sizes, in words.
        example: what may stand behind its ``=``, as TOML.
    """

    name: str
    measure: Measure
    default: float | str | None = None
    missing: str = ""
    choices: tuple[str, ...] = ()
    span: tuple[float, float] | None = None
    span_words: str = ""
    meaning: str
    rule: str = ""
    example: str

    @property
    def blank(self) -> float | str:
        """What stands for a value that is needed and missing, for as long as faults are gathered."""
        return 0.0 if self.default is None else self.default


@dataclass(frozen=True, slots=True, kw_only=True)
class Making:
    """What all pieces of a job have in common; grooves on curves are widened for what is ``running``, if any."""

    track: TrackSizes
    joint: JointSizes
    corners: CornerRadii = field(default_factory=CornerRadii)
    running: Running | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """A kind of piece.

    Attributes:
        name: in the job and the manifest.
        summary: what it is, for a list.
        keys: its sizes.
        ends: key and usual kind of each end, in the order round its outline; none for a piece that joins nothing.
        has_grooves: False for a piece on which nothing runs.
        title: what a person calls a piece of these sizes, lengths as marks.
        routes: the ways through it, in its own frame; the first is the one it is measured along.
        faults: why no such piece can be made, joint and track being good.
        build: the piece in its own frame, without id and title. Only asked for what has no faults.
    """

    name: str
    summary: str
    keys: tuple[Key, ...]
    ends: tuple[tuple[str, EndKind], ...] = ()
    has_grooves: bool = True
    title: Callable[[Sizes], str]
    routes: Callable[[Sizes], tuple[Route, ...]]
    faults: Callable[[PieceOrder, Making], Iterable[Fault]]
    build: Callable[[PieceOrder, Making], Piece]

    @property
    def own_keys(self) -> tuple[str, ...]:
        """Every key of the job that not all kinds have."""
        names = (*(key.name for key in self.keys), *(name for name, _ in self.ends))
        return (*names, "grooves") if self.has_grooves else names


def number(sizes: Sizes, key: str) -> float:
    """A length in mm or an angle in radians."""
    return float(sizes[key])


def faces_of(order: PieceOrder) -> tuple[BoardFace, ...]:
    """The faces that the order wants grooved, top first."""
    wanted = ((BoardFace.TOP, order.grooves_top), (BoardFace.BOTTOM, order.grooves_bottom))
    return tuple(face for face, is_wanted in wanted if is_wanted)
