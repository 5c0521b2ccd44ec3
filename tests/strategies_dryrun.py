"""Strategies for the dry run: small jobs with any bit that goes into the grooves, with and without cures."""

from hypothesis import strategies as st

from broken_files.small_job import MOUTH, NECK, small_job


@st.composite
def small_jobs(draw):
    """One straight cut by one bit; reliefs and eases fit the bit, or are left out.

    Two passes of the bit must cover a groove, so it is no thinner than half of one.
    """
    gap = (MOUTH - NECK) / 2
    radius = draw(st.one_of(st.floats(1.495, 1.62), st.sampled_from([1.5, 1.5875])))
    relief = radius if draw(st.booleans()) and radius > gap else 0.0
    ease = radius + draw(st.sampled_from([0.1, 0.3])) if draw(st.booleans()) else 0.0
    return small_job(relief=relief, ease=ease, diameter=2 * radius, pieces=1)
