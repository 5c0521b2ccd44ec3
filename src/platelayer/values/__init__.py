"""What passes between the rooms: frozen values with fields and closed-form properties, nothing else.

Import from the module of the topic: shapes, pieces, tooling, cuts, motion, manifest, findings.
"""
