"""A followed job is made again when its file is saved, faults are waited out, and Ctrl-C ends it well."""

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

from cli.jobs import ROOT, small_job

PATIENCE_S = 60.0


def wait_for(log: Path, count: int) -> str:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until:
        text = log.read_text(encoding="utf-8")
        if len(re.findall(r"Made in", text)) >= count:
            return text
        time.sleep(0.05)
    raise AssertionError(log.read_text(encoding="utf-8"))


def test_saving_makes_again_and_a_fault_does_not_end_it(tmp_path: Path) -> None:
    job, log = tmp_path / "job.toml", tmp_path / "log"
    job.write_text(small_job(), encoding="utf-8")
    command = [sys.executable, "-m", "platelayer", "make", str(job), "--out", str(tmp_path / "out"), "--follow"]
    with log.open("w", encoding="utf-8") as said:
        following = subprocess.Popen(
            command,
            stdout=said,
            stderr=said,
            env={**os.environ, "PYTHONPATH": str(ROOT / "src"), "PYTHONUNBUFFERED": "1"},
            preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # a background shell ignores it
        )
        try:
            wait_for(log, 1)
            first = (tmp_path / "out" / "manifest.json").read_bytes()
            job.write_text(small_job(count=0), encoding="utf-8")
            said = wait_for(log, 2)
            assert "count = 0" in said
            assert f"The G-code in {tmp_path / 'out'} is that of an earlier job, as it was." in said
            assert (tmp_path / "out" / "manifest.json").read_bytes() == first
            job.write_text(small_job(count=2), encoding="utf-8")
            wait_for(log, 3)
            assert (tmp_path / "out" / "manifest.json").read_bytes() != first
            following.send_signal(signal.SIGINT)
            assert following.wait(timeout=PATIENCE_S) == 0
        finally:
            following.kill()
