"""The geometry room: contours of lines and arcs, the joint, and shapely behind one door.

Knows nothing of pieces' names, of bits and of machines, beyond the radius of a disc.
"""
