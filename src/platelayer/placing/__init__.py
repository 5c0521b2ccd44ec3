"""Pieces laid on boards, before any path is made."""
