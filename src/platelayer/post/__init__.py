"""The post room: a plan's programs as G-code text.

Public: ``program_text`` writes a program; ``timed_text`` puts its time into the text once it is known.
"""

from platelayer.post.header import timed_text
from platelayer.post.program import program_text

__all__ = ["program_text", "timed_text"]
