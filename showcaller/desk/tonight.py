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
from showcaller.values import Struct

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

LONGEST_CHANGE = 50_000
"""Characters of JSON; a request to the engine has room for a little more."""

UNHEARD_AFTER_S = 3.0
"""A change of which the engine says nothing for so long has not reached it."""

Check = Callable[[Show, Show], None]


class _Step(Struct, frozen=True, eq=False):
    """What would take a change back, and that change's words."""

    words: str
    change: Change


class ShowTonight:
    """The show that is on, as it is with the changes sent. ``show`` is what an area shows and changes.

    A change is tried on this desk's own picture of the run first, by the engine's own rules, so that a
    refusal comes with the key; the engine has the last word.
    """

    def __init__(self, session: RunSession) -> None:
        self._session = session
        self.show: Show = session.book.compiled.plan.show
        self._answered = len(session.book.answers)
        self._sent: list[tuple[c.ChangeTonight, _Step, list[_Step]]] = []
        """What the engine has not answered yet, and where it is listed as a step of undo."""
        self._sent_s = 0.0
        self._done: list[_Step] = []
        self._undone: list[_Step] = []

    def do(self, words: str, change: Change, check: Check) -> None:
        """Make a change.

        Raises:
            ChangeError: it cannot be made, or not tonight; nothing changed.
        """
        given, inverse = self._make(words, change, check)
        self._list(given, _Step(words, inverse), self._done)
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

    def _back(self, taken: list[_Step], other: list[_Step], words: str) -> str | None:
        if not taken:
            return None
        step_ = taken[-1]
        given, inverse = self._make(words.format(step_.words), step_.change, lambda _before, _after: None)
        taken.pop()
        self._list(given, _Step(step_.words, inverse), other)
        return step_.words

    def _list(self, given: c.ChangeTonight, step_: _Step, steps: list[_Step]) -> None:
        steps.append(step_)
        self._sent.append((given, step_, steps))

    def _make(self, words: str, change: Change, check: Check) -> tuple[c.ChangeTonight, Change]:
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
        if not self._sent:
            book = session.book
            _, out = step(book.compiled, book.state, given, session.now_ns())
            if out.refused is not None:
                raise ChangeError(out.refused)
        session.send(given)
        self.show, self._sent_s = changed, time.monotonic()
        return given, inverse

    @property
    def waiting(self) -> int:
        """How many changes the engine has not answered yet."""
        return len(self._sent)

    def look(self) -> tuple[bool, str | None]:
        """Whether the show is another than it was at the last look, and why the engine refused a change."""
        book, refused = self._session.book, None
        heard, self._answered = book.answers[self._answered :], len(book.answers)
        for given, why in heard:
            if self._sent and self._sent[0][0].change == given.change:
                self._take_answer(why)
                refused = why or refused
        if self._sent and time.monotonic() - self._sent_s > UNHEARD_AFTER_S:
            while self._sent:
                self._take_answer("it did not come")
            refused = "the last change did not reach the engine: look whether it is there"
        theirs = book.compiled.plan.show
        if self._sent or theirs is self.show:
            return False, refused
        another, self.show = theirs != self.show, theirs  # so that the next look need not compare them
        return another, refused

    def _take_answer(self, refused: str | None) -> None:
        """The first change sent is answered: what was refused cannot be taken back."""
        _, step_, steps = self._sent.pop(0)
        if refused is not None and step_ in steps:
            steps.remove(step_)
