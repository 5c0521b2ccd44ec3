"""The plan of a board, drawn once for screen and paper: what is wood, what goes, in which order, held by what.

Glossary:
    plan: the board seen from above as it lies on the machine, so turned over where its bottom face is cut.
    sheet: board, rulers, title and legend together.
    swath: the band that the bit sweeps along a move, drawn as a line as wide as the bit.
    step (of the sheet): the height of small print, taken from the board's size so that a long board reads as well.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final

from platelayer.gcode.board_frame import board_of, files_of
from platelayer.geometry.contours import rectangle
from platelayer.manifest.schema import Manifest, ManifestBoard, ManifestPiece
from platelayer.preview.pictures import palette, plan_legend, plan_marks, plan_swaths
from platelayer.preview.pictures.drawing import Drawing, Group, Ink, Part, Shape
from platelayer.preview.pictures.lying import Lying, lying, only_cut, place_lying
from platelayer.preview.pictures.svg import svg_text
from platelayer.values.findings import Finding
from platelayer.values.motion import Motion
from platelayer.values.pieces import BoardFace
from platelayer.values.shapes import Contour


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """Where a plan is looked at: alone it says everything itself, on a sheet the words round it do.

    Attributes:
        steps_wide: how many heights of small print the board is wide.
        is_alone: title, margin and ground of its own, sizes on the pieces, rapids, and the files in its legend.
        has_legend: what the marks mean.
    """

    steps_wide: int
    is_alone: bool = False
    has_legend: bool = True


ALONE: Final = Look(steps_wide=88, is_alone=True)
ON_A_SHEET: Final = Look(steps_wide=58)
"""Print that can be read when the board is as wide as a page of paper."""
AGAIN_ON_A_SHEET: Final = Look(steps_wide=58, has_legend=False)
"""The same for one more board on a sheet that has the legend already."""


def plan(
    manifest: Manifest,
    motions: Mapping[str, Motion],
    *,
    board_id: str,
    face: BoardFace = BoardFace.TOP,
    seconds: Mapping[str, float] | None = None,
    findings: Sequence[Finding] = (),
    look: Look = ALONE,
) -> Drawing:
    """The plan of one board.

    Args:
        manifest: what was meant: outlines, tabs, no-go areas, order.
        motions: the files as read, by name; what is drawn as cut is drawn from these alone.
        board_id: which board.
        face: which face lies up.
        seconds: time of each file by name, shown in the legend where given.
        findings: problems; those with a point on this board are marked and numbered.
        look: where it will be looked at.

    Raises:
        KeyError: the manifest has no such board.
    """
    scene = lying(manifest, board_of(manifest, board_id), motions, face=face)
    if face is BoardFace.BOTTOM:
        scene = only_cut(scene)
    board, pieces, cut = scene.board, scene.pieces, scene.cut
    width, height = board.size_mm
    step = max(width, 1.15 * height) / look.steps_wide
    first = manifest.units
    shown = [_lying_finding(finding, scene) for finding in findings if _is_on(finding, manifest, scene)]
    named = {finding.where.piece for finding in findings}
    labels = plan_marks.labels(pieces, step_mm=step, first=first if look.is_alone else None, named=named)
    edge = board.outline or rectangle((0.0, 0.0), board.size_mm)
    body: list[Part] = [
        *_wood(board, edge),
        Shape(_contours(pieces), Ink(fill=palette.MAPLE)),
        plan_swaths.swaths(cut, thickness_mm=board.thickness_mm, within=edge),
        *_outlines(pieces, scene, step_mm=step),
        *((plan_swaths.rapids(cut, step_mm=step),) if look.is_alone else ()),
        plan_marks.no_go(board, pieces=pieces, zero=scene.zero, step_mm=step),
        plan_marks.dowels(board, step_mm=step),
        plan_marks.backing(board, step_mm=step),
        plan_marks.tabs(pieces, cut),
        labels,
        plan_marks.problems(shown, step_mm=step),
        plan_marks.zero(board, at=scene.zero, step_mm=step),
        plan_marks.grain(board, step_mm=step),
        plan_legend.rulers(board, step_mm=step),
    ]
    left, right, above, below = (7, 6, 14, 3) if look.is_alone else (4, 4, 7, 3)
    if look.is_alone:
        body.append(plan_legend.title(manifest, board, face=face, step_mm=step))
    low_mm = -(below + (plan_marks.BACKING_STEPS if board.is_strip else 0.0)) * step
    if look.has_legend:
        legend, deep_mm = plan_legend.legend(
            manifest, scene, seconds=seconds or {}, findings=shown, step_mm=step, is_alone=look.is_alone
        )
        body.append(legend)
        low_mm = -deep_mm - (6 * step if look.is_alone else step)
    low, high = (-left * step, low_mm), (width + right * step, height + above * step)
    number = [each.id for each in manifest.boards].index(board_id)
    return Drawing(
        id=f"plan-{number}-{face.value}",
        title=f"Plan of board {board.id}, {manifest.heading}",
        low=low,
        high=high,
        parts=(Shape((rectangle(low, high),), Ink(fill=palette.PAPER)), *body) if look.is_alone else tuple(body),
    )


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
    """The plan of one board as the text of an SVG file; arguments as for ``plan``.

    Raises:
        KeyError: the manifest has no such board.
    """
    return svg_text(plan(manifest, motions, board_id=board_id, face=face, seconds=seconds, findings=findings))


def _wood(board: ManifestBoard, edge: Contour) -> tuple[Part, ...]:
    """The board with a hint of grain, the same every time."""
    grain = Shape(plan_marks.grain_lines(board), Ink(stroke=palette.GRAIN, width_mm=0.45, stroke_ratio=0.8))
    return (
        Shape((edge,), Ink(fill=palette.WASTE)),
        Group(parts=(grain,), clip=edge),
        Shape((edge,), Ink(stroke=palette.INK, width_mm=0.7)),
    )


def _contours(pieces: Sequence[ManifestPiece]) -> tuple[Contour, ...]:
    return tuple(contour for piece in pieces for contour in (piece.outline, *piece.inner))


def _outlines(pieces: Sequence[ManifestPiece], scene: Lying, *, step_mm: float) -> tuple[Shape, ...]:
    """Outlines as designed in ink; on the top face the grooves that lie down in dashes."""
    is_top = scene.face is BoardFace.TOP
    hidden = tuple(
        groove.path for piece in pieces for groove in piece.grooves if is_top and groove.face is not scene.face
    )
    return (
        Shape(_contours(pieces), Ink(stroke=palette.INK, width_mm=0.05 * step_mm)),
        Shape(hidden, Ink(stroke=palette.FAINT_INK, width_mm=0.5, dash_mm=(4.0, 2.0))),
    )


def _is_on(finding: Finding, manifest: Manifest, scene: Lying) -> bool:
    """The finding has a place on this board; one of a file is marked on that file's face alone."""
    where = finding.where
    faces = {file.name: file.face for file in manifest.files}
    return where.board == scene.board.id and bool(where.point) and faces.get(where.file, BoardFace.TOP) is scene.face


def _lying_finding(finding: Finding, scene: Lying) -> Finding:
    assert finding.where.point is not None
    return replace(
        finding, where=replace(finding.where, point=place_lying(finding.where.point, scene.board, face=scene.face))
    )
