"""The order of rooms: ``making.make`` from a job to a folder, ``proving.prove`` from bytes to a proof.

job -> geometry -> placing -> offset -> sequence -> post -> files -> gcode -> proof -> preview. Nothing is imported
here, so that a command loads only the roads that it goes.
"""
