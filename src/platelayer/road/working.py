"""How hard the bits work: bend, chips and crawling, beside the dry run and no part of its verdict."""

from collections.abc import Iterator, Mapping

from platelayer.forces.forces import bend_findings
from platelayer.forces.rubbing import Bands, rubbing_findings
from platelayer.job.chip_loads import chip_band_mm
from platelayer.job.materials import WOODS, WoodGroup
from platelayer.manifest.schema import Manifest
from platelayer.proof.checks.finish_feeds import MORE_RATIO
from platelayer.units import show_chip, show_small
from platelayer.values.findings import Code, Finding, Where
from platelayer.values.motion import Motion, MotionTime
from platelayer.values.tooling import BitKind


def work_findings(
    manifest: Manifest, motions: Mapping[str, Motion], times: Mapping[str, MotionTime]
) -> tuple[Finding, ...]:
    """What the bits' work may do to fit and finish: warnings and notes; an error only of derived finish feeds."""
    known = {name: motion for name, motion in motions.items() if (motion.bit >= 0).any()}
    return (
        *bend_findings(manifest, known),
        *rubbing_findings(manifest, known, times, bands=bands_of(manifest)),
        *_thick_chips(manifest),
    )


def _thick_chips(manifest: Manifest) -> Iterator[Finding]:
    """Finish feeds whose chips are thicker than the chart gives at their depth."""
    group = _group_of(manifest)
    if group is None:
        return
    said = [(file, bit, one) for file in manifest.files for bit in file.bits for one in bit.finish_feeds]
    for file, bit, one in said:
        band = chip_band_mm(group, bit_diameter_mm=bit.diameter_mm, depth_mm=one.depth_mm)
        if one.feed_mm_min != bit.feed_mm_min and band is not None and one.chip_mm > MORE_RATIO * band[1]:
            yield Finding(
                code=Code.CUTTING_FEED,
                text=f"{bit.id} finishes {show_small(one.depth_mm)} deep with chips of {show_chip(one.chip_mm)}; a "
                f"router-bit maker's chart gives {show_chip(band[1])} at most at that depth.",
                advice="Make the job again; the manifest was changed.",
                where=Where(file=file.name, board=file.board),
                measured=one.chip_mm,
                limit=band[1],
            )


def _group_of(manifest: Manifest) -> WoodGroup | None:
    return next((wood.group for wood in WOODS if wood.material.title == manifest.material), None)


def bands_of(manifest: Manifest) -> Bands:
    """Published chip-load band of every flat bit in the manifest's wood, at its stepdown; none for unknown woods."""
    group = _group_of(manifest)
    if group is None:
        return {}
    found = {}
    for bit in (bit for file in manifest.files for bit in file.bits if bit.kind is BitKind.FLAT):
        band = chip_band_mm(group, bit_diameter_mm=bit.diameter_mm, depth_mm=bit.stepdown_mm)
        if band is not None:
            found[bit.id] = band
    return found
