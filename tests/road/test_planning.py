"""From job to plan: what is laid can be drawn whether or not it can be cut."""

import re

import pytest

from cli.jobs import small_job
from platelayer.errors import CannotCut
from platelayer.job import load_job, load_profiles
from platelayer.manifest.build import manifest_of
from platelayer.preview.pictures.plan import plan_svg
from platelayer.road.planning import cut_laid, lay_job, plan_job, uncut_plan
from platelayer.units import show_mm


def job_of(text):
    return load_job(text, file="job.toml", profiles=load_profiles(()))


def test_pieces_that_cannot_be_cut_are_laid_and_drawn():
    job = job_of(small_job(bits='grooves = "flat-6.35-up"'))  # 1/4 in wide; grooves are 15/64 in
    laid = lay_job(job)
    with pytest.raises(CannotCut, match="groove"):
        cut_laid(laid)
    manifest = manifest_of(uncut_plan(laid), job, {}, mate=job.mate)
    assert {piece.id for piece in manifest.pieces} == {"curve-01", "long-01"}
    svg = plan_svg(manifest, {}, board_id="A")
    assert all(f">{show_mm(piece.length_mm)}<" in svg for piece in manifest.pieces)


def test_pieces_lie_uncut_where_they_lie_cut():
    laid = lay_job(job_of(small_job()))
    cut, uncut = cut_laid(laid)[0], uncut_plan(laid)
    places = [[(one.piece, one.pose, one.board_id, one.order) for one in plan.pieces] for plan in (cut, uncut)]
    assert places[0] == places[1]
    assert uncut.programs == ()


def test_a_plan_is_its_job_laid_and_cut():
    job = job_of(small_job())
    assert plan_job(job) == cut_laid(lay_job(job))


BESIDE_CURVES = """
[job]
units = "mm"
machine = "mid-screw"
material = "hard-maple"
placing = "rows"
{cutting}

[bits]
joints = "flat-3.175-long"

[holding]
kind = "tabs"
stock = "clamps"

[[board]]
width = 500
height = {height}
thickness = 12.7
margin = 0
count = 2

[[piece]]
name = "short"
length = 63.2
count = 5

[[piece]]
name = "curve"
kind = "curve"
radius = 203.2
angle = 45
hand = "right"
count = 3
"""


def test_where_tabs_find_no_room_between_curves_pieces_are_laid_further_apart():
    """A short piece between curves faces no side and no wood that stands; a web on both of its sides holds tabs."""
    plan, _ = plan_job(job_of(BESIDE_CURVES.format(height=200, cutting="")))
    assert {piece.board_id for piece in plan.pieces} == {"A"}
    assert all(len(piece.tabs) >= 4 for piece in plan.pieces)


def test_where_that_needs_another_board_the_gap_that_is_advised_mends_it():
    with pytest.raises(CannotCut) as error:
        plan_job(job_of(BESIDE_CURVES.format(height=180, cutting="")))
    (advised,) = re.findall(r'Give (gap = ".*?") in \[cutting\]', str(error.value))
    plan, _ = plan_job(job_of(BESIDE_CURVES.format(height=180, cutting=f"[cutting]\n{advised}")))
    assert all(len(piece.tabs) >= 4 for piece in plan.pieces)
