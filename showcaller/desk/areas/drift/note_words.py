"""The words of a line of the list of notes; behind an incident what is filled in of its form. No Qt."""

from showcaller.review.incidents import form_words, has_form
from showcaller.review.moments import Moment
from showcaller.review.report import RunReport


def note_words(report: RunReport, moment: Moment) -> str:
    """``near miss: the riser moved · witness: Bo``; how much of the form, where only some read it."""
    if moment.kind == "look":
        return f"look: {moment.name}"
    if moment.kind in ("note", "page"):
        return moment.words
    words = f"{moment.name}: {moment.words}"
    mine = (i for i in report.incidents if i.t_ns == moment.t_ns and has_form(i))
    found = next(mine, None) if moment.kind == "incident" else None
    form = "" if found is None else form_words(found, report.plan.show.incident_readers)
    return f"{words} · {form}" if form else words
