"""Keys of incidents: the press is the moment, what is typed is kept while it is typed, the form can wait."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING
from uuid import uuid4

from showcaller.calling.caller_view import CallView
from showcaller.calling.finding import incident
from showcaller.calling.incidents_view import LABELS, IncidentRow, incident_rows, incidents_banner
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c
from showcaller.run.incidents import BY_MISTAKE, DRAFT, FORM
from showcaller.run.runlog import INCIDENTS

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

DRAFT_EVERY_S = 0.4
"""So often at most what is being typed goes into the log (our choice)."""

_SEE_TO = (
    "injury, near miss or damage, then what happened: 'near miss: the riser moved'; 'mistake': nothing did. "
    "First see to the person and call the venue's first aid; this is a record only: the venue's accident "
    "report must still be filed"
)


class IncidentKeys:
    """Logs at the press; whatever is typed afterwards belongs to that moment."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys
        self._typing: tuple[str, str] | None = None
        self._sent = ""
        self._sent_s = 0.0

    def incident(self, session: RunSession, _view: CallView) -> None:
        """Somebody was hurt, nearly hurt, or something damaged: stamped now, said then."""
        ident = uuid4().hex[:12]
        session.send(c.OpenIncident(ident, by=_who(session)))
        self._ask_what(session, ident, "What happened? This moment is logged already", "")

    def incident_form(self, session: RunSession, _view: CallView) -> None:
        """What is still to be said of an incident: which, then field by field."""
        rows = [row for row in incident_rows(session.book) if row.blank]
        if not rows:
            words = "No incident of this show waits for words"
            self._words.say("incident form", words, 2.0, "quiet")
        elif len(rows) == 1:
            self._form(session, rows[0])
        else:
            self._ask_which(session, rows)

    def banner(self, session: RunSession | None) -> str:
        """What stands over the box while nobody has said what an incident was."""
        return "" if session is None else incidents_banner(session.book, self._keys["incident_form"])

    def look(self, session: RunSession) -> None:
        """What is being typed goes into the log every now and then: a killed desk loses none of it."""
        if self._typing is None or self._typing[1] == self._sent:
            return
        if time.monotonic() - self._sent_s >= DRAFT_EVERY_S:
            ident, self._sent = self._typing
            self._sent_s = time.monotonic()
            session.send(c.WriteIncident(ident, {DRAFT: self._sent}, by=_who(session)))

    def _ask_which(self, session: RunSession, rows: list[IncidentRow]) -> None:
        def done(text: str) -> str | None:
            if not text.isdecimal() or not 1 <= int(text) <= len(rows):
                return f"type the number of an incident: 1 to {len(rows)}"
            self._form(session, rows[int(text) - 1])
            return None

        hint = "\n".join(f"{n}  {row.words}" for n, row in enumerate(rows, 1))
        self._words.ask("Which incident?", done, hint)

    def _form(self, session: RunSession, row: IncidentRow) -> None:
        if row.to_come:
            self._ask_what(session, row.id, f"What happened at {row.at}?", row.draft)
        else:
            self._ask_field(session, row, FORM.index(row.blank[0]))

    def _ask_what(self, session: RunSession, ident: str, question: str, typed: str) -> None:
        self._typing, self._sent = None, typed

        def typing(text: str) -> str:
            self._typing = (ident, text)
            return _SEE_TO

        def done(text: str) -> str | None:
            if text.lower() in ("mistake", BY_MISTAKE):
                self._give(session, ident, {"kind": BY_MISTAKE})
                self._words.say("by mistake", "the press stays in the log, and is no incident", 3.0, "quiet")
                return None
            found = incident(text)
            if found is None and text:
                self._ask_kind(session, ident, text)
                return None
            if found is None:
                return "type what happened; or: mistake, if nothing did"
            self._tell(session, ident, *found)
            return None

        self._words.ask(question, done, suggest=typing, typed=typed)

    def _ask_kind(self, session: RunSession, ident: str, what: str) -> None:
        """What happened was said in plain words: only what kind it was is still to be said."""
        session.send(c.WriteIncident(ident, {DRAFT: what}, by=_who(session)))
        self._typing = None

        def done(text: str) -> str | None:
            found = next((k for k in INCIDENTS if text and k.startswith(text.lower())), None)
            if found is None:
                return f"type {', '.join(INCIDENTS[:-1])} or {INCIDENTS[-1]}; its first letter is enough"
            self._tell(session, ident, found, what)
            return None

        hint = "its first letter is enough. The moment and the words are logged; Escape: later"
        self._words.ask(f"“{what}”: an injury, a near miss, or damage?", done, hint)

    def _tell(self, session: RunSession, ident: str, kind: str, what: str) -> None:
        self._give(session, ident, {"kind": kind, "what": what})
        key = self._keys["incident_form"]
        self._words.say(kind, f"logged with its moment; {key}: the rest of its form", 3.0)

    def _give(self, session: RunSession, ident: str, fields: dict[str, str]) -> None:
        self._typing = None
        session.send(c.WriteIncident(ident, fields, by=_who(session)))

    def _ask_field(self, session: RunSession, row: IncidentRow, at: int) -> None:
        field = FORM[at]

        def done(text: str) -> str | None:
            if text:
                self._give(session, row.id, {field: text})
            if at + 1 < len(FORM):
                self._ask_field(session, row, at + 1)
            else:
                self._words.say("incident form", "kept; the venue's own report must still be filed", 3.0)
            return None

        hint = f"{row.words}. Enter keeps it and goes on; empty: later; Escape: the rest later"
        self._words.ask(LABELS[field], done, hint, typed=row.fields.get(field, ""))


def _who(session: RunSession) -> str:
    return session.book.state.caller or session.name if session.has_calls else session.name
