"""Checks of the dry run, one family of findings a module; none trusts anything but the files and the manifest."""
