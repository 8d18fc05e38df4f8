"""Changes for tonight, from this desk: made on the show that is on, by the engine; shown here at once."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import TYPE_CHECKING

from showcaller.editing import Change, ChangeError, apply
from showcaller.model import Show
from showcaller.run import commands as c
from showcaller.run.codec import to_json
from showcaller.run.machine import step

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

LONGEST_CHANGE = 50_000
"""Characters of JSON; a request to the engine has room for a little more."""

UNHEARD_AFTER_S = 3.0
"""A change of which the engine says nothing for so long has not reached it."""

Check = Callable[[Show, Show], None]


class ShowTonight:
    """The show that is on, as it is with the changes sent. ``show`` is what an area shows and changes.

    A change is tried on this desk's own picture of the run first, by the engine's own rules, so that a
    refusal comes with the key; the engine has the last word.
    """

    def __init__(self, session: RunSession) -> None:
        self._session = session
        self.show: Show = session.book.compiled.plan.show
        self._answered = session.book.change_answers
        self._waiting = 0
        self._sent_s = 0.0
        self._done: list[tuple[str, Change]] = []
        """What would take each change back, with its words."""
        self._undone: list[tuple[str, Change]] = []

    def do(self, words: str, change: Change, check: Check) -> None:
        """Make a change.

        Raises:
            ChangeError: it cannot be made, or not tonight; nothing changed.
        """
        inverse = self._make(words, change, check)
        self._done.append((words, inverse))
        self._undone.clear()

    def undo(self) -> str | None:
        """Take the last change back; what it was, or None if there is none.

        Raises:
            ChangeError: it cannot be taken back any more.
        """
        return self._back(self._done, self._undone, "taken back: {}")

    def redo(self) -> str | None:
        """Make again what was taken back; what it was, or None.

        Raises:
            ChangeError: it cannot be made any more.
        """
        return self._back(self._undone, self._done, "again: {}")

    def _back(
        self, taken: list[tuple[str, Change]], other: list[tuple[str, Change]], words: str
    ) -> str | None:
        if not taken:
            return None
        what, change = taken[-1]
        inverse = self._make(words.format(what), change, lambda _before, _after: None)
        taken.pop()
        other.append((what, inverse))
        return what

    def _make(self, words: str, change: Change, check: Check) -> Change:
        session = self._session
        changed, inverse = apply(self.show, change)
        check(self.show, changed)
        if not session.has_calls:
            caller = session.book.state.caller or "another desk"
            raise ChangeError(f"{caller} has the calls: ask for them, or have the change made at that desk")
        by = session.book.state.caller or session.name
        given = c.ChangeTonight(change.model_dump(mode="json"), words, by)
        if len(to_json(given.change)) > LONGEST_CHANGE:
            raise ChangeError("that is too much at once for a show that is on; make it in smaller parts")
        if not self._waiting:
            book = session.book
            _, out = step(book.compiled, book.state, given, session.now_ns())
            if out.refused is not None:
                raise ChangeError(out.refused)
        session.send(given)
        self.show, self._sent_s = changed, time.monotonic()
        self._waiting += 1
        return inverse

    @property
    def waiting(self) -> int:
        """How many changes the engine has not answered yet."""
        return self._waiting

    def look(self) -> tuple[bool, str | None]:
        """Whether the show is another than it was at the last look, and why the engine refused a change."""
        book = self._session.book
        heard, self._answered = book.change_answers - self._answered, book.change_answers
        self._waiting = max(0, self._waiting - max(0, heard))
        refused = book.refused if heard > 0 and book.change_refused else None
        if self._waiting and time.monotonic() - self._sent_s > UNHEARD_AFTER_S:
            self._waiting, refused = 0, "the last change did not reach the engine: look whether it is there"
        theirs = book.compiled.plan.show
        if self._waiting or theirs is self.show or theirs == self.show:
            return False, refused
        self.show = theirs
        return True, refused
