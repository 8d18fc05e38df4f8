"""The key that plays a section again and again in a rehearsal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.looping import Loop, is_over, loop_of, section_names
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class LoopKeys:
    """``looping`` is the loop that is on."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys
        self.looping: Loop | None = None
        self._asked_ns = -1

    def standing(self) -> str:
        """What stands over the box while a section is played again and again."""
        loop = self.looping
        return "" if loop is None else f"loop: {loop.section} · {self._keys['loop']} to play on"

    def loop(self, session: RunSession, _view: CallView) -> None:
        """Play a section again and again; only with all outlets muted."""
        if self.looping is not None:
            self._words.say("loop", f"'{self.looping.section}' plays on", 2.0, "quiet")
            self.looping = None
            return
        if not session.book.state.all_muted:
            self._words.say("loop", "Only in a rehearsal, with all outputs muted", 2.0)
            return
        if not section_names(session.book):
            self._words.say("loop", "The item that is on has no sections", 2.0, "quiet")
            return

        def done(text: str) -> str | None:
            found = loop_of(session.book, text)
            if isinstance(found, str):
                return found
            self.looping, self._asked_ns = found, -1
            return None

        names = ", ".join(section_names(session.book))
        hint = f"{names}. At its end it goes back to the start; {self._keys['go']} begins it again"
        self._words.ask("Loop which section?", done, hint)

    def look(self, session: RunSession) -> None:
        """Go back to the loop's start when its section is over; called at every frame."""
        if not session.book.state.all_muted:
            self.looping = None  # nothing of a rehearsal may move the place of a live run
        loop = self.looping
        again = session.now_ns() - self._asked_ns > 300_000_000 or self._asked_ns < 0
        if loop is not None and again and is_over(loop, session.book, session.now_ns()):
            session.send(c.Jump(item=loop.item, cue=loop.cue))
            # Until the answer comes the section still looks over: ask once.
            self._asked_ns = session.now_ns()
