"""Distances between pieces for the tests of placing."""

from platelayer.placing.rows import Apart


def framed(room_mm, web_mm):
    """A web everywhere between two rooms."""
    gap_mm = 2 * room_mm + web_mm
    return Apart(gap_mm=gap_mm, along_mm=gap_mm, clearance_mm=room_mm, rim_mm=web_mm)
