"""How deep a cut reaches into a design: a gouge, as a distance."""

import shapely

from platelayer.geometry.regions import buffered, edge_distances_mm


def deepest_inside_mm(area, design, *, chord_mm):
    """How deep the area reaches into the design from its edge at most, within two chords; 0 when nowhere.

    Mostly that of a corner of what they share; else the design is taken in chord by chord until nothing is shared.
    """
    shared = shapely.intersection(area, design)
    points = shapely.get_coordinates(shared)
    if not len(points):
        return 0.0
    deepest = float(edge_distances_mm(design, points).max())
    while shapely.intersects(shared, buffered(design, -(deepest + chord_mm), chord_mm=chord_mm / 2)):
        deepest += chord_mm
    return deepest
