"""Keys for a run that more than one desk has open: who has the calls, asking for them, handing them over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from showcaller.calling.caller_view import CallView
from showcaller.calling.desks import WATCHERS_MAY, asking_words, others, watch_words
from showcaller.calling.machines import machine_banner
from showcaller.desk.ask import Done
from showcaller.desk.callwords import CallWords
from showcaller.desk.keys import Keys
from showcaller.desk.told import Prompted
from showcaller.run import commands as c

if TYPE_CHECKING:
    from showcaller.calling.session import RunSession


class DeskKeys:
    """``look`` says who has joined; ``standing`` is what stays on the screen while somebody asks."""

    def __init__(self, words: CallWords, keys: Keys) -> None:
        self._words = words
        self._keys = keys
        self._known: tuple[RunSession | None, dict[str, str]] = (None, {})

    def may(self, session: RunSession, action: str) -> bool:
        """Whether this desk may do it; says why not. The engine would refuse it as well."""
        if session.has_calls or action in WATCHERS_MAY:
            return True
        who = session.book.state.caller or "another desk"
        self._words.say("you watch", f"{who} has the calls; {self._keys['calls']} asks for them", 3.0)
        return False

    def look(self, session: RunSession) -> None:
        """Say which desks have come and gone; called at every frame."""
        there = dict(others(session.book, session.desk))
        known = self._known[1] if self._known[0] is session else {}
        self._known = (session, there)
        for id_ in there.keys() - known.keys():
            rest = "it watches" if session.has_calls else "see who has the calls"
            self._words.say("another desk has joined", f"{there[id_]}: {rest}", 5.0)
        for id_ in known.keys() - there.keys():
            self._words.say("a desk has left", known[id_], 5.0, "quiet")

    def standing(self, session: RunSession) -> Prompted | None:
        """What the desk with the calls reads while another asks for them."""
        words = asking_words(session.book, session.desk, self._keys["calls"])
        return Prompted("the calls are asked for", words) if words else None

    def watch(self, session: RunSession | None) -> str:
        """What stands over the box while another desk has the calls."""
        if session is None:
            return ""
        words = watch_words(session.book, session.desk, session.calls_gone, self._keys["calls"])
        where = machine_banner(session.joined, session.error_ns)
        return " · ".join(filter(None, (words, where))) if words else ""

    def calls(self, session: RunSession, _view: CallView) -> None:
        """Hand the calls over, ask for them, or take those of a desk that is gone."""
        asking = session.book.state.asking
        if not session.has_calls:
            self._ask(session)
        elif asking is None:
            self._words.say("the calls", "This desk has them, and no other asks for them", 2.0, "quiet")
        elif self._words.twice("calls", asking.desk):
            session.send(c.GiveCalls(asking.desk))
        else:
            self._words.say(f"{self._keys['calls']} again hands the calls over", f"to {asking.caller}", 3.0)

    def _ask(self, session: RunSession) -> None:
        state = session.book.state
        if session.calls_gone:
            self._words.ask(
                "Take the calls. Who's calling now?",
                self._named(session, taking=True),
                "your name; the desk that had them is not heard from",
            )
        elif state.asking is None or state.asking.desk != session.desk:
            hint = f"your name; they are yours when {state.caller or 'the other desk'} hands them over"
            self._words.ask(
                "Ask for the calls. Who would be calling?", self._named(session, taking=False), hint
            )
        else:
            hint = (
                f"it is logged in these words. Ask {state.caller or 'the caller'} on headset first: two "
                "people "
                "calling one show is worse than a late cue"
            )
            self._words.ask("Take the calls without being handed them. Why?", self._reason(session), hint)

    @staticmethod
    def _named(session: RunSession, taking: bool) -> Done:
        def done(text: str) -> str | None:
            if not text:
                return "type a name, or press Escape: the calls need one"
            session.send(c.TakeCalls(session.desk, text) if taking else c.AskForCalls(session.desk, text))
            return None

        return done

    @staticmethod
    def _reason(session: RunSession) -> Done:
        def done(text: str) -> str | None:
            asking = session.book.state.asking
            if not text or asking is None:
                return "type the reason, or press Escape: it goes into the log"
            session.send(c.TakeCalls(session.desk, asking.caller, text))
            return None

        return done
