"""The post room: a plan's programs as G-code text.

Public: ``program_text`` writes a program; ``timed_text`` puts its time into the text once it is known;
``head_texts`` and ``stops_of`` say what it tells a person and where it waits for one.
"""

from platelayer.post.header import timed_text
from platelayer.post.program import head_texts, program_text
from platelayer.post.stops import stops_of

__all__ = ["head_texts", "program_text", "stops_of", "timed_text"]
