"""What a page changes in a person's own files: one key at a time, as they stand on disk, and nothing besides.

Glossary:
    edit: one value of one file: where it stands, what it was when the person saw it, what it is to be.
    conflict: the value is no longer what the person saw; nothing is written, and both are told.
    the one before: a file as it stood before the last save, kept beside it in a folder of its own.
"""
