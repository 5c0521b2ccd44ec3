"""The geometry room: contours of lines and arcs, the joint, the family of pieces, and shapely behind one door.

Knows nothing of bits and machines beyond the radius of a disc.
"""

from platelayer.geometry.catalogue import CATALOGUE, piece_from_order
from platelayer.geometry.orders import check_order, check_orders
from platelayer.geometry.placing import place_piece
from platelayer.geometry.sizes import check_sizes

__all__ = ["CATALOGUE", "check_order", "check_orders", "check_sizes", "piece_from_order", "place_piece"]
