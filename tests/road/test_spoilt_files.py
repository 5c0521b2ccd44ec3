"""Ways to spoil a file that make would write: each is refused, and for the right reason."""

import math
import re
from collections.abc import Callable, Iterator

import pytest

from cli.jobs import small_job
from platelayer.errors import JobError
from platelayer.proof.dry_run import dry_run
from platelayer.road.proving import prove
from proved import Contents, errors, spoilt, text_of, written

NAME = "A-1-flat-3.175-long.nc"
NUMBER = r"(-?\d+(?:\.\d*)?)"
Lines = list[str]


def word(line: str, letter: str) -> float | None:
    found = re.search(letter + NUMBER, line)
    return float(found[1]) if found and not line.startswith("(") else None


def with_word(line: str, letter: str, value: float) -> str:
    return re.sub(letter + NUMBER, f"{letter}{value:.4f}", line)


def section(lines: Lines, title: str) -> tuple[int, int]:
    """First and last line of what stands under a comment, up to the next comment that names another cut."""
    start = lines.index(f"({title})")
    rest = ((i, lines[i]) for i in range(start + 1, len(lines)) if not lines[i].startswith(f"({title} "))
    return start + 1, next(i for i, line in rest if line.startswith(("(", "M5")))


def places(lines: Lines) -> Iterator[tuple[int, tuple[float, ...], tuple[float, ...]]]:
    """Index of every line with the place before and after it."""
    at = (0.0, 0.0, 0.0)
    for index, line in enumerate(lines):
        to = tuple(old if (new := word(line, c)) is None else new for c, old in zip("XYZ", at, strict=True))
        yield index, at, to
        at = to


def rapid_lowered(lines: Lines) -> None:
    start, end = section(lines, "long-01 slot")
    lift = next(i for i in range(start, end) if re.fullmatch(r"G0 Z\d+", lines[i]))
    lines[lift] = "G0 Z0.2"


def z_too_deep(lines: Lines) -> None:
    start, end = section(lines, "long-01 parting")
    last = [i for i in range(start, end) if word(lines[i], "Z") == -13][-1]
    lines[last] = with_word(lines[last], "Z", -13.6)


def arc_with_unequal_radii(lines: Lines) -> None:
    start, end = section(lines, "long-01 outline")
    arc = next(i for i in range(start, end) if lines[i].startswith("G3") and word(lines[i], "I"))
    lines[arc] = with_word(lines[arc], "I", word(lines[arc], "I") + 0.05)


def arc_bent_with_equal_radii(lines: Lines) -> None:
    """The centre slid along the chord's bisector: both radii agree, the arc bulges into the head."""
    start, end = section(lines, "long-01 outline finish")
    moves = [(i, a, b) for i, a, b in places(lines) if start <= i < end and lines[i][:2] in {"G2", "G3"}]
    index, a, b = max(moves, key=lambda move: math.dist(move[1][:2], move[2][:2]))
    way = 1 if lines[index].startswith("G3") else -1
    across = (way * (a[1] - b[1]), way * (b[0] - a[0]))
    lines[index] = with_word(lines[index], "I", word(lines[index], "I") + 0.05 * across[0])
    lines[index] = with_word(lines[index], "J", word(lines[index], "J") + 0.05 * across[1])


def tab_removed(lines: Lines) -> None:
    """All lifts over the tabs of one piece go on at the depth they came from."""
    start, end = section(lines, "long-01 parting")
    for i in range(start, end):
        if word(lines[i], "Z") == -10.7:
            lines[i] = with_word(lines[i], "Z", -13)


def tail_cut_off(lines: Lines) -> None:
    del lines[2 * len(lines) // 3 :]


def units_swapped(lines: Lines) -> None:
    lines[:] = [line.replace("G21", "G20") for line in lines]


def spindle_never_started(lines: Lines) -> None:
    lines[:] = [line for line in lines if not line.startswith("M3")]


def feed_of_zero(lines: Lines) -> None:
    start, end = section(lines, "long-01 outline")
    fed = [i for i in range(start, end) if word(lines[i], "F")]
    lines[fed[1]] = with_word(lines[fed[1]], "F", 0).replace("F0.0000", "F0")


def piece_shifted(lines: Lines) -> None:
    """Everything that is cut for one piece lies 0.2 mm further along x."""
    mine = False
    for i, line in enumerate(lines):
        if line.startswith("("):
            mine = line.startswith("(long-01 ")
        elif line.startswith("M5"):
            mine = False
        elif mine and (x := word(line, "X")) is not None:
            lines[i] = with_word(line, "X", x + 0.2)


def groove_missing(lines: Lines) -> None:
    start, end = section(lines, "long-01 groove")
    del lines[start - 1 : end]


def feed_too_fast(lines: Lines) -> None:
    """One figure changed: 1700 mm/min becomes 7700."""
    start, end = section(lines, "long-01 outline")
    fed = next(i for i in range(start, end) if lines[i].endswith(" F1700"))
    lines[fed] = lines[fed].replace(" F1700", " F7700")


def plunge_feed_lost(lines: Lines) -> None:
    """The bit goes straight down as fast as it went across before."""
    start, end = section(lines, "long-01 outline")
    down = [i for i in range(start + 3, end) if re.fullmatch(r"G1 Z-[\d.]+ F350", lines[i])]
    lines[down[0]] = lines[down[0]].removesuffix(" F350")


def spindle_backwards(lines: Lines) -> None:
    lines[lines.index("M3")] = "M4"


def router_not_switched_on(lines: Lines) -> None:
    """The pause in which a person switches the router on is gone, with its comment."""
    del lines[lines.index("M0") - 1 : lines.index("M0") + 1]


def pause_lost(lines: Lines) -> None:
    del lines[lines.index("M0")]


def plunge_after_a_tab(lines: Lines) -> None:
    """Where the piece is parted the bit stays up over the flank and then drops straight."""
    start, end = section(lines, "long-01 parting")
    downs = [i for i in range(start, end) if word(lines[i], "Z") == -13 and word(lines[i - 2], "Z") == -10.7]
    flank = next(i for i in downs if word(lines[i], "X") is not None)
    lines[flank : flank + 1] = [re.sub(r" Z\S+", "", lines[flank]), "G1 Z-13"]


SPOILT: dict[str, tuple[Callable[[Lines], None], str]] = {
    "a rapid lowered": (rapid_lowered, "travel-low-rapid"),
    "a Z too deep": (z_too_deep, "travel-too-deep"),
    "an arc with unequal radii": (arc_with_unequal_radii, "reading-arc-radii-differ"),
    "an arc bent with equal radii": (arc_bent_with_equal_radii, "shape-gouge"),
    "a tab removed": (tab_removed, "holding-tab-missing"),
    "the tail cut off": (tail_cut_off, "reading-cut-short"),
    "units swapped": (units_swapped, "reading-units"),
    "spindle never started": (spindle_never_started, "cutting-spindle-off"),
    "a feed of zero": (feed_of_zero, "cutting-no-feed"),
    "one piece shifted 0.2 mm": (piece_shifted, "shape-gouge"),
    "a groove missing": (groove_missing, "shape-groove-missing"),
    "a feed too fast": (feed_too_fast, "cutting-feed"),
    "the feed of a plunge lost": (plunge_feed_lost, "cutting-feed"),
    "the spindle backwards": (spindle_backwards, "cutting-speed"),
    "the router not switched on": (router_not_switched_on, "cutting-spindle-off"),
    "a pause lost": (pause_lost, "reading-stop"),
}


@pytest.mark.parametrize(("change", "code"), SPOILT.values(), ids=SPOILT)
def test_a_spoilt_file_is_refused_for_the_right_reason(change: Callable[[Lines], None], code: str) -> None:
    assert code in errors(changed(written(small_job()), NAME, change))


def test_a_plunge_after_a_tab_by_a_bit_that_cannot_is_refused() -> None:
    two_bits = written(small_job(bits='outlines = "flat-6.35-compression"'))
    assert errors(two_bits) == {}
    assert "cutting-plunge" in errors(changed(two_bits, "A-3-flat-6.35-compression.nc", plunge_after_a_tab))


def test_the_file_unspoilt_passes() -> None:
    assert errors(written(small_job())) == {}


def test_a_change_without_its_hash_is_seen_by_the_hash() -> None:
    good = written(small_job())
    assert "reading-hash" in errors({**good, NAME: good[NAME].replace(b"F1700", b"F1800")})


def changed(contents: Contents, name: str, change: Callable[[Lines], None]) -> Contents:
    lines = text_of(contents, name).splitlines()
    change(lines)
    return spoilt(contents, name, "\n".join(lines) + "\n")


# what is no file at all


def test_a_file_that_is_not_there_or_is_no_text_is_named() -> None:
    good = written(small_job())
    with pytest.raises(JobError, match=f"^{NAME}: no such file$"):
        prove({name: content for name, content in good.items() if name != NAME})
    with pytest.raises(JobError, match=f"^{NAME}: not UTF-8 text"):
        prove({**good, NAME: b"\xff"})


def test_every_motion_has_its_times_and_the_report_goes_by_them() -> None:
    proof = prove(written(small_job()))
    read = proof.read
    assert set(read.texts) == set(read.motions) == set(read.times) == {file.name for file in proof.manifest.files}
    assert [file.seconds_s for file in proof.report.files] == [time.total_s for time in read.times.values()]
    alone = dry_run(read.manifest, read.texts)  # reads and times every file again, for itself
    assert (alone.files, alone.pieces, alone.joints) == (proof.report.files, proof.report.pieces, proof.report.joints)
