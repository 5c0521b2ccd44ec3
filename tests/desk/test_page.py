"""The working page in a real browser: the whole way from an empty folder, by mouse and by keyboard."""

import re
import shutil
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from cli.fit_jobs import HIDDEN
from cli.jobs import small_job
from cli.read_card import readings_of
from desk.served import HALLWAY, Served, served
from desk.test_floors import FLOOR
from fit.simulated_shop import Shop

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on the path; on Debian: apt-get install chromium"),
]
sync_api = pytest.importorskip("playwright.sync_api", reason="playwright is missing: pip install 'platelayer[browser]'")
PATIENCE_MS = 120_000


@pytest.fixture(scope="module")
def browser():
    with sync_api.sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@contextmanager
def opened(browser, desk: Served, *, width: int = 1400, address: str = "") -> Iterator:
    context = browser.new_context(viewport={"width": width, "height": 900}, reduced_motion="reduce")
    context.set_default_timeout(PATIENCE_MS)
    page = context.new_page()
    troubles, asked = [], []
    page.on("console", lambda said: troubles.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address or desk.new_address())
    page.wait_for_selector("#view h2")
    yield page
    assert [one for one in troubles if "409" not in one and "422" not in one] == []
    assert all(url.startswith((desk.base, "blob:", "data:", "about:")) for url in asked)
    context.close()


def job_of(desk: Served) -> dict:
    return tomllib.loads((desk.folder / "job.toml").read_text("utf-8"))


def fill(page, path: str, value: str) -> None:
    box = page.locator(f"[data-path='{path}']")
    box.fill(value)
    with page.expect_response(lambda answer: answer.url.endswith("/save")):
        box.press("Enter")


def to(page, view: str) -> None:
    page.click(f"#steps button[data-view={view}]")


def press(page, name: str) -> None:
    page.get_by_role("button", name=name, exact=True).click()


def wait_for(page, sentence: str) -> None:
    try:
        page.wait_for_function("words => document.body.innerText.includes(words)", arg=sentence)
    except sync_api.TimeoutError:
        raise AssertionError(f"{sentence!r} is not to be read in: {page.inner_text('body')}") from None


def test_from_an_empty_folder_to_gcode_for_an_own_machine_by_mouse(browser, tmp_path: Path) -> None:
    with served(tmp_path) as desk, opened(browser, desk) as page:
        press(page, "Begin")
        wait_for(page, "What set do I have?")
        to(page, "bit")
        page.click("summary:text-is('A machine of my own')")
        page.fill("#machine-name", "attic")
        page.select_option("#machine-like", "mid-screw")
        press(page, "Make it my machine")
        wait_for(page, "Your machine's own figures, kept in machines/attic.toml.")
        fill(page, '["machines/attic.toml","axis","x","travel"]', "610")
        press(page, "A bit by caliper")
        page.wait_for_selector('[data-path=\'["job.toml","bit",0,"measured"]\']')
        fill(page, '["job.toml","bit",0,"measured"]', "3.16 mm")
        to(page, "board")
        fill(page, '["job.toml","board",0,"width"]', "22")
        fill(page, '["job.toml","board",0,"height"]', "11")
        to(page, "pieces")
        fill(page, '["job.toml","piece",0,"count"]', "1")
        page.click("button[aria-label^='Add a curve']")
        page.wait_for_selector('[data-path=\'["job.toml","piece",2,"count"]\']')
        fill(page, '["job.toml","piece",2,"count"]', "2")
        wait_for(page, "4 pieces, ")
        to(page, "make")
        press(page, "Make the files")
        wait_for(page, "Written to the folder job.")
        job = job_of(desk)
        assert (job["job"]["machine"], job["job"]["profiles"]) == ("attic", "machines")
        assert job["bit"] == [{"id": "flat-3.175-long", "measured": "3.16 mm"}]
        manifest = (desk.folder / "job" / "manifest.json").read_text("ascii")
        assert '"id": "attic"' in manifest
        assert manifest.count('"order"') == 4

        to(page, "cut")
        name = next((desk.folder / "job").glob("*.nc")).name
        with page.expect_download() as saved:
            press(page, f"Save a copy of {name}")
        assert Path(saved.value.path()).read_bytes() == (desk.folder / "job" / name).read_bytes()
        press(page, "Watch the dry run")
        frame = page.frame_locator("iframe")
        frame.locator("body[data-state]").wait_for()
        stopped_cut(page, desk, name)


def stopped_cut(page, desk: Served, name: str) -> None:
    """A cut that stopped goes on: nobody guesses what happened to zero, and what comes is proved."""
    lines = (desk.folder / "job" / name).read_text("ascii").splitlines()
    line = next(number for number, text in enumerate(lines, 1) if number > len(lines) // 2 and text.startswith("G1"))
    page.fill("#stopped-line", str(line))
    press(page, "Write the file that goes on")
    wait_for(page, "say whether the machine still has it")
    page.check("input[value=lost]")
    press(page, "Write the file that goes on")
    wait_for(page, "Dry run together with what was cut before: passed.")
    made = list((desk.folder / "job-again").glob("*.nc"))
    assert [one.name for one in made] == [f"{name.removesuffix('.nc')}-from-line-{line}.nc"]


def test_by_keyboard_alone(browser, tmp_path: Path) -> None:
    with served(tmp_path) as desk, opened(browser, desk) as page:
        keys = page.keyboard

        def reach(name: str) -> None:
            """Tab until what has the focus is called that."""
            for _ in range(90):
                keys.press("Tab")
                called = page.evaluate(
                    "() => { const is = document.activeElement; return is.getAttribute('aria-label')"
                    " ?? is.labels?.[0]?.innerText ?? is.innerText; }"
                )
                if called.strip() == name:
                    return
            raise AssertionError(name)

        reach("Begin")
        keys.press("Enter")
        wait_for(page, "What set do I have?")
        reach("Pieces")
        keys.press("Space")
        reach("Take out curve")
        keys.press("Enter")
        page.wait_for_function("() => document.querySelectorAll('article').length === 1")
        page.evaluate("document.getElementById('view').focus()")
        reach("Count")
        keys.press("Control+A")
        keys.type("1")
        keys.press("Enter")
        wait_for(page, "1 piece on 1 board")
        assert job_of(desk)["piece"] == [
            {"name": "straight", "length": "5 15/16", "count": 1, "start": "socket", "end": "peg"}
        ]
        page.evaluate("document.querySelector('.skip').focus()")
        reach("Make")
        keys.press("Enter")
        reach("Make the files")
        keys.press("Enter")
        wait_for(page, "Written to the folder job.")
        assert list((desk.folder / "job").glob("*.nc"))


def test_a_file_spoilt_in_an_editor_is_put_right_on_the_page(browser, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(HALLWAY.replace('length = "2 3/8"', 'length = "2 3/"'), encoding="utf-8")
    with served(tmp_path) as desk, opened(browser, desk) as page:
        box = page.locator('[data-path=\'["job.toml","piece",1,"length"]\']')
        box.wait_for()  # a refused job opens at its first fault
        assert page.evaluate("document.activeElement.dataset.path") == '["job.toml","piece",1,"length"]'
        assert box.get_attribute("aria-invalid") == "true"
        assert "not a length" in page.locator(f"#{box.get_attribute('id')}-fault").inner_text()
        assert page.locator("#beside svg").count() == 1
        fill(page, '["job.toml","piece",1,"length"]', "2 3/8")
        page.wait_for_selector("#trouble", state="hidden")
        assert job.read_text("utf-8") == HALLWAY

        job.write_text(HALLWAY.replace("count = 12", "count = 3", 1), encoding="utf-8")
        page.wait_for_function(
            "() => document.querySelector('article input[id]') && document.body.innerText.includes('11 pieces, ')"
        )
        job.write_text(HALLWAY.replace('units = "in"', 'units = "in', 1), encoding="utf-8")
        page.get_by_role("button", name="Go to: ").click()
        wait_for(page, "Line 6: ")
        text = page.locator("#text")
        text.fill(text.input_value().replace('units = "in ', 'units = "in" '))
        press(page, "Save the text")
        page.wait_for_selector("#trouble", state="hidden")
        assert job.read_text("utf-8") == HALLWAY


def test_what_the_page_can_do_about_a_fault_is_offered(browser, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(small_job().replace("[joint]", '[joint]\nmouht = "ease"'), encoding="utf-8")
    (tmp_path / "job").mkdir()
    (tmp_path / "job" / "mine.txt").write_text("mine", encoding="utf-8")
    with served(tmp_path) as desk, opened(browser, desk) as page:
        press(page, "Take it out")
        page.wait_for_selector("#trouble", state="hidden")
        assert "mouht" not in job.read_text("utf-8")
        to(page, "make")
        press(page, "Make the files")
        page.get_by_role("button", name="Write over them", exact=True).wait_for()


def test_what_two_pages_change_at_once_is_shown_to_the_second(browser, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(HALLWAY, encoding="utf-8")
    with served(tmp_path) as desk, opened(browser, desk) as page:
        to(page, "pieces")
        box = page.locator('[data-path=\'["job.toml","piece",0,"count"]\']')
        box.fill("5")
        job.write_text(HALLWAY.replace("count = 12", "count = 7", 1), encoding="utf-8")
        wait_for(page, "15 pieces, ")
        assert box.input_value() == "5"
        box.press("Enter")
        wait_for(page, "Someone changed this meanwhile. In the file: 7. Yours: 5.")
        assert "count = 7" in job.read_text("utf-8")
        press(page, "Write mine")
        wait_for(page, "13 pieces, ")
        assert job.read_text("utf-8") == HALLWAY.replace("count = 12", "count = 5", 1)


def test_the_fit_by_given_readings(browser, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(small_job(), encoding="utf-8")
    with served(tmp_path) as desk, opened(browser, desk) as page:
        to(page, "fit")
        page.select_option('[data-path=\'["job.toml","fit","feel"]\']', "easy")
        wait_for(page, "Side play ")
        page.fill("#card-board", "14 x 7 in")
        press(page, "Make a card")
        wait_for(page, "Readings of job-card")
        file = tmp_path / "job-card" / "readings.toml"
        read = readings_of(Shop(3, **HIDDEN), file)
        for feature, values in read.sizes_mm.items():
            fill(
                page, f'["job-card/readings.toml","sizes","{feature.value}"]', ", ".join(f"{one:.2f}" for one in values)
            )
        wait_for(page, "Work out what bit and machine do")
        press(page, "Work out what bit and machine do")
        wait_for(page, "Kept in shop.toml")
        wait_for(page, "before the correction")
        record = tomllib.loads((tmp_path / "shop.toml").read_text("utf-8"))["record"][0]
        assert abs(float(record["bit_diameter"].split()[0]) - (3.175 + HIDDEN["bit"])) < 0.05
        assert job_of(desk)["job"]["shop"] == "shop.toml"


def test_what_closes_a_gap_on_the_floor_goes_into_the_cut_list(browser, tmp_path: Path) -> None:
    (tmp_path / "job.toml").write_text(HALLWAY, encoding="utf-8")
    (tmp_path / "floor.toml").write_text(FLOOR, encoding="utf-8")
    with served(tmp_path) as desk, opened(browser, desk) as page:
        before = len(job_of(desk)["piece"])
        to(page, "floor")
        page.wait_for_selector("#view figure svg")
        press(page, "What closes hall?")
        wait_for(page, "1. 6 long, short")
        page.get_by_role("button", name="Put what is new into job.toml").first.click()
        wait_for(page, "In the cut list now.")
        (new,) = job_of(desk)["piece"][before:]
        assert new["name"].startswith("hall")
        assert (desk.folder / "floor.toml").read_text("utf-8") == FLOOR


def test_every_view_is_whole_narrow_enlarged_and_without_a_serious_fault(browser, tmp_path: Path) -> None:
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is missing").Axe()
    (tmp_path / "job.toml").write_text(HALLWAY, encoding="utf-8")
    with served(tmp_path) as desk:
        for width in (1400, 390):
            with opened(browser, desk, width=width) as page:
                for view in page.locator("#steps button").all():
                    view.click()
                    page.wait_for_selector("#view h2")
                    assert page.evaluate("document.documentElement.scrollWidth - innerWidth") <= 0, view.inner_text()
                    if width == 390:
                        found = axe.run(page).response["violations"]
                        grave = [(one["id"], one["nodes"][0]["html"]) for one in found if one["impact"] in GRAVE]
                        assert grave == [], view.inner_text()


GRAVE = ("serious", "critical")


def test_a_reload_needs_a_new_address(browser, tmp_path: Path) -> None:
    with served(tmp_path) as desk:
        used = desk.new_address()
        with opened(browser, desk, address=used) as page:
            assert re.fullmatch(desk.base + "/?", page.url)
        context = browser.new_context()
        page = context.new_page()
        page.goto(used)
        wait_for(page, "This address was used already")
        context.close()


def test_news_leaves_alone_what_a_hand_types_and_has_marked(browser, tmp_path: Path) -> None:
    """A view built anew, since a piece was added elsewhere, goes on where the hand was: 960 and 610 made 960610."""
    job = tmp_path / "job.toml"
    job.write_text(HALLWAY, encoding="utf-8")
    more = '\n[[piece]]\nname = "more{0}"\nlength = "3 in"\n'
    with served(tmp_path) as desk, opened(browser, desk) as page:
        to(page, "pieces")
        box = page.locator('[data-path=\'["job.toml","piece",0,"count"]\']')
        box.select_text()
        job.write_text(HALLWAY + more.format(1), encoding="utf-8")
        wait_for(page, "21 pieces, ")
        page.keyboard.type("6")
        assert box.input_value() == "6"
        job.write_text(HALLWAY + more.format(1) + more.format(2), encoding="utf-8")
        page.wait_for_function("() => document.querySelectorAll('main article').length === 6")
        assert box.input_value() == "6"
        page.keyboard.press("Enter")
        wait_for(page, "16 pieces, ")
