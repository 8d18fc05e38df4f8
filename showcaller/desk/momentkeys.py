"""Keys for moments of the evening that are no item's: the last note, the house lights."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class MomentKeys:
    """A second press moves the moment; taking back is as for anything."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys

    def last_note(self, session: RunSession, _view: CallView) -> None:
        """The last note has sounded."""
        self._mark(session, "last note")

    def house_lights(self, session: RunSession, _view: CallView) -> None:
        """The house lights come up."""
        self._mark(session, "house lights")

    def _mark(self, session: RunSession, what: str) -> None:
        if what in session.book.state.moments and not self._words.twice("moment", what):
            self._words.say(f"press again to move the {what}", "It is marked already", 3.0)
            return
        back = self._keys["back"]
        session.send(c.MarkMoment(what))
        self._words.say(what, f"{back} {back} in Call takes it back", 2.0, "quiet")
