"""How far a piece gives way under the finish cut: along its tabs, over its neighbours, to what stands still.

Glossary:
    yield: how far the wood gives way under a push, springily; not a break.
    chain: the fewest pieces that a push goes through from a piece to what stands still, that piece left out.

Pieces lie flat and are stiff: each may slide in x and y and turn about its middle. Tabs are springs between them, and
between them and the waste, in line with its web (``webs``). Tape, where it lies under all of the board, counts only
for pieces whose chain ends nowhere else: nobody presses it down under every piece.

A tab is a short bar right across its slot: of length g (the slot's breadth), width w along the edge and height h. Out
of the wall it is pulled and pushed, E w h / g; along the wall it is sheared and bent, held stiffly at both ends,
1 / (1.2 g / (G w h) + g^3 / (E h w^3)); it keeps the wall from turning by E h w^3 / (12 g).
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from platelayer.geometry.regions import inner_point
from platelayer.proof.as_cut import PieceAsCut
from platelayer.proof.design import out_of
from platelayer.proof.hanging import sampled
from platelayer.proof.holds import PRESSED_ALL_OVER
from platelayer.proof.slivers import Waste
from platelayer.proof.tabs import WASTE, TabAsCut
from platelayer.proof.webs import Web, stiffness_mpa, webs_of
from platelayer.tolerances import LOOSE_N_MM
from platelayer.values.motion import Floats
from platelayer.values.shapes import Point

PUSH_N: Final = 10.0
"""Sideways push of a finish cut as high as the board, N: about the peak of a 1/8 in bit in hard wood; a guess, no
source."""

SHEAR_MPA: Final = 800.0
"""Stiffness of a common hard wood in shear; from memory: a twelfth to a sixteenth of that along the grain."""

TAPE_N_MM3: Final = 0.1
"""Stiffness sideways of the tape under a board, N/mm for each mm2; a guess, no source: G 0.1 N/mm2, 0.2 mm thick, half
of it lying on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Weak:
    """How far a piece gives way to a push and where it does most, the tab nearest to that, and its web if it has one.

    ``chain`` counts the pieces between this one and what stands still.
    """

    piece: str
    yield_mm: float
    push_n: float
    at: Point
    tab: TabAsCut
    web: Web | None
    chain: int


@dataclass(frozen=True, slots=True)
class _Spring:
    """A tab as cut between a piece and another, or waste: where, which way out, how stiff out, along and in turn."""

    one: int
    other: int
    at: Point
    out: Point
    out_n_mm: float
    along_n_mm: float
    turn_n_mm: float
    tab: TabAsCut
    web: Web | None


def weak_pieces(
    woods: Sequence[PieceAsCut], tabs: Sequence[TabAsCut], waste: Waste, pushes_n: Mapping[int, float]
) -> tuple[Weak, ...]:
    """The yield of every piece that tabs hold, in order, pushed inwards or outwards where it gives way most.

    ``pushes_n`` has the push on the pieces, by number, whose cut is lower than the board; PUSH_N where it has none.
    Pieces that nothing holds are left out: they come loose.
    """
    springs = list(_springs(woods, tabs, waste))
    chains, taped = _chains(woods, springs)
    middles = np.asarray([inner_point(wood.design.solid) for wood in woods]).reshape(-1, 2)
    number = {piece: at for at, piece in enumerate(sorted(chains))}
    soft = np.linalg.inv(_stiffness(woods, springs, middles, number, taped))
    found = []
    for piece, at in number.items():
        points, headings = sampled(woods[piece].design.piece.outline.segments, step_mm=_STEP_MM)
        ways = np.column_stack((np.sin(headings), -np.cos(headings)))
        levers = _levers(points, ways, middles[piece])
        yields = ((levers @ soft[3 * at : 3 * at + 3, 3 * at : 3 * at + 3]) * levers).sum(axis=1)
        worst = int(yields.argmax())
        where = float(points[worst, 0]), float(points[worst, 1])
        mine = [one for one in springs if piece in {one.one, one.other}]
        near = min(mine, key=lambda one: math.dist(one.at, where))
        found.append(
            Weak(
                piece=woods[piece].design.piece.id,
                yield_mm=pushes_n.get(piece, PUSH_N) * float(yields[worst]),
                push_n=pushes_n.get(piece, PUSH_N),
                at=where,
                tab=near.tab,
                web=near.web,
                chain=chains[piece],
            )
        )
    return tuple(found)


_STEP_MM: Final = 12.0
"""Places pushed stand so far apart along an edge; the ends of a piece, where it gives way most, have several."""


def tab_stiffness_n_mm(
    *, width_mm: float, height_mm: float, slot_mm: float, out_mpa: float, along_mpa: float
) -> tuple[float, float, float]:
    """Stiffness of a tab out of the wall and along it, N/mm, and against the wall's turning, N mm.

    Args:
        width_mm: along the wall, w.
        height_mm: h.
        slot_mm: that it crosses, g.
        out_mpa: modulus of elasticity across the slot, N/mm2.
        along_mpa: modulus of shear, N/mm2.

    Source:
        textbook bar of length g: E A / g; textbook beam held stiffly at both ends that slide apart, 12 E I / g^3 with
        I = h w^3 / 12, and in line with it the shear of a rectangle, G A / (1.2 g); turned, E I / g. From memory.
    """
    area = width_mm * height_mm
    shear = 1.2 * slot_mm / (along_mpa * area)
    bend = slot_mm**3 / (out_mpa * height_mm * width_mm**3)
    return out_mpa * area / slot_mm, 1 / (shear + bend), out_mpa * height_mm * width_mm**3 / 12 / slot_mm


def _springs(woods: Sequence[PieceAsCut], tabs: Sequence[TabAsCut], waste: Waste) -> Iterator[_Spring]:
    """Every tab that stands, once: one between two pieces may be said of both."""
    to_waste: dict[int, list[TabAsCut]] = {}
    between: list[_Spring] = []
    for tab in tabs:
        if tab.far is None or tab.width_mm <= 0 or tab.slot_mm <= 0:
            continue
        if tab.far == WASTE:
            to_waste.setdefault(tab.piece, []).append(tab)
            continue
        spring = _spring(woods, tab, None)
        pair = {spring.one, spring.other}
        if all({old.one, old.other} != pair or math.dist(old.at, spring.at) > tab.tab.width_mm / 2 for old in between):
            between.append(spring)
    yield from between
    for piece, some in to_waste.items():
        webs = webs_of(woods[piece], [one.tab for one in some], waste)
        yield from (_spring(woods, tab, web) for tab, web in zip(some, webs, strict=True))


def _spring(woods: Sequence[PieceAsCut], tab: TabAsCut, web: Web | None) -> _Spring:
    design = woods[tab.piece].design
    out = out_of(design.piece.outline, tab.tab.at)
    across, along, turn = tab_stiffness_n_mm(
        width_mm=min(tab.width_mm, tab.tab.width_mm),
        height_mm=tab.tab.height_mm,
        slot_mm=tab.slot_mm,
        out_mpa=stiffness_mpa(math.atan2(out[1], out[0]), design.board.grain_rad),
        along_mpa=SHEAR_MPA,
    )
    if web is not None:
        across = across * web.n_mm / (across + web.n_mm)
    at = tab.tab.at[0] + tab.slot_mm / 2 * out[0], tab.tab.at[1] + tab.slot_mm / 2 * out[1]
    other = WASTE if tab.far is None else tab.far
    return _Spring(tab.piece, other, at, out, across, along, turn, tab, web)


def _chains(woods: Sequence[PieceAsCut], springs: Sequence[_Spring]) -> tuple[dict[int, int], frozenset[int]]:
    """How many pieces lie between each piece and what stands still; and those that tape must hold, having nothing."""
    beside: dict[int, set[int]] = {}
    for spring in springs:
        for one, other in ((spring.one, spring.other), (spring.other, spring.one)):
            beside.setdefault(one, set()).add(other)
    chains = dict.fromkeys(beside.get(WASTE, ()), 0)
    queue = sorted(chains)
    for piece in queue:
        for other in sorted(beside[piece] - {WASTE} - set(chains)):
            chains[other] = chains[piece] + 1
            queue.append(other)
    is_pressed = bool(woods) and woods[0].design.board.held_by in PRESSED_ALL_OVER
    taped = frozenset(set(beside) - {WASTE} - set(chains)) if is_pressed else frozenset()
    return chains | dict.fromkeys(taped, 0), taped


def _stiffness(
    woods: Sequence[PieceAsCut],
    springs: Sequence[_Spring],
    middles: Floats,
    number: Mapping[int, int],
    taped: frozenset[int],
) -> Floats:
    """(3n, 3n) stiffness of the pieces held together, N/mm and N mm: x, y and turn of each."""
    whole = LOOSE_N_MM * np.eye(3 * len(number))
    for spring in springs:
        if spring.one not in number:
            continue
        along = -spring.out[1], spring.out[0]
        ways = np.array((spring.out, along))
        row = np.zeros((3, len(whole)))
        for piece, sign in ((spring.one, 1.0), (spring.other, -1.0)):
            if piece != WASTE:
                first = 3 * number[piece]
                row[:2, first : first + 3] = sign * _levers(np.array((spring.at, spring.at)), ways, middles[piece])
                row[2, first + 2] = sign
        whole += row.T @ (np.array((spring.out_n_mm, spring.along_n_mm, spring.turn_n_mm))[:, None] * row)
    for piece in sorted(taped):
        first, solid = 3 * number[piece], woods[piece].design.solid
        low_x, low_y, high_x, high_y = solid.bounds
        turn = ((high_x - low_x) ** 2 + (high_y - low_y) ** 2) / 12
        whole[range(first, first + 3), range(first, first + 3)] += TAPE_N_MM3 * solid.area * np.array((1.0, 1.0, turn))
    return whole


def _levers(points: Floats, ways: Floats, middle: Floats) -> Floats:
    """(n, 3) how far places on a piece go their ways for each mm that it slides in x and y, and each rad it turns."""
    x, y = (points - middle).T
    return np.column_stack((ways, x * ways[:, 1] - y * ways[:, 0]))
