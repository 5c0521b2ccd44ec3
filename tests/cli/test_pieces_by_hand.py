"""A turnout, a wye, a crossing and a plain block, none of them in the catalogue, all the way from outline to paper."""

import base64
import json
import math
import re
import zlib
from collections import Counter
from dataclasses import dataclass, replace

import pytest

from cli.jobs import ROOT, small_job
from odd_pieces import ODD
from platelayer.geometry.regions import distance_between_mm, to_area
from platelayer.job import load_job
from platelayer.manifest.schema import Manifest
from platelayer.offset.relief import corner_radii
from platelayer.pieces.kind import Making
from platelayer.preview.paper.content import shop_sheet
from platelayer.preview.paper.sheet_pdf import sheet_pdf
from platelayer.preview.paper.templates import template_pdf
from platelayer.preview.pictures.middles import middle
from platelayer.preview.pictures.outlines import board_layers
from platelayer.preview.pictures.plan import ON_A_SHEET, plan, plan_svg
from platelayer.preview.pictures.section import section_svg
from platelayer.proof.dry_run import dry_run
from platelayer.road.making import contents_of
from platelayer.road.outputs import page_of
from platelayer.road.planning import plan_job
from platelayer.road.proving import Proof, prove
from platelayer.values.findings import Report, Severity
from platelayer.values.motion import Motion
from platelayer.values.pieces import EndKind, Piece
from referees.contours import contains

JOB = small_job().replace("height = 5", "height = 12") + '\n[holding]\ntab_width = "1/8 in"\ntab_count = 8\n'


@dataclass(frozen=True, kw_only=True)
class Cut:
    """The four on one board, as planned and as read back from what was written."""

    pieces: tuple[Piece, ...]
    manifest: Manifest
    texts: dict[str, str]
    motions: dict[str, Motion]
    report: Report
    proof: Proof

    def piece(self, kind):
        return next(piece for piece in self.manifest.pieces if piece.kind == kind)


@pytest.fixture(scope="module")
def cut() -> Cut:
    profiles = {str(path): path.read_text(encoding="utf-8") for path in (ROOT / "machine_profiles").glob("*.toml")}
    job = load_job(JOB, file="job.toml", profiles=profiles)
    corners, track, _ = corner_radii(job)
    making = Making(track=track, joint=job.joint, corners=corners)
    pieces = tuple(build(making) for build in ODD.values())
    plan, noticed = plan_job(job, pieces=pieces)
    proof = prove(contents_of(plan, job, noticed))
    assert proof.report.passed, [one.text for one in proof.report.findings if one.severity is Severity.ERROR]
    read = proof.read
    return Cut(
        pieces=pieces,
        manifest=read.manifest,
        texts=dict(read.texts),
        motions=dict(read.motions),
        report=proof.report,
        proof=proof,
    )


def test_the_manifest_says_of_each_what_was_built(cut):
    for built in cut.pieces:
        piece = cut.piece(built.kind)
        assert [end.kind for end in piece.ends] == [end.kind for end in built.ends]
        assert len(piece.grooves) == 2 * len(built.routes)
        assert len(piece.outline.segments) == len(built.outline.segments)
        assert piece.length_mm == built.length_mm


def test_the_four_lie_on_the_board_clear_of_one_another(cut):
    areas = [to_area(piece.outline, chord_mm=0.01) for piece in cut.manifest.pieces]
    gaps = [distance_between_mm(one, other) for at, one in enumerate(areas) for other in areas[:at]]
    assert min(gaps) > 2 * cut.manifest.files[0].bits[0].diameter_mm


def test_every_joint_is_tried_in_a_nominal_mate_and_goes_together(cut):
    tried = Counter(joint.piece for joint in cut.report.joints if "nominal" in joint.mate)
    assert tried == {"turnout-01": 3, "wye-01": 3, "crossing-01": 4}
    assert all(joint.seat.couples for joint in cut.report.joints)


def test_the_cut_is_as_near_to_the_design_as_that_of_any_straight(cut):
    assert len(cut.report.pieces) == 4
    assert max(piece.gouge_mm for piece in cut.report.pieces) < 0.005
    assert max(piece.leftover_mm for piece in cut.report.pieces) < 0.02


@pytest.mark.parametrize(("kind", "at"), [("turnout", 3), ("wye", 2), ("crossing", 0)])
def test_a_groove_that_was_not_asked_for_is_seen(cut, kind, at):
    piece = cut.piece(kind)
    fewer = replace(piece, grooves=piece.grooves[:at] + piece.grooves[at + 1 :])
    pieces = tuple(fewer if one is piece else one for one in cut.manifest.pieces)
    errors = [
        one
        for one in dry_run(replace(cut.manifest, pieces=pieces), cut.texts).findings
        if one.severity is Severity.ERROR
    ]
    assert errors
    assert {one.where.piece for one in errors} == {piece.id}


def test_a_number_stands_on_wood_and_along_the_main_route(cut):
    for piece in cut.manifest.pieces:
        place = middle(piece)
        assert contains(piece.outline, place.at)
    turnout = cut.piece("turnout")
    start, end = (turnout.ends[index].pose for index in (0, 1))
    assert math.dist(middle(turnout).at, ((start.x + end.x) / 2, (start.y + end.y) / 2)) < 1e-6
    assert middle(turnout).sockets == (True, False)
    assert middle(cut.piece("block")).length_mm == 90.0


def test_the_page_shows_each_with_its_number_on_it(cut):
    html = page_of(cut.proof)
    packed = re.search(r'<script type="text/plain" id="block">([^<]*)</script>', html)[1]
    data = zlib.decompress(base64.b64decode(packed))
    head = json.loads(data[4 : 4 + int.from_bytes(data[:4], "little")])
    shown = {piece["id"]: piece for scene in head["scenes"] for piece in scene["pieces"]}
    for piece in cut.manifest.pieces:
        assert contains(piece.outline, tuple(shown[piece.id]["at"]))
        assert len(shown[piece.id]["outline"]) == len(piece.outline.segments) + 1


def test_the_cut_list_names_all_ends_and_counts_every_route(cut):
    sheet = shop_sheet(cut.manifest, cut.report, cut.motions)
    (cut_list,) = [section for section in (*sheet.first, *sheet.after) if section.title == "Cut list"]
    assert {row[1]: row[4] for row in cut_list.table.rows} == {
        "turnout by hand": "socket, peg, peg",
        "wye by hand": "socket, peg, peg",
        "crossing by hand": "socket, socket, peg, peg",
        "block by hand": "none",
    }
    # worked by hand: 200 + 50 pi, twice 50 pi, twice 150: three arcs of 45 degrees at 200 mm
    total = 200 + 3 * 50 * math.pi + 300
    assert f"({total:.3f} mm) of track" in cut_list.sentences[0]


def test_sheet_templates_and_plan_are_drawn(cut):
    sheet = shop_sheet(cut.manifest, cut.report, cut.motions)
    plans = {"A": plan(cut.manifest, cut.motions, board_id="A", look=ON_A_SHEET)}
    assert sheet_pdf(sheet, cut.manifest, plans).startswith(b"%PDF")
    assert template_pdf(cut.manifest).startswith(b"%PDF")
    picture = plan_svg(cut.manifest, cut.motions, board_id="A")
    assert all(f">{piece.order}<" in picture for piece in cut.manifest.pieces)
    layers = Counter(name for name, _ in board_layers(cut.manifest, "A"))
    assert layers == {"outline": 4, "groove": 12}


def test_the_section_of_a_joint_has_only_the_grooves_that_come_to_it(cut):
    """A crossing's other track passes the joint by; two tracks from one end are one there."""
    crossing, turnout = cut.piece("crossing"), cut.piece("turnout")
    assert [end.kind for end in crossing.ends][2] is EndKind.PEG
    svg = section_svg(cut.manifest, peg=(crossing.id, 2), socket=(turnout.id, 0))
    across = svg[svg.index("A–A, across the track") :]
    outline = across[across.index(' d="') :].split('"')[1]
    assert outline.count("L") == 4 + 2 * 4  # four corners, and four more at each of two grooves
