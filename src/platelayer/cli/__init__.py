"""The commands: thin, no arithmetic. Product on stdout or in the folder, people's text on stderr."""

from platelayer.cli import (  # noqa: F401 they join the group
    again,
    fitting,
    floor_answers,
    floors,
    joint_answers,
    listing,
    making,
    opening,
    proving,
    quicker,
    starting,
)
from platelayer.cli.group import main

__all__ = ["main"]
