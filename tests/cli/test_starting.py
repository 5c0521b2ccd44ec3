"""The commands that begin: files of one's own, filled in by hand or by questions, and an axis timed by hand."""

from pathlib import Path

from click.testing import CliRunner

from platelayer.cli import main
from platelayer.gcode.reader import read_program
from platelayer.job import load_job, profiles_for
from platelayer.job.machine_form import FIELDS

TYPED = {
    "title": "cellar",
    "x_travel": "900 mm",
    "y_travel": "600 mm",
    "z_travel": "100 mm",
    "xy_feed": "2500",
    "z_feed": "800",
    "xy_rapid": "4000",
    "z_rapid": "1500",
    "xy_acceleration": "400",
    "z_acceleration": "200",
    "spindle": "dial",
    "dial": "1 = 9000, 2 = 13000",
    "holder_diameter": "20",
    "homes": "no",
    "arcs": "yes",
    "dwell_unit": "s",
}
JOB = """\
[job]
units = "mm"
machine = "mine"
material = "walnut"
profiles = "machines"
bits = "bits.toml"
woods = "woods.toml"
[[board]]
width = 400
height = 120
thickness = 12.7
[[piece]]
length = 150
"""


def run(*arguments, typed=""):
    return CliRunner().invoke(main, [str(one) for one in arguments], input=typed)


def typed_for(answers):
    """Lines that answer every question that arises, Enter where the form begins with an answer."""
    return "".join(f"{answers.get(field.name, '')}\n" for field in FIELDS.values() if field.is_asked(answers))


def test_a_machine_by_questions_bits_and_woods_of_ones_own_make_a_job(tmp_path: Path) -> None:
    made = run("new", "--machine", tmp_path / "machines" / "mine.toml", "--ask", typed=typed_for(TYPED))
    assert made.exit_code == 0, made.output
    assert 'profiles = "machines" and machine = "mine"' in made.output
    assert run("new", "--bits", tmp_path / "bits.toml").exit_code == 0
    assert run("new", "--woods", tmp_path / "woods.toml").exit_code == 0
    file = str(tmp_path / "job.toml")
    job = load_job(JOB, file=file, profiles=profiles_for(JOB, file=file))
    assert (job.machine.title, job.machine.travel_mm, job.material.title) == ("cellar", (900, 600, 100), "black walnut")
    assert job.feeds[0].feed_mm_min <= 2500


def test_a_wrong_answer_is_asked_again_and_no_other(tmp_path: Path) -> None:
    typed = typed_for(TYPED | {"dwell_unit": "sec"}) + "s\n"
    made = run("new", "--machine", tmp_path / "mine.toml", "--ask", typed=typed)
    assert made.exit_code == 0, made.output
    assert made.output.count("Does it count a wait") == 2
    assert made.output.count("How far can the bit go along x") == 1
    assert 'dwell_unit = "s"' in (tmp_path / "mine.toml").read_text(encoding="utf-8")


def test_a_machine_to_fill_in_is_refused_until_it_is(tmp_path: Path) -> None:
    path = tmp_path / "machines" / "mine.toml"
    assert run("new", "--machine", path).exit_code == 0
    for line in ("# travel = 960", '# dwell_unit = "s"'):
        assert line in path.read_text(encoding="utf-8")
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    run("new", "--bits", tmp_path / "bits.toml")
    run("new", "--woods", tmp_path / "woods.toml")
    refused = run("make", tmp_path / "job.toml")
    assert refused.exit_code == 2
    assert "[axis.x] travel: missing" in refused.output


def test_nothing_that_stands_is_written_over(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("mine", encoding="utf-8")
    for what in ("--machine", "--bits", "--woods"):
        assert run("new", what, path).exit_code == 2
    assert run("new", "--machine", path, "--ask", typed="").exit_code == 2  # said before anything is asked
    assert run("timing", path).exit_code == 2
    assert path.read_text(encoding="utf-8") == "mine"
    assert run("new", path, "--ask").exit_code == 2


def test_an_axis_is_timed(tmp_path: Path) -> None:
    path = tmp_path / "t.nc"
    assert run("timing", path, "--axis", "y", "--feed", "60 in/min", "--length", "1 in").exit_code == 0
    motion = read_program(path.read_text(encoding="ascii"), name="t.nc")
    assert motion.end[:, 1].max() == 25.4
    assert motion.feed.max() == 1524.0
    said = run("timing", "--took", "52.5")
    assert said.output == 'It starts with 400 mm/s2, 385 to 417 as watches go: acceleration = "400 mm/s2"\n'
    for wrong in (("--took", "1"), ("--feed", "0"), ("--length", "-1"), ("--length", "far")):
        refused = run("timing", tmp_path / "no.nc", *wrong)
        assert refused.exit_code == 2
        assert wrong[0] in refused.output
    assert not (tmp_path / "no.nc").exists()


def test_keys_are_told_and_written_as_a_page(tmp_path: Path) -> None:
    assert "[[board.no_go]]" in run("keys").output
    assert 'width = "1 9/16 in"' in run("keys", "track").output
    assert run("keys", "no-such").exit_code == 2
    page = tmp_path / "keys.html"
    assert run("keys", "--page", page).exit_code == 0
    assert "groove_inner" in page.read_text(encoding="utf-8")
    assert run("keys", "--page", page).exit_code == 2
