"""The post room: a plan's programs as G-code text.

Public: ``program_text(program, *, plan, duration_s=None) -> str`` and ``turn_y_mm(program)``.
"""

from platelayer.post.header import turn_y_mm
from platelayer.post.program import program_text

__all__ = ["program_text", "turn_y_mm"]
