"""Keys for two machines: taking the show over here, and pulling the plug in a rehearsal."""

from __future__ import annotations

import contextlib
import threading
from pathlib import Path
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Any

from showcaller.calling.caller_view import CallView
from showcaller.calling.machines import machine_banner, silent_words
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.desk.told import Prompted

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class MachineKeys:
    """``look`` says what came of a key; ``standing`` is what stays while the other machine is silent."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys
        self._heard: SimpleQueue[str] = SimpleQueue()

    def look(self, _session: RunSession) -> None:
        """Called at every frame."""
        with contextlib.suppress(Empty):
            self._words.say("two machines", self._heard.get_nowait(), 8.0)

    def standing(self, session: RunSession) -> Prompted | None:
        """That the other machine is silent, and the key for it."""
        words = silent_words(session.joined, self._keys["take_here"])
        return Prompted(*words, "missed") if words else None

    def banner(self, session: RunSession | None) -> str:
        """Whose show is followed here, and whether the clocks agree."""
        return "" if session is None else machine_banner(session.joined, session.error_ns)

    def take_here(self, session: RunSession, _view: CallView) -> None:
        """Take the show over from the other machine, or have it back from it."""
        joined = session.joined
        if joined is None:
            self._words.say("take over here", "The show is on this machine already", 3.0, "quiet")
        elif not joined.get("can_take_over"):
            words = "This machine was not let in as the second one; its seat is 'engine' then"
            self._words.say("take over here", words, 4.0, "quiet")
        elif self._words.twice("take_here", str(joined["term"])):
            self._words.say("taking over", "The outputs open here; check what is in doubt", 8.0)
            by = session.book.state.caller or session.name
            self._ask(Path(joined["folder"]).parent, "link", {"do": "take over", "by": by})
        else:
            key = self._keys["take_here"]
            heard = "it lets go first" if joined["live"] else "it may still send: ask on headset first"
            self._words.say(f"{key} again takes over here", f"{joined['name']}: {heard}", 4.0)

    def plug(self, session: RunSession, _view: CallView) -> None:
        """In a rehearsal: as if this machine's plug were pulled."""
        if not session.book.state.all_muted:
            self._words.say("pull the plug", "In a rehearsal alone, all outputs muted", 3.0, "quiet")
        elif self._words.twice("plug", ""):
            self._ask(session.folder.parent, "door", {"do": "pull plug"})
        else:
            words = "this machine's engine is gone for a minute; the second machine should say so"
            self._words.say("again pulls the plug", words, 4.0)

    def _ask(self, runs: Path, whom: str, asked: dict[str, Any]) -> None:
        from showcaller.joining.control import ask, of_door, of_link  # noqa: PLC0415 - when it is wanted
        from showcaller.joining.errors import JoinError  # noqa: PLC0415

        def work() -> None:
            try:
                ask(of_link(runs) if whom == "link" else of_door(runs), asked)
            except JoinError as error:
                self._heard.put(str(error))

        threading.Thread(target=work, name="two machines", daemon=True).start()
