"""Dowels on the turn line, pieces clear of them, holes bored in the first file, and a manifest that tells of it."""

import json
from dataclasses import replace
from functools import partial
from itertools import pairwise

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cli.jobs import small_job
from placing.distances import framed
from platelayer.errors import CannotCut
from platelayer.geometry.contours import bounds, circle, rectangle, transform_contour
from platelayer.job import load_job, load_profiles
from platelayer.manifest.build import manifest_of
from platelayer.manifest.write import manifest_bytes
from platelayer.placing.dowels import dowel_places, with_keep_outs
from platelayer.placing.rows import place_rows
from platelayer.road.planning import plan_job
from platelayer.values.cuts import CutKind
from platelayer.values.pieces import BoardFace, EdgeLabel, Piece, Role
from platelayer.values.tooling import Board, NoGo, Turning

PROFILES = load_profiles(())
BOARD = Board(
    id="A",
    width_mm=600.0,
    height_mm=180.0,
    thickness_mm=12.7,
    scatter_mm=0.2,
    thickness_is_measured=False,
    zero="top",
    margin_mm=6.35,
)
ROOM, WEB = 4.0, 4.0
counts = st.integers(2, 9)
sizes = st.floats(150, 900)


def block(length, width):
    """A plain piece as far as placing asks."""
    return Piece(
        id=f"block-{length:g}-{width:g}",
        kind="straight",
        title="block",
        outline=rectangle((0.0, 0.0), (length, width)),
        labels=(EdgeLabel(Role.SIDE, -1),) * 4,
        ends=(),
        grooves=(),
        thickness_mm=12.7,
        length_mm=length,
        shape=f"{length:g}-{width:g}",
    )


@given(counts, sizes, sizes)
def test_dowels_map_onto_themselves_and_are_spread_evenly_from_end_to_end(count, width, height):
    board = replace(BOARD, width_mm=width, height_mm=height)
    places = dowel_places(board, Turning(dowel_count=count))
    assert len(places) == count
    assert all(2 * board.turn_y_mm - y == pytest.approx(y, abs=1e-12) for _, y in places)
    assert all(y == height / 2 for _, y in places)
    assert places[0][0] == pytest.approx(width - places[-1][0], abs=1e-9)
    assert places[0][0] >= 1.5 * 6.35
    gaps = [b[0] - a[0] for a, b in pairwise(places)]
    assert max(gaps) - min(gaps) < 1e-9


def test_dowels_stand_where_the_person_said():
    assert dowel_places(BOARD, Turning(dowel_places_mm=(30.0, 250.0))) == ((30.0, 90.0), (250.0, 90.0))


@settings(max_examples=60)
@given(
    st.lists(st.tuples(st.floats(30, 200), st.floats(20, 60)), min_size=1, max_size=8),
    counts,
    st.floats(4.8, 12.7),
)
def test_no_kerf_comes_nearer_to_a_dowel_than_the_web(blocks, count, diameter):
    turning = Turning(dowel_count=count, dowel_diameter_mm=diameter)
    pieces = [block(*one) for one in blocks]
    boards = [replace(BOARD, id=name) for name in "ABCDEFGH"]
    seen = with_keep_outs(boards, turning, web_mm=WEB)
    try:
        placements = place_rows(pieces, seen, apart=framed(ROOM, WEB))
    except CannotCut:
        return
    dowels = shapely.MultiPoint(dowel_places(BOARD, turning))
    for one in placements:
        box = shapely.box(*bounds(transform_contour(pieces[one.index].outline, one.pose)))
        assert box.distance(dowels) >= diameter / 2 + WEB + ROOM - 1e-9
        assert shapely.box(0, 0, 600, 180).contains(box)


def test_rows_go_on_above_a_no_go_area_as_wide_as_the_board():
    across = replace(BOARD, no_go=(NoGo(rectangle((0.0, 0.0), (600.0, 60.0)), 20.0, "clamp"),))
    (placed,) = place_rows([block(100, 40)], [across], apart=framed(ROOM, WEB))
    assert placed.pose.y == pytest.approx(60 + ROOM, abs=1e-9)


def test_a_dowel_in_a_no_go_area_is_refused_in_words():
    board = replace(BOARD, no_go=(NoGo(circle((10.0, 95.0), 10.0), 20.0, "screw"),))
    with pytest.raises(CannotCut) as error:
        with_keep_outs([board], Turning(), web_mm=WEB)
    assert str(error.value) == (
        "[turning] dowel_places: the dowel at x 3/8 in (9.525 mm), y ~3 35/64 in (90.000 mm) of board A stands in "
        "screw, whose near left corner is x 0 in (0.000 mm), y ~3 11/32 in (85.000 mm). "
        "Name places along the board's long middle line that are free."
    )


@pytest.mark.parametrize(("off_mm", "is_struck"), [(14.0, True), (16.0, False)])
def test_a_dowel_whose_bore_would_bring_the_holder_down_onto_a_clamp_is_refused_in_words(off_mm, is_struck):
    """It was seen by the dry run alone, in the file of the lower face.

    worked by hand: the dowel's radius is 3.175, so that with 12 mm more the holder reaches 15.175 mm from its middle.
    """
    clamp = NoGo(rectangle((0.0, 90.0 + off_mm), (30.0, 140.0)), 9.5, "clamp")
    seen = partial(with_keep_outs, [replace(BOARD, no_go=(clamp,))], Turning(), web_mm=WEB, parts=[(8.0, 12.0)])
    if not is_struck:
        assert seen()
        return
    with pytest.raises(CannotCut) as error:
        seen()
    assert str(error.value) == (
        "[turning] dowel_places: the dowel at x 3/8 in (9.525 mm), y ~3 35/64 in (90.000 mm) of board A stands so near "
        "that the shank or the holder would strike clamp, whose near left corner is x 0 in (0.000 mm), y ~4 3/32 in "
        "(104.000 mm). Name places along the board's long middle line that are free."
    )


def test_a_board_too_short_for_its_dowels_is_refused_in_words():
    with pytest.raises(CannotCut) as error:
        with_keep_outs([replace(BOARD, width_mm=30.0)], Turning(), web_mm=WEB)
    assert str(error.value) == (
        "[[board]] A width = ~1 3/16 in (30.000 mm): its dowels would stand only ~7/16 in (10.950 mm) apart and let it "
        'swing. Use thinner dowels, or turn it against a fence: by = "fence" in [turning].'
    )


def planned(text):
    job = load_job(text, file="job.toml", profiles=PROFILES)
    plan, _ = plan_job(job)
    return job, plan


BOTH = small_job().replace('name = "long"', 'name = "long"\ngrooves = "both"')


def test_holes_are_bored_first_in_the_first_file_which_is_the_lower_face():
    _, plan = planned(BOTH)
    assert [program.face for program in plan.programs] == [BoardFace.BOTTOM, BoardFace.TOP]
    assert [program.name for program in plan.programs] == [
        "A-1-bottom-flat-3.175-long.nc",
        "A-2-flat-3.175-long.nc",
    ]
    kinds = [cut.kind for section in plan.programs[0].sections for cut in section.cuts]
    assert kinds == [CutKind.DOWEL, CutKind.DOWEL, *[CutKind.GROOVE] * 2]
    top = [cut for section in plan.programs[1].sections for cut in section.cuts]
    assert all(cut.face is BoardFace.TOP and cut.kind is not CutKind.DOWEL for cut in top)


def test_two_bits_bore_with_the_one_for_grooves_in_the_first_file():
    text = BOTH.replace("[joint]", 'grooves = "flat-3.175-down"\n[joint]')
    _, plan = planned(text)
    first = plan.programs[0]
    assert first.name == "A-1-bottom-flat-3.175-down.nc"
    assert first.sections[0].cuts[0].kind is CutKind.DOWEL


def test_a_job_cut_on_one_face_has_no_dowels():
    _, plan = planned(small_job())
    assert plan.dowels == ()
    assert all(cut.kind is not CutKind.DOWEL for one in plan.programs for s in one.sections for cut in s.cuts)


def test_only_boards_with_a_lower_face_to_cut_are_bored():
    text = BOTH.replace("width = 26", "count = 2\nwidth = 10")
    text = text.replace("height = 5", "height = 4")
    _, plan = planned(text)
    turned = {program.board.id for program in plan.programs if program.face is BoardFace.BOTTOM}
    assert len({program.board.id for program in plan.programs}) == 2
    assert len(turned) == 1
    assert {board_id for board_id, _ in plan.dowels} == turned


def test_the_manifest_tells_how_a_board_is_turned():
    job, plan = planned(BOTH)
    manifest = manifest_of(plan, job, {program.name: "" for program in plan.programs}, mate=job.mate)
    data = json.loads(manifest_bytes(manifest))
    (board,) = data["boards"]
    assert board["scatter"] == 0.2
    assert board["turning"]["by"] == "dowels"
    assert board["turning"]["tolerance"] == 0.2
    first, last = board["turning"]["dowels"]
    assert first["at"] == [pytest.approx(9.525), 63.5]
    assert last["at"] == [pytest.approx(660.4 - 9.525), 63.5]
    assert first["diameter"] == pytest.approx(6.35)
    assert first["depth"] == pytest.approx(4.3)
    assert [file.get("turn") for file in data["files"]] == [{"axis": "x", "at": 63.5}, None]
    job, plan = planned(small_job())
    manifest = manifest_of(plan, job, {program.name: "" for program in plan.programs}, mate=job.mate)
    assert "turning" not in json.loads(manifest_bytes(manifest))["boards"][0]
