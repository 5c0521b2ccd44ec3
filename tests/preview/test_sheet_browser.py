"""The shop sheet in a real browser: what is seen of it on a desk's screen and on a phone's."""

import shutil

import pytest

from platelayer.preview.paper.parts import SheetSection, ShopSheet
from platelayer.preview.paper.sheet_html import sheet_html

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on the path; on Debian: apt-get install chromium"),
]
sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is missing: pip install 'platelayer[browser]'")
LEFT_OF_LINES = """element => {
  const range = document.createRange();
  range.selectNodeContents(element);
  return [...range.getClientRects()].map(line => line.left);
}"""


@pytest.fixture(scope="module", params=[1400, 390], ids=["desk", "phone"])
def page(request):
    sheet = ShopSheet(
        title="Oval",
        verdict="Dry run passed.",
        passed=True,
        facts=(("Pieces", "6"),),
        first=(SheetSection(title="Before you start", checks=("a word or two " * 20,) * 3),),
        after=(SheetSection(title="Holding", sentences=("Board A is held by screws:", "  screw 1", "Tabs hold.")),),
    )
    with sync_api.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": request.param, "height": 900})
        page.set_content(sheet_html(sheet, {}))
        yield page
        browser.close()


def test_every_line_of_a_check_hangs_beside_its_tick(page):
    """The second line began under the tick."""
    for label in page.locator(".checks label").all():
        tick = label.locator("input").bounding_box()
        lines = label.locator("span").evaluate(LEFT_OF_LINES)
        assert len(lines) > 1
        assert len(set(lines)) == 1
        assert lines[0] > tick["x"] + tick["width"]


def test_what_a_sentence_lists_stands_under_it(page):
    """Screws stood beside the sentence that announces them, as if each held something of its own."""
    held, screw, tabs = (one.bounding_box()["x"] for one in page.locator("ul:not(.checks) > li").all())
    assert screw > held == tabs
