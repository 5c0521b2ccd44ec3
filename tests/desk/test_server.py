"""The served folder is for one person's page alone: whoever else asks, however, reads, writes and loses nothing."""

import os
import signal
import subprocess
import sys
import tomllib
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from pathlib import Path

import pytest

from desk.served import HALLWAY, PATIENCE_S, ROOT, Served, next_of, served
from platelayer.job.profiles import OWN_FILES

SECRET = "# nobody's business\n[job]\ntitle = 'secret'\n"


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    outside = tmp_path_factory.mktemp("outside")
    (outside / "secret.toml").write_text(SECRET, encoding="utf-8")
    folder = outside / "work"
    folder.mkdir()
    (folder / "linked.toml").symlink_to(outside / "secret.toml")
    (folder / "away").symlink_to(outside, target_is_directory=True)
    with served(folder) as desk:
        yield desk


@pytest.fixture(autouse=True)
def job(desk):
    path = desk.folder / "job.toml"
    path.write_text(HALLWAY, encoding="utf-8")
    if not desk.token:
        desk.enter()
    yield path
    assert (desk.folder.parent / "secret.toml").read_text("utf-8") == SECRET
    assert sorted(one.name for one in desk.folder.parent.iterdir()) == ["secret.toml", "work"]


def test_a_code_is_good_once(desk: Served):
    code = desk.new_address().split("#")[1]
    assert desk.post("/enter", {"code": code})[0] == 200
    assert desk.post("/enter", {"code": code})[0] == 403
    assert desk.post("/enter", {"code": "guessed"})[0] == 403
    assert desk.post("/enter", {})[0] == 403


@pytest.mark.parametrize("path", ["/ask", "/save", "/stream", "/ticket"])
@pytest.mark.parametrize("token", ["", "guessed"])
def test_without_a_token_nothing_is_answered(desk: Served, path: str, token: str):
    assert (
        desk.post(path, {"what": "files", "job": "job.toml", "file": "job.toml"}, **{"X-Desk-Token": token})[0] == 401
    )


@pytest.mark.parametrize("origin", ["http://elsewhere.example", "null", "http://127.0.0.1:1", "https://127.0.0.1", ""])
def test_another_origin_is_refused_even_with_the_token(desk: Served, origin: str):
    assert desk.post("/ask", {"what": "files"}, Origin=origin)[0] == 403
    assert desk.post("/save", {"file": "job.toml"}, Origin=origin)[0] == 403


@pytest.mark.parametrize("host", ["elsewhere.example", "elsewhere.example:{port}", "127.0.0.1", "127.0.0.1:1", ""])
@pytest.mark.parametrize("path", ["/", "/ask"])
def test_another_host_is_refused_whatever_it_asks(desk: Served, host: str, path: str):
    name = host.format(port=desk.port)
    answer = desk.raw(f"GET {path} HTTP/1.1\r\nHost: {name}\r\nX-Desk-Token: {desk.token}\r\n\r\n".encode())
    assert answer.split(b" ")[1] in (b"421", b"400")
    assert b"platelayer" not in answer


def test_a_page_of_another_site_is_refused_by_what_the_browser_says_of_it(desk: Served):
    assert desk.post("/ask", {"what": "files"}, **{"Sec-Fetch-Site": "cross-site"})[0] == 403


@pytest.mark.parametrize("method", ["PUT", "DELETE", "OPTIONS", "HEAD", "TRACE"])
def test_other_ways_of_asking_are_refused(desk: Served, method: str):
    head = f"{method} /save HTTP/1.1\r\nHost: 127.0.0.1:{desk.port}\r\nOrigin: {desk.base}\r\n"
    assert desk.raw(f"{head}X-Desk-Token: {desk.token}\r\n\r\n".encode()).split(b" ")[1] == b"403"


def test_a_hundred_megabytes_are_refused_before_they_are_read(desk: Served):
    head = (
        f"POST /save HTTP/1.1\r\nHost: 127.0.0.1:{desk.port}\r\nOrigin: {desk.base}\r\nX-Desk-Token: {desk.token}\r\n"
    )
    assert desk.raw(f"{head}Content-Length: 100000000\r\n\r\n".encode()).split(b" ")[1] == b"413"
    piece = b"10000\r\n" + b" " * 65536 + b"\r\n"
    try:
        answer = desk.raw(f"{head}Transfer-Encoding: chunked\r\n\r\n".encode() + piece * 1600)
    except OSError:
        answer = b""  # cut off while still sending
    assert answer == b"" or answer.split(b" ")[1] == b"413"
    assert desk.ask("files")["files"]


OUTSIDE = [
    "../secret.toml",
    "work/../../secret.toml",
    "/etc/hostname.toml",
    "linked.toml",
    "away/secret.toml",
    "..\\secret.toml",
    "C:/secret.toml",
    "job.toml\x00",
    "",
    ".",
]


@pytest.mark.parametrize("name", OUTSIDE)
def test_no_name_leads_out_of_the_folder(desk: Served, name: str):
    said = {"path": [], "old": SECRET, "new": "gone"}
    assert desk.post("/save", {"file": name, "edits": [said]})[0] == 422
    assert desk.post("/save", {"how": "new", "file": name, "text": "gone"})[0] == 422
    assert desk.post("/save", {"how": "back", "file": name, "seen": SECRET})[0] == 422
    for answer in (
        desk.ask("readings", file=name),
        desk.ask("shop", job=name),
        desk.ask("copy", file=name, kind="page"),
        desk.ask("recut", file=name, zero="kept", start={"line": 3}),
    ):
        assert "refused" in answer
        assert "secret" not in str(answer).replace("secret.toml", "")
    ticket = desk.post("/ticket", {"file": name})[1]["ticket"]
    assert desk.raw(f"GET /seen/{ticket} HTTP/1.1\r\nHost: 127.0.0.1:{desk.port}\r\n\r\n".encode())[9:12] == b"404"


def test_files_that_lead_outside_are_not_listed(desk: Served):
    assert [file["name"] for file in desk.ask("files")["files"]] == ["job.toml"]


LEADING = [(key, "../secret.toml") for key in ("shop", *OWN_FILES)] + [("profiles", ".."), ("profiles", "away")]


@pytest.mark.parametrize(("key", "value"), LEADING)
def test_a_key_that_leads_outside_is_neither_saved_nor_followed(desk: Served, job: Path, key: str, value: str):
    status, told = desk.save(["job", key], None, value)
    assert status == 422
    assert "leads out of the folder" in told["refused"][0]["sentence"]
    assert job.read_text("utf-8") == HALLWAY
    job.write_text(HALLWAY.replace("[job]\n", f'[job]\n{key} = "{value}"\n'), encoding="utf-8")
    with desk.stream() as told:
        looked = next_of(told, "looked")
    assert looked["faults"][0]["path"] == ["job", key]
    assert "leads out of the folder" in looked["faults"][0]["sentence"]


def test_only_toml_files_are_changed(desk: Served):
    for name in ("job.nc", "job.toml/x", ".bashrc"):
        assert desk.post("/save", {"how": "new", "file": name, "text": "x"})[0] == 422


def test_nonsense_is_refused(desk: Served, job: Path):
    assert desk.post("/save", {"file": "job.toml", "edits": [{"path": [1.5]}]})[0] == 422
    assert desk.post("/save", {"how": "steal"})[0] == 404
    assert desk.post("/ask", {"what": "look", "given": 3})[0] == 404
    assert desk.post("/ask", ["files"])[0] == 404
    assert desk.post("/nowhere", {})[0] == 404
    assert job.read_text("utf-8") == HALLWAY


def test_what_the_browser_is_told(desk: Served):
    with desk.open("/", None, {}) as answer:
        page, told = answer.read().decode(), dict(answer.headers)
    policy = told["content-security-policy"]
    assert "'unsafe-inline'" not in policy
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert told["cache-control"] == "no-store"
    assert told["x-content-type-options"] == "nosniff"
    assert "http://" not in page.replace("http://www.w3.org/", "")
    assert "https://" not in page


def test_of_two_pages_that_save_at_once_the_second_is_told(desk: Served, job: Path):
    with ThreadPoolExecutor(2) as pages:
        done = list(pages.map(lambda new: desk.save(["piece", 0, "count"], 12, new), (3, 4)))
    assert sorted(status for status, _ in done) == [200, 409]
    refused = next(told for status, told in done if status == 409)
    now = tomllib.loads(job.read_text("utf-8"))["piece"][0]["count"]
    assert refused["found"] == now
    assert refused["path"] == ["piece", 0, "count"]


def test_what_an_editor_saves_is_looked_at_and_the_newest_is_told_last(desk: Served, job: Path):
    with desk.stream() as told:
        assert next_of(told, "looked")["sums"]["pieces"] == 20
        job.write_text(HALLWAY.replace("count = 12", "count = 1"), encoding="utf-8")
        while next_of(told, "looked").get("sums", {}).get("pieces") != 9:
            pass
        for count in range(2, 8):
            desk.save(["piece", 0, "count"], count - 1, count)
        revision, pieces = 0, 0
        while pieces != 15:
            said = next_of(told, "looked")
            assert said["revision"] > revision
            revision, pieces = said["revision"], said["sums"]["pieces"]
    assert pieces == 15


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="no /proc to find the worker by")
def test_a_worker_that_dies_is_replaced(desk: Served):
    for stat in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):  # it has ended meanwhile
            parent = int(stat.read_text("ascii").rsplit(")", 1)[1].split()[1])
            if parent == desk.process.pid and b"spawn_main" in (stat.parent / "cmdline").read_bytes():
                os.kill(int(stat.parent.name), signal.SIGKILL)
    assert desk.ask("lists").keys() & {"died", "machines"}
    assert len(desk.ask("lists")["machines"]) == 3


def test_the_server_imports_no_stage():
    code = (
        "import sys, platelayer.desk.server, platelayer.desk.worker; "
        "print([name for name in sys.modules if name in ('numpy', 'shapely', 'pydantic', 'scipy', 'reportlab')])"
    )
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, "PYTHONPATH": str(ROOT / "src")},
    )
    assert done.stdout.strip() == "[]"


def test_ctrl_c_ends_it_well(tmp_path: Path):
    with served(tmp_path) as desk:
        desk.process.send_signal(signal.SIGINT)
        assert desk.process.wait(PATIENCE_S) == 0
        assert "Traceback" not in desk.process.stderr.read()


TOLD = """
import signal, sys
from contextlib import suppress
from pathlib import Path
from platelayer.desk.server import serve
from platelayer.desk.worker import work
from platelayer.desk.workers import Worker

def told(new_address):
    with suppress(KeyboardInterrupt):
        signal.raise_signal(signal.SIGINT)

if __name__ == "__main__":
    root = Path(sys.argv[1])
    serve(root, quick=Worker(work, root), steady=Worker(work, root), port=0, told=told)
"""


def test_ctrl_c_as_soon_as_the_address_is_told_is_not_lost(tmp_path: Path):
    """Raised in a callback of the import system an interrupt is swallowed; the server then ran on for ever."""
    environment = {**os.environ, "PYTHONPATH": str(ROOT / "src")}
    done = subprocess.run(
        [sys.executable, "-c", TOLD, str(tmp_path)], capture_output=True, text=True, env=environment, timeout=60
    )
    assert (done.returncode, done.stderr) == (0, "")
