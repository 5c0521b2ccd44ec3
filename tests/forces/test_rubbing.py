"""Dwells and crawling: said where the bit stands or rubs in the wood, and only there."""

from dataclasses import replace

from platelayer.forces.rubbing import rubbing_findings
from platelayer.gcode.motion import move_times
from platelayer.gcode.reader import read_program
from platelayer.manifest.schema import Manifest, ManifestBit, ManifestBoard, ManifestFile, ManifestMachine
from platelayer.values.findings import Code
from platelayer.values.pieces import BoardFace
from platelayer.values.tooling import BitKind

BANDS = {"flat": (0.05, 0.10)}
BIT = ManifestBit(
    id="flat", kind=BitKind.FLAT, diameter_mm=3.175, nominal_mm=3.175, measured_mm=None, cutting_length_mm=14.0,
    shank_mm=3.175, may_plunge=True, stepdown_mm=2.0, flutes=2, spindle_rpm=12000.0,
)  # fmt: skip


def manifest_with(accel_mm_s2: float) -> Manifest:
    three = (3000.0, 3000.0, 900.0)
    machine = ManifestMachine(
        id="m", travel_mm=(500.0, 500.0, 80.0), zero_at=None, feed_max_mm_min=three, rapid_mm_min=three,
        accel_mm_s2=(accel_mm_s2,) * 3, corner_deviation_mm=0.01, corner_speed_mm_min=0.0, spindle="switch", dial=(),
        dwell_unit="s", holder_diameter_mm=0.0,
    )  # fmt: skip
    board = ManifestBoard(id="A", size_mm=(400.0, 400.0), thickness_mm=12.7, zero="top", no_go=(), allowance_mm=0.3)
    file = ManifestFile(name="a.nc", board="A", face=BoardFace.TOP, sha256="", bits=(BIT,))
    return Manifest(
        job="j", units="mm", material="hard maple", machine=machine, boards=(board,), files=(file,), pieces=()
    )


def findings(text: str, *, accel_mm_s2: float = 400.0):
    manifest = manifest_with(accel_mm_s2)
    motion = read_program(text, name="a.nc")
    times = {"a.nc": move_times(motion, manifest.machine)}
    return rubbing_findings(manifest, {"a.nc": motion}, times, bands=BANDS)


def zigzag(step_mm: float, count: int, feed: int = 1500) -> str:
    lines = ["G21", "G90", "(BIT 1 flat)", "M3", "G0 Z5", "G0 X10 Y10", f"G1 Z-1 F{feed}"]
    lines += [f"G1 X{10 + (i % 2) * step_mm} Y{10 + i * step_mm:.3f}" for i in range(count)]
    return "\n".join([*lines, "G0 Z5", "M5", "M2"]) + "\n"


def test_a_pause_in_the_wood_is_a_dwell_and_one_above_it_is_none():
    text = zigzag(100.0, 3).replace("G0 Z5\nM5", "M0\nG0 Z5\nM0\nM5")
    (found,) = findings(text)
    assert (found.code, found.where.line) == (Code.CUTTING_DWELL, 11)
    assert found.text == "a.nc stands still at line 11 with the bit 1.000 mm deep in the wood."


def test_long_straight_cuts_at_the_charts_feed_do_not_crawl():
    assert findings(zigzag(100.0, 3)) == ()


def test_sharp_corners_close_together_on_a_slow_machine_do():
    # 60 short legs at 60 mm/s2 never reach half of 0.05 mm x 2 flutes x 12000 rev/min = 600 mm/min
    (found,) = findings(zigzag(0.5, 300), accel_mm_s2=60.0)
    assert found.code is Code.CUTTING_RUBS
    assert found.text.startswith("flat crawls below 600 mm/min for ")
    assert 0.7 * sum_of_legs() < found.measured < sum_of_legs()


def sum_of_legs() -> float:
    """By hand: 300 legs of 0.707 mm, both axes at 60 mm/s2, each from rest to rest: 2 sqrt(L / a).

    An upper bound, since a little speed is kept through each corner.
    """
    return 300 * 2 * (0.5 * 2**0.5 / (60.0 * 2**0.5)) ** 0.5


def test_the_same_corners_in_the_air_are_nobodys_business():
    assert findings(zigzag(0.5, 300).replace("Z-1", "Z1"), accel_mm_s2=60.0) == ()


def test_a_dwell_in_the_wood_is_told_with_its_line_and_depth():
    text = zigzag(100.0, 3).replace("G0 Z5\nM5", "G4 P2\nG0 Z5\nM5")
    (found,) = findings(text)
    line = text.splitlines().index("G4 P2") + 1
    assert found.text == f"a.nc stands still at line {line} with the bit 1.000 mm deep in the wood."
    assert found.where.line == line


def test_a_bit_no_chart_covers_is_not_judged():
    manifest = manifest_with(60.0)
    motion = read_program(zigzag(0.5, 300), name="a.nc")
    times = {"a.nc": move_times(motion, manifest.machine)}
    assert rubbing_findings(manifest, {"a.nc": motion}, times, bands={}) == ()
    assert replace(manifest, files=()).files == ()
