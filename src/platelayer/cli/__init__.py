"""The commands: thin, no arithmetic. Product on stdout or in the folder, people's text on stderr."""

from platelayer.cli import again, fitting, joint_answers, listing, making, proving, starting  # noqa: F401 they join the group
from platelayer.cli.group import main

__all__ = ["main"]
