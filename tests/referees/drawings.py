"""What a drawing holds, however deep in its groups."""

from platelayer.preview.pictures.drawing import Group, Shape, Words


def words_of(parts):
    """All words of the parts, groups searched through."""
    found = []
    for part in parts:
        if isinstance(part, Words):
            found.append(part)
        elif isinstance(part, Group):
            found += words_of(part.parts)
    return tuple(found)


def shapes_of(parts):
    """All shapes of the parts, groups searched through."""
    found = []
    for part in parts:
        if isinstance(part, Shape):
            found.append(part)
        elif isinstance(part, Group):
            found += shapes_of(part.parts)
    return tuple(found)
