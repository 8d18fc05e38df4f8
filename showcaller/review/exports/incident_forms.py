"""The forms of a run's incidents on paper, one after another, for those the show names (A4)."""

from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.pagesizes import A4
from reportlab.lib.units import mm
from reportlab.platypus import KeepTogether, SimpleDocTemplate, Spacer, Table, TableStyle

from showcaller.paper.typefaces import fonts
from showcaller.paper.writing import Paragraph
from showcaller.review.exports.paper import BODY, HEAD, LINE, MARGIN, ROOM, SMALL, TITLE
from showcaller.review.exports.progress import Steps
from showcaller.review.exports.sheets import moment_words
from showcaller.review.incidents import Incident, has_form
from showcaller.review.report import RunReport
from showcaller.run.incidents import FORM

_LABEL = 34 * mm
_NONE = "No incident of this run has a form."
ABOVE = (
    "A record of what was logged, and no more: the venue's accident report, and any report the law asks for, "
    "must still be filed, by whoever the venue names."
)


def write_forms(report: RunReport, path: Path, steps: Steps) -> None:
    """Write ``.pdf``; a field that is blank has room to write in."""
    fonts()
    readers = report.plan.show.incident_readers
    steps.next("forms")
    story: list[Any] = [
        Paragraph(escape(f"Incidents of {report.title}"), TITLE),
        Paragraph(escape(f"{report.date} · {report.plan.show.venue} · called by {report.run.caller}"), SMALL),
        Paragraph(
            escape(f"For {', '.join(readers)} only." if readers else "Nobody is named to read these."), BODY
        ),
        Paragraph(escape(ABOVE), SMALL),
    ]
    found = [one for one in report.incidents if has_form(one)]
    story += [KeepTogether(_form(report, one)) for one in found]
    if not found:
        story.append(Paragraph(_NONE, BODY))
    document = SimpleDocTemplate(
        str(path), pagesize=A4, leftMargin=MARGIN, rightMargin=MARGIN, topMargin=MARGIN, bottomMargin=MARGIN,
        title=f"Incidents of {report.title}", author="showcaller",
    )  # fmt: skip
    steps.next("laying out")
    document.build(story)


def _form(report: RunReport, one: Incident) -> list[Any]:
    rows = [("what", one.words), ("logged by", one.by)]
    rows += [(name.replace("_", " "), one.form.get(name, "")) for name in FORM]
    table = Table(
        [[Paragraph(escape(name), SMALL), Paragraph(escape(words), BODY)] for name, words in rows],
        colWidths=[_LABEL, ROOM - _LABEL],
        rowHeights=[None if words else 13 * mm for _, words in rows],
    )
    table.setStyle(
        TableStyle([("LINEBELOW", (0, 0), (-1, -1), 0.4, LINE), ("VALIGN", (0, 0), (-1, -1), "TOP")])
    )
    head = f"{one.kind} · {moment_words(report, one.t_ns)}"
    return [Spacer(1, 6), Paragraph(escape(head), HEAD), table]
