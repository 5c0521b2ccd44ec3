"""What a person looks at and carries to the shop, made from a folder's files and the dry run's report alone."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from platelayer.gcode.motion import move_times
from platelayer.manifest.schema import Manifest, ManifestPiece
from platelayer.pieces.routes import routes_through
from platelayer.preview.page.document import page_html
from platelayer.preview.pictures.outlines import board_layers, outlines_dxf, outlines_svg
from platelayer.preview.pictures.plan import plan_svg
from platelayer.preview.pictures.section import section_svg
from platelayer.preview.report.summary import summary_text
from platelayer.values.findings import JointReport, Report
from platelayer.values.motion import Motion
from platelayer.values.pieces import BoardFace, EndKind

PREVIEW: Final = "preview.html"
PNG_WIDTH_PX: Final = 2400
"""Wide enough to print on a whole page at 200 dots to the inch."""
PLACEMENT: Final = "placement.json"


@dataclass(frozen=True, slots=True)
class ReadBack:
    """A folder as read from disk: nothing here comes from the generator's memory."""

    manifest: Manifest
    texts: Mapping[str, str]
    motions: Mapping[str, Motion]


def papers(read: ReadBack, report: Report) -> dict[str, bytes]:
    """What every ``make`` puts beside the G-code, by file name: plans, a joint, the page and the summary."""
    manifest = read.manifest
    made = {f"{board.id}-plan.svg": plan_svg(manifest, read.motions, board_id=board.id) for board in manifest.boards}
    for board_id in dict.fromkeys(file.board for file in manifest.files if file.face is BoardFace.BOTTOM):
        made[f"{board_id}-bottom-plan.svg"] = plan_svg(manifest, read.motions, board_id=board_id, face=BoardFace.BOTTOM)
    made |= _joint_picture(manifest, report)
    made["summary.txt"] = summary_text(manifest, report)
    made[PREVIEW] = page_of(read, report)
    return {name: text.encode("utf-8") for name, text in made.items()}


def page_of(read: ReadBack, report: Report) -> str:
    """The page on which a person watches the dry run."""
    times = {name: move_times(motion, read.manifest.machine) for name, motion in read.motions.items()}
    return page_html(read.manifest, read.motions, read.texts, report=report, times=times)


def _joint_picture(manifest: Manifest, report: Report) -> dict[str, str]:
    """The first peg in the first socket of another piece, else of its own; nothing when the job has not both."""
    straight_first = sorted(manifest.pieces, key=lambda piece: not _runs_straight(piece))
    ends = [(piece.id, index, end.kind) for piece in straight_first for index, end in enumerate(piece.ends)]
    peg = next(((piece, index) for piece, index, kind in ends if kind is EndKind.PEG), None)
    sockets = [(piece, index) for piece, index, kind in ends if kind is EndKind.SOCKET]
    if peg is None or not sockets:
        return {}
    socket = next((one for one in sockets if one[0] != peg[0]), sockets[0])
    seat = next((joint.seat for joint in report.joints if _is_own(joint, peg)), None)
    return {"joint.svg": section_svg(manifest, peg=peg, socket=socket, seat=seat)}


def _runs_straight(piece: ManifestPiece) -> bool:
    """Every way through it is straight, and there is one."""
    routes = routes_through(piece.ends, piece.grooves)
    return bool(routes) and all(route.is_straight for route in routes)


def _is_own(joint: JointReport, end: tuple[str, int]) -> bool:
    return (joint.piece, joint.end) == end and joint.mate.endswith("of this job")


def shop_papers(read: ReadBack, report: Report) -> dict[str, bytes]:
    """The shop sheet as PDF and page, full-size templates, and the outlines as drawings, by file name."""
    from platelayer.preview.paper.content import shop_sheet
    from platelayer.preview.paper.sheet_html import sheet_html
    from platelayer.preview.paper.sheet_pdf import sheet_pdf
    from platelayer.preview.paper.templates import template_pdf
    from platelayer.preview.pictures.png import svg_to_png  # these libraries cost start-up

    manifest = read.manifest
    sheet = shop_sheet(manifest, report, read.motions)
    plans = {board.id: plan_svg(manifest, read.motions, board_id=board.id) for board in manifest.boards}
    made = {
        "sheet.pdf": sheet_pdf(sheet, manifest),
        "sheet.html": sheet_html(sheet, plans).encode("utf-8"),
        "templates.pdf": template_pdf(manifest),
    }
    made |= {f"{board}-plan.png": svg_to_png(plan, width_px=PNG_WIDTH_PX) for board, plan in plans.items()}
    for name, picture in _joint_picture(manifest, report).items():
        made[name.replace(".svg", ".png")] = svg_to_png(picture, width_px=PNG_WIDTH_PX)
    for board in manifest.boards:
        layers = board_layers(manifest, board.id)
        made[f"{board.id}-outlines.dxf"] = outlines_dxf(layers).encode("ascii")
        made[f"{board.id}-outlines.svg"] = outlines_svg(layers, title=f"{manifest.heading}, board {board.id}").encode(
            "utf-8"
        )
    return made
