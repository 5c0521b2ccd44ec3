"""Machine profiles: the shipped ones, the person's own before them, and every sentence said of a bad one."""

# ruff: noqa: E501 - whole sentences stand in one line

import pytest

from job.sample_jobs import JOB, MACHINE, changed, said_of_machine, thick
from platelayer.errors import JobError
from platelayer.job import describe_machines, load_job, load_profiles, profile_folders, profiles_for
from platelayer.job.profiles import machine_files, read_profile
from platelayer.tolerances import RAPID_CLEARANCE_MM
from platelayer.units import worded
from platelayer.values.tooling import SpindleKind

SHIPPED = load_profiles()
MACHINES = [read_profile(SHIPPED[file], file=file).machine for file in machine_files(SHIPPED).values()]
DIAL = 'kind = "dial"\ndial = [{ mark = "low", rpm = 10000 }, { mark = "high", rpm = 20000 }]'

ONE_FAULT = {
    "no dwell unit": (
        changed(MACHINE, ('dwell_unit = "s"', "")),
        "test.toml:16 [dialect] dwell_unit: missing. Look up how the controller reads the P of G4, then write s or ms.",
    ),
    "corners planned in two ways": (
        changed(MACHINE, ("deviation = 0.02", "deviation = 0.02\nspeed = 3")),
        "test.toml:7 [cornering]: needs either deviation or speed, as the controller plans its corners",
    ),
    "dial out of order": (
        changed(MACHINE, ("rpm = 20000", "rpm = 9000")),
        'test.toml:11 [spindle] dial: a hand dial needs two marks or more, each once, slowest first. Write dial = [{ mark = "1", rpm = 9000 }, { mark = "2", rpm = 13000 }].',
    ),
    "speed word without speeds": (
        changed(MACHINE, (DIAL, 'kind = "speed_word"')),
        "test.toml:9 [spindle]: a speed word needs slowest and fastest, in rev/min",
    ),
    "switch without its speed": (
        changed(MACHINE, (DIAL, 'kind = "switch"')),
        "test.toml:9 [spindle] fastest: missing. Write the one speed of the router.",
    ),
    "switch with a dial": (
        changed(MACHINE, ('kind = "dial"', 'kind = "switch"\nfastest = 10000')),
        "test.toml:12 [spindle] dial: only a spindle of kind dial has marks",
    ),
    "slowest above fastest": (
        changed(
            MACHINE,
            (DIAL, 'kind = "speed_word"\nslowest = 9000\nfastest = 8000'),
            ("spindle = 10000", "spindle = 8500"),
        ),
        "test.toml:11 [spindle] slowest = 9000: more than fastest\ntest.toml:24 [[feeds]] 1 spindle = 8500: a speed this spindle does not have. See [spindle].",
    ),
    "a spindle up too soon": (
        changed(MACHINE, ("holder_diameter = 20", "holder_diameter = 20\nspin_up = 1")),
        "test.toml:13 [spindle] spin_up = 1: must be 2 to 10 seconds",
    ),
    "safe below clear": (
        changed(MACHINE, ("safe_height = 10", "safe_height = 2")),
        "test.toml:14 [places] safe_height = 2.000 mm (~5/64 in): lower than clear_height, 3.000 mm (~1/8 in)",
    ),
    "clear within the wood's shadow": (
        changed(MACHINE, ("clear_height = 3", "clear_height = 0.4")),
        "test.toml:15 [places] clear_height = 0.400 mm (0.016 in): the dry run refuses rapids lower than 0.500 mm (0.020 in) above the wood",
    ),
    "too few decimals": (
        changed(MACHINE, ("arcs = true", "arcs = true\ndecimals = 3")),
        "test.toml:18 [dialect] decimals = 3: must be 4 to 6 for mm; with fewer a controller may refuse arcs",
    ),
    "speed word not taken": (
        changed(
            MACHINE,
            (DIAL, 'kind = "speed_word"\nslowest = 8000\nfastest = 18000'),
            ("arcs = true", "arcs = true\nspindle_speed_word = false"),
        ),
        "test.toml:19 [dialect] spindle_speed_word = false: the spindle's speed is set by a word, so the controller must take one",
    ),
    "tool word not taken": (
        f'{MACHINE}[bit_change]\nmanner = "tool_word"\n',
        "test.toml:16 [dialect] tool_change_word = false: bits are changed by a word, so the controller must take one",
    ),
    "G64 without a tolerance": (
        changed(MACHINE, ("arcs = true", 'arcs = true\npath_mode = "G64"')),
        "test.toml:16 [dialect] path_tolerance: missing: G64 alone lets the controller round corners off as far as it likes. "
        'Write path_tolerance = "0.02 mm" where it reads P with G64, else path_mode = "G61".',
    ),
    "a tolerance that a hand feels": (
        changed(MACHINE, ("arcs = true", 'arcs = true\npath_mode = "G64"\npath_tolerance = 0.06')),
        "test.toml:19 [dialect] path_tolerance = 0.060 mm (0.002 in): must be 0.002 mm (0.0001 in), what a controller's own "
        "chords stray from an arc, to 0.050 mm (0.002 in): two walls of a joint that are off by more take up play that a "
        "hand feels",
    ),
    "a tolerance of G61": (
        changed(MACHINE, ("arcs = true", 'arcs = true\npath_mode = "G61"\npath_tolerance = 0.02')),
        "test.toml:19 [dialect] path_tolerance = 0.020 mm (0.001 in): only path_mode G64 has one; G61 runs every corner to "
        "the letter",
    ),
    "messages after a semicolon": (
        changed(MACHINE, ('comments = "brackets"', 'comments = "semicolon"\nmessages = true')),
        "test.toml:20 [dialect] messages = true: a message is a comment in brackets, and this controller takes its comments "
        "after a semicolon. Leave it out.",
    ),
    "arc centres without arcs": (
        changed(MACHINE, ("arcs = true", "arcs = false\narc_centre_word = true")),
        "test.toml:18 [dialect] arc_centre_word = true: says how an arc's I and J count, and this controller takes no arcs. "
        "Leave it out.",
    ),
    "feed past the slower axis": (
        changed(MACHINE, ("feed = 1200", "feed = 2001")),
        "test.toml:24 [[feeds]] 1 feed = 2001 mm/min: faster than this machine feeds; the limit is 2000 mm/min, of the slower of x and y",
    ),
    "plunge past z": (
        changed(MACHINE, ("plunge = 300", "plunge = 601")),
        "test.toml:25 [[feeds]] 1 plunge = 601 mm/min: faster than this machine feeds; the limit is 600 mm/min, of the z axis",
    ),
    "no mark of the dial": (
        changed(MACHINE, ("spindle = 10000", "spindle = 15000")),
        "test.toml:23 [[feeds]] 1 spindle = 15000: no mark of the dial; its marks stand for 10000, 20000",
    ),
    "stepover in percent": (
        changed(MACHINE, ("stepover = 0.4", "stepover = 40")),
        "test.toml:27 [[feeds]] 1 stepover = 40: a stepover is a share of the bit's diameter, at most 1",
    ),
    "unknown wood": (
        changed(MACHINE, ('material = "hard-maple"', 'material = "hardmaple"')),
        "test.toml:21 [[feeds]] 1 material = hardmaple: no such material. Did you mean hard-maple?",
    ),
    "no wood": (
        changed(MACHINE, ('material = "hard-maple"', "")),
        "test.toml:20 [[feeds]] 1 material: missing. Known: hard-maple, beech, red-oak, birch, plywood, cherry, soft-maple, mdf, pine.",
    ),
    "no bit": (
        changed(MACHINE, ('diameter = "1/8 in"', "")),
        "test.toml:20 [[feeds]] 1: needs either bit, by its id, or diameter",
    ),
    "no stepdown": (changed(MACHINE, ("stepdown = 1", "")), "test.toml:20 [[feeds]] 1 stepdown: missing"),
    "the same twice": (
        MACHINE + MACHINE[MACHINE.index("[[feeds]]") :],
        "test.toml:28 [[feeds]] 2: the same material and bit as entry 1. Keep one of them.",
    ),
    "misspelt": (
        changed(MACHINE, ("clear_height", "clear_hight")),
        "test.toml:15 [places] clear_hight: unknown key. Did you mean clear_height?",
    ),
}


@pytest.mark.parametrize(("text", "sentence"), ONE_FAULT.values(), ids=ONE_FAULT.keys())
def test_one_fault_gives_one_sentence(text, sentence):
    assert "\n".join(said_of_machine(text)) == sentence


def test_an_empty_profile_lacks_everything_at_once():
    said = said_of_machine("")
    assert len(said) == 21
    assert "test.toml [axis.z] acceleration: missing" in said


def test_there_are_three_shipped_machines_of_three_kinds():
    assert {machine.spindle for machine in MACHINES} == set(SpindleKind)
    assert {machine.dialect.dwell_unit for machine in MACHINES} == {"s", "ms"}
    assert {machine.dialect.units for machine in MACHINES} == {"mm", "in"}
    assert {machine.corner_deviation_mm > 0 for machine in MACHINES} == {True, False}
    assert len({machine.bit_change for machine in MACHINES}) == len(MACHINES) == 3


@pytest.mark.parametrize("machine", MACHINES, ids=[machine.id for machine in MACHINES])
def test_a_shipped_machine_hangs_together(machine):
    assert all(feed <= rapid for feed, rapid in zip(machine.feed_max_mm_min, machine.rapid_mm_min, strict=True))
    assert (machine.corner_deviation_mm == 0) != (machine.corner_speed_mm_min == 0)
    assert RAPID_CLEARANCE_MM < machine.clear_z_mm <= machine.safe_z_mm < machine.travel_mm[2]
    assert machine.spindle_min_rpm <= machine.spindle_max_rpm
    assert (machine.spindle is SpindleKind.DIAL) == bool(machine.dial)
    assert all(0 <= at <= travel for at, travel in zip(machine.park, machine.travel_mm, strict=False))


def test_the_shipped_profiles_say_they_are_invented():
    assert all("invented machine" in text for text in SHIPPED.values())


def test_no_dial_of_a_shipped_machine_is_one_that_is_sold():
    """Its marks are letters and its travel no round or customary size, so that nobody takes it for the one at hand."""
    assert {mark for machine in MACHINES for mark, _ in machine.dial} == set("ABCDE")
    travels = {machine.id: machine.travel_mm for machine in MACHINES}
    assert travels == {"small-belt": (460, 440, 80), "mid-screw": (960, 720, 105), "bench-top": (1100, 640, 130)}


def test_lengths_of_a_profile_in_inches_come_out_in_mm():
    machine = next(machine for machine in MACHINES if machine.id == "bench-top")
    # worked by hand: 200, 200 and 80 in/min; 40 in/s2; 15 in/min at corners; its travel says mm itself
    assert machine.feed_max_mm_min == (5080.0, 5080.0, 2032.0)
    assert machine.travel_mm == (1100.0, 640.0, 130.0)
    assert machine.accel_mm_s2[0] == 1016.0
    assert machine.corner_speed_mm_min == 381.0


def test_a_persons_own_folder_comes_first(tmp_path):
    (tmp_path / "mid-screw.toml").write_text(MACHINE, encoding="utf-8")
    (tmp_path / "mine.toml").write_text(MACHINE, encoding="utf-8")
    profiles = load_profiles([tmp_path])
    files = machine_files(profiles)
    assert list(files) == ["bench-top", "mid-screw", "mine", "small-belt"]
    assert files["mid-screw"] == str(tmp_path / "mid-screw.toml")
    assert profile_folders([tmp_path])[0] == tmp_path


@pytest.mark.parametrize("given", [False, True], ids=["alone", "beside a folder given"])
def test_a_job_names_the_folder_of_its_own_machines(given, tmp_path):
    own, other = tmp_path / "machines", tmp_path / "other"
    for folder, title in ((own, "mine"), (other, "given")):
        folder.mkdir()
        (folder / "shed.toml").write_text(changed(MACHINE, ("test machine", title)), encoding="utf-8")
    text = changed(JOB, ('machine = "test"', 'machine = "shed"\nprofiles = "machines"'))
    file = str(tmp_path / "job.toml")
    profiles = profiles_for(text, file=file, own=[other] if given else [])
    assert load_job(thick(text), file=file, profiles=profiles).machine.title == ("given" if given else "mine")


def test_a_job_that_names_a_folder_that_is_not_there(tmp_path):
    text = changed(JOB, ('machine = "test"', 'machine = "test"\nprofiles = "machines"'))
    with pytest.raises(JobError) as caught:
        profiles_for(text, file=str(tmp_path / "job.toml"))
    assert str(caught.value) == (
        f"{tmp_path / 'job.toml'}:4 [job] profiles = machines: no such folder beside the job. "
        f"Begin a profile there: platelayer new --machine {tmp_path / 'machines' / 'mine.toml'}. Or leave this out."
    )


def test_a_folder_that_is_not_there(tmp_path):
    missing = tmp_path / "none"
    with pytest.raises(JobError) as caught:
        load_profiles([missing])
    assert str(caught.value) == f"{missing}: no such folder of machine profiles"


def test_a_profile_that_is_no_text(tmp_path):
    (tmp_path / "odd.toml").write_bytes(b"title = \xff")
    with pytest.raises(JobError) as caught:
        load_profiles([tmp_path])
    assert str(caught.value).startswith(f"{tmp_path / 'odd.toml'}: cannot be read as text: ")


def test_the_list_of_machines_shows_a_bad_profile_too():
    listing = describe_machines({"good.toml": MACHINE, "bad.toml": changed(MACHINE, ("arcs = true", ""))})
    assert listing.head == ("id", "machine", "travel x, y, z", "spindle", "bit change")
    assert listing.rows[0][:2] == ("bad", "cannot be used: bad.toml:16 [dialect] arcs: missing")
    assert tuple(worded(cell, "mm") for cell in listing.rows[1]) == (
        "good",
        "test machine",
        "600.000 mm (~23 5/8 in), 500.000 mm (~19 11/16 in), 80.000 mm (~3 5/32 in)",
        "hand dial, low = 10000, high = 20000 rev/min",
        "files",
    )
