"""Incidents of the run that is on, for people: what is said of each, and what is still to be said. Pure."""

from collections.abc import Mapping

from showcaller.calling.wording import day_time, plural
from showcaller.run import events as ev
from showcaller.run.incidents import BY_MISTAKE, DRAFT, blank, to_come
from showcaller.run.runbook import RunBook
from showcaller.timing.planned_start import zone_of
from showcaller.values import Struct

LABELS: Mapping[str, str] = {
    "person": "Person: who was hurt or nearly hurt, and their employer",
    "place": "Place: where exactly",
    "witness": "Witness: who saw it",
    "first_aid": "First aid: given by whom, taken where; or none",
    "follow_up": "Follow-up: what is done about it, by whom",
}
"""What a field of the form asks for."""


class IncidentRow(Struct, frozen=True):
    """One: the time of day of its press, ``words`` with what happened, what is missing (``blank``)."""

    id: str
    at: str
    words: str
    fields: Mapping[str, str]
    blank: tuple[str, ...]
    to_come: bool
    draft: str


def incident_rows(book: RunBook) -> list[IncidentRow]:
    """All of a run, in the order of their moments."""
    wall = {e.incident: r.wall_ns for r in book.records for e in r.events if isinstance(e, ev.IncidentOpened)}
    zone = zone_of(book.compiled.plan.show)
    rows = []
    for ident, one in book.state.incidents.items():
        fields = one.fields
        at = day_time(wall[ident], zone) if ident in wall else "–"
        kind, what = fields.get("kind", ""), fields.get("what", "")
        said = kind if kind == BY_MISTAKE else f"{kind}: {what}"
        words = "nobody has said yet what happened" if to_come(fields) else said
        rows.append(
            IncidentRow(
                ident,
                at,
                f"{at} {words}",
                fields,
                blank(fields),
                to_come(fields),
                fields.get(DRAFT, ""),
            )
        )
    return rows


def incidents_banner(book: RunBook, key: str) -> str:
    """That an incident has its moment and no words yet; empty where all have."""
    waiting = [row for row in incident_rows(book) if row.to_come] if book.state.incidents else []
    if not waiting:
        return ""
    if len(waiting) == 1:
        return f"incident {waiting[0].at[:5]}: what happened? {key}"
    return f"{plural(len(waiting), 'incident')}: what happened? {key}"
