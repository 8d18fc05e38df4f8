"""What changed between two editions, on paper: a note to the crew to be handed out."""

from xml.sax.saxutils import escape

from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, KeepTogether, Spacer, Table

from showcaller.editing.comparing import Comparison
from showcaller.editing.exporting.paper import ROOM, Head, make_pdf, tick_box
from showcaller.model import Show
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph

_SIZE = 11.0


def crew_note(show: Show, title: str, found: Comparison, printed: str) -> bytes:
    """A PDF: what is otherwise, by item, each with a box to tick; what is now too close together last.

    Args:
        title: between which editions.
        printed: when it was, in words.
    """
    regular, bold = fonts()
    plain = ParagraphStyle("plain", fontName=regular, fontSize=_SIZE, leading=_SIZE * 1.3)
    head = ParagraphStyle(
        "head", parent=plain, fontName=bold, fontSize=_SIZE + 1, spaceBefore=8, spaceAfter=2
    )
    large = ParagraphStyle("large", parent=plain, fontName=bold, fontSize=17, leading=22)
    parts: list[Flowable] = [
        Paragraph(escape(title), large), Paragraph(escape(found.summary), plain), Spacer(1, 4),
    ]  # fmt: skip
    groups: dict[str, list[str]] = {}
    for note in found.notes:
        groups.setdefault(note.item or "The show", []).append(note.words)
    if found.collisions:
        groups["Calls now too close together"] = list(found.collisions)
    for name, words in groups.items():
        lines = [_line(text, plain) for text in words]
        parts += [KeepTogether([Paragraph(escape(name), head), lines[0]]), *lines[1:]]
    return make_pdf(Head(f"{show.name}: note to the crew", f"{show.venue} · printed {printed}"), parts)


def _line(words: str, style: ParagraphStyle) -> Table:
    wide = style.fontSize * 1.8
    table = Table(
        [[tick_box(style.fontSize), Paragraph(escape(words), style)]], colWidths=[wide, ROOM - wide]
    )
    table.setStyle([("VALIGN", (0, 0), (-1, -1), "TOP"), ("LEFTPADDING", (0, 0), (-1, -1), 0),
                    ("TOPPADDING", (0, 0), (-1, -1), 1), ("BOTTOMPADDING", (0, 0), (-1, -1), 2)])  # fmt: skip
    return table
