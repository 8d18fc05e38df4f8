"""The show report on paper: one page of what matters with a picture of the drift, then the tables (A4)."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.graphics.shapes import Drawing, Line, Rect, String
from reportlab.lib.colors import HexColor
from reportlab.lib.enums import TA_RIGHT
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.platypus import (
    CondPageBreak,
    PageBreak,
    SimpleDocTemplate,
    Spacer,
    Table,
    TableStyle,
)

from showcaller.paper.typefaces import BOLD, REGULAR, fonts
from showcaller.paper.writing import Paragraph, in_order, runs, width, write
from showcaller.review.exports.picture import fall_boxes
from showcaller.review.exports.progress import Steps
from showcaller.review.exports.sheet_minutes import at_right, for_people
from showcaller.review.exports.sheets import Cell, Sheet, text_of
from showcaller.review.incidents import count_words
from showcaller.review.report import RunReport, TourReport
from showcaller.review.slips import counted
from showcaller.review.words import no_offer_words

INK, QUIET, LINE = HexColor("#14181A"), HexColor("#566068"), HexColor("#D5DBDF")
OVER, UNDER = HexColor("#C2551F"), HexColor("#1F77AD")
MARGIN = 16 * mm
ROOM = A4[0] - 2 * MARGIN
OFF_S = 0.5


def _style(name: str, size: float, **more: Any) -> ParagraphStyle:
    fields: dict[str, Any] = {"fontName": REGULAR, "leading": size * 1.4, "textColor": INK, **more}
    return ParagraphStyle(name, fontSize=size, **fields)


TITLE = _style("title", 19, fontName=BOLD, leading=24)
HEAD = _style("head", 11.5, fontName=BOLD, spaceBefore=11, spaceAfter=3)
BODY = _style("body", 9.5)
SMALL = _style("small", 8, textColor=QUIET)
CELL = _style("cell", 7.5, leading=9.6)
NUMBER = _style("number", 7.5, leading=9.6, alignment=TA_RIGHT)
TOP = _style("top", 7.2, fontName=BOLD, leading=9, textColor=QUIET)
TOP_RIGHT = _style("top right", 7.2, fontName=BOLD, leading=9, textColor=QUIET, alignment=TA_RIGHT)


def write_paper(
    report: RunReport, tour: TourReport, sheets: Sequence[Sheet], path: Path, steps: Steps
) -> None:
    """Write ``.pdf``, with the fonts in it, so that every accent prints anywhere."""
    fonts()
    steps.next("the first page")
    story: list[Any] = [*_front(report, tour), PageBreak()]
    for sheet in sheets:
        steps.next(sheet.name)
        story += _table(for_people(_told(sheet)))
    pages = _Pages(report.title, steps)
    document = SimpleDocTemplate(
        str(path), pagesize=A4, leftMargin=MARGIN, rightMargin=MARGIN, topMargin=MARGIN, bottomMargin=18 * mm,
        title=report.title, author="showcaller", subject=report.sentence,
        initialFontName=REGULAR,
    )  # fmt: skip
    steps.next("laying out")
    document.build(story, onFirstPage=pages, onLaterPages=pages)


class _Pages:
    """The foot of every page; also where a long layout can be stopped."""

    def __init__(self, title: str, steps: Steps) -> None:
        self._title = title
        self._steps = steps

    def __call__(self, canvas: Any, document: Any) -> None:
        self._steps.next(f"page {document.page}")
        canvas.saveState()
        canvas.setFillColor(QUIET)
        write(canvas, MARGIN, 10 * mm, self._title, REGULAR, 7.5)
        canvas.setFont(REGULAR, 7.5)
        canvas.drawRightString(A4[0] - MARGIN, 10 * mm, f"page {document.page}")
        canvas.restoreState()


def _front(report: RunReport, tour: TourReport) -> list[Any]:
    show, edition = report.plan.show, report.edition
    label = f", {edition.label}" if edition.label else ""
    facts = (
        f"{show.act} · {show.venue} · {report.date} · edition {edition.number}{label} · "
        f"called by {report.run.caller or 'nobody named'}"
    )
    story: list[Any] = [
        Paragraph(escape(report.title), TITLE),
        Paragraph(escape(report.sentence), _style("sentence", 11.5)),
        Paragraph(escape(facts), SMALL),
        Paragraph("Incidents", HEAD),
        *_incidents(report, tour),
        Paragraph("Where the time went, minutes and seconds", HEAD),
        _picture(report),
    ]
    lines = [
        f"{s.caller}: {s.goes} goes, {100 * s.near:.0f} % within half a second, median "
        f"{s.median_error_s:+.2f} s, worst {s.worst_s:+.2f} s"
        + (f"; {s.unsaid} of their standbys never called" if s.unsaid else "")
        for s in report.scores
    ]
    slips = counted(report.slips)
    lines.append("Cues: " + (", ".join(f"{n} {kind}" for kind, n in slips.items()) if slips else "no errors"))
    slow = [r for r in report.reactions if r.median_s is not None]
    if slow:
        lines.append(
            "Standbys acknowledged in, median: "
            + ", ".join(f"{r.department} {r.median_s:.1f} s" for r in slow[:8])
        )
    lost = sum(d.failed for d in report.deliveries)
    lines.append(f"Messages not delivered: {lost}")
    if report.timecode is not None:
        lines.append(
            f"Timecode good {100 * report.timecode.share:.1f} % of the time, "
            f"lost {report.timecode.losses} times"
        )
    story.append(Paragraph("The calling", HEAD))
    story += [Paragraph(escape(line), BODY) for line in lines]
    story.append(Paragraph("For tomorrow", HEAD))
    if not tour.offers:
        story.append(Paragraph(no_offer_words(report.fall), BODY))
    for offer in tour.offers[:5]:
        story.append(
            Paragraph(f"{escape(offer.words)} <font color='#566068'>{escape(offer.detail)}</font>", BODY)
        )
    return story


def _incidents(report: RunReport, tour: TourReport) -> list[Any]:
    words = f"This time: {count_words(report.incidents)}. The tour so far: {count_words(tour.incidents)}."
    lines = [Paragraph(words, BODY)]
    lines += [Paragraph(escape(f"{i.kind}: {i.words}"), BODY) for i in report.incidents[:4]]
    if len(report.incidents) > 4:
        lines.append(Paragraph(f"and {len(report.incidents) - 4} more, in the table below", SMALL))
    return lines


def _picture(report: RunReport) -> Drawing:
    height, label_room, figure_room = 130.0, 26.0, 14.0
    drawing = Drawing(ROOM, height + label_room + figure_room)
    boxes, links = fall_boxes(report.fall, ROOM, height)
    foot = label_room

    def up(y: float) -> float:
        return foot + height - y

    for link in links:
        drawing.add(Line(link.x0, up(link.y), link.x1, up(link.y), strokeColor=QUIET, strokeWidth=0.5))
    for n, box in enumerate(boxes):
        fill = INK if box.end else OVER if box.lost else UNDER
        bar = Rect(box.x, up(box.y + box.h), box.w, box.h)
        bar.fillColor, bar.strokeColor = fill, None
        drawing.add(bar)
        middle = box.x + box.w / 2
        for part in _words(middle, up(box.y) + 4, box.figure, BOLD, 8, INK, box.w * 1.15):
            drawing.add(part)
        # Labels of neighbours keep out of each other's way where bars are narrow.
        narrow = len(boxes) > 9
        low, room = (1 if narrow and n % 2 else 12), box.w * (2.1 if narrow else 1.15)
        for part in _words(middle, low, box.label, REGULAR, 7.2, INK, room):
            drawing.add(part)
    return drawing


def _words(x: float, y: float, words: str, font: str, size: float, colour: Any, room: float) -> list[String]:
    """Centred, cut to its room."""
    while len(words) > 3 and width(words, font, size) > room:
        words = words.rstrip("…")[:-1].rstrip() + "…"
    x -= width(words, font, size) / 2
    found: list[String] = []
    for name, part in runs(in_order(words), font):
        found.append(String(x, y, part, fontName=name, fontSize=size, fillColor=colour))
        x += stringWidth(part, name, size)
    return found


def _told(sheet: Sheet) -> Sheet:
    """On paper only sections that were off are worth their line; the spreadsheet has them all."""
    if sheet.name != "Sections":
        return sheet
    off = tuple(row for row in sheet.rows if isinstance(row[4], float) and abs(row[4]) >= OFF_S)
    name = f"Sections off by half a second or more, of {len(sheet.rows)}"
    shown = for_people(Sheet(sheet.name, sheet.headings, off, sheet.wide))
    return Sheet(name, shown.headings, shown.rows, shown.wide)


def _quiet(words: str) -> str:
    return f"<font color='#566068'>{escape(words)}</font>"


def _table(sheet: Sheet) -> list[Any]:
    story: list[Any] = [
        Paragraph(f"{escape(sheet.name)} <font color='#566068'>{len(sheet.rows)}</font>", HEAD)
    ]
    if not sheet.rows:
        return [*story, Paragraph("None.", BODY)]
    numeric = [
        n not in sheet.wide and any(at_right(row[n]) for row in sheet.rows)
        for n in range(len(sheet.headings))
    ]
    top = [Paragraph(escape(h), TOP_RIGHT if numeric[n] else TOP) for n, h in enumerate(sheet.headings)]
    body = [[_cell(value, numeric[n]) for n, value in enumerate(row)] for row in sheet.rows]
    table = Table([top, *body], colWidths=_widths(sheet), repeatRows=1, hAlign="LEFT")
    table.setStyle(
        TableStyle(
            [
                ("FONTNAME", (0, 0), (-1, -1), REGULAR),
                ("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE),
                ("VALIGN", (0, 0), (-1, -1), "TOP"),
                ("LEFTPADDING", (0, 0), (-1, -1), 0),
                ("RIGHTPADDING", (0, 0), (-1, -1), 6),
                ("TOPPADDING", (0, 0), (-1, -1), 1.6),
                ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
            ]
        )
    )
    # A heading at the foot of a page whose table is on the next belongs to nothing.
    return [CondPageBreak(90), *story, table, Spacer(1, 4)]


def _widths(sheet: Sheet) -> list[float]:
    """As wide as what stands in it, within reason; what is left goes to the columns that hold words."""
    wants = []
    for n, heading in enumerate(sheet.headings):
        longest = max(heading.split(), key=len)
        cells = [text_of(row[n]) for row in sheet.rows]
        most = max((width(c, REGULAR, 7.5) for c in cells), default=0)
        least = width(longest, BOLD, 7.2)
        wants.append(max(least, min(most, ROOM / 3 if n in sheet.wide else ROOM / 5)) + 9)
    spare = ROOM - sum(wants)
    wide = [n for n in range(len(wants)) if n in sheet.wide]
    if spare > 0 and wide:
        for n in wide:
            wants[n] += min(spare / len(wide), 90)
    elif spare < 0:
        wants = [w * ROOM / sum(wants) for w in wants]
    return wants


def _cell(value: Cell, number: bool) -> Paragraph:
    return Paragraph(escape(text_of(value)), NUMBER if number else CELL)
