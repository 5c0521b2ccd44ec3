"""Side play of joints as cut, against sharp mouths too: how much there is, where it is said, what is warned of."""

import pytest

from cli.jobs import small_job
from platelayer.preview.page.data import _summary
from platelayer.preview.paper.content import shop_sheet
from platelayer.preview.report.summary import summary_text
from platelayer.road.proving import prove
from platelayer.values.findings import Code, Severity
from proved import written


def side_in_a_sharp_mouth(proof):
    return min(joint.seat.side_mm for joint in proof.report.joints if joint.mate == "a nominal socket")


@pytest.mark.parametrize(("share", "side"), [(0.0, 0.0), (0.5, 0.14457), (1.0, 0.28914)])
def test_a_relieved_peg_keeps_the_share_of_side_play_asked_for_in_a_sharp_mouth(share, side):
    # regression: a relief just deep enough closed dead centre only, and nobody said so
    proof = prove(written(small_job(joint=f"relief_play = {share}")))
    assert side_in_a_sharp_mouth(proof) == pytest.approx(side, abs=0.002)  # worked by hand, see seated_side_mm
    found = [one for one in proof.report.findings if one.code is Code.JOINT_DEAD_CENTRE]
    assert proof.report.passed
    assert bool(found) == (share == 0)
    for one in found:
        assert one.severity is Severity.WARNING
        assert "relief_play = 1" in one.advice


def test_the_least_play_is_the_same_on_page_summary_and_sheet():
    # regression: the page left mates with sharp corners out, and told of 0.29 mm where the summary had none
    proof = prove(written(small_job(joint="relief_play = 0.25")))
    manifest, report = proof.manifest, proof.report
    assert side_in_a_sharp_mouth(proof) == pytest.approx(0.25 * 0.28914, abs=0.002)
    least = "0.003 in (0.07"
    on_the_page = {name: words for name, *words in _summary(manifest, report)}["Least play sideways"]
    assert any(words.startswith(least) for words in on_the_page)
    assert f"{least}" in summary_text(manifest, report).split("least play of any joint")[1].split("\n")[0]
    sheet = shop_sheet(manifest, report, proof.read.motions)
    said = [words for section in (*sheet.first, *sheet.after) for words in section.sentences]
    assert any(words.startswith("Least play:") and least in words for words in said)
