"""Edges in the job file: what is taken, and the one sentence for each thing that cannot be."""

import pytest

from job.sample_jobs import JOB, job_of, said_of
from platelayer.units import worded
from platelayer.values.tooling import Edges

INCH = 25.4
BIT = '[bits]\nedges = "round-over-1.588"\n'
SMALL_BIT = '[[bit]]\nid = "round-1"\nkind = "round_over"\ndiameter = 5\ncorner_radius = 1\ncutting_length = 5\n'
BIG_BIT = '[[bit]]\nid = "round-4"\nkind = "round_over"\ndiameter = 11\ncorner_radius = 4\ncutting_length = 8\n'
WIDE_BIT = '[[bit]]\nid = "wide"\nkind = "round_over"\ndiameter = 12\ncorner_radius = 1\ncutting_length = 8\n'


def edges(text):
    return JOB + text


def test_left_to_hand_unless_said():
    assert job_of(JOB).edges == job_of(edges("[edges]\nby_hand = true\n")).edges == Edges()


def test_one_bit_does_both():
    job = job_of(edges(f'{BIT}[edges]\nouter = "1/16 in"\ngroove = "1/64 in"\n'))
    assert job.edges == Edges(
        outer_mm=INCH / 16, groove_mm=INCH / 64, outer_bit="round-over-1.588", groove_bit="round-over-1.588"
    )
    assert [bit.id for bit in job.bits] == ["flat-3.175-long", "round-over-1.588"]


def test_a_vee_bit_breaks_the_grooves_after_the_outer_edges():
    job = job_of(edges(f'{BIT}groove_edges = "vee-90"\n[edges]\nouter = "1/16 in"\ngroove = 0.5\n'))
    assert job.edges.groove_bit == "vee-90"
    assert [bit.id for bit in job.bits] == ["flat-3.175-long", "round-over-1.588", "vee-90"]


def test_the_grooves_alone():
    job = job_of(edges(f"{BIT}[edges]\ngroove = 0.5\n"))
    assert job.edges == Edges(groove_mm=0.5, groove_bit="round-over-1.588")


def test_a_size_a_hair_off_means_the_bits_own_radius():
    assert job_of(edges(f"{BIT}[edges]\nouter = 1.59\n")).edges.outer_mm == INCH / 16
    assert job_of(edges(f"{BIT}[edges]\nouter = 1.585\n")).edges.outer_mm == 1.585


def test_feeds_of_a_round_over_bit_are_half_of_a_flat_ones_and_said_so():
    job = job_of(edges(f'{BIT}[edges]\nouter = "1/16 in"\n'))
    data = job.cut_data("round-over-1.588")
    # worked by hand: half of the only entry, 1200, 300 and 1 for a 1/8 in bit
    assert (data.feed_mm_min, data.plunge_mm_min, data.stepdown_mm) == (600.0, 150.0, 0.5)
    assert worded(data.note, "in") == (
        "as listed for the smaller bit of 1/8 in (3.175 mm); "
        "listed for flat bits, so feed, plunge and stepdown times 0.50 for a round-over bit"
    )


SHORT_BIT = '[[bit]]\nid = "short"\nkind = "round_over"\ndiameter = 6\ncorner_radius = 1.5\ncutting_length = 1\n'

ONE_FAULT = {
    "no bit for the outer edges": (
        "[edges]\nouter = 1.5\n",
        "job.toml:11 [edges] outer = 1.500 mm (~1/16 in): no bit is named for it. "
        'Write edges = "round-over-1.588" or another round-over bit in [bits], or by_hand = true here instead.',
    ),
    "no bit for the grooves": (
        "[edges]\ngroove = 0.5\n",
        "job.toml:11 [edges] groove = 0.500 mm (0.020 in): no bit is named for it. "
        'Write groove_edges = "round-over-1.588" or another round-over or vee bit in [bits].',
    ),
    "a bit and no size": (
        BIT,
        "job.toml:11 [bits] edges = round-over-1.588: of no use without [edges] outer. "
        'Write outer = "1/16 in" in [edges], or leave this bit out.',
    ),
    "a grooves' bit and no size": (
        '[bits]\ngroove_edges = "vee-90"\n',
        "job.toml:11 [bits] groove_edges = vee-90: of no use without [edges] groove. "
        'Write groove = "1/64 in" in [edges], or leave this bit out.',
    ),
    "by hand and by machine": (
        "[edges]\nby_hand = true\nouter = 1.5\n",
        "job.toml:12 [edges] outer = 1.500 mm (~1/16 in): of no use with by_hand. Leave out one of the two.",
    ),
    "unknown bit": (
        '[bits]\nedges = "round-over-1.58"\n[edges]\nouter = 1.5\n',
        "job.toml:11 [bits] edges = round-over-1.58: no such bit. Did you mean round-over-1.588?",
    ),
    "a flat bit": (
        '[bits]\nedges = "flat-6.35-up"\n[edges]\nouter = 1.5\n',
        "job.toml:11 [bits] edges = flat-6.35-up: a flat bit rounds no edge. "
        "Take a round-over bit, such as round-over-1.588.",
    ),
    "a vee bit round the outside": (
        '[bits]\nedges = "vee-90"\n[edges]\nouter = 1.5\n',
        "job.toml:11 [bits] edges = vee-90: a vee bit rounds no edge. Take a round-over bit, such as round-over-1.588.",
    ),
    "a ball in the grooves": (
        '[bits]\ngroove_edges = "ball-3.175"\n[edges]\ngroove = 0.5\n',
        "job.toml:11 [bits] groove_edges = ball-3.175: a ball bit rounds no edge. "
        "Take a round-over or vee bit, such as round-over-1.588.",
    ),
    "another radius than the bit's": (
        f"{BIT}[edges]\nouter = 3\n",
        "job.toml:13 [edges] outer = 3.000 mm (~1/8 in): round-over-1.588 rounds by 1.588 mm (1/16 in). "
        "Write 1.588 mm, or take a bit of that radius.",
    ),
    "a cutting edge shorter than the radius": (
        f'[bits]\nedges = "short"\n{SHORT_BIT}[edges]\nouter = 1.5\n',
        "job.toml:19 [edges] outer = 1.500 mm (~1/16 in): short cuts 1.000 mm (~3/64 in) deep, less than its own "
        "radius. Measure its cutting length again.",
    ),
    "more than the board bears": (
        f'[bits]\nedges = "round-4"\n{BIG_BIT}[edges]\nouter = 4\n'
        "[track]\ngroove_outer = 7\ngroove_inner = 13\nthickness = 12.7\n",
        "job.toml:19 [edges] outer = 4.000 mm (~5/32 in): more than 3.175 mm (1/8 in), a quarter of the board: it "
        "would reach the tabs. Take a round-over bit of a smaller radius.",
    ),
    "more than the grooves' bit rounds": (
        f'[bits]\ngroove_edges = "round-1"\n{SMALL_BIT}[edges]\ngroove = 1.2\n',
        "job.toml:19 [edges] groove = 1.200 mm (~3/64 in): round-1 rounds by no more than 1.000 mm (~3/64 in). "
        "Take a bit of a larger radius, or break less.",
    ),
    "a tip wider than the groove": (
        f'[bits]\ngroove_edges = "wide"\n{WIDE_BIT}[edges]\ngroove = 0.5\n',
        "job.toml:11 [bits] groove_edges = wide: its tip is 10.000 mm (~25/64 in) wide, wider than the groove, "
        "5.953 mm (15/64 in). Take a smaller bit, or a vee bit.",
    ),
    "a tip on the groove's floor": (
        f"{BIT}[edges]\ngroove = 1.5\n[track]\ngroove_depth = 1.6\nthickness = 12.7\n",
        "job.toml:13 [edges] groove = 1.500 mm (~1/16 in): round-over-1.588 would go 1.585 mm (~1/16 in) deep for it; "
        "the limit is 1.300 mm (~3/64 in), 0.300 mm (0.012 in) above the groove's floor. Break less.",
    ),
    "a vee bit longer in the tooth than the groove": (
        '[bits]\ngroove_edges = "vee-60"\n[edges]\ngroove = 1\n[track]\ngroove_depth = 2\nthickness = 12.7\n',
        "job.toml:13 [edges] groove = 1.000 mm (~3/64 in): vee-60 would go 1.732 mm (~1/16 in) deep for it; "
        "the limit is 1.700 mm (~1/16 in), 0.300 mm (0.012 in) above the groove's floor. Break less.",
    ),
    "no land left": (
        f'{BIT}[edges]\nouter = "1/16 in"\n[track]\ngroove_outer = 2\ngroove_inner = 8\nthickness = 12.7\n',
        "job.toml:13 [edges] outer = 1.588 mm (1/16 in): only 0.016 mm (0.001 in) stays level of the land between "
        "outer edge and groove, 1.603 mm (~1/16 in) beside the flare; at least 0.500 mm (0.020 in) does. "
        "Round less, or move the grooves inwards.",
    ),
    "less than no land": (
        f'{BIT}[edges]\nouter = "1/16 in"\ngroove = 1\n[track]\ngroove_outer = 2\ngroove_inner = 8\nthickness = 12.7\n',
        "job.toml:13 [edges] outer = 1.588 mm (1/16 in): nothing stays level of the land between outer edge and "
        "groove, 1.603 mm (~1/16 in) beside the flare; at least 0.500 mm (0.020 in) does. "
        "Round less, or move the grooves inwards.",
    ),
}


@pytest.mark.parametrize(("text", "sentence"), ONE_FAULT.values(), ids=ONE_FAULT.keys())
def test_one_fault_gives_one_sentence(text, sentence):
    assert said_of(edges(text)) == [sentence]


def test_what_only_follows_from_a_wrong_size_is_not_said():
    assert said_of(edges(f'{BIT}[edges]\nouter = "1/16"\ngroove = "much"\n')) == [
        'job.toml:14 [edges] groove = much: not a length. Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".'
    ]
