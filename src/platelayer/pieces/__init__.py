"""The room of pieces: one file a kind, and what all kinds share. Knows nothing of bits and machines."""

from platelayer.pieces.catalogue import CATALOGUE, check_order, check_orders, piece_from_order
from platelayer.pieces.sizes import check_sizes

__all__ = ["CATALOGUE", "check_order", "check_orders", "check_sizes", "piece_from_order"]
