"""A fit card made once for all tests that read it, and its readings filled in."""

import re
import shutil
from pathlib import Path

import pytest

from cli.fit_jobs import HALLWAY, HIDDEN
from cli.jobs import run
from cli.read_card import readings_of, write_down
from fit.simulated_shop import Shop


@pytest.fixture(scope="session")
def card(tmp_path_factory: pytest.TempPathFactory) -> Path:
    out = tmp_path_factory.mktemp("card") / "card"
    done = run("fit", "card", HALLWAY, "--out", out, "--feel", "easy", "--board", "14 x 7 in")
    assert done.exit_code == 0, done.output
    assert [re.sub(r"\d+ min\.$", "N min.", line) for line in done.stdout.splitlines()[-5:]] == [
        f"Written to {out}. Preview to open: {out}/preview.html",
        "Next: 1. Cut A-1-flat-3.175-long.nc with flat-3.175-long alone, the sticks along the machine's x: N min.",
        "      2. Saw the tabs, rest the wood an hour, and try each peg in the socket (heads each side: 1 pip +0.06 mm,"
        " 2 pips +0.00 mm, 3 pips -0.06 mm, 4 pips -0.12 mm).",
        f"      3. Write what the caliper says into {out}/readings.toml; each line tells what to measure.",
        f"      4. platelayer fit read {out}/readings.toml --shop {HALLWAY.parent}/shop.toml",
    ]
    return out


@pytest.fixture
def filled(card: Path, tmp_path: Path) -> Path:
    """The card's readings file with what the caliper said."""
    file = tmp_path / "readings.toml"
    shutil.copy(card / "readings.toml", file)
    write_down(readings_of(Shop(3, **HIDDEN), file), file)
    return file
