"""The usual sizes, common practice, no source; and pieces made of them."""

import math
from dataclasses import replace

from platelayer.pieces import piece_from_order
from platelayer.pieces.kind import Making
from platelayer.units import inches
from platelayer.values.pieces import CornerRadii, EndKind, JointSizes, TrackSizes
from platelayer.values.tooling import PieceOrder

JOINT = JointSizes(
    neck_width_mm=inches(1 / 4),
    head_diameter_mm=inches(7 / 16),
    head_setback_mm=inches(9 / 32),
    mouth_width_mm=inches(5 / 16),
    hole_diameter_mm=inches(1 / 2),
    hole_setback_mm=inches(9 / 32),
)
TRACK = TrackSizes(
    width_mm=inches(1 + 9 / 16),
    thickness_mm=inches(1 / 2),
    groove_outer_mm=inches(11 / 64),
    groove_inner_mm=inches(13 / 32),
    groove_depth_mm=inches(9 / 64),
    flare_length_mm=9.0,
    flare_extra_mm=0.5,
)
EIGHTH = CornerRadii(relief_radius_mm=inches(1 / 16), ease_radius_mm=inches(1 / 16) + 0.1)
SHARP = CornerRadii()

LONG = PieceOrder(
    name="long",
    kind="straight",
    count=12,
    sizes={"length": inches(5 + 15 / 16)},
    ends=(EndKind.PEG, EndKind.SOCKET),
    grooves_top=True,
    grooves_bottom=False,
)
BEND = replace(LONG, name="bend", kind="curve", sizes={"radius": 182.0, "angle": math.radians(45), "hand": "left"})


def sized(order, **changes):
    """The order with some sizes, or some fields, put differently."""
    fields = {key: value for key, value in changes.items() if hasattr(order, key)}
    sizes = {key: value for key, value in changes.items() if key not in fields}
    return replace(order, **fields, sizes={**order.sizes, **sizes})


def some_order(kind):
    """An order of any kind of the catalogue: usual ends, lengths without a default 200 mm."""
    sizes = {key.name: 200.0 if key.default is None else key.default for key in kind.keys}
    return replace(LONG, name=kind.name, kind=kind.name, sizes=sizes, ends=tuple(usual for _, usual in kind.ends))


def made(order, *, track=TRACK, joint=JOINT, corners=EIGHTH):
    return piece_from_order(order, Making(track=track, joint=joint, corners=corners))
