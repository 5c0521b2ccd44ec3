"""Tables of a job about track, its joints and how they should feel, as pydantic models.

Every default is common practice, no source.
"""

from typing import Final, Literal

from pydantic import BaseModel

from platelayer.job.field_types import CLOSED, Length, LengthOrNone, Share, Text, key
from platelayer.job.limits import MOST_PLAY_MM
from platelayer.units import inches
from platelayer.values.key_words import NEEDED, Bound
from platelayer.values.pieces import MouthCorner, PegRoot

TRACK_WIDTH_MM: Final = inches(1 + 9 / 16)
STOCK_MM: Final = inches(1 / 2)
"""Stands in for a thickness that is missing, so that no other fault follows from it; never cut by."""


class TrackTable(BaseModel):
    """``[track]``: cross-section. Grooves go by their walls' distances from the long edge, and by depth or floor."""

    model_config = CLOSED
    width: Length = key(TRACK_WIDTH_MM, "Width of the track from long edge to long edge.", '"1 9/16 in"')
    thickness: Length | None = key(
        None, "Thickness of the track, which is that of its boards.", '"1/2 in"', unsaid="as its boards are"
    )
    groove_outer: Length = key(
        inches(11 / 64),
        "From a long edge to the nearer wall of the groove beside it.",
        '"11/64 in"',
        rule="leaves 1.5 mm of wood beside the flare; thinner chips off",
    )
    groove_inner: Length = key(
        inches(13 / 32),
        "From the same long edge to the groove's farther wall.",
        '"13/32 in"',
        rule="more than groove_outer, and leaves 1.5 mm of wood beside hole and mouth",
    )
    groove_depth: Length = key(
        inches(9 / 64), "Depth of a groove.", '"9/64 in"', rule="leaves 1.5 mm of wood under the groove"
    )
    floor_height: Length | None = key(
        None,
        "Wood left under a groove, in place of groove_depth: what wheels feel where your track meets another set's.",
        '"9.13 mm"',
        unsaid="groove_depth says it",
        rule="from 1.5 mm to 1.5 mm less than the board, and not beside groove_depth",
    )
    flare_length: LengthOrNone = key(
        inches(1 / 4),
        "How far in from the end face grooves are flared, so that a wheel finds its way; 0 for none.",
        '"1/4 in"',
        rule="0, or no less than flare_extra",
    )
    flare_extra: LengthOrNone = key(
        inches(1 / 64),
        "How much further out each wall of a groove stands at the end face.",
        '"1/64 in"',
        rule="leaves 1.5 mm of wood between groove and edge",
    )


class WheelTable(BaseModel):
    """``[wheel]``: wheels that run in the grooves, and how far apart a waggon's two axles are. To be measured.

    Grooves of curves are widened for it.
    """

    model_config = CLOSED
    thickness: Length = key(4.0, "Thickness of a wheel's rim, outside jaws of the caliper.", '"4 mm"')
    diameter: Length = key(20.0, "Diameter of a wheel.", '"20 mm"')
    wheelbase: Length = key(40.0, "Distance between the two axles of your longest waggon.", '"40 mm"')


class JointTable(BaseModel):
    """``[joint]``: peg and socket, and what is done about the corners a round bit cannot cut."""

    model_config = CLOSED
    neck_width: Length = key(
        inches(1 / 4), "Width of a peg's neck.", '"1/4 in"', rule="no more than mouth_width, less than head_diameter"
    )
    head_diameter: Length = key(
        inches(7 / 16), "Diameter of a peg's head.", '"7/16 in"', rule="more than neck_width and than mouth_width"
    )
    head_setback: LengthOrNone = key(inches(9 / 32), "From the end face to the near side of the head.", '"9/32 in"')
    mouth_width: Length = key(
        inches(5 / 16),
        "Width between a socket's lips.",
        '"5/16 in"',
        rule="no less than neck_width, less than head_diameter and than hole_diameter",
    )
    hole_diameter: Length = key(
        inches(1 / 2),
        "Diameter of a socket's hole.",
        '"1/2 in"',
        rule="no less than head_diameter, and 1.5 mm of wood between hole and groove",
    )
    hole_setback: LengthOrNone = key(
        inches(9 / 32), "From the end face to the near side of the hole: the length of the lips.", '"9/32 in"'
    )
    peg_root: PegRoot = key(
        PegRoot.RELIEVE,
        "What is done about the fillet a round bit leaves beside the neck: the end face is relieved there, a smaller "
        "bit finishes it, or nothing.",
        '"finish"',
    )
    mouth: MouthCorner = key(
        MouthCorner.EASE, "What is done to the mouth's outer corners: they are eased, or left sharp.", '"none"'
    )
    ease_radius: LengthOrNone = key(
        0.0,
        "Radius of the eased corners.",
        '"2 mm"',
        unsaid="the joints' bit's radius and 0.1 mm",
        rule="0, or no less than the joints' bit's radius; leaves 1.5 mm of wood to the groove",
    )
    relief_play: Share = key(
        1.0,
        "Share of its side play that your peg keeps in a bought mouth with sharp corners; less leaves more land.",
        "0.5",
    )


class MateTable(BaseModel):
    """``[mate]``: the joint of a bought set that pieces must couple with, all of it or none.

    platelayer fit bought makes it from what a caliper says.
    """

    model_config = CLOSED
    neck_width: Length | None = key(None, "Width of their peg's neck.", '"6.2 mm"', unsaid=NEEDED)
    head_diameter: Length | None = key(
        None, "Diameter of their peg's head.", '"11 mm"', unsaid=NEEDED, rule="more than their neck_width"
    )
    head_setback: LengthOrNone | None = key(
        None, "From their end face to the near side of the head.", '"7.1 mm"', unsaid=NEEDED
    )
    mouth_width: Length | None = key(
        None, "Width between their lips.", '"8 mm"', unsaid=NEEDED, rule="less than their head_diameter"
    )
    hole_diameter: Length | None = key(
        None, "Diameter of their hole.", '"12.6 mm"', unsaid=NEEDED, rule="no less than their head_diameter"
    )
    hole_setback: LengthOrNone | None = key(
        None, "From their end face to the near side of the hole.", '"7.1 mm"', unsaid=NEEDED
    )


class FitTable(BaseModel):
    """``[fit]``: how joints should feel, by a word or by two plays, and whose sizes give way for it."""

    model_config = CLOSED
    feel: Text = key(
        "",
        "A word for the feel: snug, easy or loose, or best, that of your card's best peg.",
        '"easy"',
        unsaid="joints as [joint] draws them",
        rule="snug, easy, loose or best, and not beside side and pull",
    )
    side: Length | None = key(
        None,
        "Side play each way, pushed home.",
        '"0.3 mm"',
        unsaid="as feel says",
        most=Bound(MOST_PLAY_MM),
        rule="pull beside it, and no feel",
    )
    pull: Length | None = key(
        None,
        "Play along the track.",
        '"0.3 mm"',
        unsaid="as feel says",
        most=Bound(MOST_PLAY_MM),
        rule="side beside it, and no feel",
    )
    part: Literal["peg", "socket", "both"] = key("peg", "Whose sizes give way for it.", '"both"')
