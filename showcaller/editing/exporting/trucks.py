"""The get-out on paper: its trucks as they are loaded, with room for when a door opened and closed."""

from datetime import date
from xml.sax.saxutils import escape

from reportlab.lib import colors
from reportlab.lib.styles import ParagraphStyle
from reportlab.platypus import Flowable, Spacer, Table

from showcaller.editing.day import day_instants, dock_clashes
from showcaller.editing.exporting.paper import ROOM, Head, make_pdf
from showcaller.editing.exporting.script import edition_words
from showcaller.model import Show
from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph

CAUTION = (
    "Nobody hurries a get-out. Docks, ramps, lifts and forklifts are the venue's: its rules, its licensed "
    "drivers and the dock's own word come before this sheet. Keep clear of loads that move, and stop when "
    "anybody says so."
)
_SHARES = (0.05, 0.19, 0.09, 0.35, 0.1, 0.11, 0.11)
_HEADS = ("", "truck", "dock", "goes in, in this order", "planned", "opened", "closed")


def truck_sheet(show: Show, edition: str, printed: str) -> bytes:
    """A PDF of the get-out. Without a truck in the day sheet it says how to give one."""
    regular, bold = fonts()
    text = ParagraphStyle("text", fontName=regular, fontSize=11, leading=15)
    small = ParagraphStyle("small", parent=text, fontSize=9, leading=12)
    strong = ParagraphStyle("strong", parent=text, fontName=bold, fontSize=13, leading=17)
    names = {d.id: d.name for d in show.departments}
    rows: list[list[Flowable]] = [[Paragraph(head, small) for head in _HEADS]]
    for item, starts, ends in day_instants(show, date.fromisoformat(show.date or "2000-01-01")):
        if item.kind != "truck":
            continue
        who = [
            ", ".join(names[d] for d in item.departments),
            f"crew {item.crew}" if item.crew else "",
            item.notes,
        ]
        more = " · ".join(escape(w) for w in who if w)
        goes_in = escape(item.carries) + (f"<br/><font size='9'>{more}</font>" if more else "")
        planned = f"{starts:%H:%M}" + (f"<br/>{ends:%H:%M}" if ends is not None else "")
        cells = (str(len(rows)), escape(item.name), escape(item.dock), goes_in, planned, "", "")
        rows.append([Paragraph(cell, strong if n < 3 else text) for n, cell in enumerate(cells)])
    parts: list[Flowable] = [Paragraph(escape(CAUTION), text), Spacer(1, 8)]
    if len(rows) == 1:
        said = "No truck is in the day sheet yet; type one there, such as 23:40-00:20 truck: Truck 1; dock B."
        parts.append(Paragraph(said, text))
    else:
        table = Table(rows, colWidths=[ROOM * share for share in _SHARES], repeatRows=1, hAlign="LEFT")
        table.setStyle([
            ("VALIGN", (0, 0), (-1, -1), "TOP"), ("LINEBELOW", (0, 0), (-1, -1), 0.4, colors.grey),
            ("BOX", (5, 1), (5, -1), 0.6, colors.black), ("BOX", (6, 1), (6, -1), 0.6, colors.black),
            ("LEFTPADDING", (0, 0), (0, -1), 0), ("TOPPADDING", (0, 1), (-1, -1), 5),
            ("BOTTOMPADDING", (0, 1), (-1, -1), 12),
        ])  # fmt: skip
        parts.append(table)
    parts += [Paragraph(escape(f"{words}."), text) for words in dock_clashes(show)]
    return make_pdf(Head(f"{show.name}: get-out", edition_words(show, edition, printed)), parts)
