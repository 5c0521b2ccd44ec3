"""The woods this program knows, with the hardness that orders them when feeds are derived.

Side hardness of solid woods as the USDA Wood Handbook tabulates it at 12 % moisture, lbf; where the page seen was a
dealer's copy of that table, or nothing was looked up, the line says so.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from platelayer.units import NEWTON_PER_LBF
from platelayer.values.tooling import Material


class WoodGroup(StrEnum):
    """The group under which a published chip-load table lists a wood."""

    HARDWOOD = "hardwood"
    SOFTWOOD = "softwood"
    MDF = "MDF"


@dataclass(frozen=True, slots=True)
class Wood:
    """A wood of the shipped list: what the job gets of it, and its group in the chip-load table."""

    material: Material
    group: WoodGroup


def _wood(name: str, title: str, hardness_lbf: int, group: WoodGroup, *, has_grain: bool = True) -> Wood:
    hardness = float(round(hardness_lbf * NEWTON_PER_LBF))
    return Wood(Material(id=name, title=title, hardness_n=hardness, has_grain=has_grain), group)


WOODS: Final = (
    _wood("hard-maple", "hard maple", 1450, WoodGroup.HARDWOOD),  # source: USDA Wood Handbook, copied at maplefloor.org
    _wood("beech", "beech", 1300, WoodGroup.HARDWOOD),  # source: a timber dealer's copy of the Wood Handbook's table
    _wood("red-oak", "red oak", 1290, WoodGroup.HARDWOOD),  # source: a timber dealer's copy of the same table
    _wood("birch", "yellow birch", 1260, WoodGroup.HARDWOOD),  # source: a timber dealer's copy of the same table
    # from memory: taken as birch, glue lines and all; its plies lie crosswise, so that it has no grain to go by
    _wood("plywood", "birch plywood", 1260, WoodGroup.HARDWOOD, has_grain=False),
    _wood("cherry", "black cherry", 950, WoodGroup.HARDWOOD),  # from memory
    _wood("soft-maple", "soft maple", 950, WoodGroup.HARDWOOD),  # source: a timber dealer's copy of the same table
    _wood("mdf", "MDF", 900, WoodGroup.MDF, has_grain=False),  # from memory: no standard figure exists
    _wood("pine", "white pine", 380, WoodGroup.SOFTWOOD),  # from memory
)
"""Shipped woods, hardest first."""


def shipped_woods() -> dict[str, Wood]:
    """Every shipped wood by id, hardest first."""
    return {wood.material.id: wood for wood in WOODS}
