"""The preview room."""
