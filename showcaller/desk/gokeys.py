"""The go and the second key of a hazardous one: a slip of the finger asks again, an armed hazard waits."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.guarding import NextSeen, asked_again
from showcaller.calling.keys import Guard
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.run import commands as c

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession

_ARMED_FOR_S = 6.0
"""How long a hazardous go waits for its second key."""
OWN_MOVE_S = 1.0
"""A place that moves within so long of this desk's own command was moved by it."""


class GoKeys:
    """``look`` is called at every frame: it knows since when a go has been there to be seen."""

    def __init__(self, words: CallWords, keys: Keys, guard: Guard) -> None:
        self._words = words
        self._keys = keys
        self._guard = guard
        self._seen = NextSeen()
        self._armed_go: str | None = None
        self._armed_s = 0.0

    def look(self, session: RunSession, view: CallView) -> None:
        """Which go is shown as next."""
        go = None if view.next_go is None else view.next_go.id
        self._seen.look(go, session.acted_s() < OWN_MOVE_S, time.monotonic(), session.now_ns())

    def disarm(self) -> None:
        """A hazardous go waits no more."""
        self._armed_go = None

    def go(self, session: RunSession, view: CallView) -> None:
        """Give the next go, or ask again, or arm it."""
        if not self._guard.go(False, time.monotonic()) or view.next_go is None:
            return
        go, running = view.next_go, session.book.state.phase == "running"
        if self._seen.too_new(time.monotonic()):
            words = "The next go has just changed, by another hand"
            self._words.say(f"{self._keys['go']} again", words, 2.0)
            return
        self._words.clear()
        name = go.name
        why = asked_again(session.book, go)
        if why is not None and running and go.waits:
            # It would be refused however often it is asked for; what is said is what is missing.
            skip, override = self._keys["skip"], self._keys["override"]
            words = f"{name}: {skip} {skip} skips it; {override} overrides, with a name"
            self._words.say(f"not given · waits for {', '.join(go.waits)}", words, 4.0, "missed")
            return
        if why is not None and running and not self._words.twice("go", go.id):
            self._words.say(f"{self._keys['go']} again to go {why}", name, 3.0)
            return
        if go.hazard is not None and not go.waits and running:
            self._armed_go, self._armed_s = go.id, time.monotonic()
            heading = f"hazard · {self._keys['confirm']} fires {name}"
            self._words.say(heading, go.hazard, _ARMED_FOR_S, "missed", instead=True)
            return
        session.send(c.Go(go.id, shown_ns=self._seen.since_ns))

    def confirm(self, session: RunSession, view: CallView) -> None:
        """The second, deliberate key. Where nothing is armed it fires nothing, and ends a question."""
        go, armed = view.next_go, time.monotonic() - self._armed_s < _ARMED_FOR_S
        self._words.clear()
        self._guard.forget()
        if self._armed_go is None or go is None or go.id != self._armed_go:
            self._words.say(
                "nothing is armed", f"{self._keys['go']} arms a hazard, then {self._keys['confirm']}", 3.0
            )
        elif not armed:
            words = f"{self._keys['go']} arms it again, then {self._keys['confirm']}"
            self._words.say("no longer armed", words, 3.0)
        else:
            session.send(c.Go(go.id, confirmed=True, shown_ns=self._seen.since_ns))
        self._armed_go = None
