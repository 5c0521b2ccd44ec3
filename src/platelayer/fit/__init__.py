"""The fit room."""
