"""The post room."""
