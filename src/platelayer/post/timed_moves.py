"""A program of short moves to and fro along one axis, to be timed by hand; it takes no remarks, as not all do alike."""


def timed_moves_text(axis: str, *, count: int, length_mm: float, feed_mm_min: float) -> str:
    """The program: from 0 so far along the axis and back, until so many moves are made; the spindle is never asked for.

    Args:
        axis: ``x``, ``y`` or ``z``.
        count: moves there and back, an even number.
        length_mm: of each.
        feed_mm_min: of each.
    """
    there, back = f"G1 {axis.upper()}{length_mm:.4f}", f"G1 {axis.upper()}0"
    first = f"{there} F{feed_mm_min:.1f}"
    return "\n".join(["G17 G21 G90 G94", first, back, *[there, back] * (count // 2 - 1), "M2", ""])
