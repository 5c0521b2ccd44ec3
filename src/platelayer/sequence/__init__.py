"""Cuts put in order: by bit, by purpose, by shortest way."""
