"""What the sheet says about eyes, ears, dust, hands and children, with the published limits where there are any.

Every sentence gives way to the machine's manual and to local rules; the last one says so.
"""

import math
from collections.abc import Sequence
from typing import Final

from platelayer.units import minutes

_NIOSH_DAY_MIN: Final = 480.0
_NIOSH_DAY_DBA: Final = 85
_NIOSH_EXCHANGE_DB: Final = 3

_CARCINOGEN_A1: Final = ("oak", "beech")
_CARCINOGEN_A2: Final = ("birch", "mahogany", "teak", "walnut")


def loudest_for_dba(duration_s: float) -> int:
    """The whole number of dBA at which so long a time still keeps within the recommended daily dose.

    Source:
        NIOSH recommended exposure limit: 85 dBA for 8 h, halved time for every 3 dB, T = 480 / 2^((L - 85) / 3) min.
        Published pairs: 88 dBA 4 h, 91 dBA 2 h, 94 dBA 60 min, 97 dBA 30 min, 100 dBA 15 min.
    """
    level = _NIOSH_DAY_DBA + _NIOSH_EXCHANGE_DB * math.log2(_NIOSH_DAY_MIN / max(duration_s / 60, 1.0))
    return math.floor(level + 1 / 1000)


def shop_cautions(*, material: str, total_s: float, has_tabs: bool, has_skin: bool) -> tuple[str, ...]:
    """Cautions for the time at the machine, in the order in which they matter."""
    return (
        "Eyes: glasses with side protection, every time (29 CFR 1910.133; ANSI Z87.1).",
        f"Ears: wear protection. NIOSH recommends at most 85 dBA over 8 h, half the time for every 3 dB more; the "
        f"{minutes(total_s)} of these files use up a day's share at {loudest_for_dba(total_s)} dBA, and a router in "
        "hardwood with its extraction is often louder.",
        f"Dust: extraction on, mask when emptying it. Limits for wood dust over 8 h: OSHA 15 mg/m3 total and 5 mg/m3 "
        f"respirable (29 CFR 1910.1000, Table Z-1), NIOSH 1 mg/m3, ACGIH 1 mg/m3. Wood dust is a Group 1 carcinogen "
        f"(IARC, vol. 62 and 100C); {_about_wood(material)}",
        "Sleeves buttoned or rolled up, hair tied back, no gloves, rings or scarves near the spindle.",
        "Never leave it running alone: know where the stop is, and keep chips from smouldering round a blunt bit.",
        "Nothing is lifted, turned or wiped away before the bit stands still; a freed scrap is a projectile.",
        "Never push wood or a scrap with a brad, a stick or a finger while the bit turns.",
        *_about_holding(has_tabs=has_tabs, has_skin=has_skin),
        "The manuals of machine, bits and extraction, and the rules of your shop and country, come before this sheet.",
    )


def _about_wood(material: str) -> str:
    words = material.lower()
    if any(wood in words for wood in _CARCINOGEN_A1):
        return "ACGIH lists oak and beech dust as A1, confirmed human carcinogens."
    if any(wood in words for wood in _CARCINOGEN_A2):
        return "ACGIH lists birch, mahogany, teak and walnut dust as A2, suspected human carcinogens."
    return "ACGIH lists oak and beech as A1, birch, mahogany, teak and walnut as A2."


def _about_holding(*, has_tabs: bool, has_skin: bool) -> tuple[str, ...]:
    said = []
    if has_tabs:
        said.append(
            "Tabs are sawn through flush, off the machine, and not snapped: a snapped tab tears the long grain."
        )
    if has_skin:
        said.append("The skin is cut or sanded off with the board off the machine; no piece is broken out by hand.")
    return tuple(said)


def toy_cautions(*, edges_by_hand: bool = True) -> tuple[str, ...]:
    """What a piece still needs before a child has it."""
    return (
        "Round every outer edge to about 1/16 in (1.5 mm) and break the edges of the grooves with fine paper: no edge "
        "may feel sharp in casual handling (wood is judged by touch; 16 CFR 1500.49 tests edges of metal and glass)."
        if edges_by_hand
        else "Go over every edge by hand: none may feel sharp in casual handling.",
        "Pull at each peg as hard as 90 N (about 9 kg or 20 lb, the pull of EN 71-1, 8.4): one with a knot, a crack or "
        "short grain in its neck is firewood.",
        "Small parts: a peg broken off goes into the cylinder that toys are tested with (1.25 in, 31.7 mm wide). Wood "
        "that sheds parts is not for children under three.",
        "Finish: nothing, or an oil or wax whose maker states in writing that it is safe for toys put into mouths; "
        "let it harden as long as the maker says.",
    )


def join_wood(names: Sequence[str]) -> str:
    """Names as a list in a sentence: ``A``, ``A and B``, ``A, B and C``."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
