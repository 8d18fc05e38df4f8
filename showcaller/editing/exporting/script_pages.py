"""The pages that are read aloud, on paper behind the call script: one a sheet, with a box to tick a line."""

from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, PageBreak, Spacer, Table

from showcaller.editing.exporting.paper import ROOM, TALL, tick_box
from showcaller.model import PageLine, ReadingClearance, Show, SpokenPage
from showcaller.model.pages import ABOVE, VENUES_FIRST
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph

SIZES = (17.0, 15.0, 13.0, 11.0, 9.5)
"""Type sizes in points that are tried, largest first, for a page to fit its sheet."""


def page_sheets(show: Show) -> list[Flowable]:
    """A sheet for every page, each behind a page break."""
    parts: list[Flowable] = []
    for page in show.pages:
        blocks = (_block(show, page, size) for size in SIZES)
        block = next((b for b in blocks if sum(p.wrap(ROOM, TALL)[1] for p in b) <= TALL - 2), None)
        parts += [PageBreak(), *(block or _block(show, page, SIZES[-1]))]
    return parts


def _block(show: Show, page: SpokenPage, size: float) -> list[Flowable]:
    regular, bold = fonts()
    title = ParagraphStyle("page", fontName=bold, fontSize=size + 8, leading=(size + 8) * 1.25)
    small = ParagraphStyle(
        "by", fontName=regular, fontSize=size - 2, leading=size * 1.25, textColor=colors.HexColor("#333333")
    )
    says = ParagraphStyle("says", fontName=bold, fontSize=size, leading=size * 1.3)
    above = ParagraphStyle("above", parent=small, fontName=bold, textColor=colors.black)
    head: list[Flowable] = [
        Paragraph(escape(page.name), title),
        Paragraph(f"{page.kind} · read by {escape(page.reader)} · opened at ______ closed at ______", small),
    ]
    if page.kind in VENUES_FIRST:
        head += [Spacer(1, 4), Paragraph(ABOVE, above)]
    head.append(Spacer(1, size * 0.6))
    if not page.lines:
        return [*head, Paragraph("no lines yet", small)]
    rows = [[tick_box(size), _said(show, line, says, small), Paragraph("", small)] for line in page.lines]
    table = Table(rows, colWidths=[size * 2, ROOM - size * 6.5, size * 4.5])
    table.setStyle(
        [("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
         ("LINEBELOW", (2, 0), (2, -1), 0.5, colors.grey), ("BOTTOMPADDING", (0, 0), (-1, -1), size * 0.5)]
    )  # fmt: skip
    return [*head, table]


def _said(show: Show, line: PageLine, says: ParagraphStyle, small: ParagraphStyle) -> list[Flowable]:
    parts = [f"answered by {line.who}"] if line.who else []
    clearance = next((c for c in show.clearances if c.id == line.clearance), None)
    if clearance is not None:
        parts.append(f"clearance {clearance.name} ({clearance.position})")
    if isinstance(clearance, ReadingClearance):
        parts.append(f"reading ______ {clearance.unit}, {clearance.limit_words} from {clearance.source}")
    if line.action:
        parts.append(f"then: {line.action}")
    said: list[Flowable] = [Paragraph(escape(line.says), says)]
    return [*said, Paragraph(escape(" · ".join(parts)), small)] if parts else said
