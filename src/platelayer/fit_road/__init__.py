"""The order of rooms behind ``platelayer fit``."""
