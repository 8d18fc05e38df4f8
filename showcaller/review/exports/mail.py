"""The show report as a mail draft: opened in a mail program it is ready to be addressed and sent."""

from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path

from showcaller.editing.naming import slug
from showcaller.review.incidents import count_words
from showcaller.review.report import RunReport, TourReport


def mail(report: RunReport, tour: TourReport, paper: bytes) -> bytes:
    """The draft's bytes, the paper with it. Nobody is named: whoever sends it decides who gets it.

    ``X-Unsent`` is what mail programs take a file for a draft by (common practice, no standard).
    """
    message = EmailMessage(policy=SMTP)
    message["Subject"] = f"{report.title}, {report.date}"
    message["X-Unsent"] = "1"
    message.set_content(words(report, tour))
    name = f"{slug(report.title)}-{report.date}.pdf"
    message.add_attachment(paper, maintype="application", subtype="pdf", filename=name)
    return message.as_bytes()


def words(report: RunReport, tour: TourReport) -> str:
    """What the mail says: incidents before times."""
    lines = [f"{report.title} · {report.plan.show.venue} · {report.date}", ""]
    lines.append(f"Incidents: {count_words(report.incidents)}.")
    lines += [f"  {one.kind}: {one.words}" for one in report.incidents]
    lines += ["", report.sentence]
    if tour.offers:
        lines += ["", "For tomorrow:", *(f"  {offer.words}" for offer in tour.offers[:5])]
    return "\n".join([*lines, "", "The whole report is attached.", ""])


def write_mail(report: RunReport, tour: TourReport, paper: Path, path: Path) -> None:
    """Write ``.eml`` with the report that lies at ``paper``."""
    path.write_bytes(mail(report, tour, paper.read_bytes()))
