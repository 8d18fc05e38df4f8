"""Keys for a song's form: once more, vamp and out, without the next section. Each takes itself back."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.form_view import form_banner
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c
from showcaller.run.turning import next_turn

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class FormKeys:
    """What comes of a key is told by the run, and stands over the box while it counts."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys

    def banner(self, session: RunSession | None) -> str:
        """What is repeated or cut."""
        if session is None:
            return ""
        return form_banner(session.book, {what: self._keys[what] for what in ("again", "vamp", "cut")})

    def again(self, session: RunSession, _view: CallView) -> None:
        """The section that is on once more."""
        self._say(session, "again")

    def vamp(self, session: RunSession, _view: CallView) -> None:
        """The section that is on until this key again."""
        self._say(session, "vamp")

    def cut(self, session: RunSession, _view: CallView) -> None:
        """Without the next section."""
        self._say(session, "cut")

    def _say(self, session: RunSession, what: str) -> None:
        turn = next_turn(session.book.compiled, session.book.state)
        if turn is not None and turn.what != what:  # one at a time: the other is off
            self._words.say("instead of", self.banner(session).partition(" · ")[0], 3.0)
        session.send(c.PlaySection("on" if turn is not None and turn.what == what else what))
