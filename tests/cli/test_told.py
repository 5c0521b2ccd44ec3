"""What people are told of a job is what they can do something about; the rest is in the data alone."""

import json

from cli.jobs import make, page_head, run, small_job

BOTH_FACES = small_job().replace("[[piece]]\nname", '[[piece]]\ngrooves = "both"\nname').replace('"5 15/16"', '"2 3/8"')


def test_what_is_only_for_the_record_stands_in_the_data_alone(tmp_path):
    """How much wood stays between grooves, and 7 s of slow corners in half an hour, once stood among the warnings."""
    done = make(tmp_path, BOTH_FACES)
    assert done.exit_code == 0, done.output
    out = tmp_path / "out"
    found = json.loads(run("dryrun", out, "--json").stdout)["findings"]
    notes, warnings = ([one for one in found if one["severity"] == weight] for weight in ("note", "warning"))
    assert {"shape-web"} <= {one["code"] for one in notes}
    assert warnings
    summary = (out / "summary.txt").read_text(encoding="utf-8")
    problems = page_head(out / "preview.html")["problems"]
    assert [one["text"] for one in notes if one["text"] in summary or one["text"] in done.output] == []
    assert summary.count("  warning: ") == len(warnings)
    assert [one["severity"] for one in problems] == ["warning"] * len(warnings)
    assert "note:" not in summary
