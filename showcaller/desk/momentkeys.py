"""Keys for moments of the evening that are no item's: the last note, the house lights."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.wording import plural
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c
from showcaller.run.runbook import RunBook

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class MomentKeys:
    """A second press moves the moment; taking back is as for anything."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys

    def last_note(self, session: RunSession, _view: CallView) -> None:
        """The last note has sounded; in the middle of the show only by a second press."""
        book, what = session.book, "last note"
        to_come = items_to_come(book)
        if (
            session.book.state.begun_ns is not None
            and to_come
            and what not in book.state.moments
            and not self._words.twice("last note", to_come[0])
        ):
            more = f" and {len(to_come) - 1} more" if len(to_come) > 1 else ""
            key = self._keys["last_note"]
            words = f"{plural(len(to_come), 'item is', 'items are')} still to come: {to_come[0]}{more}"
            self._words.say(f"{key} again: the last note has sounded", words, 3.0)
            return
        self._mark(session, what)

    def house_lights(self, session: RunSession, _view: CallView) -> None:
        """The house lights come up."""
        self._mark(session, "house lights")

    def _mark(self, session: RunSession, what: str) -> None:
        if session.book.state.begun_ns is None:
            self._words.say(f"no {what} yet", "the show begins with its first go", 3.0, "quiet")
            return
        if what in session.book.state.moments and not self._words.twice("moment", what):
            self._words.say(f"press again to move the {what}", "It is marked already", 3.0)
            return
        back = self._keys["back"]
        session.send(c.MarkMoment(what))
        self._words.say(what, f"{back} {back} in Call takes it back", 2.0, "quiet")


def items_to_come(book: RunBook) -> tuple[str, ...]:
    """Names of the items after the one that is on; before anything began, of all."""
    state = book.state
    first = state.item + (state.begun_ns is not None)
    found = (one.planned.item for one in book.compiled.items[first:])
    return tuple(item.name for item in found if item.id not in book.skipped_items)
