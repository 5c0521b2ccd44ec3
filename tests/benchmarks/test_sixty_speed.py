"""Sixty mixed pieces, nested, dry-run and shown: run with ``pytest -o addopts= tests/benchmarks``."""

import json
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def test_sixty_pieces_take_less_than_ten_seconds(benchmark, tmp_path):
    words = [sys.executable, "-m", "platelayer", "make", ROOT / "examples/sixty/job.toml", "--json", "--force"]
    done = benchmark.pedantic(
        subprocess.run,
        args=([*words, "--out", tmp_path / "out"],),
        kwargs={"check": True, "capture_output": True, "env": {"PYTHONPATH": str(ROOT / "src")}},
        rounds=2,
    )
    summary = json.loads(done.stdout)
    benchmark.extra_info["wood"] = summary["wood"]
    assert summary["passed"]
    assert len(summary["pieces"]) == 60
    assert (tmp_path / "out" / "preview.html").is_file()
    assert summary["wood"]["yield_ratio"] > 0.55
