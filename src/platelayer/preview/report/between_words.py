"""What a woodworker does between two files: turn the board, change the bit, zero again; and what lies under the board.

Glossary:
    lying: a board as it lies zeroed on the machine. All strips lie alike: fence and zero stay while they are fed.
    changed bit: the file begins with another bit than the one before it on the same lying board ended with.
"""

from collections.abc import Iterator
from typing import Final

from platelayer.gcode.board_frame import board_of
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestFile
from platelayer.units import show_length
from platelayer.values.findings import Report
from platelayer.values.pieces import BoardFace


def words_before(manifest: Manifest) -> dict[str, tuple[str, ...]]:
    """By file name, what to do before it, a sentence each; no entry for a file that is just run."""
    last_bit: dict[str, str] = {}
    face = {board.id: BoardFace.TOP for board in manifest.boards}
    found: dict[str, tuple[str, ...]] = {}
    for file in manifest.files:
        board = board_of(manifest, file.board)
        lying = "" if board.is_strip else board.id
        is_turned = (face[board.id], file.face) == (BoardFace.BOTTOM, BoardFace.TOP)
        is_changed = bool(file.bits) and last_bit.get(lying, file.bits[0].id) != file.bits[0].id
        words = [turning_words(board, is_changed=is_changed)] if is_turned else []
        words += [change_words(board, file.bits[0].id)] if is_changed else []
        words += [SITTING] if _goes_on(manifest, file) else []
        found |= {file.name: tuple(words)} if words else {}
        face[board.id] = file.face
        last_bit |= {lying: file.bits[-1].id} if file.bits else {}
    return found


SITTING: Final = (
    "another sitting: the board stayed as it lay and the bit in; keep every zero, and find it again, and prove it, if"
    " the machine was off"
)
"""What to do before a file that goes on where the one before it ended."""


def _goes_on(manifest: Manifest, file: ManifestFile) -> bool:
    """It cuts the same face of the same board with the same bit as the file before it of that board."""
    same = [one for one in manifest.files if one.board == file.board]
    at = same.index(file)
    before = same[at - 1] if at else None
    return before is not None and before.face is file.face and before.bits[-1:] == file.bits[:1]


def turning_words(board: ManifestBoard, *, is_changed: bool) -> str:
    """How a board is turned over between its files; lower faces are cut first. A changed bit is zeroed afterwards."""
    zero = "zero z again on the face that lies up then, keep x and y" if board.zero == "top" else "keep every zero"
    stops = ""
    if board.turning is not None and board.turning.dowels:
        dowel = board.turning.dowels[0]
        longest = show_length(board.thickness_mm + dowel.depth_mm)
        stops = (
            f", on {len(board.turning.dowels)} dowels of {show_length(dowel.diameter_mm)}, none"
            f" longer than {longest}, in the holes that go through into the spoilboard"
        )
    elif board.turning is not None:
        stops = ", against the same fence and stop"
    kept = "keep x and y" if is_changed else zero
    return f"turn board {board.id} over about its long middle line, left stays left{stops}; {kept}"


def change_words(board: ManifestBoard, bit_id: str) -> str:
    """How another bit is put in while the board stays zeroed along x and y."""
    where = "on top of the wood, where nothing is cut" if board.zero == "top" else "on the spoilboard, beside the wood"
    return f"put in {bit_id} and zero z again with this bit, {where}; keep x and y"


def spoilboard_words(manifest: Manifest, report: Report) -> tuple[str, ...]:
    """How far the bit goes into what lies under each board, by the files; nothing for boards it does not go through."""
    return tuple(dict.fromkeys(_through(manifest, report)))


def _through(manifest: Manifest, report: Report) -> Iterator[str]:
    for board in manifest.boards:
        below_mm = max((file.below_mm for file in report.files if file.board == board.id), default=0.0)
        if below_mm:
            more = ", and as much further as the wood is thinner than stated" if board.zero == "top" else ""
            dowels = board.turning.dowels if board.turning else ()
            deep = show_length(below_mm)
            holes = f", {show_length(max(one.depth_mm for one in dowels))} for dowels" if dowels else ""
            yield f"The bit goes through, {deep} into the spoilboard{holes}{more}: lay one that may be cut."
