"""The digit keys: a clearance is withdrawn by one press and given by two, and only when it is asked for."""

from __future__ import annotations

from math import isfinite, nan
from typing import TYPE_CHECKING

from showcaller.calling.status_view import clearance_rows
from showcaller.desk.ask import Done
from showcaller.desk.callwords import CallWords
from showcaller.run import commands as c

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


def clearance_key(words: CallWords, key: str, number: int, session: RunSession) -> None:
    """The clearance of a digit key. A stray press may take a yes away, which costs a second; it never gives
    one. A reading is typed, which is the second, deliberate act."""
    rows = clearance_rows(session.book, session.now_ns())
    if number > len(rows):
        return
    row = rows[number - 1]
    if row.there:
        by = session.book.state.caller if session.has_calls else session.name
        session.send(c.Clear(clearance=row.id, ok=False, by=by))
        words.clear()
        words.say("withdrawn", f"{row.name}: NOT CLEAR, withdrawn here; tell {row.position}", 3.0, "missed")
    elif not row.needed:
        words.say("not needed now", f"{row.name}: nothing coming up needs it", 3.0, "quiet")
    elif row.reading is not None and not words.twice("clearance", row.id):
        # The prompt opens at the second press only: a second press meant for a yes would be typed into it.
        words.say(f"{key} again, then type the reading", f"{row.name}, in {row.reading}", 3.0)
    elif row.reading is not None:
        hint = "Enter gives it; the limit is the one in the set piece's own engineer's letter"
        words.ask(f"{row.name}, in {row.reading}", _reading(session, row.id), hint)
    elif words.twice("clearance", row.id):
        session.send(c.Clear(clearance=row.id, ok=True))
        words.say("clear", f"{row.name}, from {row.position}", 3.0, "accent")
    else:
        words.say(f"{key} again gives it, if {row.position} says so", row.name, 3.0)


def _reading(session: RunSession, clearance: str) -> Done:
    def done(text: str) -> str | None:
        try:
            value = float(text.replace(",", "."))
        except ValueError:
            value = nan
        if not isfinite(value):
            what = f"'{text}' is not a number" if text else "no reading was typed"
            return f"{what}; type the reading, such as 8.5"
        session.send(c.Clear(clearance, True, value))
        return None

    return done
