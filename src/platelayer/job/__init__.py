"""The job room: the job file, machine profiles, bits, woods and feeds, from text to checked values.

Glossary:
    job: what is to be made, on which machine, of which wood. profile: what a machine can do, and its listed feeds.
    entry: one table of an array, such as one ``[[piece]]``; an order when it has become a value.
    fault: something wrong in what a person wrote. finding: something to weigh in a job that is sound.

Only profiles reads files, the profiles themselves; everything else goes from text to values.
"""

from platelayer.job.listings import Listing, describe_bits, describe_machines, describe_materials
from platelayer.job.load import load_job
from platelayer.job.places import locate, path_of
from platelayer.job.profiles import Profiles, load_profiles, profile_folders, profiles_for
from platelayer.job.reading import placed, read_toml, written_unit
from platelayer.job.starter import starter_bits, starter_job, starter_woods

__all__ = [
    "Listing",
    "Profiles",
    "describe_bits",
    "describe_machines",
    "describe_materials",
    "load_job",
    "load_profiles",
    "locate",
    "path_of",
    "placed",
    "profile_folders",
    "profiles_for",
    "read_toml",
    "starter_bits",
    "starter_job",
    "starter_woods",
    "written_unit",
]
