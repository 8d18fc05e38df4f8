"""Keys of a rehearsal from cue to cue: to a little before the next go, or to the top of a section."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.cue_to_cue import LEAD_S, before_next_go, top_of, tops
from showcaller.desk.callwords import CallWords

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class CueKeys:
    """Both only with all outputs muted: a live clock is the band's."""

    def __init__(self, words: CallWords) -> None:
        self._words = words

    def ahead(self, session: RunSession, _view: CallView) -> None:
        """To fifteen seconds before the next go."""
        command = before_next_go(session.book) if self._rehearsing(session) else None
        if command is not None:
            session.send(command)
            self._words.say("cue to cue", f"{LEAD_S:.0f} s before the next go", 2.0, "accent")

    def top(self, session: RunSession, _view: CallView) -> None:
        """Back to the top of a section."""
        if not self._rehearsing(session):
            return
        names = ", ".join(dict.fromkeys(name for name, _ in tops(session.book)))
        if not names:
            self._words.say("cue to cue", "The item that is on has no sections", 2.0, "quiet")
            return

        def done(text: str) -> str | None:
            command = top_of(session.book, text)
            if isinstance(command, str):
                return command
            session.send(command)
            return None

        self._words.ask(
            "From the top of which section?", done, f"{names}; 'chorus 2' for the second of a name"
        )

    def _rehearsing(self, session: RunSession) -> bool:
        if session.book.state.all_muted:
            return True
        self._words.say("cue to cue", "Only in a rehearsal, with all outputs muted", 2.0)
        return False
