"""Changes of the shared book that met another's: each is named, and somebody says which one stays."""

from __future__ import annotations

from showcaller.calling.wording import plural
from showcaller.desk.ask import Ask
from showcaller.desk.book_home import Say
from showcaller.desk.sharing import Sharing
from showcaller.editing.changes import ChangeError


class Conflicts:
    """``open`` asks about the first there is."""

    def __init__(self, sharing: Sharing, ask: Ask, say: Say) -> None:
        self.sharing, self._ask, self._say = sharing, ask, say

    def open(self) -> None:
        """Ask about one; then about the next."""
        away = self.sharing.away
        if away is None or not away.book.conflicts:
            self._say("nothing that was changed here met a change of somebody else", "quiet")
            return
        more = len(away.book.conflicts) - 1
        left = f"; then {plural(more, 'more', 'more')}" if more else ""
        hint = f"type THEIRS to keep theirs, MINE to put yours; Escape leaves it for later{left}"
        self._ask(away.book.conflicts[0].words, self._done, hint)

    def _done(self, text: str) -> str | None:
        away = self.sharing.away
        if away is None or not away.book.conflicts:
            return None
        conflict = away.book.conflicts[0]
        if text.strip().upper() == "THEIRS":
            away.keep_theirs(conflict)
            self._say(f"theirs stays; {conflict.offer.words} was given up", "quiet")
        elif text.strip().upper() == "MINE":
            try:
                away.put_mine(conflict)
            except ChangeError as error:
                return f"it cannot be put any more: {error}; THEIRS keeps theirs"
            self._say(conflict.offer.words, "quiet")
        else:
            return "type THEIRS or MINE, or press Escape"
        if away.book.conflicts:
            self.open()
        return None

    def close(self) -> None:
        """The desk is left."""
        self.sharing.close()
