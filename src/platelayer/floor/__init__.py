"""The floor room: pieces composed end to end on a floor, what they miss, and what their joints can give.

Glossary:
    miss: how far an end is from what it is to meet, with all joints closed, centred and in line.
    joint pose: opening, shift and angle of a joint, as ``fit.free_play`` has them; closed, centred and in line is zero.
    share of play: how far a joint is from there, as a share of what its region of free play allows that way.
    chain: pieces one after the other, and the joints between them, from a place that is fixed to one that is.
"""
