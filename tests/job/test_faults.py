"""Every sentence said of a job file that cannot be, whole; and all of them at once."""

# ruff: noqa: E501 - whole sentences stand in one line

import pytest

from job.sample_jobs import JOB, MACHINE, changed, said_of
from platelayer.errors import JobError
from platelayer.job.bits import shipped_bits
from platelayer.job.reading import read_toml
from platelayer.pieces import CATALOGUE

SPOILBOARD = changed(JOB, ("width = 400", 'width = 400\nzero = "spoilboard"'))
WOODS = "hard-maple, beech, red-oak, birch, plywood, cherry, soft-maple, mdf, pine"
LIMITS = "which is 1.5 mm and the board's scatter, and"

OWN_PROFILE = (
    "One of your own: platelayer new --machine machines/NAME.toml begins it; write "
    'profiles = "machines" and machine = "NAME" under [job].'
)
OWN_WOOD = 'Of your own: platelayer new --woods woods.toml, and woods = "woods.toml" under [job].'

KINDS = " or ".join(", ".join(kind.name for kind in CATALOGUE).rsplit(", ", 1))

ONE_FAULT = {
    "unquoted fraction": (
        changed(JOB, ("width = 400", "width = 15 3/4")),
        "job.toml:6:12: not TOML: expected newline or end of document after a statement. "
        'A length with a unit or a fraction goes in quotes, as in width = "1 9/16 in".',
    ),
    "no value": (
        changed(JOB, ("width = 400", "width = ")),
        "job.toml:6:9: not TOML: invalid value. Mend the line; the rest of the file is read after that.",
    ),
    "key twice": (
        changed(JOB, ("width = 400", "width = 400\nwidth = 300")),
        "job.toml:7:12: not TOML: this key is set twice in its table. Mend the line; the rest of the file is read after that.",
    ),
    "table twice": (
        f"{JOB}[track]\nwidth = 40\n[track]\n",
        "job.toml:12:7: not TOML: [track] stands in the file twice. Mend the line; the rest of the file is read after that.",
    ),
    "open bracket at the end": (
        f"{JOB}[track",
        "job.toml:10:7: not TOML: expected ']' at the end of a table declaration. "
        "Mend the line; the rest of the file is read after that.",
    ),
    "one bracket too few": (
        changed(JOB, ("[[piece]]", "[piece]")),
        "job.toml:8 [piece] = {...}: not a list. A table that may come more than once has two brackets, as in [[piece]].",
    ),
    "no table": (
        changed(JOB, ("[[board]]", "track = 3\n[[board]]")),
        "job.toml:5 [job] track: unknown key. Known: bits, machine, material, name, placing, profiles, shop, title, units, woods.",
    ),
    "top-level value": (f"track = 3\n{JOB}", "job.toml:1 track = 3: not a table"),
    "unknown table": (f"{JOB}[traks]\nwidth = 3\n", "job.toml:10 [traks]: unknown table or key. Did you mean track?"),
    "unknown key": (
        changed(JOB, ("length = 150", "lenght = 150")),
        "job.toml:9 [[piece]] straight lenght: unknown key. Did you mean length?",
    ),
    "unknown dotted key": (
        f"{JOB}[joint]\nneck.width = 3\n",
        "job.toml:11 [joint.neck]: unknown key. Did you mean neck_width?",
    ),
    "no unit": (
        changed(JOB, ('units = "mm"', "")).replace("= 400", '= "400 mm"').replace("= 120", '= "120 mm"'),
        'job.toml:9 [[piece]] straight length = 150: has no unit. Write mm or in, as in "5 15/16 in".',
    ),
    "bad unit word": (
        changed(JOB, ('units = "mm"', 'units = "inch"')),
        "job.toml:2 [job] units = inch: must be mm or in. Did you mean in?",
    ),
    "no length": (
        f'{JOB}[joint]\nmouth_width = "5/16 im"\n',
        'job.toml:11 [joint] mouth_width = 5/16 im: not a length. Write a length such as "1 9/16 in", "39.7 mm" or "0.25 in".',
    ),
    "zero": (f"{JOB}[joint]\nmouth_width = 0\n", "job.toml:11 [joint] mouth_width = 0: must be more than zero"),
    "below zero": (
        f"{JOB}[joint]\nhead_setback = -1\n",
        "job.toml:11 [joint] head_setback = -1: must not be less than zero",
    ),
    "past reason": (
        changed(JOB, ("width = 400", 'width = "100 ft"')),
        'job.toml:6 [[board]] A width = 100 ft: longer than 20 m, which no board is. Look at the unit: is it "in" or "mm"?',
    ),
    "choice": (
        f'{JOB}[joint]\npeg_root = "releive"\n',
        "job.toml:11 [joint] peg_root = releive: must be relieve, finish or none. Did you mean relieve?",
    ),
    "choice unlike any": (f'{JOB}kind = "ring"\n', f"job.toml:10 [[piece]] ring kind = ring: must be {KINDS}"),
    "not true or false": (
        f'{JOB}[cutting]\none_file = "yes"\n',
        "job.toml:11 [cutting] one_file = yes: neither true nor false. Write true or false, without quotes.",
    ),
    "not a whole number": (
        f"{JOB}count = 1.5\n",
        "job.toml:10 [[piece]] straight count = 1.5: not a whole number. Write a whole number without quotes.",
    ),
    "count": (f"{JOB}count = 0\n", "job.toml:10 [[piece]] straight count = 0: must be 1 to 1000"),
    "not a text": (f"{JOB}[bits]\njoints = 3\n", "job.toml:11 [bits] joints = 3: not a text. Put it in quotes."),
    "name": (
        f'{JOB}name = "a/b"\n',
        "job.toml:10 [[piece]] a/b name = a/b: not a name that a file can carry. "
        "Use at most 32 letters, digits, hyphens and points, a letter or digit first.",
    ),
    "title": (
        changed(JOB, ("[job]", '[job]\ntitle = "two\\nlines"')),
        "job.toml:2 [job] title = two\nlines: not a title. Write one line of at most 80 letters.",
    ),
    "grain": (
        changed(JOB, ("width = 400", 'width = 400\ngrain = "up"')),
        "job.toml:7 [[board]] A grain = up: neither along, across nor an angle. Write along, across, or degrees from x.",
    ),
    "angle": (
        f'{JOB}[[piece]]\nkind = "curve"\nradius = 200\nangle = "flat"\n',
        'job.toml:13 [[piece]] curve angle = flat: not an angle. Write degrees, such as 45 or "22.5 deg".',
    ),
    "corner of one number": (
        f"{JOB}[[board.no_go]]\noutline = [[0, 0], [1]]\n",
        "job.toml:11 [[board]] A no_go 1 outline 2: too few numbers",
    ),
    "no machine": (
        changed(JOB, ('machine = "test"', "")),
        f"job.toml:1 [job] machine: missing. Known: test. {OWN_PROFILE}",
    ),
    "unknown machine": (
        changed(JOB, ('machine = "test"', 'machine = "tset"')),
        f"job.toml:3 [job] machine = tset: no such machine. Did you mean test? {OWN_PROFILE}",
    ),
    "no wood": (
        changed(JOB, ('material = "hard-maple"', "")),
        f"job.toml:1 [job] material: missing. Known: {WOODS}. {OWN_WOOD}",
    ),
    "unknown wood": (
        changed(JOB, ('"hard-maple"', '"mapel"')),
        "job.toml:4 [job] material = mapel: no such material. Did you mean hard-maple?",
    ),
    "a word that two woods share": (
        changed(JOB, ('"hard-maple"', '"maple"')),
        "job.toml:4 [job] material = maple: no such material. Did you mean hard-maple or soft-maple?",
    ),
    "unknown bit": (
        f'{JOB}[bits]\njoints = "flat-3.175-lomg"\n',
        "job.toml:11 [bits] joints = flat-3.175-lomg: no such bit. Did you mean flat-3.175-long?",
    ),
    "ball bit": (
        f'{JOB}[bits]\ngrooves = "ball-3.175"\n',
        "job.toml:11 [bits] grooves = ball-3.175: a ball bit leaves no flat floor and no square wall. Take a flat bit.",
    ),
    "no finishing bit": (
        f'{JOB}[joint]\npeg_root = "finish"\n[bits]\n',
        'job.toml:12 [bits] finish: missing, with peg_root = "finish". Name a bit smaller than the one for the joints.',
    ),
    "finishing bit of no use": (
        f'{JOB}[bits]\nfinish = "flat-1.588"\n',
        'job.toml:11 [bits] finish = flat-1.588: of no use with peg_root = "relieve". '
        'Write peg_root = "finish" in [joint], or leave this bit out.',
    ),
    "finishing bit too large": (
        f'{JOB}[joint]\npeg_root = "finish"\n[bits]\nfinish = "flat-3.175"\n',
        "job.toml:13 [bits] finish = flat-3.175: not smaller than the bit that cuts the joints, 3.175 mm (1/8 in). "
        "Take a smaller one.",
    ),
    "bit without id": (
        f"{JOB}[[bit]]\nflutes = 2\n",
        "job.toml:10 [[bit]] 1 id: missing. Shipped: flat-1.588, flat-3.175, flat-3.175-long, flat-3.175-down, "
        "flat-4.763, flat-6.35-up, flat-6.35-down, flat-6.35-compression, flat-6.35-straight, ball-3.175, ball-6.35, "
        "vee-60, vee-90, round-over-1.588.",
    ),
    "bit twice": (
        f'{JOB}[[bit]]\nid = "flat-3.175"\n[[bit]]\nid = "flat-3.175"\n',
        "job.toml:13 [[bit]] 2 id = flat-3.175: there is another bit of this id. Keep one of them.",
    ),
    "own bit half said": (
        f'{JOB}[[bit]]\nid = "flat-3.125"\nkind = "flat"\ndiameter = 3.125\n',
        "job.toml:10 [[bit]] flat-3.125 cutting_length: missing; flat-3.125 is no shipped bit, so all of it must be said. "
        "Did you mean flat-3.175?",
    ),
    "bit measured as another": (
        f'{JOB}[[bit]]\nid = "flat-3.175"\nmeasured = "1/4 in"\n',
        "job.toml:12 [[bit]] flat-3.175 measured = 6.350 mm (1/4 in): more than 0.500 mm (0.020 in) from the nominal "
        "3.175 mm (1/8 in), so not the same bit. Give it an id of its own.",
    ),
    "bit of nine flutes": (
        f'{JOB}[[bit]]\nid = "flat-3.175"\nflutes = 9\n',
        "job.toml:12 [[bit]] flat-3.175 flutes = 9: no router bit has more than 6 flutes",
    ),
    "vee without angle": (
        f'{JOB}[[bit]]\nid = "v"\nkind = "vee"\ndiameter = 6\ncutting_length = 5\n',
        "job.toml:10 [[bit]] v included_angle = 0 deg: a vee bit needs its included angle, between 0 and 180 degrees",
    ),
    "round-over too round": (
        f'{JOB}[[bit]]\nid = "round-over-1.588"\ncorner_radius = 4\n',
        "job.toml:12 [[bit]] round-over-1.588 corner_radius = 4.000 mm (~5/32 in): a round-over bit needs the radius of its "
        "corner, less than half its diameter",
    ),
    "up-cut tip of a straight bit": (
        f'{JOB}[[bit]]\nid = "flat-6.35-straight"\nupcut_length = 5\n',
        "job.toml:12 [[bit]] flat-6.35-straight upcut_length = 5.000 mm (~13/64 in): only a compression bit has an up-cut "
        "tip, and this one is straight-cut. Leave it out.",
    ),
    "up-cut tip as long as the bit": (
        f'{JOB}[[bit]]\nid = "flat-6.35-compression"\nupcut_length = 22\n',
        "job.toml:12 [[bit]] flat-6.35-compression upcut_length = 22.000 mm (~55/64 in): no shorter than the whole cutting "
        "edge, 22.000 mm (~55/64 in). Measure from the tip to where the flutes turn the other way.",
    ),
    "no board": (
        changed(JOB, ("[[board]]\nwidth = 400\nheight = 120\n", "")),
        "job.toml [[board]]: missing: no wood to cut. Write a [[board]] with width and height.",
    ),
    "board without height": (changed(JOB, ("height = 120\n", "")), "job.toml:5 [[board]] A height: missing"),
    "board nobody measured": (
        f"{JOB}[track]\nwidth = 40\n",
        "job.toml:5 [[board]] A thickness: missing. Measure it with a caliper and write it, as in thickness = "
        '"12.5 mm".',
    ),
    "boards of two thicknesses": (
        changed(JOB, ("height = 120\n", "height = 120\n[[board]]\nwidth = 400\nheight = 120\nthickness = 12.2\n"))
        + "[track]\nthickness = 12.7\n",
        "job.toml:11 [[board]] B thickness = 12.200 mm (~31/64 in): the boards of a job are cut to one depth, and board A is 12.700 mm (1/2 in) thick. "
        "Write one thickness and a scatter that covers both, plane them alike, or make a job for each.",
    ),
    "no bit for the joints": (
        f'{JOB}[bits]\njoints = ""\n',
        "job.toml:11 [bits] joints: missing. Known: " + ", ".join(shipped_bits()) + ".",
    ),
    "boards of one id": (
        f'{JOB}[[board]]\nid = "A"\nwidth = 99\nheight = 99\n[[board]]\nid = "A"\nwidth = 99\nheight = 99\n',
        "job.toml:15 [[board]] 3 id = A: there is another board of this id. Give each its own.",
    ),
    "board too long": (
        changed(JOB, ("width = 400", "width = 700")),
        "job.toml:6 [[board]] A width = 700.000 mm (~27 9/16 in): more than the test machine travels, "
        "600.000 mm (~23 5/8 in). Cut the board to fit.",
    ),
    "board too wide": (
        changed(JOB, ("height = 120", "height = 20"), ('"mm"', '"in"'), ("width = 400", "width = 4"), ("= 150", "= 2")),
        "job.toml:7 [[board]] A height = 20 in (508.000 mm): more than the test machine travels, "
        "~19 11/16 in (500.000 mm). Cut the board to fit.",
    ),
    "board all margin": (
        changed(JOB, ("height = 120", "height = 12")),
        "job.toml:7 [[board]] A height = 12.000 mm (~15/32 in): nothing is left within a margin of 6.350 mm (1/4 in) on "
        "each side",
    ),
    "board too thick for z": (
        f"{JOB}[track]\nthickness = 75\n",
        "job.toml:5 [[board]] A thickness = 75.000 mm (~2 61/64 in): with the safe height over it needs 85.300 mm "
        "(~3 23/64 in) of z, and the test machine travels 80.000 mm (~3 5/32 in)",
    ),
    "board of another thickness": (
        changed(JOB, ("width = 400", 'width = 400\nthickness = "3/4 in"')) + "[track]\nthickness = 12.7\n",
        "job.toml:7 [[board]] A thickness = 19.050 mm (3/4 in): pieces come out as thick as the board, but [track] "
        "thickness is 12.700 mm (1/2 in). Make the two agree.",
    ),
    "no-go area without shape": (
        f"{JOB}[[board.no_go]]\nx = 1\ny = 2\n",
        "job.toml:10 [[board]] A no_go 1: needs x, y, width and height for a box, or x, y and diameter for a disc, or an "
        "outline alone",
    ),
    "no-go area of no area": (
        f"{JOB}[[board.no_go]]\noutline = [[0, 0], [1, 1], [2, 2]]\n",
        "job.toml:11 [[board]] A no_go 1 outline: an area has three corners or more, not all in line",
    ),
    "no piece": (
        changed(JOB, ("[[piece]]\nlength = 150\n", "")),
        "job.toml [[piece]]: missing: nothing to cut. Write a [[piece]] with a length.",
    ),
    "straight without length": (
        changed(JOB, ("length = 150\n", "count = 2\n")),
        "job.toml:8 [[piece]] straight length: missing. Write the length between the end faces.",
    ),
    "curve without radius": (
        f'{JOB}[[piece]]\nkind = "curve"\n',
        "job.toml:10 [[piece]] curve radius: missing. Write that of the centre line.",
    ),
    "straight with a hand": (
        f'{JOB}hand = "left"\n',
        'job.toml:10 [[piece]] straight hand: a straight has no hand. Write kind = "curve", or leave it out.',
    ),
    "curve of no angle": (
        f'{JOB}[[piece]]\nkind = "curve"\nradius = 200\nangle = 0\n',
        "job.toml:13 [[piece]] curve angle = 0 deg: a curve turns by more than 0 and at most 180 degrees",
    ),
    "pieces of one name": (
        f'{JOB}name = "a"\n[[piece]]\nname = "a"\nlength = 90\n',
        "job.toml:12 [[piece]] 2 name = a: there is another piece of this name. Give each its own.",
    ),
    "board too thin for tabs": (
        f"{JOB}[track]\nthickness = 6\n[holding]\n",
        "job.toml:12 [holding] kind = tabs: the board is too thin or too uneven for tabs: the limits are 1.700 mm "
        f"(~1/16 in), {LIMITS} 1.500 mm (~1/16 in), a quarter of the board. "
        'Hold by a skin: kind = "skin".',
    ),
    "tab too low": (
        f"{JOB}[holding]\ntab_height = 1.6\n",
        "job.toml:11 [holding] tab_height = 1.600 mm (~1/16 in): too low to hold: the limits are 1.700 mm (~1/16 in), "
        f"{LIMITS} 3.175 mm (1/8 in), a quarter of the board",
    ),
    "tab too high": (
        f"{JOB}[holding]\ntab_height = 4\n",
        "job.toml:11 [holding] tab_height = 4.000 mm (~5/32 in): too high to saw: the limits are 1.700 mm (~1/16 in), "
        f"{LIMITS} 3.175 mm (1/8 in), a quarter of the board",
    ),
    "skin beside tabs": (
        f"{JOB}[holding]\nskin = 1\n",
        "job.toml:11 [holding] skin = 1.000 mm (~3/64 in): of no use with tabs. "
        'Write kind = "skin", or leave skin out.',
    ),
    "skin on an unknown floor": (
        f'{JOB}[holding]\nkind = "skin"\n',
        "job.toml:11 [holding] kind = skin: a skin needs a known floor, and board A has its zero on top and no measured "
        'thickness. Write zero = "spoilboard", or measure the board and write thickness_measured = true.',
    ),
    "skin too thin": (
        f'{SPOILBOARD}[holding]\nkind = "skin"\nskin = 0.5\n',
        "job.toml:13 [holding] skin = 0.500 mm (0.020 in): too thin to hold: the limits are 0.600 mm (0.024 in), which is "
        "0.4 mm and the board's scatter, and 3.175 mm (1/8 in), a quarter of the board",
    ),
    "skin too thick": (
        f'{SPOILBOARD}[holding]\nkind = "skin"\nskin = "1/4 in"\n',
        "job.toml:13 [holding] skin = 6.350 mm (1/4 in): too thick to part by hand: the limits are 0.600 mm (0.024 in), "
        "which is 0.4 mm and the board's scatter, and 3.175 mm (1/8 in), a quarter of the board",
    ),
    "two tabs on a short piece": (
        f"{changed(JOB, ('length = 150', 'length = 60'))}[holding]\ntab_count = 2\n",
        "job.toml:11 [holding] tab_count = 2: a piece of 60.000 mm (~2 23/64 in) is shorter than 100.000 mm "
        "(~3 15/16 in) and needs at least 4 tabs, or a skin. Leave tab_count out, and each piece gets what it needs.",
    ),
    "one file of two bits": (
        f'{JOB}[bits]\noutlines = "flat-6.35-up"\n[cutting]\none_file = true\n',
        "job.toml:13 [cutting] one_file = true: z must be zeroed again after a change of bit, and test machine cannot do "
        "that in a pause. Leave it out: each bit gets a file of its own. Or use one bit for everything.",
    ),
}


@pytest.mark.parametrize(("text", "sentence"), ONE_FAULT.values(), ids=ONE_FAULT.keys())
def test_one_fault_gives_one_sentence(text, sentence):
    assert "\n".join(said_of(text)) == sentence


def test_scatter_past_all_planing():
    text = changed(JOB, ("width = 400", "width = 400\nscatter = 3"))
    assert said_of(text)[-1] == (
        "job.toml:7 [[board]] A scatter = 3.000 mm (~1/8 in): a board so uneven cannot be cut to depth; the limit is "
        "2.000 mm (~5/64 in). Plane the board, or measure it and write thickness_measured = true."
    )


def test_no_profiles_at_all():
    assert said_of(JOB, {}) == [
        f"job.toml:3 [job] machine = test: no such machine. There are no machine profiles. {OWN_PROFILE}"
    ]


def test_no_feeds_that_could_serve():
    assert said_of(JOB, {"test.toml": MACHINE[: MACHINE.index("[[feeds]]")]}) == [
        "job.toml:4 [job] material = hard-maple: no profile lists feeds that could serve for flat-3.175-long in hard maple. "
        "Write a [[feeds]] entry for it in the machine's profile."
    ]


def test_a_fault_in_the_machines_profile_names_that_file():
    assert said_of(JOB, {"shop/test.toml": changed(MACHINE, ("travel = 600", "travel = -600"))}) == [
        "shop/test.toml:4 [axis.x] travel = -600: must be more than zero"
    ]


def test_all_faults_come_at_once_in_the_order_of_their_lines():
    text = """\
[job]
machine = "tset"
material = "maypole"
units = "cm"
[track]
width = "39.7 mn"
thicknes = 12
[bits]
joints = "flat-3.175-lomg"
[[board]]
width = 400
zero = "flor"
[[piece]]
lenght = 3
[[piece]]
kind = "turnout"
[holding]
tab_height = "high"
"""
    places = [sentence.split(": ")[0] for sentence in said_of(text)]
    assert places == [
        "job.toml:2 [job] machine = tset",
        "job.toml:3 [job] material = maypole",
        "job.toml:4 [job] units = cm",
        "job.toml:6 [track] width = 39.7 mn",
        "job.toml:7 [track] thicknes",
        "job.toml:9 [bits] joints = flat-3.175-lomg",
        "job.toml:10 [[board]] A height",
        "job.toml:12 [[board]] A zero = flor",
        "job.toml:14 [[piece]] straight lenght",
        "job.toml:16 [[piece]] turnout kind = turnout",
        "job.toml:18 [holding] tab_height = high",
    ]


def test_what_only_follows_from_a_known_fault_is_not_said():
    # thickness unreadable: the board's own must not be held against the usual one
    text = f'{changed(JOB, ("width = 400", "width = 400" + chr(10) + "thickness = 6"))}[track]\nthickness = "6 nm"\n'
    assert [sentence.split(" = ")[0] for sentence in said_of(text)] == ["job.toml:12 [track] thickness"]
    # a peg_root unreadable: no word about the finishing bit
    text = f'{JOB}[joint]\npeg_root = "finnish"\n[bits]\nfinish = "flat-1.588"\n'
    assert [sentence.split(" = ")[0] for sentence in said_of(text)] == ["job.toml:11 [joint] peg_root"]


def test_a_mark_of_byte_order_is_no_fault():
    assert said_of(f"\ufeff{JOB}") == []


def test_brackets_without_end_are_told_and_do_not_crash():
    with pytest.raises(JobError) as caught:
        read_toml("x = " + "[" * 100_000, file="job.toml")
    assert str(caught.value) == (
        "job.toml: not TOML: lists within one another, too deep to be read. Look for a bracket that is held down."
    )
