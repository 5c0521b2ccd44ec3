"""Time of the whole dry run of twenty pieces: run with --benchmark-only."""

from dataclasses import replace

from broken_files.small_job import small_job
from gcode.motions import machine_of
from platelayer.gcode.reader import read_program
from platelayer.proof.dry_run import dry_run


def test_twenty_pieces_take_about_a_second(benchmark):
    job = small_job(pieces=20)
    manifest = replace(job.manifest, machine=machine_of(travel_mm=(800.0, 1200.0, 80.0)))
    ((name, text),) = job.texts.items()
    motions = {name: read_program(text, name=name)}
    report = benchmark(dry_run, manifest, job.texts, motions=motions)
    assert report.passed
