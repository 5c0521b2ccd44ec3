"""What a person looks at and carries to the shop, made from a folder's files and the dry run's report alone."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from platelayer.manifest.schema import Manifest, ManifestPiece
from platelayer.pieces.routes import routes_through
from platelayer.preview.page.document import page_html
from platelayer.preview.pictures.drawing import Drawing
from platelayer.preview.pictures.outlines import board_layers, outlines_dxf, outlines_svg
from platelayer.preview.pictures.plan import AGAIN_ON_A_SHEET, ON_A_SHEET, plan, plans_of
from platelayer.preview.pictures.section import section_svg
from platelayer.preview.report.summary import summary_text
from platelayer.proof.joints import MATE_CUT
from platelayer.road.proving import Proof
from platelayer.values.findings import JointReport, Report
from platelayer.values.pieces import BoardFace, EndKind

PREVIEW: Final = "preview.html"
SHEET: Final = "sheet.pdf"
PNG_WIDTH_PX: Final = 2400
"""Wide enough to print on a whole page at 200 dots to the inch."""
PLACEMENT: Final = "placement.json"
_MARKS: Final = {BoardFace.TOP: "", BoardFace.BOTTOM: "bottom-"}


Plans = Mapping[tuple[str, BoardFace], str]


def outputs(proof: Proof) -> dict[str, bytes]:
    """What every ``make`` puts beside the G-code, by file name: plans, a joint, the page and the summary."""
    manifest, report = proof.manifest, proof.report
    plans = _plans(proof)
    made = _named(plans)
    made |= _joint_picture(manifest, report)
    made["summary.txt"] = summary_text(manifest, report)
    made[PREVIEW] = _page(proof, plans)
    return {name: text.encode("utf-8") for name, text in made.items()}


def plans_by_name(proof: Proof) -> dict[str, str]:
    """The plans of every board and face, by file name."""
    return _named(_plans(proof))


def _named(plans: Plans) -> dict[str, str]:
    return {f"{board}-{_MARKS[face]}plan.svg": plan for (board, face), plan in plans.items()}


def page_of(proof: Proof) -> str:
    """The page on which a person watches the dry run."""
    return _page(proof, _plans(proof))


def _page(proof: Proof, plans: Plans) -> str:
    read = proof.read
    report = replace(proof.report, findings=proof.unworded)
    return page_html(read.manifest, read.motions, read.texts, report=report, times=read.times, plans=plans)


def _plans(proof: Proof) -> Plans:
    seconds = {name: time.total_s for name, time in proof.read.times.items()}
    return plans_of(proof.manifest, proof.read.motions, seconds=seconds, findings=proof.report.told)


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
    return (joint.piece, joint.end) == end and joint.mate in MATE_CUT.values()


def shop_outputs(proof: Proof) -> dict[str, bytes]:
    """The shop sheet as PDF and page, full-size templates, and the outlines as drawings, by file name."""
    from platelayer.preview.paper.content import shop_sheet
    from platelayer.preview.paper.sheet_html import sheet_html
    from platelayer.preview.paper.sheet_pdf import sheet_pdf
    from platelayer.preview.paper.templates import template_pdf
    from platelayer.preview.pictures.png import svg_to_png  # these libraries cost start-up

    manifest, report = proof.manifest, proof.report
    sheet = shop_sheet(manifest, report, proof.read.motions)
    plans = {board: plan for (board, face), plan in _plans(proof).items() if face is BoardFace.TOP}
    made = {
        SHEET: sheet_pdf(sheet, manifest, _paper_plans(proof)),
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


def _paper_plans(proof: Proof) -> dict[str, Drawing]:
    """The plan of every board as it goes among the words of a sheet; the legend once."""
    boards = [board.id for board in proof.manifest.boards]
    return {
        board: plan(proof.manifest, proof.read.motions, board_id=board, look=AGAIN_ON_A_SHEET if index else ON_A_SHEET)
        for index, board in enumerate(boards)
    }
