"""``platelayer fit`` as a person uses it: from a wish, over a card and a caliper, to joints cut as wished."""

import pytest

from cli.jobs import ROOT, run

HALLWAY = ROOT / "examples/hallway/job.toml"


def test_words_for_a_feel_are_shown_with_their_numbers() -> None:
    done = run("fit", "wish")
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines() == [
        "A word stands for two plays:",
        "  snug: side play 0.006 in (0.150 mm) each way and pull-out play 0.008 in (0.200 mm)",
        "  easy: side play 0.012 in (0.300 mm) each way and pull-out play 0.012 in (0.300 mm)",
        "  loose: side play 0.018 in (0.450 mm) each way and pull-out play 0.020 in (0.500 mm)",
        "Ask for one of them with --feel, or for other figures with --side and --pull.",
    ]


def test_a_wish_becomes_sizes() -> None:
    done = run("fit", "wish", HALLWAY, "--feel", "easy", "--part", "both")
    assert done.exit_code == 0, done.output
    assert done.stdout.splitlines()[-3:] == [
        "Our peg in our socket, for side play 0.012 in (0.300 mm) each way and pull-out play 0.012 in (0.300 mm):",
        "  head -0.300 mm, drawn 10.812 mm",
        "  head's distance from the face -0.042 mm, drawn 7.102 mm",
    ]


@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--feel", "easi"), 2, "--feel = easi: no such word for a feel. Did you mean easy?\n"),
        (
            ("--feel", "easy", "--side", "1 mm"),
            2,
            "--feel = easy: a word and figures were given. Leave one of the two out.\n",
        ),
        (
            ("--side", "0.3 mm"),
            2,
            "--pull: missing; a feel is side play and pull-out play. Give both, as in"
            ' --side "0.3 mm" --pull "0.3 mm".\n',
        ),
        (("--side", "0.3", "--pull", "0.3"), 2, '--side = 0.3: has no unit. Write mm or in, as in "5 15/16 in".\n'),
        (("--side", "0 mm", "--pull", "1 mm"), 2, "--side = 0 mm: a play asked for must be more than nothing\n"),
        (
            ("--side", "0.3 mm", "--pull", "0.05 in"),
            1,
            "The wish: This cannot be had; the nearest is side play 0.000 in (0.000 mm) and pull-out play 0.050 in"
            " (1.270 mm), which will jam in use\n"
            "The wish: Head, hole and lips leave no such pair of plays: ask for less of one of them\n",
        ),
    ],
    ids=["a near word", "both", "one figure", "no unit", "nought", "not to be had"],
)
def test_wishes_that_cannot_be(words: tuple[str, ...], code: int, said: str) -> None:
    done = run("fit", "wish", HALLWAY, *words)
    assert done.exit_code == code
    assert done.stderr == said
