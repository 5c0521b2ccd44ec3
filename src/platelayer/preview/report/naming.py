"""Names of pieces in sentences, with the number that each has in the plan beside it.

Glossary:
    number: a piece's place in the order of cutting on its board, as the plan, the page and the sheet's drawing show it.
"""

import re

from platelayer.manifest.schema import Manifest, ManifestPiece


def numbered(sentence: str, manifest: Manifest) -> str:
    """The sentence with the number of every piece it names, beside the name where it first stands."""
    pieces = {piece.id: piece for piece in manifest.pieces}
    if not pieces:
        return sentence
    names = "|".join(re.escape(name) for name in sorted(pieces, key=len, reverse=True))
    said: set[str] = set()

    def beside(match: re.Match[str]) -> str:
        name = match[0]
        if name in said:
            return name
        said.add(name)
        return f"{name} ({_number(pieces[name], manifest)})"

    return re.sub(rf"(?<![\w.-])(?:{names})(?![\w-])", beside, sentence)


def _number(piece: ManifestPiece, manifest: Manifest) -> str:
    board = f" of board {piece.board}" if len(manifest.boards) > 1 else ""
    return f"number {piece.order}{board}"
