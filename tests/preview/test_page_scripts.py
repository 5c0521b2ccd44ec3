"""The scripts of both pages, each as one, have no name that nobody declared, used or shadowed by mistake."""

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from platelayer.desk import document as desk
from platelayer.preview.page.document import program

RULES = {
    "env": {"browser": True, "es2024": True},
    "categories": {"correctness": "error", "suspicious": "error"},
    "rules": {
        "no-undef": "error",
        "no-underscore-dangle": "off",  # an underscore says private here
        "unicorn/consistent-function-scoping": "off",
        "unicorn/no-array-sort": "off",  # only copies are sorted
    },
}


def lint(script: str, folder: Path) -> subprocess.CompletedProcess[str]:
    (folder / "page.js").write_text(script, encoding="utf-8")
    (folder / "rules.json").write_text(json.dumps(RULES), encoding="utf-8")
    linter = Path(sys.executable).with_name("oxlint")
    command = [linter, "--config", folder / "rules.json", folder / "page.js"]
    return subprocess.run(command, capture_output=True, text=True, check=False)


@pytest.mark.parametrize("script", [program, desk.program], ids=["dry run", "desk"])
def test_the_scripts_are_clean(script: Callable[[], str], tmp_path: Path) -> None:
    found = lint(script(), tmp_path)
    assert found.returncode == 0, found.stdout


@pytest.mark.parametrize("fault", ["drawNothing();", "function nobodyCalls() {}", "const a = 1; a = 2;"])
def test_the_linter_sees_what_is_wrong(fault: str, tmp_path: Path) -> None:
    assert lint(program() + "\n" + fault, tmp_path).returncode != 0
