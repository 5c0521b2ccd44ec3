"""The board room."""
