"""The keys of a ``[[record]]`` of a shop file: what each says, and which field of a record it fills."""

from collections.abc import Mapping
from typing import Final

from platelayer.values.key_words import NEEDED, Bound, KeyWords, ValueKind
from platelayer.values.tuning import Lying

TEXTS: Final = {"date": "date", "bit": "bit_id", "material": "material_id", "machine": "machine_id", "note": "note"}
LENGTHS: Final = {
    "bit_diameter": "bit_diameter_mm",
    "bit_spread": "bit_spread_mm",
    "reach_bias": "head_offset_mm",
    "lip_bias": "lip_bias_mm",
    "bias_spread": "bias_spread_mm",
    "slack_x": "slack_x_mm",
    "slack_y": "slack_y_mm",
    "wider_y": "wider_y_mm",
    "depth_error": "depth_error_mm",
}
RATIOS: Final = {"scale_x": "scale_x_ratio", "scale_y": "scale_y_ratio"}
BEST: Final = {"best_side": "best_side_mm", "best_pull": "best_pull_mm"}


def _said(name: str, kind: ValueKind, meaning: str, example: str, unsaid: str = "0") -> KeyWords:
    return KeyWords(name=name, kind=kind, meaning=meaning, example=example, unsaid=unsaid)


def _length(name: str, meaning: str, example: str, unsaid: str = "0") -> KeyWords:
    return _said(name, ValueKind.LENGTH, meaning, example, unsaid)


def _scale(name: str) -> KeyWords:
    return KeyWords(
        name=name,
        kind=ValueKind.NUMBER,
        meaning=f"How much longer the machine goes along {name[-1]} than it is told, as a share; for its own setting.",
        example="0.0007",
        unsaid="0",
        least=Bound(-1, is_in=False),
        most=Bound(1, is_in=False),
    )


RECORD: Final = (
    _said(
        "date",
        ValueKind.DAY,
        "Day of the readings; the newest of bit, wood and machine counts.",
        '"2026-11-25"',
        NEEDED,
    ),
    _said("bit", ValueKind.TEXT, "Id of the bit.", '"flat-3.175-long"', NEEDED),
    _said("material", ValueKind.TEXT, "Id of the wood.", '"hard-maple"', NEEDED),
    _said("machine", ValueKind.TEXT, "Id of the machine.", '"mid-screw"', NEEDED),
    KeyWords(
        name="along",
        kind=ValueKind.CHOICE,
        meaning="How the card's sticks lay on the machine; joints are drawn by the newest card along x.",
        example='"y"',
        unsaid='"x"',
        choices=tuple(Lying),
    ),
    _said("note", ValueKind.TEXT, "What you want to remember of it.", '"new collet"', "nothing"),
    KeyWords(
        name="bit_diameter",
        kind=ValueKind.LENGTH,
        meaning="How wide the bit really cuts; paths are made for it.",
        example='"3.109 mm"',
        unsaid=NEEDED,
        least=Bound(0, is_in=False),
    ),
    _length("bit_spread", "How sure that is: one standard deviation.", '"0.008 mm"'),
    _length(
        "reach_bias", "How much further from their face heads come out than the bit explains.", '"0.063 mm"', NEEDED
    ),
    _length("lip_bias", "How much further from the middle each lip comes out.", '"0.026 mm"', NEEDED),
    _length("bias_spread", "How sure these two are.", '"0.033 mm"'),
    _length("slack_x", "Slack of the machine along x.", '"0.059 mm"'),
    _length("slack_y", "Slack of the machine along y.", '"0.048 mm"'),
    _length("wider_y", "How much wider than along x the bit cuts along y, pushed by the cut.", '"0.02 mm"'),
    _length("depth_error", "How much deeper grooves come out than asked; for how z is zeroed.", '"-0.025 mm"'),
    _scale("scale_x"),
    _scale("scale_y"),
    KeyWords(
        name="best_pips",
        kind=ValueKind.COUNT,
        meaning="Pips of the card's peg that went in best by hand.",
        example="3",
        unsaid="none was named",
        least=Bound(0),
    ),
    _length("best_side", 'Side play that it had; feel = "best" asks for it.', '"0.31 mm"'),
    _length("best_pull", "Pull-out play that it had.", '"0.313 mm"'),
)
"""In the order in which a record is written."""

RECORD_KEYS: Final[Mapping[str, KeyWords]] = {one.name: one for one in RECORD}
NEEDED_KEYS: Final = tuple(one.name for one in RECORD if one.is_needed)
