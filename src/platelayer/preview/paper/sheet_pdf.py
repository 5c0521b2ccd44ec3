"""The shop sheet on paper: the parts of a sheet and the drawings of its boards, as the bytes of a PDF.

Same sheet, same bytes: no date, no chance. reportlab is loaded only when a sheet is made.
"""

from collections.abc import Mapping
from dataclasses import replace
from html import escape
from io import BytesIO
from typing import Final, TypeAlias

from platelayer.manifest.schema import Manifest
from platelayer.preview.paper.measures import POINTS_PER_MM, Canvas, Flowable, Paper, Points, page_size, paper_for
from platelayer.preview.paper.parts import SheetSection, SheetTable, ShopSheet, is_under
from platelayer.preview.paper.pdf import flowable
from platelayer.preview.pictures import palette
from platelayer.preview.pictures.drawing import Drawing

Style: TypeAlias = Flowable

_MARGIN: Final = 15.0 * POINTS_PER_MM
_FOOT: Final = 9.0 * POINTS_PER_MM
_PADDING: Final = 12.0
"""What reportlab's frame keeps at its sides."""
_ALONE_MM: Final = 220.0
_AMONG_MM: Final = 125.0
"""Height of a plan on paper at the most, alone and among others: one a page, or two."""


def sheet_pdf(
    sheet: ShopSheet, manifest: Manifest, plans: Mapping[str, Drawing], *, paper: Paper | None = None
) -> bytes:
    """The whole sheet as a PDF.

    Args:
        sheet: words and figures.
        manifest: for the job's plain name and its unit.
        plans: for each board its plan, in the order to be shown.
        paper: size of the pages; by the manifest's unit when None.
    """
    size = paper or paper_for(manifest)
    sheet = sheet if _has_letters_for(sheet.title) else replace(sheet, title=manifest.job)
    draft, pages = _built(sheet, plans, size, pages=0)
    whole, again = _built(sheet, plans, size, pages=pages)
    return whole if again == pages else draft


def _has_letters_for(text: str) -> bool:
    """The PDF's own fonts have a letter for each of these; others would be printed as black boxes."""
    return text.encode("cp1252", errors="ignore").decode("cp1252") == text


def _built(sheet: ShopSheet, plans: Mapping[str, Drawing], paper: Paper, *, pages: int) -> tuple[bytes, int]:
    from reportlab.platypus import SimpleDocTemplate

    page = page_size(paper)
    width = page[0] - 2 * _MARGIN - _PADDING
    out = BytesIO()
    document = SimpleDocTemplate(
        out,
        pagesize=page,
        leftMargin=_MARGIN,
        rightMargin=_MARGIN,
        topMargin=_MARGIN,
        bottomMargin=_MARGIN + _FOOT,
        title=f"Shop sheet: {sheet.title}",
        author="platelayer",
        invariant=1,
    )

    def foot(canvas: Canvas, _document: object) -> None:
        canvas.saveState()
        canvas.setFont("Helvetica", 7.5)
        canvas.setFillColor(palette.FAINT_INK)
        number = canvas.getPageNumber()
        canvas.drawString(_MARGIN + _PADDING / 2, _FOOT, f"{sheet.title} - {sheet.verdict}")
        canvas.drawRightString(
            page[0] - _MARGIN - _PADDING / 2, _FOOT, f"page {number}" + (f" of {pages}" if pages else "")
        )
        canvas.restoreState()

    document.build(_story(sheet, plans, width), onFirstPage=foot, onLaterPages=foot)
    return out.getvalue(), int(document.page)


def _story(sheet: ShopSheet, plans: Mapping[str, Drawing], width: Points) -> list[Flowable]:
    from reportlab.platypus import KeepTogether, Paragraph, Spacer

    styles = _styles()
    story: list[Flowable] = [_head(sheet, width, styles), Spacer(1, 6), _facts(sheet, width, styles)]
    for section in sheet.first:
        story += _section(section, width, styles)
    high = (_ALONE_MM if len(plans) == 1 else _AMONG_MM) * POINTS_PER_MM
    for board, plan in plans.items():
        title = Paragraph(escape(f"Board {board}"), styles["heading"])
        story.append(KeepTogether([title, flowable(plan, width=width, height=high)]))
    for section in sheet.after:
        story += _section(section, width, styles)
    return story


def _styles() -> dict[str, Style]:
    from reportlab.lib.colors import HexColor
    from reportlab.lib.styles import ParagraphStyle

    ink = HexColor(palette.INK)
    body = ParagraphStyle("body", fontName="Helvetica", fontSize=9, leading=11.5, textColor=ink)
    return {
        "title": ParagraphStyle("title", parent=body, fontName="Helvetica-Bold", fontSize=17, leading=21),
        "heading": ParagraphStyle(
            "heading", parent=body, fontName="Helvetica-Bold", fontSize=11.5, leading=14, spaceBefore=11, spaceAfter=4
        ),
        "body": ParagraphStyle("sentence", parent=body, spaceAfter=3),
        "item": ParagraphStyle("item", parent=body, leftIndent=10, bulletIndent=1, spaceAfter=2.5),
        "under": ParagraphStyle("under", parent=body, leftIndent=20, bulletIndent=11, spaceAfter=1.5),
        "check": ParagraphStyle("check", parent=body, leading=12.5),
        "cell": ParagraphStyle("cell", parent=body, fontSize=8, leading=9.8),
        "head": ParagraphStyle("head", parent=body, fontName="Helvetica-Bold", fontSize=8, leading=9.8),
        "small": ParagraphStyle("small", parent=body, fontSize=7.5, leading=9.5, textColor=HexColor(palette.FAINT_INK)),
        "badge": ParagraphStyle(
            "badge", parent=body, fontName="Helvetica-Bold", fontSize=10, leading=13, alignment=1, textColor="white"
        ),
    }


def _head(sheet: ShopSheet, width: Points, styles: Mapping[str, Style]) -> Flowable:
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import Paragraph, Table

    badge = Paragraph(escape(sheet.verdict), styles["badge"])
    shade = HexColor(palette.GREEN if sheet.passed else palette.VERMILLION)
    table = Table([[Paragraph(escape(sheet.title), styles["title"]), badge]], colWidths=[width * 0.7, width * 0.3])
    table.setStyle([
        ("VALIGN", (0, 0), (-1, -1), "MIDDLE"),
        ("LEFTPADDING", (0, 0), (0, 0), 0),
        ("BACKGROUND", (1, 0), (1, 0), shade),
        ("LINEBELOW", (0, 0), (-1, -1), 1.2, HexColor(palette.INK)),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 6),
    ])
    return table


def _facts(sheet: ShopSheet, width: Points, styles: Mapping[str, Style]) -> Flowable:
    from reportlab.platypus import Paragraph, Table

    rows = [
        [Paragraph(escape(name), styles["head"]), Paragraph(escape(value), styles["body"])]
        for name, value in sheet.facts
    ]
    table = Table(rows, colWidths=[width * 0.12, width * 0.88])
    table.setStyle([
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 0.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
    ])
    return table


def _section(section: SheetSection, width: Points, styles: Mapping[str, Style]) -> list[Flowable]:
    """A section's flowables, heading kept with what follows; nothing when it is empty."""
    from reportlab.platypus import KeepTogether, Paragraph

    style = "item" if section.is_warning or len(section.sentences) > 1 else "body"
    bullet = None if style == "body" else "•"
    parts: list[Flowable] = [
        Paragraph(escape(one.strip()), styles["under" if is_under(one) else style], bulletText=bullet)
        for one in section.sentences
    ]
    if section.checks:
        parts.append(_checks(section.checks, width, styles))
    if section.table and section.table.rows:
        parts.append(_table(section.table, width, styles))
    if not parts:
        return []
    heading = Paragraph(escape(section.title), styles["heading"])
    whole = KeepTogether([heading, *parts])
    return [whole] if len(parts) < 14 else [KeepTogether([heading, parts[0]]), *parts[1:]]


def _checks(checks: tuple[str, ...], width: Points, styles: Mapping[str, Style]) -> Flowable:
    from reportlab.graphics.shapes import Drawing, Rect
    from reportlab.platypus import Paragraph, Table

    def box() -> Flowable:
        drawing = Drawing(9, 10)
        drawing.add(Rect(0.5, 0, 8, 8, fillColor=None, strokeWidth=0.9))
        return drawing

    table = Table([[box(), Paragraph(escape(check), styles["check"])] for check in checks], colWidths=[16, width - 16])
    table.setStyle([
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 1),
        ("TOPPADDING", (0, 0), (-1, -1), 1),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 1.5),
    ])
    return table


def _table(table: SheetTable, width: Points, styles: Mapping[str, Style]) -> Flowable:
    from reportlab.lib.colors import HexColor
    from reportlab.platypus import Paragraph, Table

    def cell(words: str, style: str) -> Flowable:
        return Paragraph(escape(words).replace("\n", "<br/>"), styles[style])

    rows = [[cell(words, "head") for words in table.head]]
    rows += [[cell(words, "cell") for words in row] for row in table.rows]
    total = sum(table.shares)
    made = Table(rows, colWidths=[width * share / total for share in table.shares], repeatRows=1)
    made.setStyle([
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LINEBELOW", (0, 0), (-1, 0), 0.9, HexColor(palette.INK)),
        ("LINEBELOW", (0, 1), (-1, -1), 0.3, HexColor(palette.WASTE)),
        ("LEFTPADDING", (0, 0), (-1, -1), 2),
        ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ("TOPPADDING", (0, 0), (-1, -1), 2.5),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.5),
    ])
    return made
