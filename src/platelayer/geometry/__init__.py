"""The geometry room."""
