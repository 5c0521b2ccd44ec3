"""The feeds of a bit in a wood on a machine: as listed, or derived toward a gentler cut and said so.

What is derived, and how, so that no number is ever raised above the one it comes from:

- MDF is listed faster than any wood of its hardness, so its entries serve for nothing else.
- harder wood listed than the one to be cut: as listed. Softer wood listed: feed, plunge and stepdown times the ratio
  of the two hardnesses.
- larger bit listed: feed and plunge times the ratio of the diameters, stepdown times its square, which keeps the
  bending stress at the same stick-out from growing: force goes as chip times depth, d^3, and so does what a bit bears.
  Smaller bit listed: as listed. A longer bit of the same diameter: stepdown times the ratio of the cutting lengths.
- a round-over or vee bit where only flat bits are listed: feed, plunge and stepdown by half, since the whole flank cuts
  and the edge must come out clean.
- fewer flutes than listed: feed times their ratio, so the chip load stays. More flutes: as listed.
- another machine's profile, only where this one lists nothing that serves: feed, plunge and stepdown times the ratio of
  the two machines' feeds and accelerations where this one is the slower; the spindle at the highest speed of its own
  that is not above the listed one, feed in proportion.

Source: derived here, from beam bending and the chip-load definition; the use of hardness: common practice, no source.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Final

from platelayer.job.chip_loads import chip_band_mm, chip_load_mm
from platelayer.job.materials import Wood, WoodGroup, shipped_woods
from platelayer.job.profiles import ListedFeeds, Profile
from platelayer.units import show_chip, show_length
from platelayer.values.findings import Code, Finding, Severity, Where
from platelayer.values.thin_cuts import ChipBand
from platelayer.values.tooling import Bit, BitKind, CutData, Machine, SpindleKind

FORM_RATIO: Final = 0.5
"""Share of a flat bit's feed, plunge and stepdown that a bit with a shaped flank gets. Common practice, no source."""

_SAME_MM: Final = 0.05
"""Two nominal diameters this close are one size of bit; 1/8 in and 3.2 mm are not apart for feeds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Factors:
    """What a listed entry is multiplied by, each at most 1, why, and how far it is from the wish."""

    feed_ratio: float = 1.0
    stepdown_ratio: float = 1.0
    reasons: tuple[str, ...] = ()
    rank: int = 0

    def and_then(self, other: "_Factors") -> "_Factors":
        return _Factors(
            feed_ratio=self.feed_ratio * other.feed_ratio,
            stepdown_ratio=self.stepdown_ratio * other.stepdown_ratio,
            reasons=self.reasons + other.reasons,
            rank=self.rank + other.rank,
        )


def feeds_for(
    bit: Bit,
    wood: Wood,
    profile: Profile,
    *,
    others: Iterable[Profile] = (),
    bits: dict[str, Bit],
    woods: Mapping[str, Wood] = MappingProxyType(shipped_woods()),
) -> CutData | None:
    """The feeds of a bit in a wood on a machine, with a note where derived; None when there is nothing to go by.

    Args:
        bit: the bit as the job has it.
        wood: what is cut.
        profile: the machine's own; its entries come first.
        others: other machines' profiles, tried in order when its own entries do not serve.
        bits: bits by id, to know the size of the bits that entries name.
        woods: woods by id, to know the hardness of those that entries name.
    """
    for source in (profile, *others):
        choices = []
        for entry in source.feeds:
            factors = _wood_factors(woods[entry.material_id], wood).and_then(_bit_factors(entry, bit, bits))
            if source is not profile:
                factors = factors.and_then(_machine_factors(source.machine, profile.machine))
            data = _cut_data(entry, factors, bit, profile.machine)
            if data is not None:
                is_by_id = entry.bit_id == bit.id
                choices.append((factors.rank, not is_by_id, -data.feed_mm_min * data.stepdown_mm, entry.number, data))
        if choices:
            return min(choices, key=lambda choice: choice[:-1])[-1]
    return None


def _wood_factors(source: Wood, wood: Wood) -> _Factors:
    listed = source.material
    if listed.id == wood.material.id:
        return _Factors()
    if source.group is WoodGroup.MDF:
        return _Factors(feed_ratio=0.0)
    if listed.hardness_n >= wood.material.hardness_n:
        return _Factors(reasons=(f"as listed for {listed.title}, which is no softer",), rank=10)
    ratio = listed.hardness_n / wood.material.hardness_n
    reason = f"listed for {listed.title}, so feed, plunge and stepdown times {ratio:.2f} for the harder wood"
    return _Factors(feed_ratio=ratio, stepdown_ratio=ratio, reasons=(reason,), rank=30)


def _bit_factors(entry: ListedFeeds, bit: Bit, bits: dict[str, Bit]) -> _Factors:
    if entry.bit_id == bit.id:
        return _Factors()
    listed = bits.get(entry.bit_id)
    if listed is None and entry.bit_id:
        return _Factors(feed_ratio=0.0)
    diameter = entry.diameter_mm if listed is None else listed.nominal_mm
    flutes = entry.flutes if listed is None else listed.flutes
    if listed is not None and listed.kind is not bit.kind:
        return _Factors(feed_ratio=0.0)
    return (
        _diameter_factors(diameter, bit)
        .and_then(_form_factors(listed, bit))
        .and_then(_length_factors(listed, bit) if abs(diameter - bit.nominal_mm) <= _SAME_MM else _Factors())
        .and_then(_flute_factors(flutes, bit))
    )


def _form_factors(listed: Bit | None, bit: Bit) -> _Factors:
    if listed is not None or bit.kind not in (BitKind.ROUND_OVER, BitKind.VEE):
        return _Factors()
    word = bit.kind.replace("_", "-")
    reason = f"listed for flat bits, so feed, plunge and stepdown times {FORM_RATIO:.2f} for a {word} bit"
    return _Factors(feed_ratio=FORM_RATIO, stepdown_ratio=FORM_RATIO, reasons=(reason,), rank=15)


def _diameter_factors(listed_mm: float, bit: Bit) -> _Factors:
    if abs(listed_mm - bit.nominal_mm) <= _SAME_MM:
        return _Factors()
    shown = show_length(listed_mm)
    if listed_mm < bit.nominal_mm:
        return _Factors(reasons=(f"as listed for the smaller bit of {shown}",), rank=40)
    ratio = bit.nominal_mm / listed_mm
    reason = f"listed for a bit of {shown}, so feed and plunge times {ratio:.2f}, stepdown times {ratio**2:.2f}"
    return _Factors(feed_ratio=ratio, stepdown_ratio=ratio**2, reasons=(reason,), rank=20)


def _length_factors(listed: Bit | None, bit: Bit) -> _Factors:
    if listed is None:
        return _Factors()
    ratio = min(1.0, listed.cutting_length_mm / bit.cutting_length_mm)
    if ratio == 1.0:
        return _Factors(reasons=(f"as listed for {listed.id}",), rank=1)
    reason = f"listed for the shorter {listed.id}, so stepdown times {ratio:.2f}"
    return _Factors(stepdown_ratio=ratio, reasons=(reason,), rank=2)


def _flute_factors(listed: int, bit: Bit) -> _Factors:
    if bit.flutes == listed:
        return _Factors()
    ratio = min(1.0, bit.flutes / listed)
    if ratio == 1.0:
        return _Factors(reasons=(f"as listed for {listed} flutes",), rank=3)
    reason = f"listed for {listed} flutes, so feed times {ratio:.2f}"
    return _Factors(feed_ratio=ratio, reasons=(reason,), rank=3)


def _machine_factors(listed: Machine, machine: Machine) -> _Factors:
    ratio = min(
        1.0,
        min(machine.feed_max_mm_min[:2]) / min(listed.feed_max_mm_min[:2]),
        min(machine.accel_mm_s2[:2]) / min(listed.accel_mm_s2[:2]),
    )
    if ratio == 1.0:
        return _Factors(reasons=(f"as listed for {listed.title}, which is no faster",))
    reason = f"listed for {listed.title}, so feed, plunge and stepdown times {ratio:.2f} for the slower machine"
    return _Factors(feed_ratio=ratio, stepdown_ratio=ratio, reasons=(reason,))


def _cut_data(entry: ListedFeeds, factors: _Factors, bit: Bit, machine: Machine) -> CutData | None:
    speed = _own_speed(entry.spindle_rpm, machine)
    if speed is None or factors.feed_ratio <= 0:
        return None
    slower = speed / entry.spindle_rpm
    reasons = factors.reasons
    if slower < 1:
        reasons += (f"spindle {speed:g} rev/min instead of {entry.spindle_rpm:g}, feed in proportion",)
    return CutData(
        bit_id=bit.id,
        spindle_rpm=speed,
        dial_label={rpm: mark for mark, rpm in machine.dial}.get(speed, ""),
        feed_mm_min=min(entry.feed_mm_min * factors.feed_ratio * slower, *machine.feed_max_mm_min[:2]),
        plunge_mm_min=min(entry.plunge_mm_min * factors.feed_ratio, machine.feed_max_mm_min[2]),
        stepdown_mm=min(entry.stepdown_mm * factors.stepdown_ratio, bit.cutting_length_mm),
        stepover_ratio=entry.stepover_ratio,
        note="; ".join(reasons),
    )


def _own_speed(listed_rpm: float, machine: Machine) -> float | None:
    """The machine's highest spindle speed that is not above the listed one; None when all are."""
    if machine.spindle is SpindleKind.DIAL:
        return max((rpm for _, rpm in machine.dial if rpm <= listed_rpm), default=None)
    return min(listed_rpm, machine.spindle_max_rpm) if listed_rpm >= machine.spindle_min_rpm else None


def with_thin_chips(data: CutData, bit: Bit, wood: Wood, machine: Machine) -> CutData:
    """The same feeds with what those of finish passes may be derived from: the chart's band and the machine's limit."""
    band = chip_band_mm(wood.group, bit_diameter_mm=bit.nominal_mm, depth_mm=bit.nominal_mm) or (0.0, math.inf)
    chips = ChipBand(least_mm=band[0], most_mm=band[1])
    return replace(data, thin=chips, feed_most_mm_min=min(machine.feed_max_mm_min[:2]))


def derived_finding(data: CutData, bit: Bit, wood: Wood, machine: Machine, *, file: str) -> Finding:
    """The warning that feeds were derived, and how."""
    text = (
        f"{machine.title} lists no feeds for {bit.id} in {wood.material.title}; {data.note}: "
        f"spindle {data.spindle_rpm:g} rev/min, feed {data.feed_mm_min:.0f} mm/min, "
        f"plunge {data.plunge_mm_min:.0f} mm/min, stepdown {show_length(data.stepdown_mm)}."
    )
    advice = "Try it in scrap of the same wood, then write a [[feeds]] entry of your own in the machine's profile."
    where = Where(file=file)
    return Finding(code=Code.CUTTING_FEED_DERIVED, severity=Severity.WARNING, text=text, advice=advice, where=where)


def chip_findings(data: CutData, bit: Bit, wood: Wood, *, file: str) -> tuple[Finding, ...]:
    """A warning when the chip load lies outside the published band; nothing is changed.

    The band is for bits that cut with straight sides: round-over and vee bits are not held against it.
    """
    if bit.kind in (BitKind.ROUND_OVER, BitKind.VEE):
        return ()
    chip = chip_load_mm(feed_mm_min=data.feed_mm_min, spindle_rpm=data.spindle_rpm, flutes=bit.flutes)
    band = chip_band_mm(wood.group, bit_diameter_mm=bit.nominal_mm, depth_mm=data.stepdown_mm)
    if band is None or band[0] <= chip <= band[1]:
        return ()
    is_low = chip < band[0]
    limit = band[0] if is_low else band[1]
    text = (
        f"{bit.id} in {wood.material.title} takes chips of {show_chip(chip)} a tooth; a router-bit maker's chart "
        f"gives {show_chip(band[0])} to {show_chip(band[1])} for {wood.group}."
    )
    advice = (
        "A thin chip rubs and may burn: write a slower spindle in the profile's [[feeds]]; never raise the feed beyond "
        "what machine and bit bear."
        if is_low
        else "A thick chip loads the bit: write a lower feed or a faster spindle in the profile's [[feeds]]."
    )
    where = Where(file=file)
    return (
        Finding(
            code=Code.CUTTING_CHIP_LOAD,
            severity=Severity.WARNING,
            text=text,
            advice=advice,
            where=where,
            measured=chip,
            limit=limit,
        ),
    )
