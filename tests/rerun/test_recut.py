"""A file cut off anywhere and gone on with leaves the wood that the whole file leaves, and enters it as that does."""

import itertools
import random
from dataclasses import replace

import numpy as np
import pytest

from platelayer.errors import CannotCut, JobError
from platelayer.gcode.moves import moves_on
from platelayer.gcode.reader import read_program
from platelayer.geometry.regions import union_all
from platelayer.manifest.schema import TurnLine
from platelayer.proof.checks.cutting import check_plunges
from platelayer.proof.removal import runs_at, swept
from platelayer.rerun.recut import begun_from_top, cut_before_text, pass_at_line
from platelayer.rerun.trace import trace_text
from platelayer.rerun.written import bit_lines, passes_of
from platelayer.road.folders import read_folder
from platelayer.road.proving import read_back
from platelayer.road.rehearsing import rehearse
from platelayer.road.resuming import ResumeFrom, recut_file
from platelayer.tolerances import DEPTH_MM, FLATTEN_CHORD_MM, RAPID_CLEARANCE_MM
from platelayer.values.findings import Code
from platelayer.values.motion import EventKind, MoveKind
from recut_jobs import ONE_FILE, make_job


class Whole:
    """A made folder with one file, read."""

    def __init__(self, folder):
        self.read = read_back(read_folder(folder))
        (self.file,) = self.read.manifest.files
        (self.board,) = self.read.manifest.boards
        self.place = folder / self.file.name
        self.text, self.motion = self.read.texts[self.file.name], self.read.motions[self.file.name]
        self.top = self.board.thickness_mm if self.board.zero == "spoilboard" else 0.0
        self.passes = passes_of(self.text, self.motion, top_mm=self.top)

    def tracks(self, texts, bits):
        """Tracks of several files on the board, one after the other."""
        files = [replace(self.file, name=str(n), bits=bits[n]) for n in range(len(texts))]
        return moves_on(self.board, files, {str(n): read_program(text, name=str(n)) for n, text in enumerate(texts)})

    def stand(self, tracks, rows=None):
        """What is cut away at six levels; not by rapids, the first of which begins nobody knows where."""
        cutting = np.flatnonzero(tracks.kind != MoveKind.RAPID) if rows is None else rows
        thick = self.board.thickness_mm
        depths = (DEPTH_MM, 1.7, 3.5, thick / 2, thick - 3, thick - DEPTH_MM)
        return [swept((runs_at(tracks, cutting, depth),)) for depth in depths]


@pytest.fixture(scope="module")
def wholes(tmp_path_factory):
    base = tmp_path_factory.mktemp("recut")
    return {name: Whole(make_job(name, base / name)) for name in ONE_FILE}


@pytest.fixture(params=ONE_FILE)
def whole(request, wholes):
    return wholes[request.param]


def cut_off_at(whole, line, chance):
    """The file as cut when it stops somewhere within a line, that line's move done in part."""
    done = cut_before_text(whole.text, whole.motion, line=line).split("\n")
    rows = np.flatnonzero(whole.motion.line == line)
    if not len(rows) or whole.motion.kind[rows[0]] == MoveKind.RAPID:
        return "\n".join(done)
    row, share = int(rows[0]), chance.random()
    start, end, centre = whole.motion.start[row], whole.motion.end[row], whole.motion.centre[row]
    at, offset, unit = start + share * (end - start), "", 1.0
    if whole.motion.kind[row] != MoveKind.LINE:
        sign = 1 if whole.motion.kind[row] == MoveKind.ARC_CCW else -1
        first, last = (np.arctan2(*(place[:2] - centre)[::-1]) for place in (start, end))
        angle = first + sign * share * ((sign * (last - first)) % (2 * np.pi))
        at[:2] = centre + np.hypot(*(start[:2] - centre)) * np.array([np.cos(angle), np.sin(angle)])
    if any(event.kind is EventKind.UNITS and event.value > 1 for event in whole.motion.events):
        unit = 25.4  # SOURCE: NISTIR 6556, 3.5.7: G20 counts in inches
    if whole.motion.kind[row] != MoveKind.LINE:
        offset = " I{:.6f} J{:.6f}".format(*((centre - start[:2]) / unit))
    word = {MoveKind.LINE: "G1", MoveKind.ARC_CW: "G2", MoveKind.ARC_CCW: "G3"}[MoveKind(whole.motion.kind[row])]
    feed = whole.motion.feed[row] / unit
    part = "{} X{:.6f} Y{:.6f} Z{:.6f}{} F{:.4f}".format(word, *(at / unit), offset, feed)
    return "\n".join([*done[:-4], part, *done[-4:]])


def stop_lines(whole, seed, times):
    """Lines drawn between first and last cut."""
    chance = random.Random(seed)
    first, last = whole.passes[0].first_line, whole.passes[-1].last_line
    return [(line, chance) for line in sorted(chance.sample(range(first, last + 1), times))]


def most_apart_mm(first, second):
    """Whether two areas differ by a strip wider than two chord errors: one for either flattening of an arc."""
    apart = [a.symmetric_difference(b) for a, b in zip(first, second, strict=True)]
    return union_all([area.buffer(-FLATTEN_CHORD_MM) for area in apart]).area


def test_cuts_that_failed_leave_the_same_wood(whole, tmp_path):
    same_wood_after(whole, tmp_path, times=2)


@pytest.mark.fuzz
def test_fifty_cuts_that_failed_leave_the_same_wood(whole, tmp_path):
    same_wood_after(whole, tmp_path, times=50)


def same_wood_after(whole, tmp_path, *, times):
    want = whole.stand(whole.tracks([whole.text], [whole.file.bits]))
    for line, chance in stop_lines(whole, 4, times):
        out = tmp_path / f"{line}.nc"
        resumed = recut_file(whole.place, ResumeFrom(line=line), zero_is_lost=line % 2 == 0, out=out)
        assert resumed.proof.report.passed
        before, after = cut_off_at(whole, line, chance), out.read_text("ascii")
        bits = [whole.file.bits, whole.file.bits[resumed.begins.bit :]]
        assert most_apart_mm(want, whole.stand(whole.tracks([before, after], bits))) == 0


def test_a_pass_left_out_would_be_seen(whole):
    # the comparison itself: without one pass's cuts other wood is left, for every kind of cut; where a piece is parted
    # the bit goes along its walls once more, so that these are looked at without it
    moves = whole.tracks([whole.text], [whole.file.bits])
    lines = whole.motion.line

    def without(*passes):
        left = moves.kind != MoveKind.RAPID
        for one in passes:
            left &= (lines < one.first_line) | (lines > one.last_line)
        return whole.stand(moves, np.flatnonzero(left))

    seen = set()
    for one in reversed(whole.passes):
        if one.kind not in seen:
            again = [other for other in whole.passes if one.kind == "outline" and other.kind == "parting"]
            seen |= {one.kind} if most_apart_mm(without(*again), without(one, *again)) > 0 else set()
    assert seen == {one.kind for one in whole.passes}


def test_a_recut_is_the_whole_file_from_the_pass_on(whole, tmp_path):
    for asked in (whole.passes[0], whole.passes[len(whole.passes) // 3], whole.passes[-1]):
        out = tmp_path / f"{asked.number}.nc"
        resumed = recut_file(whole.place, ResumeFrom(number=asked.number), zero_is_lost=False, out=out)
        assert resumed.asked == asked
        begins = resumed.begins
        motion = read_program(out.read_text("ascii"), name="recut", start_mm=(333.0, 222.0, -5.0))
        count = len(whole.motion) - begins.move
        for column in ("kind", "start", "end", "centre", "feed", "speed", "spindle_on"):
            got, want = getattr(motion, column)[-count:], getattr(whole.motion, column)[begins.move :]
            assert np.array_equal(got, want, equal_nan=column in ("centre", "speed")), column
        assert np.array_equal(motion.bit[-count:], whole.motion.bit[begins.move :] - begins.bit)
        assert (motion.line[-count:] + resumed.recut.behind == whole.motion.line[begins.move :]).all()
        assert int(motion.line[-count]) == resumed.recut.join
        assert out.read_text("ascii").splitlines()[-1] == whole.text.splitlines()[-1]
        assert max(map(len, out.read_text("ascii").splitlines())) < 70


def test_a_recut_comes_to_its_pass_from_above_with_the_spindle_at_speed(whole, tmp_path):
    safe = float(whole.motion.end[0, 2])
    for begins in whole.passes[:: len(whole.passes) // 4]:
        out = tmp_path / f"{begins.number}.nc"
        recut_file(whole.place, ResumeFrom(number=begins.number), zero_is_lost=True, out=out)
        motion = read_program(out.read_text("ascii"), name="recut")
        first = int(np.flatnonzero(motion.kind != MoveKind.RAPID)[0])
        sideways = np.flatnonzero(np.hypot(*(motion.end - motion.start)[:first, :2].T) > 0)
        assert len(sideways) <= 1
        assert (motion.end[:first, 2] >= whole.top + RAPID_CLEARANCE_MM).all()
        assert (motion.start[sideways, 2] == safe).all() and (motion.end[sideways, 2] == safe).all()
        assert motion.end[first, 2] >= whole.top  # and ramps in from there, never down between the walls of a slot
        assert motion.feed[first] > 0 and motion.spindle_on[first]
        said = [event.kind for event in motion.events if event.before <= first]
        assert said.index(EventKind.DWELL) > said.index(EventKind.SPINDLE_ON)
        codes = [line for line in out.read_text("ascii").splitlines() if line[0] not in "(;"]
        assert {"G17", "G90", "G94", "G40", "G49", "G54"} < set(codes[:9])
        before = [line for line in whole.place.read_text("ascii").splitlines() if line[0] not in "(;"]
        state = before[: next(at for at, line in enumerate(before) if line.startswith("G0 "))]
        assert codes[: len(state)] == state
        assert codes[1] == ("G20" if "G20\n" in whole.text else "G21")
        assert codes[len(state)] == "M0"  # zero is lost: the machine waits before it moves


def test_a_recut_begins_with_the_pass_asked_for_or_the_last_one_from_the_top(whole):
    for asked in whole.passes:
        begins = begun_from_top(whole.passes, asked)
        assert begins.from_top and begins.bit == asked.bit
        assert not any(one.from_top for one in whole.passes[begins.number : asked.number])
        assert begins == asked or not asked.from_top


def test_the_beginning_is_never_a_plunge_into_wood(whole):
    # held against the check itself: the same beginning put at the last move of a slot is refused by it
    begins = next(one for one in whole.passes if one.kind == "groove" and one.last_line > one.first_line + 6)
    lines, bits = whole.text.split("\n"), tuple(replace(bit, may_plunge=False) for bit in whole.file.bits)
    x, y = whole.motion.end[np.flatnonzero(whole.motion.line == begins.first_line + 5)[0], :2]
    unit = 25.4 if "G20\n" in whole.text else 1.0
    bit = lines[: bit_lines(whole.motion)[0]]
    z = (whole.top + 4) / unit
    wrong = [*bit, f"G0 Z{z:.4f}", f"G0 X{x / unit:.4f} Y{y / unit:.4f}", f"G1 Z{(whole.top - 1.5) / unit:.4f} F10"]
    wrong += [f"G0 Z{z:.4f}", "M30", ""]
    assert [one.code for one in check_plunges(whole.tracks(["\n".join(wrong)], [bits]))] == [Code.CUTTING_PLUNGE]


@pytest.mark.parametrize("name", ["two-bits", "pause"])
def test_the_right_bit_is_asked_for(wholes, tmp_path, name):
    whole = wholes[name]
    bits = [bit.id for bit in whole.file.bits]
    second = next(one for one in whole.passes if one.bit == 1)
    for begins, asked in ((second, bits[1:]), (whole.passes[1], bits)):
        out = tmp_path / f"{begins.number}.nc"
        recut_file(whole.place, ResumeFrom(number=begins.number), zero_is_lost=False, out=out)
        motion = read_program(out.read_text("ascii"), name="recut")
        said = [(event.value, event.text) for event in motion.events if event.kind is EventKind.BIT]
        assert said == list(enumerate(asked, start=1))
        stops = [event for event in motion.events if event.kind in (EventKind.PAUSE, EventKind.TOOL)]
        first_cut = int(np.flatnonzero(motion.kind != MoveKind.RAPID)[0])
        begun = next(event for event in motion.events if event.kind is EventKind.BIT).line
        assert any(event.before <= first_cut and event.line > begun for event in stops)
        assert all(event.before <= first_cut or event.kind for event in stops)


def test_a_line_between_two_passes_begins_the_one_before_and_after_a_change_the_next(wholes):
    whole = wholes["pause"]
    for before, after in itertools.pairwise(whole.passes):
        for line in range(before.last_line, after.first_line):
            changed = before.bit != after.bit and line >= bit_lines(whole.motion)[after.bit]
            want = after if changed else before
            assert pass_at_line(whole.passes, whole.motion, line) == want
        assert pass_at_line(whole.passes, whole.motion, after.first_line) == after


def test_zero_lost_says_how_to_find_it_and_kept_says_when_it_is_not(whole, tmp_path):
    start = ResumeFrom(number=len(whole.passes))
    said = {}
    for lost in (True, False):
        resumed = recut_file(whole.place, start, zero_is_lost=lost, out=tmp_path / f"{lost}.nc")
        said[lost] = " ".join(resumed.recut.sentences)
        head = (tmp_path / f"{lost}.nc").read_text("ascii").split("\nG17\n")[0]
        flat = " ".join(line.strip("; ()") for line in head.split("\n"))
        assert "Dry run" not in flat and all(one[:40] in flat for one in resumed.recut.sentences if ";" not in one[:40])
    assert "does not know where zero is and does not guess" in said[True] and "Prove it by hand" in said[True]
    assert "zero is lost: do not run this" in said[False] and "Prove" not in said[False]


def test_witnesses_lie_in_slots_already_cut(whole, tmp_path):
    resumed = recut_file(whole.place, ResumeFrom(number=len(whole.passes)), zero_is_lost=True, out=tmp_path / "out.nc")
    unit = 25.4 if "G20\n" in whole.text else 1.0
    shown = [one for one in resumed.recut.sentences if one.startswith(("at X", "and at X"))]
    places = [[float(word[1:]) * unit for word in one.split() if word[0] in "XYZ"] for one in shown]
    assert len(places) == 2
    cut = whole.motion.line < resumed.begins.first_line
    for place in places:
        assert place[2] <= whole.top - 1
        assert np.abs(whole.motion.end[cut] - place).max(axis=1).min() < 1e-3


# Runs in the air.


def test_an_air_pass_goes_where_the_file_goes_and_stays_in_the_air(whole, tmp_path):
    for spindle in (False, True):
        out = tmp_path / f"air-{spindle}"
        made = rehearse(whole.place.parent, out=out, lift="", has_spindle_on=spindle)
        name = whole.file.name.removesuffix(".nc") + "-air.nc"
        assert [file.name for file in made.manifest.files] == ["A-trace.nc", name]
        air = read_program((out / name).read_text("ascii"), name=name)
        assert (air.end[:, 2] >= whole.top + RAPID_CLEARANCE_MM).all()
        assert air.spindle_on.any() == spindle
        assert any(event.kind is EventKind.PAUSE for event in air.events) == (spindle and "M0\n" in whole.text)
        moved = [np.flatnonzero(np.abs(motion.end - motion.start).max(axis=1) > 0) for motion in (air, whole.motion)]
        ends = air.end[moved[0]][1:], whole.motion.end[moved[1]][1:]
        assert np.allclose(ends[0][:, :2], ends[1][:, :2], atol=1e-9)
        assert np.ptp(ends[0][:, 2] - ends[1][:, 2]) < 1e-9
        assert np.array_equal(air.kind[moved[0]], whole.motion.kind[moved[1]])


def test_too_small_a_lift_is_refused_and_a_stated_one_kept(wholes, tmp_path):
    whole = wholes["dial"]
    with pytest.raises(CannotCut) as caught:
        rehearse(whole.place.parent, out=tmp_path / "low", lift="10 mm", has_spindle_on=False)
    assert str(caught.value) == (
        "--lift = 10.000 mm (~25/64 in): raised so little, A-1-flat-3.175-long.nc comes too near the wood"
        " (at least 13.500 mm (~17/32 in)). Use 18.000 mm (~45/64 in), or leave --lift out."
    )
    assert not (tmp_path / "low").exists()
    rehearse(whole.place.parent, out=tmp_path / "high", lift="40", has_spindle_on=False)
    air = read_program((tmp_path / "high" / "A-1-flat-3.175-long-air.nc").read_text("ascii"), name="air")
    assert air.end[0, 2] == pytest.approx(whole.motion.end[0, 2] + 40)


def test_a_lift_past_the_machines_travel_is_refused(wholes, tmp_path):
    whole = wholes["dial"]
    with pytest.raises(CannotCut) as caught:
        rehearse(whole.place.parent, out=tmp_path / "out", lift="95 mm", has_spindle_on=False)
    assert str(caught.value) == (  # worked by hand: travel 105 mm, of which 15 mm are the safe height
        "--lift = 95.000 mm (~3 47/64 in): raised so far, A-1-flat-3.175-long.nc needs more than the machine's travel"
        " of 105.000 mm (~4 9/64 in) along z. Use at most 90.000 mm (~3 35/64 in), at least 13.500 mm (~17/32 in)."
    )


@pytest.mark.parametrize("has_arcs", [True, False])
def test_a_trace_goes_round_board_and_pieces_at_safe_height(whole, has_arcs):
    motion = whole.motion if has_arcs else replace(whole.motion, kind=np.minimum(whole.motion.kind, MoveKind.LINE))
    pieces = whole.read.manifest.pieces
    text = trace_text(whole.text, motion, file=whole.file, board=whole.board, pieces=pieces)
    trace = read_program(text, name="trace")
    assert trace.is_ended and not trace.spindle_on.any() and not any(e.kind is EventKind.PAUSE for e in trace.events)
    assert (trace.end[:, 2] == whole.motion.end[0, 2]).all()
    assert (trace.feed[trace.kind != MoveKind.RAPID] > 0).all()
    assert bool((trace.kind > MoveKind.LINE).any()) == has_arcs
    wanted = [place for piece in pieces for segment in piece.outline.segments for place in (segment.start, segment.end)]
    wanted += [(0, 0), (whole.board.size_mm[0], 0), whole.board.size_mm, (0, whole.board.size_mm[1])]
    for place in wanted:
        assert np.hypot(*(trace.end[:, :2] - place).T).min() < 1e-3


def test_a_trace_of_a_board_turned_over_is_turned_too(wholes):
    whole = wholes["dial"]
    pieces, middle = whole.read.manifest.pieces, whole.board.size_mm[1] / 2
    file = replace(whole.file, turn=TurnLine(at_mm=middle))
    turned = trace_text(whole.text, whole.motion, file=file, board=whole.board, pieces=pieces)
    plain = trace_text(whole.text, whole.motion, file=whole.file, board=whole.board, pieces=pieces)
    there, here = read_program(turned, name="turned"), read_program(plain, name="plain")
    rows = here.kind != MoveKind.RAPID
    assert np.allclose(there.end[rows, 0], here.end[rows, 0], atol=2e-4)
    assert np.allclose(there.end[rows, 1], 2 * middle - here.end[rows, 1], atol=2e-4)
    assert ((there.kind == MoveKind.ARC_CW) == (here.kind == MoveKind.ARC_CCW)).all()


def test_the_same_rehearsal_and_the_same_recut_twice_give_the_same_bytes(wholes, tmp_path):
    whole = wholes["dial"]
    for number in (1, 2):
        rehearse(whole.place.parent, out=tmp_path / str(number), lift="", has_spindle_on=False)
        start = ResumeFrom(number=5)
        recut_file(whole.place, start, zero_is_lost=True, out=tmp_path / f"{number}-recut.nc")
    for path in (tmp_path / "1").iterdir():
        assert path.read_bytes() == (tmp_path / "2" / path.name).read_bytes()
    assert (tmp_path / "1-recut.nc").read_bytes() == (tmp_path / "2-recut.nc").read_bytes()


def test_an_air_pass_never_lands_in_the_jobs_own_folder(wholes):
    folder = wholes["dial"].place.parent
    with pytest.raises(JobError) as caught:
        rehearse(folder, out=folder, lift="", has_spindle_on=False)
    assert str(caught.value) == f"--out = {folder}: is the folder of the job. Name another."


def test_a_board_cut_on_both_faces_is_gone_on_with_and_rehearsed_on_either(tmp_path):
    build = make_job("both-faces", tmp_path / "build")
    made = rehearse(build, out=tmp_path / "air", lift="", has_spindle_on=False)
    first, second = (file.name for file in read_back(read_folder(build)).manifest.files)
    stems = [name.removesuffix(".nc") for name in (first, second)]
    assert len(made.read.texts) == 4 and {f"{stem}-air.nc" for stem in stems} < set(made.read.texts)
    for name in (first, second):
        motion = read_back(read_folder(build)).motions[name]
        start = ResumeFrom(line=int(motion.line[len(motion) // 2]))
        resumed = recut_file(build / name, start, zero_is_lost=False, out=tmp_path / f"more-{name}")
        assert resumed.proof.report.passed
        asks = "TURN THE BOARD OVER" in resumed.recut.text
        assert asks == (name == second)
        assert any("do NOT turn it again" in sentence for sentence in resumed.recut.sentences) == asks
