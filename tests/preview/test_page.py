import base64
import json
import math
import re
import time
import zlib
from dataclasses import replace

import numpy as np
import pytest
import shapely

import preview_page_scene as made
import preview_scene as scene
from platelayer.preview.page.document import page_html
from platelayer.values.findings import Where
from platelayer.values.pieces import BoardFace

TYPES = {"u1": np.uint8, "i4": "<i4", "f4": "<f4"}


def block(html):
    """The head of a page's block and a reader of its columns."""
    packed = re.search(r'<script type="text/plain" id="block">([^<]*)</script>', html)[1]
    data = zlib.decompress(base64.b64decode(packed))
    length = int.from_bytes(data[:4], "little")
    body = data[4 + length :]

    def column(entry):
        kind, at, count = entry
        if kind == "text":
            return body[at : at + count].decode("utf-8")
        return np.frombuffer(body, dtype=TYPES[kind], count=count, offset=at)

    return json.loads(data[4 : 4 + length]), column


@pytest.fixture(scope="module")
def page():
    return made.page(4)


def test_columns_of_the_page_are_the_moves_to_a_micrometre(page):
    html, _, motions, texts, times = page
    head, column = block(html)
    (file,) = head["scenes"][0]["files"]
    motion, seconds = motions[made.NAME], times[made.NAME]
    assert file["count"] == len(motion)
    for axis, name in enumerate("xyz"):
        ends = np.cumsum(column(file[name]).astype(np.int64)) / 1000
        assert np.abs(ends - motion.end[:, axis]).max() <= 0.0005 + 1e-9
    arcs = motion.kind >= 2
    assert np.abs(np.cumsum(column(file["cx"])) / 1000 - motion.centre[arcs, 0]).max() <= 0.0005 + 1e-9
    assert np.array_equal(np.cumsum(column(file["line"])), motion.line)
    assert np.array_equal(column(file["kind"]), motion.kind)
    played = float(column(file["gap"]).sum() + column(file["seconds"]).sum())
    assert played == pytest.approx(seconds.total_s, rel=1e-4)
    assert column(file["text"]) == texts[made.NAME]


def test_a_place_where_moves_do_not_chain_is_kept():
    manifest, motions, texts = scene.board(1, columns=1)
    motion = motions[made.NAME]
    start = motion.start.copy()
    start[7] += (3.0, 0.0, 0.0)
    head, column = block(page_html(manifest, {made.NAME: replace(motion, start=start)}, texts))
    (file,) = head["scenes"][0]["files"]
    assert column(file["jump"]).tolist() == [0, 7]
    assert np.cumsum(column(file["from_x"])).tolist() == pytest.approx([0, start[7, 0] * 1000], abs=0.5)


def test_the_page_asks_nobody_for_anything(page):
    html = page[0]
    assert not re.search(r"""(?:src|href)\s*=\s*["']?(?!#)""", html.split('id="block"')[0])
    assert not re.search(r"https?://(?!www\.w3\.org/2000/svg)", html)
    assert "default-src 'none'" in html


def test_a_twenty_piece_page_is_small_and_quick_to_make():
    manifest, motions, texts = scene.board(20)
    many = {f"A-{n}.nc": replace(motions[made.NAME], name=f"A-{n}.nc") for n in range(3)}
    manifest = replace(manifest, files=tuple(scene.file_of(name, [scene.bit()]) for name in many))
    began = time.perf_counter()
    html = page_html(manifest, many, dict.fromkeys(many, texts[made.NAME]))
    took = time.perf_counter() - began
    assert sum(len(motion) for motion in many.values()) > 15_000
    assert len(html.encode("utf-8")) < 3_000_000
    assert took < 0.5


def test_the_same_input_gives_the_same_page(page):
    assert made.page(4)[0] == page[0]


def test_names_from_files_cannot_become_markup():
    manifest, motions, texts = scene.board(1, columns=1)
    bad = "</script><img src=x onerror=alert(1)>@block@"
    html = page_html(replace(manifest, job=bad), motions, {made.NAME: bad + texts[made.NAME]})
    assert "<img" not in html
    assert html.count("</script>") == 2


def test_a_bottom_face_is_shown_as_it_lies_on_the_machine():
    moves = scene.Moves("B.nc")
    moves.rapid(10, 5, 0.6)
    moves.line(10, 5, -2)
    moves.arc(20, 15, 10, 15, ccw=True)
    motion, text = moves.motion()
    piece = scene.straight(1, 60.0, 20.0, 30.0)
    file = scene.file_of("B.nc", [scene.bit()], face=BoardFace.BOTTOM, turn=40.0)
    manifest = scene.manifest_of([piece], [file], size=(120.0, 80.0))
    found = replace(made.findings()[0], where=Where(file="B.nc", board="A", point=(20.0, 70.0, -10.7)))
    report = made.report_of({}, {}, (found,))
    head, column = block(page_html(manifest, {"B.nc": motion}, {"B.nc": text}, report=report))
    assert head["problems"][0]["point"] == pytest.approx([20, 10, -2]), "2 mm deep from the face that lies up"
    assert [(s["board"], s["face"]) for s in head["scenes"]] == [("A", "top"), ("A", "bottom")]
    (shown,) = head["scenes"][1]["files"]
    assert np.abs(np.cumsum(column(shown["y"])) / 1000 - motion.end[:, 1]).max() < 0.001
    assert np.array_equal(column(shown["kind"]), motion.kind)
    top, under = (s["pieces"][0]["outline"] for s in head["scenes"])
    assert [80 - point[1] for point in top[::-1]] == pytest.approx([point[1] for point in under], abs=1e-3)
    assert [row[4] for row in top[::-1] if len(row) > 2] == [row[4] for row in under if len(row) > 2]


@pytest.mark.parametrize("face", list(BoardFace))
def test_tabs_stand_outside_their_piece_on_either_face(face):
    """On the lower face they were drawn into the piece."""
    turn = 40.0 if face is BoardFace.BOTTOM else None
    file = scene.file_of("B.nc", [scene.bit()], face=face, turn=turn)
    moves = scene.Moves("B.nc")
    moves.line(10, 5, -2)
    motion, text = moves.motion()
    manifest = scene.manifest_of([scene.straight(1, 60.0, 20.0, 30.0)], [file], size=(120.0, 80.0))
    head, _ = block(page_html(manifest, {"B.nc": motion}, {"B.nc": text}))
    (piece,) = next(one for one in head["scenes"] if one["face"] == face.value)["pieces"]
    wood = shapely.Polygon([row[:2] for row in piece["outline"]])
    for x, y, heading, _, _ in piece["tabs"]:
        assert not wood.contains(shapely.Point(x + math.sin(heading), y - math.cos(heading)))
        assert wood.contains(shapely.Point(x - math.sin(heading), y + math.cos(heading)))


def test_a_file_from_other_hands_needs_no_pieces():
    moves = scene.Moves("other.nc")
    moves.line(30, 20, -1)
    motion, text = moves.motion()
    manifest = scene.manifest_of([], [scene.file_of("other.nc", [scene.bit()])], size=(60.0, 40.0))
    html = page_html(manifest, {"other.nc": motion}, {"other.nc": text})
    head, _ = block(html)
    assert head["passed"] is None
    assert head["scenes"][0]["pieces"] == []
    assert "Not checked" in html


def test_every_problem_is_also_on_paper(page):
    html = page[0]
    paper = html[html.index('id="paper"') : html.index('id="block"')]
    for finding in made.findings():
        assert finding.text in paper


def test_every_length_on_the_page_is_in_words(page):
    """Lines of how a board is held went out with their marks."""
    html = page[0]
    assert "up to 20.000 mm (~25/32 in) high" in html or "up to ~25/32 in (20.000 mm) high" in html
    head, _ = block(html)
    assert not [text for text in (html, json.dumps(head, ensure_ascii=False)) if "\ue000" in text]
