"""Texts that the tests of the job room start from, and what is said of them."""

import re

from platelayer.errors import JobError
from platelayer.job import load_job
from platelayer.job.profiles import read_profile

MACHINE = """\
title = "test machine"
units = "mm"
[axis]
x = { travel = 600, feed = 3000, rapid = 5000, acceleration = 500 }
y = { travel = 500, feed = 2000, rapid = 5000, acceleration = 400 }
z = { travel = 80, feed = 600, rapid = 900, acceleration = 200 }
[cornering]
deviation = 0.02
[spindle]
kind = "dial"
dial = [{ mark = "low", rpm = 10000 }, { mark = "high", rpm = 20000 }]
holder_diameter = 20
[places]
safe_height = 10
clear_height = 3
[dialect]
arcs = true
dwell_unit = "s"
comments = "brackets"
[[feeds]]
material = "hard-maple"
diameter = "1/8 in"
spindle = 10000
feed = 1200
plunge = 300
stepdown = 1
stepover = 0.4
"""

JOB = """\
[job]
units = "mm"
machine = "test"
material = "hard-maple"
[[board]]
width = 400
height = 120
[[piece]]
length = 150
"""

PROFILES = {"test.toml": MACHINE}


def thick(text):
    """The text with the thickness of its wood at its end, where it moves no line, unless it says how thick it is."""
    if re.search(r"\Atrack|^(thickness =|\[track)", text, re.MULTILINE):
        return text
    return f'{text}\n[track]\nthickness = "12.7 mm"\n'


def job_of(text, profiles=None):
    """The job in a text, of wood half an inch thick where it does not say."""
    return load_job(thick(text), file="job.toml", profiles=PROFILES if profiles is None else profiles)


def said_of(text, profiles=None):
    """Every sentence said of a job that is refused."""
    try:
        job_of(text, profiles)
    except JobError as error:
        return str(error).splitlines()
    return []


def said_of_machine(text):
    """Every sentence said of a profile that is refused."""
    try:
        read_profile(text, file="test.toml")
    except JobError as error:
        return str(error).splitlines()
    return []


def changed(text, *changes):
    """The text with each old passage, which must stand in it once, replaced."""
    for old, new in changes:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    return text
