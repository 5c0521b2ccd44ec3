"""The shop sheet as one web page that needs nothing else: for a screen in the shop, and to print without a PDF reader.

The plans are the SVG pictures made elsewhere; ids in them are not renamed, so each plan must carry its own.
"""

from collections.abc import Mapping
from html import escape

from platelayer.preview.paper.parts import SheetSection, SheetTable, ShopSheet, is_under
from platelayer.preview.pictures import palette


def sheet_html(sheet: ShopSheet, plans: Mapping[str, str]) -> str:
    """The whole page.

    Args:
        sheet: words and figures.
        plans: for each board its picture as the text of an SVG file, in the order to be shown.
    """
    facts = "".join(f"<dt>{escape(name)}</dt><dd>{escape(value)}</dd>" for name, value in sheet.facts)
    pictures = "".join(
        f"<section><h2>Board {escape(board)}</h2><figure>{_inline(svg)}</figure></section>"
        for board, svg in plans.items()
    )
    body = (
        f'<header><h1>{escape(sheet.title)}</h1><p class="{"good" if sheet.passed else "bad"}">'
        f"{escape(sheet.verdict)}</p></header><dl>{facts}</dl>"
        + "".join(map(_section, sheet.first))
        + pictures
        + "".join(map(_section, sheet.after))
    )
    return (
        '<!DOCTYPE html>\n<html lang="en"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>Shop sheet: {escape(sheet.title)}</title><style>{_STYLE}</style></head><body>{body}</body></html>\n"
    )


def _inline(svg: str) -> str:
    """The svg element alone, without the lines before it that only a file of its own may have."""
    return svg[svg.find("<svg") :] if "<svg" in svg else ""


def _section(section: SheetSection) -> str:
    parts = []
    if len(section.sentences) == 1 and not section.is_warning:
        parts.append(f"<p>{escape(section.sentences[0])}</p>")
    elif section.sentences:
        parts.append("<ul>" + "".join(map(_item, section.sentences)) + "</ul>")
    if section.checks:
        boxes = "".join(
            f'<li><label><input type="checkbox"><span>{escape(one)}</span></label></li>' for one in section.checks
        )
        parts.append(f'<ul class="checks">{boxes}</ul>')
    if section.table and section.table.rows:
        parts.append(_table(section.table))
    return f"<section><h2>{escape(section.title)}</h2>{''.join(parts)}</section>" if parts else ""


def _item(sentence: str) -> str:
    return f"<li{' class=under' if is_under(sentence) else ''}>{escape(sentence.strip())}</li>"


def _table(table: SheetTable) -> str:
    def row(cells: tuple[str, ...], name: str) -> str:
        return "<tr>" + "".join(f"<{name}>{escape(cell).replace(chr(10), '<br>')}</{name}>" for cell in cells) + "</tr>"

    body = "".join(row(cells, "td") for cells in table.rows)
    return f'<div class="wide"><table><thead>{row(table.head, "th")}</thead><tbody>{body}</tbody></table></div>'


_STYLE = f"""
body{{font:16px/1.45 system-ui,'Liberation Sans',Arial,sans-serif;color:{palette.INK};background:{palette.PAPER};
max-width:60rem;margin:0 auto;padding:1rem 1.2rem 3rem}}
header{{display:flex;flex-wrap:wrap;gap:1rem;align-items:center;justify-content:space-between;
border-bottom:2px solid {palette.INK}}}
h1{{margin:.3rem 0;font-size:1.7rem}} h2{{font-size:1.15rem;margin:1.6rem 0 .4rem}}
header p{{margin:.3rem 0;padding:.35rem 1rem;color:#fff;font-weight:700;border-radius:.25rem}}
.good{{background:#00775a}} .bad{{background:#a84300}}
dl{{display:grid;grid-template-columns:max-content 1fr;gap:.1rem 1rem;margin:.8rem 0}}
dt{{font-weight:700}} dd{{margin:0}}
ul{{margin:.3rem 0;padding-left:1.2rem}} li{{margin:.25rem 0}} .checks{{list-style:none;padding-left:0}}
.under{{margin-left:1.2rem}} .checks label{{display:grid;grid-template-columns:1.1rem 1fr;gap:.5rem}}
.checks input{{width:1.1rem;height:1.1rem;margin:.15rem 0 0}}
.wide{{overflow-x:auto}} table{{border-collapse:collapse;width:100%;font-size:.92rem}}
th,td{{text-align:left;vertical-align:top;padding:.25rem .6rem .25rem 0;border-bottom:1px solid {palette.WASTE}}}
th{{border-bottom:2px solid {palette.INK}}}
figure{{margin:0;overflow-x:auto}} figure svg{{width:100%;height:auto}}
@media screen and (max-width:40rem){{table{{font-size:.8rem}} figure svg{{width:40rem}}}}
@media print{{body{{background:#fff;font-size:11px;max-width:none;padding:0}} section{{break-inside:avoid}}}}
""".replace("\n", "")
