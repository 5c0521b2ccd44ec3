"""What one controller takes of the RS274/NGC words: a dialect, as a machine's profile says it."""

from dataclasses import dataclass
from enum import StrEnum

from platelayer.units import to_inches


class CommentStyle(StrEnum):
    """How the controller takes comments; it has to take some, since they say which bit cuts what."""

    BRACKETS = "brackets"
    SEMICOLON = "semicolon"


@dataclass(frozen=True, slots=True, kw_only=True)
class Dialect:
    """What one controller takes of the RS274/NGC words. Dwell is ``s`` or ``ms``; units ``mm`` or ``in``."""

    arcs: bool
    dwell_unit: str
    comments: CommentStyle
    units: str = "mm"
    decimals: int = 4
    end_word: str = "M2"
    spindle_speed_word: bool = True
    tool_change_word: bool = False
    path_mode: str = ""
    """How corners are run: ``G61`` to the letter, ``G64`` rounded by no more than a tolerance; empty = not said."""
    path_tolerance_mm: float = 0.0
    arc_centre_word: bool = False
    """G91.1 is said, so that I and J count from where an arc starts."""
    messages: bool = False
    """What a pause asks for goes out as a message too, which the controller shows."""

    @property
    def modes(self) -> tuple[str, ...]:
        """Plane, units, absolute places, feed a minute; no compensation, no length offset, first zero; path, arcs."""
        path = self.path_mode
        if path == "G64":
            tolerance = to_inches(self.path_tolerance_mm) if self.units == "in" else self.path_tolerance_mm
            path += f" P{tolerance:.{self.decimals}f}".rstrip("0")
        centres = "G91.1" if self.arc_centre_word else ""
        units = "G20" if self.units == "in" else "G21"
        return tuple(word for word in ("G17", units, "G90", centres, "G94", "G40", "G49", "G54", path) if word)
