"""Strategies for boards, items and cuts to order; near-ties drawn on purpose."""

import math
from dataclasses import replace

from hypothesis import strategies as st

from geometry.usual import BEND, LONG, made, sized
from platelayer.geometry.contours import circle, polygon, rectangle
from platelayer.placing.nesting import NestBoard, NestItem
from platelayer.sequence.order import Visit
from platelayer.values.pieces import EndKind

PEGS = (EndKind.PEG, EndKind.PEG)
OUTLINES = {
    "straight": made(LONG).outline,
    "short": made(sized(LONG, length=80.0)).outline,
    "near": made(sized(LONG, length=80.05)).outline,
    "left": made(BEND).outline,
    "right": made(sized(BEND, hand="right")).outline,
    "peg-peg": made(replace(LONG, ends=PEGS)).outline,
}


@st.composite
def nest_items(draw):
    """One to four kinds of piece, up to six of each, straights of near lengths on purpose."""
    kinds = draw(
        st.lists(
            st.sampled_from(["straight", "short", "near", "left", "right", "peg-peg"]),
            min_size=1,
            max_size=2,
            unique=True,
        )
    )
    return tuple(
        NestItem(
            name=kind,
            outline=OUTLINES[kind],
            turns_rad=draw(st.sampled_from([(0.0, math.pi), (0.0,), (0.3, math.pi + 0.3, 1.0)])),
            count=draw(st.integers(1, 6)),
        )
        for kind in kinds
    )


@st.composite
def nest_boards(draw):
    """One to three boards: upright, an offcut with a slanted side, an L, a disc; some with a knot in the middle."""
    boards = []
    for index in range(draw(st.integers(1, 3))):
        width, height = draw(st.integers(60, 700)), draw(st.integers(30, 400))
        shape = draw(st.sampled_from(["upright", "slanted", "ell", "round"]))
        outline = {
            "upright": rectangle((0.0, 0.0), (width, height)),
            "slanted": polygon(((0, 0), (width, 0), (width * 0.7, height), (0, height))),
            "ell": polygon((
                (0, 0),
                (width, 0),
                (width, height / 2),
                (width / 2, height / 2),
                (width / 2, height),
                (0, height),
            )),
            "round": circle((width / 2, width / 2), width / 2),
        }[shape]
        knot = (circle((width / 3, height / 3), min(width, height) / 10),) if draw(st.booleans()) else ()
        boards.append(NestBoard(id=f"B{index}", outline=outline, no_go=knot))
    return tuple(boards)


@st.composite
def visits(draw, most=40):
    """Cuts with stages and waits that can be met: a cut waits only for earlier ones of its stage or a lower one."""
    count = draw(st.integers(0, most))
    places = st.tuples(st.integers(0, 30), st.integers(0, 30))
    made = []
    for _ in range(count):
        stage = draw(st.integers(0, 2))
        before = [i for i, visit in enumerate(made) if visit.stage <= stage]
        after = tuple(draw(st.lists(st.sampled_from(before), max_size=3))) if before else ()
        entry = draw(places)
        made.append(Visit(entry=entry, exit=draw(st.sampled_from([entry, draw(places)])), stage=stage, after=after))
    return tuple(made)
