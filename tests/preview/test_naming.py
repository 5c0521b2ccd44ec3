"""Names of pieces in sentences, with the numbers that the drawings show."""

from dataclasses import replace

import preview_scene as scene
from platelayer.preview.report.naming import numbered


def test_every_piece_named_has_its_number_beside_it_once():
    manifest, _, _ = scene.board(12)
    pieces = {piece.id: piece.order for piece in manifest.pieces}
    said = numbered("straight-01 and straight-12: straight-01 lies beside straight-120 and my-straight-02.", manifest)
    assert said == (
        f"straight-01 (number {pieces['straight-01']}) and straight-12 (number {pieces['straight-12']}): "
        "straight-01 lies beside straight-120 and my-straight-02."
    )


def test_of_many_boards_the_board_is_said_too():
    manifest, _, _ = scene.board(2)
    many = replace(manifest, boards=(*manifest.boards, replace(manifest.boards[0], id="B")))
    assert numbered("straight-02", many) == "straight-02 (number 2 of board A)"


def test_a_sentence_that_names_none_stays():
    manifest, _, _ = scene.board(1)
    assert numbered("The board is thin.", manifest) == "The board is thin."
    assert numbered("straight-01", replace(manifest, pieces=())) == "straight-01"
