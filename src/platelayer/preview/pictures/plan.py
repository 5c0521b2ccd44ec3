"""The plan of a board as one SVG, for the wall of the shop: what is wood, what goes, in which order, held by what.

Glossary:
    plan: the board seen from above, one user unit a millimetre. sheet: board, rulers, title and legend together.
    swath: the band that the bit sweeps along a move, drawn as a stroke as wide as the bit.
    step (of the sheet): the height of small print, taken from the board's size so that a long board reads as well.
"""

from collections.abc import Mapping, Sequence
from html import escape

from platelayer.gcode.board_frame import board_of, files_of, on_board
from platelayer.geometry.contours import rectangle
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestPiece
from platelayer.preview.pictures import palette, plan_legend, plan_marks, plan_swaths
from platelayer.preview.pictures.svg import contour_data, num, tag
from platelayer.values.findings import Finding
from platelayer.values.motion import Motion
from platelayer.values.pieces import BoardFace

_FONT = "'Liberation Sans', Arial, Helvetica, 'DejaVu Sans', sans-serif"


def plans_of(
    manifest: Manifest,
    motions: Mapping[str, Motion],
    *,
    seconds: Mapping[str, float] | None = None,
    findings: Sequence[Finding] = (),
) -> dict[tuple[str, BoardFace], str]:
    """Every plan of a job, by board and face; the lower face of those boards alone that are cut on it."""
    return {
        (board.id, face): plan_svg(manifest, motions, board_id=board.id, face=face, seconds=seconds, findings=findings)
        for board in manifest.boards
        for face in BoardFace
        if face is BoardFace.TOP or files_of(manifest, board.id, face)
    }


def plan_svg(
    manifest: Manifest,
    motions: Mapping[str, Motion],
    *,
    board_id: str,
    face: BoardFace = BoardFace.TOP,
    seconds: Mapping[str, float] | None = None,
    findings: Sequence[Finding] = (),
) -> str:
    """The plan of one board as the text of an SVG file.

    Args:
        manifest: what was meant: outlines, tabs, no-go areas, order.
        motions: the files as read, by name; what is drawn as cut is drawn from these alone.
        board_id: which board.
        face: which face lies up.
        seconds: time of each file by name, shown in the legend where given.
        findings: problems; those with a point on this board are marked and numbered.

    Raises:
        KeyError: the manifest has no such board.
    """
    board = board_of(manifest, board_id)
    width, height = board.size_mm
    step = max(width, 1.15 * height) / 88
    cut = [
        (on_board(motions[file.name], file, board), file)
        for file in files_of(manifest, board_id, face)
        if file.name in motions
    ]
    pieces = sorted((p for p in manifest.pieces if p.board == board_id), key=lambda p: (p.order, p.id))
    shown = [finding for finding in findings if finding.where.board == board_id and finding.where.point]
    body = [
        _wood(board),
        _pieces(pieces, height_mm=height),
        plan_swaths.swaths(cut, thickness_mm=board.thickness_mm, height_mm=height),
        _outlines(pieces, face=face, height_mm=height, step_mm=step),
        plan_swaths.rapids(cut, height_mm=height, step_mm=step),
        plan_marks.no_go(board, step_mm=step),
        plan_marks.dowels(board, step_mm=step),
        plan_marks.tabs(pieces, cut, height_mm=height, step_mm=step),
        plan_marks.labels(pieces, height_mm=height, step_mm=step),
        plan_marks.problems(shown, height_mm=height, step_mm=step),
        plan_marks.zero(board, step_mm=step) if face is BoardFace.TOP else "",
        plan_marks.grain(board, step_mm=step),
        plan_legend.rulers(board, step_mm=step),
        plan_legend.title(manifest, board, face=face, step_mm=step),
    ]
    legend, legend_height = plan_legend.legend(
        manifest, board, cut, seconds=seconds or {}, findings=shown, step_mm=step
    )
    left, top, right = 7 * step, 14 * step, 6 * step
    box = (-left, -top, width + left + right, height + top + legend_height + 6 * step)
    sheet = tag("rect", x=box[0], y=box[1], width=box[2], height=box[3], fill=palette.PAPER)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{" ".join(num(part) for part in box)}" '
        f'width="{num(box[2])}mm" height="{num(box[3])}mm" font-family="{_FONT}" fill="{palette.INK}">'
        + tag("title", escape(f"Plan of board {board.id}, {manifest.heading}"))
    )
    whole = "\n".join([head, plan_marks.DEFS.replace("STEP", num(step)), sheet, *body, legend, "</svg>\n"])
    number = [each.id for each in manifest.boards].index(board_id)
    for name in ("board", "nogo", "tip"):
        own = f"{name}-{number}-{face.value}"
        whole = whole.replace(f'id="{name}"', f'id="{own}"').replace(f"url(#{name})", f"url(#{own})")
    return whole


def _wood(board: ManifestBoard) -> str:
    """The board with a hint of grain, the same every time."""
    height = board.size_mm[1]
    lines = plan_marks.grain_lines(board)
    edge_data = contour_data(board.outline or rectangle((0.0, 0.0), board.size_mm), height_mm=height)
    frame = tag("path", d=edge_data, fill=palette.WASTE)
    clip = tag("clipPath", tag("path", d=edge_data), id="board")
    grain = tag(
        "path",
        d=lines,
        fill="none",
        stroke=palette.GRAIN,
        stroke_width=0.45,
        stroke_opacity=0.8,
        clip_path="url(#board)",
    )
    edge = tag("path", d=edge_data, fill="none", stroke=palette.INK, stroke_width=0.7)
    return frame + clip + grain + edge


def _pieces(pieces: Sequence[ManifestPiece], *, height_mm: float) -> str:
    data = "".join(
        contour_data(contour, height_mm=height_mm) for piece in pieces for contour in (piece.outline, *piece.inner)
    )
    return tag("path", d=data, fill=palette.MAPLE, fill_rule="evenodd") if data else ""


def _outlines(pieces: Sequence[ManifestPiece], *, face: BoardFace, height_mm: float, step_mm: float) -> str:
    """Outlines as designed in ink, and the grooves of the face that lies down in dashes."""
    data = "".join(
        contour_data(contour, height_mm=height_mm) for piece in pieces for contour in (piece.outline, *piece.inner)
    )
    hidden = [groove for piece in pieces for groove in piece.grooves if groove.face is not face]
    below = "".join(contour_data(groove.path, height_mm=height_mm) for groove in hidden)
    parts = [tag("path", d=data, fill="none", stroke=palette.INK, stroke_width=0.05 * step_mm)]
    if below:
        parts.append(
            tag("path", d=below, fill="none", stroke=palette.FAINT_INK, stroke_width=0.5, stroke_dasharray="4 2")
        )
    return "".join(parts)
