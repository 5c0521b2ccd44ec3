"""What the neck of a peg bears: pull, bending and shear, along and across the grain.

Glossary:
    along: the grain runs along the peg, as it should; across: it runs across the track, as in a curve cut askew.
    load: what breaks a clear, straight-grained piece at 12 % moisture. Not a safe load: knots and knocks come off it.

Stresses are MPa = N/mm2, forces N, by plain beam formulas; the neck is the weakest section of a peg.
"""

from dataclasses import dataclass
from typing import Final

from platelayer.fit.shapes import JointShape

PULL_TEST_N: Final = 90
"""Pull on a part wider than 6 mm. Source: test-lab summaries of EN 71-1, 8.4."""


@dataclass(frozen=True, slots=True)
class WoodStrength:
    """Strength of a wood in MPa, whole tenths: bending and shear along the grain, tension across it.

    Tension along the grain is taken as the bending strength, which is on the safe side.
    """

    bending_kpa: int
    shear_kpa: int
    tension_across_kpa: int
    source: str


STRENGTHS: Final = {
    # sugar maple's tension across the grain is not tabulated; yellow birch's stands in for it
    "hard-maple": WoodStrength(109000, 16100, 6300, "USDA Wood Handbook as copied at engdatabase.com; see birch"),
    "birch": WoodStrength(114500, 12960, 6300, "USDA Wood Handbook as copied at synthmind.com and matmake.com"),
    "cherry": WoodStrength(84800, 11720, 3900, "USDA Wood Handbook as copied at synthmind.com and matmake.com"),
    "beech": WoodStrength(102700, 13860, 7000, "synthmind.com, matmake.com; bending from memory"),
    "red-oak": WoodStrength(98600, 12270, 5500, "matmake.com; bending and shear from memory"),
}
"""Woods by the ids of the job room. 15,800 psi is 108.9 MPa: metric and inch tables agree to rounding."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NeckLoads:
    """Forces in N that break a neck when pulled, pushed sideways, lifted, and when the head shears off.

    ``bending`` acts at the head's centre across the track, ``lifting`` there across the board.
    """

    pull: int
    bending: int
    lifting: int
    head_shear: int


def neck_loads(shape: JointShape, wood: WoodStrength, *, thickness_mm: float, is_along: bool) -> NeckLoads:
    """Breaking loads of the neck with the grain along the peg or across it.

    Source: derived here from beam formulas: pull = f b t; bending at the face = f t b^2 / 6 over the arm; lifting =
    f b t^2 / 6 over the arm; the head tears off along two planes from the lips to its front, 2 s t times its shear.
    Across the grain every fibre stress is tension across it.
    """
    neck, arm = shape.sizes.neck_width_mm, shape.head_centre_mm
    fibre = (wood.bending_kpa if is_along else wood.tension_across_kpa) / 1000
    plane = shape.head_centre_mm + shape.head_radius_mm - shape.lip_mm
    shear = (wood.shear_kpa if is_along else wood.tension_across_kpa) / 1000
    return NeckLoads(
        pull=round(fibre * neck * thickness_mm),
        bending=round(fibre * thickness_mm * neck**2 / 6 / arm),
        lifting=round(fibre * neck * thickness_mm**2 / 6 / arm),
        head_shear=round(2 * plane * thickness_mm * shear),
    )


def neck_words(shape: JointShape, wood: WoodStrength, *, thickness_mm: float) -> tuple[str, ...]:
    """What a woodworker should know of the neck, with the reason that grain must run along the peg."""
    along = neck_loads(shape, wood, thickness_mm=thickness_mm, is_along=True)
    across = neck_loads(shape, wood, thickness_mm=thickness_mm, is_along=False)
    words = [
        f"Grain along the peg: pulled, the head shears off at about {along.head_shear} N and the neck tears at "
        f"{along.pull} N; at the head it breaks at {along.bending} N sideways, or at {along.lifting} N lifted.",
        f"Grain across it: {across.head_shear} N, {across.pull} N, {across.bending} N and {across.lifting} N, as "
        f"little as 1 / {along.bending / max(across.bending, 1):.0f}, since wood parts between its fibres long "
        f"before they break. Let the grain run along the peg.",
    ]
    if min(across.pull, along.pull, across.head_shear, along.head_shear) < PULL_TEST_N:
        words.append(f"Less than the {PULL_TEST_N} N that toy tests pull with: a wider neck or thicker stock.")
    return tuple(words)
