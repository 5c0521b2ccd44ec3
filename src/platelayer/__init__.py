"""Wooden toy-railway track, from a job in fractions to proved G-code."""
