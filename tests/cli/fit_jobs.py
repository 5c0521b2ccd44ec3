"""What the tests of ``platelayer fit`` share: a job, a shop that errs, and what it has learnt."""

from pathlib import Path

from cli.jobs import ROOT, small_job
from platelayer.fit.shop import ShopRecord
from platelayer.job.measurements import with_record

HALLWAY = ROOT / "examples/hallway/job.toml"
README = (ROOT / "README.md").read_text(encoding="utf-8")
"""Shows what these commands print, for readings that the shop of these tests made."""


HIDDEN = {"bit": -0.06, "slack": (0.08, 0.05), "scale": (0.001, -0.001)}
"""What the shop of these tests does wrong; the program sees its caliper only."""


RECORD = ShopRecord(
    date="2026-11-25",
    bit_id="flat-3.175-long",
    material_id="hard-maple",
    machine_id="mid-screw",
    bit_diameter_mm=3.11,
    bit_spread_mm=0.008,
    head_offset_mm=0.06,
    lip_bias_mm=0.02,
    bias_spread_mm=0.02,
)
"""What the tests of make have learnt."""

MATE = """
[mate]
neck_width = "6.2 mm"
head_diameter = "11.0 mm"
head_setback = "7.2 mm"
mouth_width = "8.1 mm"
hole_diameter = "12.9 mm"
hole_setback = "7.0 mm"
"""


def shop_file(folder: Path, record: ShopRecord) -> Path:
    file = folder / "shop.toml"
    file.write_text(with_record("", record), encoding="utf-8")
    return file


def tuned_job(fit: str, *, shop: str = "", has_curve: bool = False) -> str:
    """A straight, and a curve if asked for."""
    text = small_job() if has_curve else small_job().split('[[piece]]\nname = "curve"')[0]
    return text.replace("[job]", f"[job]\n{shop}") + f"\n[fit]\n{fit}\n"
