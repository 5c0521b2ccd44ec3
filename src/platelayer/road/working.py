"""How hard the bits work: bend, chips and crawling, beside the dry run and no part of its verdict."""

from collections.abc import Mapping

from platelayer.forces.forces import bend_findings
from platelayer.forces.rubbing import Bands, rubbing_findings
from platelayer.job.chip_loads import chip_band_mm
from platelayer.job.materials import WOODS
from platelayer.manifest.schema import Manifest
from platelayer.values.findings import Finding
from platelayer.values.motion import Motion, MotionTime
from platelayer.values.tooling import BitKind


def work_findings(
    manifest: Manifest, motions: Mapping[str, Motion], times: Mapping[str, MotionTime]
) -> tuple[Finding, ...]:
    """What the bits' work may do to fit and finish: warnings and notes, never errors."""
    known = {name: motion for name, motion in motions.items() if (motion.bit >= 0).any()}
    return (*bend_findings(manifest, known), *rubbing_findings(manifest, known, times, bands=bands_of(manifest)))


def bands_of(manifest: Manifest) -> Bands:
    """Published chip-load band of every flat bit in the manifest's wood, at its stepdown; none for unknown woods."""
    group = next((wood.group for wood in WOODS if wood.material.title == manifest.material), None)
    if group is None:
        return {}
    found = {}
    for bit in (bit for file in manifest.files for bit in file.bits if bit.kind is BitKind.FLAT):
        band = chip_band_mm(group, bit_diameter_mm=bit.diameter_mm, depth_mm=bit.stepdown_mm)
        if band is not None:
            found[bit.id] = band
    return found
