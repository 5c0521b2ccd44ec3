"""The roads behind ``platelayer floor``: from a floor file to what closes its gaps, and on to a job.

Glossary:
    ground: a floor with the job whose joint, holding and bits count for it, and the pieces where they lie.
"""
