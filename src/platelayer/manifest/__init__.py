"""The contract: what a folder's files are meant to make. Schema, build, write and read."""
