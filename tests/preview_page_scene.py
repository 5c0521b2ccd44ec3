"""A page to look at in the tests: boards of the hand-made scene with times and three problems."""

import preview_scene as scene
from platelayer.gcode.motion import move_times
from platelayer.preview.page.document import page_html
from platelayer.preview.pictures.plan import plans_of
from platelayer.values.findings import Code, FileReport, Finding, Report, Severity, Where

NAME = "A-1-flat-3.175.nc"
GOUGE_AT = (85.0, 60.0, -2.0)


def findings():
    """An error with a place, a warning with a line only, a note with a piece only."""
    return (
        Finding(
            code=Code.SHAPE_GOUGE,
            text="Gouge of 0.310 mm (~1/64 in) in the edge.",
            advice="Look at the line named.",
            where=Where(file=NAME, line=240, board="A", piece="straight-03", point=GOUGE_AT),
        ),
        Finding(
            code=Code.CUTTING_CHIP_LOAD,
            severity=Severity.WARNING,
            text="Chips of 0.033 mm are thin for hard maple.",
            where=Where(file=NAME, line=90, board="A"),
        ),
        Finding(
            code=Code.SHAPE_UNREACHED,
            severity=Severity.WARNING,
            text="Four corners stay round.",
            where=Where(board="A", piece="straight-02"),
        ),
    )


def report_of(motions, times, found):
    """A report with these findings and the files' times."""
    files = tuple(
        FileReport(
            name=name,
            board="A",
            lines=len(motion),
            seconds_s=times[name].total_s,
            cutting_mm=0.0,
            rapid_mm=0.0,
            bits=("flat-3.175",),
            spindle_rpm=(18000.0,),
        )
        for name, motion in motions.items()
    )
    return Report(files=files, pieces=(), joints=(), findings=found)


def page(pieces=4, found=None, **more):
    """(html, manifest, motions, texts, times)."""
    manifest, motions, texts = scene.board(pieces, **more)
    times = {name: move_times(motion, manifest.machine) for name, motion in motions.items()}
    report = report_of(motions, times, findings() if found is None else found)
    seconds = {name: time.total_s for name, time in times.items()}
    plans = plans_of(manifest, motions, seconds=seconds, findings=report.findings)
    html = page_html(manifest, motions, texts, report=report, times=times, plans=plans)
    return html, manifest, motions, texts, times
