"""Whom to call at tonight's venue, on one page: medical, security, fire first; then the house's rules."""

from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer, Table

from showcaller.editing.exporting.paper import ROOM, Head, make_pdf
from showcaller.editing.exporting.script import edition_words
from showcaller.editing.venues import in_calling_order, venue_of_tonight
from showcaller.model import Show
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph

CAUTION = (
    "In an emergency the venue's own procedure comes first, and the emergency number of the country. This "
    "sheet is only as right as who typed it: try the numbers before doors."
)


def contact_sheet(show: Show, edition: str, printed: str) -> bytes:
    """A PDF. Without a venue of the tour it says how to give one."""
    regular, bold = fonts()
    text = ParagraphStyle("text", fontName=regular, fontSize=11, leading=15)
    head = ParagraphStyle("head", fontName=bold, fontSize=13, leading=20, spaceBefore=10)
    large = ParagraphStyle("large", fontName=bold, fontSize=16, leading=21)
    venue = venue_of_tonight(show)
    parts: list[Flowable] = [Paragraph(escape(CAUTION), text), Spacer(1, 8)]
    if venue is None or not venue.contacts:
        parts.append(Paragraph("Nobody to call is typed yet: the Book's venues have a line for each.", text))
    else:
        rows = [
            [
                Paragraph(escape(c.role), text),
                Paragraph(escape(c.name), large),
                Paragraph(escape(c.reached or ""), large),
            ]
            for c in in_calling_order(venue.contacts)
        ]
        table = Table(rows, colWidths=[ROOM * 0.26, ROOM * 0.4, ROOM * 0.34])
        table.setStyle(
            [("LINEBELOW", (0, 0), (-1, -1), 0.4, "#888888"), ("VALIGN", (0, 0), (-1, -1), "MIDDLE")]
        )
        parts.append(table)
    if venue is not None and venue.rules:
        parts.append(Paragraph("Rules of the house and of the country", head))
        parts += [Paragraph("• " + escape(rule), text) for rule in venue.rules]
    return make_pdf(Head(f"{show.name}: whom to call", edition_words(show, edition, printed)), parts)
