"""Edges through the whole road: what passes, what a damaged file is refused for, and what is said of the rest."""

import math
import re

import pytest

from cli.jobs import made, small_job
from platelayer.errors import ReadError
from platelayer.road.proving import prove
from proved import data_of, errors, spoilt, text_of, with_manifest, written

FLAT = "flat-3.175-long"
ROUND = "A-2-round-over-1.588.nc"
BITS = 'edges = "round-over-1.588"\n{more}\n[edges]\nouter = "1/16 in"\ngroove = "1/64 in"\n'
VEE = BITS.format(more='groove_edges = "vee-90"')
PLAIN = BITS.format(more="")
LONG = "(long-01 edge)"


def straight(bits):
    """The small job's straight alone."""
    return small_job(bits=bits).split('[[piece]]\nname = "curve"')[0]


@pytest.fixture
def good():
    return written(straight(PLAIN))


@pytest.fixture
def good_vee():
    return written(straight(VEE))


def summary(folder):
    return (folder / "summary.txt").read_text(encoding="utf-8")


def found(good, change, name=ROUND):
    """Codes and texts of what is refused when a file has been changed."""
    lines = change(text_of(good, name).splitlines())
    return errors(spoilt(good, name, "\n".join(lines) + "\n"))


def part(lines, title):
    """First and last line of what stands under a comment, up to the next one."""
    start = lines.index(title) + 1
    return start, next(at for at in range(start, len(lines)) if lines[at].startswith(("(", "M5")))


def moved(title, letter, by):
    """Every such word of a part, below the wood where it is a Z, moved."""

    def change(lines):
        start, end = part(lines, title)

        def word(match):
            value = float(match[1])
            return f"{letter}{value + by:.4f}" if letter != "Z" or value < 0 else match[0]

        body = [re.sub(rf"{letter}(-?[\d.]+)", word, line) for line in lines[start:end]]
        return lines[:start] + body + lines[end:]

    return change


# what passes


def test_edges_have_a_file_of_their_own_between_joints_and_outlines(good):
    files = [file["name"] for file in data_of(good)["files"]]
    assert files == [f"A-1-{FLAT}.nc", ROUND, f"A-3-{FLAT}.nc"]
    kinds = [re.findall(r"^\(\S+ (\w+)\)$", text_of(good, name), re.M) for name in files]
    assert [sorted(set(some)) for some in kinds] == [
        ["groove", "socket"],
        ["break", "edge"],
        ["outline", "parting", "slot"],
    ]


def test_the_manifest_says_what_is_taken_off_which_edges(good):
    pieces = data_of(good)["pieces"]
    for piece in pieces:
        outer, groove = piece["edges"]
        assert outer == {
            "place": "outer",
            "face": "top",
            "width": 1.5875,
            "depth": 1.5875,
            "radius": 1.5875,
            "bit": "round-over-1.588",
        }
        # worked by hand: with R 1/16 in and w 1/64 in, (R - w)^2 + t^2 = R^2 gives t = R sqrt(7) / 4
        assert groove["depth"] == pytest.approx(1.5875 * 7**0.5 / 4)
        assert (groove["place"], groove["width"], groove["radius"]) == ("groove", 0.396875, 1.5875)


def test_a_vee_bit_has_a_file_of_its_own(good_vee):
    files = [file["name"] for file in data_of(good_vee)["files"]]
    assert files == [f"A-1-{FLAT}.nc", ROUND, "A-3-vee-90.nc", f"A-4-{FLAT}.nc"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('machine = "mid-screw"', 'machine = "bench-top"'),
        ("[joint]", "[cutting]\none_file = true\n[joint]"),
        ('name = "long"', 'name = "long"\ngrooves = "both"'),
        ('outer = "1/16 in"', ""),
        ('groove = "1/64 in"', ""),
        ('groove = "1/64 in"', 'groove = "3/64 in"'),
        ('groove = "1/64 in"', 'groove = "3/64 in"\n[track]\nflare_length = "1/8 in"\nflare_extra = "1/32 in"'),
    ],
    ids=["in inches", "one file", "grooves on both faces", "grooves alone", "outside alone", "more", "steep flare"],
)
def test_variants_pass(old, new):
    job = straight(PLAIN)
    if "one_file" in new:
        job = job.replace('"mid-screw"', '"bench-top"')
    assert job.count(old) == 1
    assert errors(written(job.replace(old, new))) == {}


# what is refused


def test_an_edge_that_is_not_cut(good):
    errors = found(good, moved(LONG, "Z", 3.0))
    assert set(errors) == {"shape-edge-left"}
    assert errors["shape-edge-left"].startswith(
        "the upper outer edges of long-01 are not rounded over by 1/16 in (1.588 mm) everywhere: "
    )
    share = re.search(r"(\d+\.\d) % of the wood that should be gone there stands", errors["shape-edge-left"])
    assert float(share[1]) > 90  # the grooves' edges run out past the end faces, so not quite all of it


def test_an_edge_cut_too_shallow(good):
    errors = found(good, moved(LONG, "Z", 0.1))
    assert set(errors) == {"shape-edge-left"}


def test_an_edge_cut_too_deep(good):
    errors = found(good, moved(LONG, "Z", -0.02))
    assert set(errors) == {"shape-gouge"}


@pytest.mark.parametrize("by", [0.05, -0.05])
def test_an_edge_out_of_place_gouges_one_side_and_leaves_wood_on_the_other(good, by):
    errors = found(good, moved(LONG, "Y", by))
    assert set(errors) == {"shape-gouge", "shape-edge-left"}
    assert errors["shape-gouge"].startswith("long-01 is gouged 0.002 in (0.05")


def test_a_groove_whose_edges_are_not_broken(good_vee):
    errors = found(good_vee, moved("(long-01 break)", "Z", 5.0), "A-3-vee-90.nc")
    assert set(errors) == {"shape-edge-left"}
    assert re.match(
        r"the edges of the grooves of long-01 are not chamfered by 1/64 in \(0\.397 mm\) everywhere: \d\d\.\d %",
        errors["shape-edge-left"],
    )


def test_a_vee_bit_too_deep(good_vee):
    errors = found(good_vee, moved("(long-01 break)", "Z", -0.02), "A-3-vee-90.nc")
    assert set(errors) == {"shape-gouge"}


def test_a_flat_bit_that_only_takes_the_edge_off_gouges(good):
    """The design stands back at the top, so a shallow flat cut over the edge is looked for at its own depth."""
    pieces = data_of(good)["pieces"]
    x, y, degrees = next(piece["pose"] for piece in pieces if piece["id"] == "long-01")
    ux, uy = math.cos(math.radians(degrees)), math.sin(math.radians(degrees))
    off = 25.4 * 25 / 32 + 3.175 / 2 - 0.7  # to the left of the middle: 0.7 mm nearer than an outline's axis runs
    places = [(x + along * ux - off * uy, y + along * uy + off * ux) for along in (60.0, 72.0)]

    def change(lines):
        extra = [
            f"G0 X{places[0][0]:.4f} Y{places[0][1]:.4f}",
            "G1 Z0 F300",
            f"G1 X{places[1][0]:.4f} Y{places[1][1]:.4f} Z-0.9 F1000",
            f"G1 X{places[0][0]:.4f} Y{places[0][1]:.4f}",
            "G0 Z4",
        ]
        last = max(at for at, line in enumerate(lines) if line == "G0 X0 Y0")  # lifted, on the way to park
        return [*lines[:last], *extra, lines[last - 1], *lines[last:]]

    errors = found(good, change, f"A-3-{FLAT}.nc")
    assert set(errors) == {"shape-gouge"}


def test_a_round_over_bit_that_goes_straight_down_into_wood(good):
    def change(lines):
        start, _ = part(lines, LONG)
        down = next(at for at in range(start, len(lines)) if lines[at].startswith("G1 Z0"))
        return [*lines[:down], "G1 Z-1.5875 F250", "G1 Z0", *lines[down + 1 :]]

    assert set(found(good, change)) == {"cutting-plunge"}


# what is said


def test_what_the_summary_says_of_edges_by_machine(tmp_path):
    made(tmp_path, straight(PLAIN))
    lines = summary(tmp_path / "out").splitlines()
    start = lines.index("Edges")
    assert lines[start + 1 : start + 5] == [
        "  Upper outer edges, end faces, pegs and sockets too: rounded over to 1/16 in (1.588 mm) by round-over-1.588.",
        "  Edges of the grooves in the top: rounded over by 1/64 in (0.397 mm), by round-over-1.588, ~3/64 in"
        " (1.050 mm) down the wall.",
        "  Left to hand: the lower edges, rounded to about 1/16 in (1.5 mm); inside corners that the bit does not"
        " reach, such as those between neck and head; no edge may feel sharp.",
        "",
    ]


def test_what_the_summary_says_of_edges_by_hand(tmp_path):
    made(tmp_path, small_job())
    assert (
        "Edges\n  Edges left to hand: round the outer edges, upper and lower, to about 1/16 in (1.5 mm), break the "
        "edges of the grooves with fine paper; no edge may feel sharp.\n"
    ) in summary(tmp_path / "out")


def test_the_bits_width_at_the_edge_shows_lightly_in_the_plan(tmp_path):
    made(tmp_path, straight(PLAIN))
    assert 'stroke-opacity="0.4"' in (tmp_path / "out" / "A-plan.svg").read_text(encoding="utf-8")


def test_a_manifest_with_an_edge_deeper_than_its_round_is_refused(good):
    def deeper(data):
        data["pieces"][0]["edges"][0]["depth"] = 2.0

    with pytest.raises(ReadError, match=r"pieces\[0\]\.edges\[0\]\.depth = 2\.0: is deeper than the radius of the"):
        prove(with_manifest(good, deeper))
