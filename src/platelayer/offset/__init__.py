"""The offset room."""
